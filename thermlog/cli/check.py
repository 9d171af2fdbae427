"""``thermlog check``: judge one log or several."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from thermlog.cli.files import complain, numbered
from thermlog.cli.filing import refuse_filing, write_filing
from thermlog.cli.given import stated_words
from thermlog.cli.keeping import Keeper, Remembering, ending_options
from thermlog.cli.options import (
    Judging,
    Reading,
    Writing,
    judging_options,
    reading_options,
    writing_options,
)
from thermlog.cli.sheets import Sheets, sheet_options
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, EXIT_REFUSED
from thermlog.words.shelltext import narrow_command

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.judging.settings import Settings
    from thermlog.pipeline.recalled import Recalling
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Diagnosis


@click.command()
@click.argument("logs", metavar="LOG...", nargs=-1, required=True)
@sheet_options
@writing_options("text", "json", "csv")
@click.option(
    "--explain",
    is_flag=True,
    help="Add why: what was expected and weighed, where uncertainty comes from, which reading would decide.",
)
@ending_options
@judging_options
@reading_options
@click.pass_context
def check(
    ctx: click.Context,
    *,
    logs: tuple[str, ...],
    sheets: Sheets,
    explain: bool,
    writing: Writing,
    ending: Remembering,
    judging: Judging,
    reading: Reading,
) -> None:
    """Judge one log or several: which brake stays hot or cold, how sure, what next.

    LOG is a file of timed infrared readings, its address (extra remote), or - for standard input.
    The last four lines say what to do; with --quiet they stand alone.
    """
    inputs = [*logs, *judging.files(), *reading.files()]
    sheets.refuse(writing, inputs)
    refuse_filing(ending.filing, writing, inputs)
    kept = Keeper(ending.history)
    with writing.stream(inputs) as out:
        done = _run(logs, judging.settings(reading), kept.recalling())
        found = list(done.findings(explain=explain, sharper=_sharper(sheets, writing)))
        out.write(_rendered(done, found, writing, as_list=len(logs) > 1))
        out.flush()  # the verdict is on the screen before a chart is begun
    if sheets.chart is not None:
        _draw(done, found, sheets, writing)
    sheets.write(done, found, writing)
    if kept.keeps:
        kept.add(done.visits(found), done.unremembered)
    if ending.filing is not None:
        _file(ending.filing, done, kept, force=writing.force)
    refused = bool(done.read.refused) or not kept.close()
    ctx.exit(_exit_code(found, refused=refused, exit_zero=ending.exit_zero))


def _run(logs: Sequence[str], settings: Settings, recall: Recalling) -> Run:
    """Judge every log; one of several that is refused, or a sheet, is complained of and the others go on."""
    from thermlog.pipeline.run import run

    done = run(logs, settings, recall=recall)
    for _, refusal in done.read.refused:
        if len(logs) == 1 and not done.read.logs:
            raise refusal
        complain(refusal)
    return done


def _sharper(sheets: Sheets, writing: Writing) -> bool:
    """True where something is written that tells what would sharpen a "no"."""
    return not (writing.quiet or writing.output_format == "csv") or sheets.report is not None


def _rendered(done: Run, found: Sequence[Diagnosis], writing: Writing, *, as_list: bool) -> str:
    if writing.output_format == "json":
        from thermlog.reports.report_json import check_text

        return check_text(found, as_list=as_list or len(found) != 1)
    if writing.output_format == "csv":
        from thermlog.reports.report_csv import corners_csv

        return corners_csv(found)
    from thermlog.reports.report_text import last_lines, report, whose

    show = writing.show
    if writing.quiet:
        blocks = [last_lines(one, show=show) for one in found]
        if len(found) > 1:
            blocks = [[whose(one), *lines] for one, lines in zip(found, blocks, strict=True)]
        return "\n".join("\n".join(lines) + "\n" for lines in blocks)
    stated = stated_words(click.get_current_context())
    each = zip(found, done.cases(), done.numbers(), strict=True)
    texts = [
        report(
            one,
            judged.policies[k],
            show=show,
            narrow=narrow_command(one.log.file, stated, number=number),
        )
        for one, (judged, k), number in each
    ]
    return f"\n{'=' * 100}\n\n".join(texts)


def _file(path: str, done: Run, keeper: Keeper, *, force: bool) -> None:
    """The record of every defect of these logs."""
    from thermlog.fleet.fleetlist import FleetList
    from thermlog.fleet.lister import Lister
    from thermlog.fleet.worklist import work_list

    listed = FleetList()
    listed.add(Lister(settings=done.settings, file=True).piece_of(done))
    write_filing(path, listed, work_list(listed), keeper, force=force)


def _draw(done: Run, found: Sequence[Diagnosis], sheets: Sheets, writing: Writing) -> None:
    """One chart a diagnosis; from the second on the file name carries a number."""
    from thermlog.charts.chart import figure_of
    from thermlog.charts.look import Look
    from thermlog.charts.saving import save_figure
    from thermlog.judging.curves import curves_of

    look = Look(
        show=writing.show,
        width=sheets.chart_width,
        stage="curve" if sheets.chart_neutral else "verdict",
    )
    for number, (one, (judged, k)) in enumerate(zip(found, done.cases(), strict=True)):
        path = numbered(sheets.chart or "", number)
        figure = figure_of(replace(one, curves=curves_of(judged, k, one.corners)), look)
        save_figure(figure, path, force=writing.force)
        click.echo(f"chart: {path}", err=True)


def _exit_code(found: Sequence[Diagnosis], *, refused: bool, exit_zero: bool) -> int:
    if refused:
        return EXIT_REFUSED
    flagged = any(one.flagged for one in found)
    return EXIT_FLAGGED if flagged and not exit_zero else EXIT_EVEN
