"""``thermlog compare``: two or more drives beside each other, before and after a repair."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click
from msgspec import Struct
from msgspec.structs import replace

from thermlog.cli.files import refuse_alike, tell
from thermlog.cli.jobdrives import judged_drives, stated_of, with_first
from thermlog.cli.options import (
    CHART_WIDTH,
    Judging,
    Reading,
    Writing,
    chart_option,
    exit_zero_option,
    gathered,
    judging_options,
    reading_options,
    writing_options,
)
from thermlog.cli.sheets import page_ending, refuse_chartless, refuse_paper, write_page
from thermlog.reports.wholefile import refuse_existing
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.charts.look import Width
    from thermlog.cli.jobdrives import JudgedDrive, Stated
    from thermlog.followup.jobrecord import JobRecord
    from thermlog.followup.proof import Comparison
    from thermlog.reports.jobwork import JobFile


class ComparedParts(Struct, frozen=True, kw_only=True):
    """What is compared, and where it is entered."""

    chart: str | None
    chart_width: Width
    corner: tuple[str, ...]
    job: str | None
    report: str | None

    def file(self) -> JobFile | None:
        """The record that is named, if one is."""
        from thermlog.reports.jobwork import JobFile

        return None if self.job is None else JobFile(self.job)


_WANTED = (
    chart_option("Lay the cooling curves over each other"),
    CHART_WIDTH,
    click.option("--corner", multiple=True, metavar="1L",
                 help="Only this corner, or both of an axle, in any word that a log may have, as in "
                      '1L, "front left" or rear; may be repeated.'),
    click.option("--job", metavar="FILE.json",
                 help="Record of the job, begun by narrow: its log comes first, and what became of the "
                      "fault is entered."),
    click.option("--report", callback=page_ending, metavar="FILE",
                 help="Write before and after as one page too: .html or .pdf."),
)  # fmt: skip


@click.command()
@click.argument("logs", metavar="LOG LOG...", nargs=-1, required=True)
@gathered("wanted", ComparedParts, _WANTED)
@writing_options("text", "json", "csv")
@exit_zero_option
@judging_options
@reading_options
@click.pass_context
def compare(
    ctx: click.Context,
    *,
    logs: tuple[str, ...],
    wanted: ComparedParts,
    writing: Writing,
    exit_zero: bool,
    judging: Judging,
    reading: Reading,
) -> None:
    """Lay two or more drives over each other: before and after a repair, or a healthy one for reference.

    LOG is a file of timed infrared readings; a file with several drives counts as several. The first drive
    is what the others are compared with; the last one shows what is new, and what became of what stood out.
    """
    file, chart = wanted.file(), wanted.chart
    record = None if file is None else file.known()
    logs = logs if record is None else with_first(logs, record)
    job = None if file is None else stated_of(ctx, file.path, file.known(), judging, reading)
    inputs = [*logs, *judging.files(), *reading.files(), *(job.files() if job else ())]
    written = {"--job": wanted.job, "--chart": chart, "--report": wanted.report, "--output": writing.output}
    refuse_alike(written)
    refuse_chartless(chart, wanted.chart_width)
    for path in filter(None, (chart, wanted.report)):
        refuse_existing(path, force=writing.force, inputs=inputs)
    refuse_paper(wanted.report)
    with writing.stream(inputs) as out:
        comparison = _compared(_drives(logs, judging, reading, job), wanted.corner, reading)
        out.write(_rendered(comparison, writing))
        out.flush()  # the finding is on the screen before a chart is begun
    if file is not None and comparison.backwards:
        tell(_not_entered(file.path, comparison))
    elif file is not None:
        _enter(file, comparison)
    if chart is not None:
        _draw(comparison, chart, wanted.chart_width, writing)
    if wanted.report is not None:
        from thermlog.pages.compare import compare_page

        write_page(wanted.report, compare_page(comparison, show=writing.show), force=writing.force)
    ctx.exit(EXIT_FLAGGED if comparison.open_or_flagged and not exit_zero else EXIT_EVEN)


def _enter(file: JobFile, comparison: Comparison) -> None:
    """Enter what became of the fault in the record, and say so."""
    from thermlog.reports.wording import printable

    record = _entered(file.known(), file.path, comparison)
    file.write(record)
    parts = f"; of the repair it says: {', '.join(record.parts)}" if record.parts else ""
    tell(printable(f"{file.path}: {_as_which(record, comparison)}{parts}"))
    if record.vehicle and not comparison.last.vehicle:
        tell(_unnamed(file.path, record.vehicle, comparison))


def _as_which(record: JobRecord, comparison: Comparison) -> str:
    """As which drive after the repair the last one stands there, and which counts where it does not."""
    from thermlog.reports.report_narrow import drives_after

    log = comparison.last.log
    name = next(name for name, one in drives_after(record) if one.sha256 == log.sha256)
    (*_, last) = record.verifications
    counts = "" if last.sha256 == log.sha256 else f"; the last, {last.file}, counts"
    article = "the " if len(record.verifications) == 1 else ""
    return f"{log.file} is entered as {article}{name}{counts}"


def _drives(logs: Sequence[str], judging: Judging, reading: Reading, job: Stated | None) -> list[JudgedDrive]:
    """The drives; beside a record as it states them, the last with the parts that it names."""
    from thermlog.followup.jobrecord import with_fitted

    drives = judged_drives(logs, judging, reading, job=job)
    if job is None:
        return drives
    return [*drives[:-1], *(replace(one, told=with_fitted(one.told, job.record)) for one in drives[-1:])]


def _unnamed(path: str, vehicle: str, comparison: Comparison) -> str:
    """What was entered of a log that does not say of which vehicle it is."""
    from thermlog.reports.wording import printable

    file = comparison.last.log.file
    return printable(
        f"{path}: {file} names no vehicle; it is entered as one of {vehicle}, make sure that it is"
    )


def _not_entered(path: str, comparison: Comparison) -> str:
    """Why a drive made before that of the job is not entered in its record."""
    from thermlog.followup.outcomes import logs_in_order
    from thermlog.reports.wording import printable

    order = logs_in_order(comparison.last, comparison.diagnoses[-1])
    why = "the drive named was made before the one the job began with and proves no repair"
    return printable(f"{path}: nothing entered: {order}: {why}; name a drive made after it")


def _entered(record: JobRecord, path: str, comparison: Comparison) -> JobRecord:
    """The record with what became of the fault; not of another vehicle, nor if the first log has changed."""
    from thermlog.followup.jobrecord import verified
    from thermlog.followup.otherjob import refuse_other
    from thermlog.reports.proofwords import comparison_headline, log_names

    first, last = comparison.diagnoses[0], comparison.last
    refuse_other(record, path, vehicle=first.vehicle, sha256=first.log.sha256)
    refuse_other(record, path, vehicle=last.vehicle, sha256=None)
    outcome = comparison_headline(comparison, log_names(comparison.diagnoses), "C")
    return verified(record, last, str(outcome), even_again=not comparison.open_or_flagged)


def _compared(drives: Sequence[JudgedDrive], words: tuple[str, ...], reading: Reading) -> Comparison:
    from thermlog.followup.proof import compare_logs
    from thermlog.reading.cornerwords import corners_of_word

    found = [one.told for one in drives]
    if len(found) < 2:
        msg = f"a comparison needs two drives, these logs hold {len(found)}; name a second log"
        raise click.UsageError(msg)
    read = sorted({corner.corner for one in found for corner in one.corners})
    corners: list[str] = []
    for word in words:
        named, why = corners_of_word(word, texts=read, corners=read, rules=reading.position_rules())
        if not set(named) & set(read):
            msg = f"no log reads corner {word}{why and f' ({why})'}; read are {', '.join(read)}"
            raise click.UsageError(msg)
        corners += named
    return compare_logs(found, drives[-1].policy, corners=tuple(corners))


def _rendered(comparison: Comparison, writing: Writing) -> str:
    from thermlog.reports.report_proof import comparison_csv, comparison_text, proof_last_lines

    if writing.output_format == "json":
        from thermlog.reports.report_json import comparison_json

        return comparison_json(comparison)
    if writing.output_format == "csv":
        return comparison_csv(comparison)
    if writing.quiet:
        return "\n".join(proof_last_lines(comparison, show=writing.show)) + "\n"
    return comparison_text(comparison, show=writing.show)


def _draw(comparison: Comparison, chart: str, width: Width, writing: Writing) -> None:
    from thermlog.charts.look import Look
    from thermlog.charts.overlay import figure_of_overlay
    from thermlog.charts.saving import save_figure

    look = Look(show=writing.show, width=width)
    save_figure(figure_of_overlay(comparison, look), chart, force=writing.force)
    click.echo(f"chart: {chart}", err=True)
