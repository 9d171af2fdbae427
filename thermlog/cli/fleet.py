"""``thermlog fleet``: many logs, one ranked list."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Literal, TextIO

import click

from thermlog.cli.files import tell
from thermlog.cli.keeping import Keeper, Remembering, ending_options
from thermlog.cli.options import (
    Judging,
    Reading,
    Writing,
    judging_options,
    reading_options,
    writing_options,
)
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, EXIT_REFUSED

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.fleet.fleetlist import FleetList, Piece
    from thermlog.fleet.lister import Lister
    from thermlog.judging.settings import Settings
    from thermlog.reading.paths import Expanded
    from thermlog.reading.read import Unreadable


@click.command()
@click.argument("paths", metavar="PATH...", nargs=-1, required=True)
@writing_options("text", "csv", "json")
@click.option(
    "--jobs",
    type=click.IntRange(min=1),
    metavar="N",
    help="Processes that share the work; else one a core, and a single one for few logs.",
)
@click.option(
    "--skins",
    type=click.Choice(["learned", "assumed"]),
    default="learned",
    show_default=True,
    help="How often the brakes of a vehicle look unlike: learned from the logs, of 60 or more, or as the "
    "policy assumes.",
)
@ending_options
@judging_options
@reading_options
@click.pass_context
def fleet(
    ctx: click.Context,
    *,
    paths: tuple[str, ...],
    writing: Writing,
    jobs: int | None,
    skins: Literal["learned", "assumed"],
    ending: Remembering,
    judging: Judging,
    reading: Reading,
) -> None:
    """Judge many logs at once and rank what needs a look first.

    PATH is a log, a folder (searched with all folders below it) or a pattern such as "depot/*.csv". A log
    that cannot be read is listed with its reason and stops nothing; if none can be read the exit code is 3.
    """
    from thermlog.fleet.fleetlist import FleetList, in_pieces
    from thermlog.reading.paths import expand_paths
    from thermlog.reading.rawtext import STANDARD_INPUT, hold_standard_input

    found = expand_paths(paths)
    if STANDARD_INPUT in found.files:
        hold_standard_input()
    files, kept = list(found.files), FleetList(unreadable=_unreadable(found))
    in_full = writing.output_format == "json"
    learning = files if skins == "learned" else []
    keeper = Keeper(ending.history)
    lister = _lister(judging.settings(reading), in_full=in_full, keep=keeper.keeps).with_skins_of(learning)
    with writing.stream([*files, *judging.files(), *reading.files()]) as out:
        pieces = _kept(in_pieces(files, lister, jobs=jobs, written=in_full), keeper)
        pieces = _with_progress(pieces, len(files))
        if in_full:
            _write_json(kept, pieces, out)
        else:
            _write(kept, pieces, writing, out)
    if not keeper.close():
        ctx.exit(EXIT_REFUSED)
    ctx.exit(_exit_code(kept, exit_zero=ending.exit_zero))


def _unreadable(found: Expanded) -> list[Unreadable]:
    """Paths that are no logs to read; files that are none by their ending are told of."""
    from thermlog.reading.read import unreadable_for
    from thermlog.reports.wording import printable

    if passed := found.passed_words():
        tell(printable(passed))
    return [unreadable_for(one, one.file) for one in found.refused]


def _kept(pieces: Iterator[Piece], keeper: Keeper) -> Iterator[Piece]:
    """The same pieces, each stored in the history before it goes on."""
    for piece in pieces:
        keeper.add(piece.visits)
        yield piece


def _lister(settings: Settings, *, in_full: bool, keep: bool) -> Lister:
    """What reads and judges; with all it imports, before processes share it."""
    from thermlog.fleet.lister import Lister

    if not in_full:
        return Lister(settings=settings, keep=keep)
    from thermlog.reports.report_json import check_line

    return Lister(settings=settings, write=check_line, keep=keep)


def _write(kept: FleetList, pieces: Iterator[Piece], writing: Writing, out: TextIO) -> None:
    for piece in pieces:
        kept.add(piece)
    if writing.output_format == "csv":
        from thermlog.reports.report_csv import fleet_csv

        out.write(fleet_csv(kept.ranked(), kept.unreadable))
        if kept.skins is not None:
            from thermlog.reports.report_fleet import skins_words

            click.echo(skins_words(kept.skins), err=True)
    else:
        from thermlog.reports.report_fleet import fleet_text

        out.write(fleet_text(kept, show=writing.show, quiet=writing.quiet))


def _write_json(kept: FleetList, pieces: Iterator[Piece], out: TextIO) -> None:
    """Logs in the order of the files, written piece by piece."""
    from thermlog.reports.report_json import fleet_closing, fleet_lines, fleet_opening

    out.write(fleet_opening())
    for piece in pieces:
        first = kept.judged == 0
        out.write(fleet_lines(kept.add(piece), first=first))
    out.write(fleet_closing(kept))


def _with_progress(pieces: Iterator[Piece], files: int) -> Iterator[Piece]:
    """The same pieces; on a terminal, and only there, one line on standard error counts the files."""
    shown = sys.stderr.isatty() and sys.stdout.isatty()
    done = 0
    for piece in pieces:
        done += piece.files
        if shown:
            click.echo(f"\r{done} of {files} files", err=True, nl=False)
        yield piece
    if shown:
        click.echo("\r" + " " * 40 + "\r", err=True, nl=False)


def _exit_code(kept: FleetList, *, exit_zero: bool) -> int:
    if kept.unreadable and not kept.judged:
        return EXIT_REFUSED
    asks = kept.flagged > 0 or bool(kept.unreadable)
    return EXIT_FLAGGED if asks and not exit_zero else EXIT_EVEN
