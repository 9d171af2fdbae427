"""``thermlog fleet``: many logs, one list of work."""

from __future__ import annotations

import io
import shutil
import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, Literal, TextIO, TypeAlias

import click
from msgspec import Struct
from msgspec.structs import replace

from thermlog.cli.files import tell
from thermlog.cli.filing import refuse_filing, write_filing
from thermlog.cli.fleetreports import refuse_folder, write_reports
from thermlog.cli.keeping import Keeper, Remembering, ending_options
from thermlog.cli.options import (
    Judging,
    Reading,
    Writing,
    gathered,
    judging_options,
    reading_options,
    writing_options,
)
from thermlog.reports.wholefile import refuse_existing
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, EXIT_REFUSED

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from thermlog.fleet.depotrun import DepotRun
    from thermlog.fleet.fleetlist import Piece
    from thermlog.fleet.lister import Lister
    from thermlog.fleet.worklist import WorkList
    from thermlog.fleet.workrow import WorkGroup
    from thermlog.judging.settings import Settings
    from thermlog.reading.files.paths import Expanded
    from thermlog.reading.readoptions import ReadOptions
    from thermlog.reports.report_csv import CsvStyle

FailOn: TypeAlias = Literal["urgent", "called", "watch", "unreadable"]
_FILES = {"xlsx": "a workbook", "parquet": "a Parquet table"}  # no text, and nothing for a screen
_UP_TO: dict[FailOn, tuple[WorkGroup, ...]] = {
    "urgent": ("urgent",),
    "called": ("urgent", "called"),
    "watch": ("urgent", "called", "watch"),
}


class Listing(Struct, frozen=True, kw_only=True):
    """What the user wants of the list.

    `files_from` is a list of paths, or ``-`` for one on standard input; `look_up` are names of vehicles.
    """

    jobs: int | None
    skins: Literal["learned", "assumed"]
    fail_on: tuple[FailOn, ...]
    files_from: str | None
    csv_style: CsvStyle
    look_up: tuple[str, ...]
    reports: str | None
    cluster: str | None


_LISTING = (
    click.option("--jobs", type=click.IntRange(min=1), metavar="N",
                 help="Processes that share the work; else one a core, and a single one for few logs."),
    click.option("--cluster", metavar="ADDRESS",
                 help="Share the work with the workers of a dask scheduler, tcp://HOST:PORT or a scheduler "
                      "file; needs the extra cluster. Logs are read here and sent. The result is the same."),
    click.option("--skins", type=click.Choice(["learned", "assumed"]), default="learned", show_default=True,
                 help="How often the brakes of a vehicle look unlike: learned from the logs, of 60 or more, "
                      "or as the policy assumes."),
    click.option("--fail-on", type=click.Choice(["urgent", "called", "watch", "unreadable"]), multiple=True,
                 help="Leave with code 1 only for this and what is worse (urgent, then called, then watch), "
                      "or for files that cannot be read. May be repeated."),
    click.option("--files-from", metavar="FILE",
                 help="Take paths from this list too, one a line or ended by NUL; - is standard input."),
    click.option("--csv-style", type=click.Choice(["point", "comma"]), default="point", show_default=True,
                 help="comma: semicolons and a decimal comma, for spreadsheets that want these."),
    click.option("--look-up", multiple=True, metavar="NAME",
                 help="Text: only this vehicle, whatever was found on it. May be repeated."),
    click.option("--reports", metavar="FOLDER",
                 help="Write a page for every drive that asks for a look into this folder, too."),
)  # fmt: skip


@click.command()
@click.argument("paths", metavar="[PATH]...", nargs=-1)
@writing_options("text", "csv", "json", "html", "xlsx", "parquet")
@gathered("listing", Listing, _LISTING)
@ending_options
@judging_options
@reading_options
@click.pass_context
def fleet(
    ctx: click.Context,
    *,
    paths: tuple[str, ...],
    writing: Writing,
    listing: Listing,
    ending: Remembering,
    judging: Judging,
    reading: Reading,
) -> None:
    """Judge many logs at once into a list of work: what to stop, check, watch, do again.

    PATH is a log, a folder (searched with all folders below it) or a pattern such as "depot/*.csv"; or an
    address of one, such as "s3://bucket/**/*.csv" (extra remote). A log that cannot
    be read is listed with its reason and stops nothing; if none can be read the exit code is 3.
    """
    from thermlog.fleet.engines import engine

    _refuse_unfitting(listing, writing, ending.filing)
    refuse_folder(listing.reports)
    who = ctx.with_resource(engine(listing.jobs, listing.cluster, tell=tell))
    found = _found(paths, listing)
    inputs = [*found.files, *judging.files(), *reading.files()]
    refuse_filing(ending.filing, writing, inputs)
    keeper = Keeper(ending.history)
    from thermlog.fleet.depotrun import DepotRun  # what is wrong above is told at once

    settings = judging.settings(reading)
    recall = keeper.recalling()
    _look_into_passed(found, settings.reading)
    lister = replace(
        _lister(settings, in_full=writing.output_format == "json"),
        recall=recall,
        keep=keeper.keeps,
        file=ending.filing is not None,
        gather=listing.reports is not None,
    )
    depot = DepotRun.of(found, lister, learn=listing.skins == "learned")
    with _result(writing, inputs) as out:
        _judge(depot, _with_progress(_kept(depot.pieces(who), keeper), len(found.files)), out)
        work = depot.work()
        _write(work, (writing, listing), out)
        out.flush()  # the list is on the screen before a page is begun
    if any(one.file == "-" for one in work.unreadable):
        tell("standard input is read as one log; for a list of paths on it write --files-from -")
    if ending.filing is not None:
        write_filing(ending.filing, depot.kept, work, keeper, force=writing.force, style=listing.csv_style)
    if listing.reports is not None:
        write_reports(
            listing.reports, work, depot.kept.flagged_drives, show=writing.show, force=writing.force
        )
    if not keeper.close():
        ctx.exit(EXIT_REFUSED)
    ctx.exit(_exit_code(work, listing.fail_on, exit_zero=ending.exit_zero))


def _refuse_unfitting(listing: Listing, writing: Writing, filing: str | None) -> None:
    if listing.cluster is not None and listing.jobs is not None:
        msg = "--jobs and --cluster both say who works; give one of them"
        raise click.UsageError(msg)
    if listing.look_up and writing.output_format != "text":
        msg = "--look-up goes with the text of the list; a table has its own filter"
        raise click.UsageError(msg)
    if writing.output_format in _FILES and writing.output in {None, "-"}:
        kind = _FILES[writing.output_format]
        msg = f"{kind} goes into a file; name it with -o list.{writing.output_format}"
        raise click.UsageError(msg)
    if writing.output_format == "parquet":
        from thermlog.reports.parquet import refuse_without_arrow

        refuse_without_arrow()
    if listing.csv_style != "point" and writing.output_format != "csv" and filing is None:
        msg = "--csv-style goes with --format csv"
        raise click.UsageError(msg)


def _found(paths: tuple[str, ...], listing: Listing) -> Expanded:
    """Files named on the command line and in a list; what lies beside them is told of."""
    from thermlog.reading.files.paths import expand_paths, listed_paths
    from thermlog.reading.files.rawtext import STANDARD_INPUT, hold_standard_input

    if STANDARD_INPUT in paths and listing.files_from == STANDARD_INPUT:
        msg = "standard input is named as a log and as a list of paths; it can be one of them"
        raise click.UsageError(msg)
    more = listed_paths(listing.files_from) if listing.files_from is not None else ()
    if not paths and listing.files_from is None:
        msg = "no PATH is named; name logs, folders or patterns, or a list with --files-from"
        raise click.UsageError(msg)
    found = expand_paths([*paths, *more])
    if listing.files_from is not None and not more:
        name = "standard input" if listing.files_from == STANDARD_INPUT else listing.files_from
        found.refuse(name, "no path in this list of paths; write one a line", "no_log")
    if STANDARD_INPUT in found.files:
        hold_standard_input()
    return found


def _look_into_passed(found: Expanded, options: ReadOptions) -> None:
    """Texts beside the logs are looked into; what is passed over is told of."""
    from thermlog.reading.besidelogs import look_into_passed
    from thermlog.reports.wording import printable

    look_into_passed(found, options)
    if passed := found.passed_words():
        tell(printable(passed))


@contextmanager
def _result(writing: Writing, inputs: Sequence[str]) -> Iterator[TextIO]:
    """Where the text goes; what is no text is written whole at the end."""
    if writing.output_format not in _FILES:
        with writing.stream(inputs) as out:
            yield out
        return
    refuse_existing(writing.output or "", force=writing.force, inputs=inputs)
    yield io.StringIO()


def _kept(pieces: Iterator[Piece], keeper: Keeper) -> Iterator[Piece]:
    """The same pieces, each stored in the history before it goes on."""
    for piece in pieces:
        keeper.add(piece.visits, piece.unremembered)
        yield piece


def _lister(settings: Settings, *, in_full: bool) -> Lister:
    """What reads and judges; with all it imports, before processes share it."""
    from thermlog.fleet.lister import Lister

    if not in_full:
        return Lister(settings=settings)
    from thermlog.reports.report_json import check_lines

    return Lister(settings=settings, write=check_lines)


def _write(work: WorkList, how: tuple[Writing, Listing], out: TextIO) -> None:
    writing, listing = how
    if writing.output_format == "json":
        from thermlog.reports.report_json import fleet_closing

        out.write(fleet_closing(work))
    elif writing.output_format == "csv":
        _write_table(work, listing, out)
    elif writing.output_format == "xlsx":
        from thermlog.reports.wholefile import write_whole
        from thermlog.reports.workbooks import fleet_workbook

        content = fleet_workbook(work)
        write_whole(writing.output or "", lambda place: place.write_bytes(content), force=writing.force)
    elif writing.output_format == "parquet":
        from thermlog.reports.parquet import write_fleet
        from thermlog.reports.wholefile import write_whole

        write_whole(writing.output or "", lambda place: write_fleet(work, place), force=writing.force)
    elif writing.output_format == "html":
        from thermlog.pages.worklist import work_page

        out.write(work_page(work, show=writing.show))
    else:
        from thermlog.reports.report_fleet import USUAL_WIDTH, fleet_text, unit_text

        width = shutil.get_terminal_size((USUAL_WIDTH, 0)).columns
        if listing.look_up:
            out.write(unit_text(work, listing.look_up, show=writing.show, width=width))
        else:
            out.write(fleet_text(work, show=writing.show, quiet=writing.quiet, width=width))


def _write_table(work: WorkList, listing: Listing, out: TextIO) -> None:
    from thermlog.reports.fleetcolumns import fleet_csv
    from thermlog.reports.workwords import skins_words

    out.write(fleet_csv(work, style=listing.csv_style))
    if work.skins is not None:
        click.echo(skins_words(work.skins), err=True)


def _judge(depot: DepotRun, pieces: Iterator[Piece], out: TextIO) -> None:
    """Take in piece after piece; cases told in full are written at once, in the order of the files."""
    kept = depot.kept
    if depot.lister.write is None:
        for piece in pieces:
            kept.add(piece)
        return
    from thermlog.reports.report_json import fleet_lines, fleet_opening

    out.write(fleet_opening())
    for piece in pieces:
        first = kept.judged == 0
        out.write(fleet_lines(kept.add(piece), first=first))


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


def _exit_code(work: WorkList, fail_on: tuple[FailOn, ...], *, exit_zero: bool) -> int:
    tally = work.tally
    if tally.unreadable and not tally.drives:
        return EXIT_REFUSED
    groups = {group for named in fail_on for group in _UP_TO.get(named, ())}
    if not fail_on:
        groups = {"urgent", "called", "watch", "again"}
    unread = bool(work.unreadable) and (not fail_on or "unreadable" in fail_on)
    stops = "urgent" in groups and bool(work.stopped_unread)
    asks = unread or stops or any(tally.groups[group] for group in groups)
    return EXIT_FLAGGED if asks and not exit_zero else EXIT_EVEN
