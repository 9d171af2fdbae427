"""``thermlog history``: what a depot remembers."""

from __future__ import annotations

import time
from typing import TYPE_CHECKING

import click
from msgspec import Struct

from thermlog.cli.files import tell
from thermlog.cli.options import CHART_WIDTH, Writing, chart_option, writing_options
from thermlog.cli.sheets import refuse_chartless
from thermlog.words.errors import EXIT_EVEN, EXIT_FLAGGED, OptionError

if TYPE_CHECKING:
    from thermlog.charts.look import Width
    from thermlog.history.rows import KeptVisit
    from thermlog.history.store import History
    from thermlog.history.unitstories import UnitStory


class PrintedHistory(Struct, frozen=True, kw_only=True):
    """What is printed, whether a latest answer in it is flagged, the story of the unit, units named alike."""

    text: str
    flagged: bool = False
    story: UnitStory | None = None
    alike: tuple[tuple[str, ...], ...] = ()


@click.command()
@click.argument("unit", required=False, metavar="[UNIT]")
@click.option("--history", "address", required=True, metavar="ADDRESS", help="Where checks were kept.")
@click.option(
    "--job",
    "jobs",
    multiple=True,
    metavar="FILE.json",
    help="Take in the record of a job (thermlog narrow --job) as it stands now. May be repeated.",
)
@click.option(
    "--outcomes",
    is_flag=True,
    help="Tell instead how often the answers were right, where a job says what was found.",
)
@chart_option("Draw the trend of UNIT")
@CHART_WIDTH
@writing_options("text", "csv", "json")
@click.pass_context
def history(
    ctx: click.Context,
    *,
    unit: str | None,
    address: str,
    jobs: tuple[str, ...],
    outcomes: bool,
    chart: str | None,
    chart_width: Width,
    writing: Writing,
) -> None:
    """Show what a depot remembers: a line a unit, or all visits of one with its trend.

    ADDRESS is what thermlog check and thermlog fleet were given with --history. Visits stand in the order in
    which the vehicles were driven, as their logs say; a log without a date stands where it was stored.

    The exit code is 1 if a unit shown is flagged in its latest answers, else 0; --outcomes shows none.
    """
    if chart is not None and unit is None:
        msg = "--chart draws one unit; name it"
        raise click.UsageError(msg)
    refuse_chartless(chart, chart_width)
    if outcomes and unit is not None:
        msg = "--outcomes tells of the whole depot"
        raise click.UsageError(msg)
    from thermlog.history.store import History
    from thermlog.pipeline.settings import history_patience_s
    from thermlog.reports.wording import printable

    kept = History.open(address, wait_s=history_patience_s())
    for file in jobs:
        _take(kept, file)
    with writing.stream(jobs) as out:
        told = PrintedHistory(text=_outcomes(kept, writing)) if outcomes else _told(kept, unit, writing)
        out.write(told.text)
        out.flush()
    for some in told.alike:
        names = ", ".join(some)
        tell(printable(f"kept as vehicles of their own, named alike: {names}; if one, write one name"))
    if chart is not None and told.story is not None:
        from thermlog.charts.saving import save_figure
        from thermlog.charts.timeline import figure_of_story

        save_figure(figure_of_story(told.story, width=chart_width), chart, force=writing.force)
        click.echo(f"chart: {chart}", err=True)
    ctx.exit(EXIT_FLAGGED if told.flagged else EXIT_EVEN)


def _take(kept: History, file: str) -> None:
    from thermlog.followup.jobrecord import known_job

    kept.add_job(known_job(file))


def _outcomes(kept: History, writing: Writing) -> str:
    from thermlog.advice.evidenceload import evidence_table
    from thermlog.history.outcomes import outcomes_of
    from thermlog.reports.report_outcomes import outcomes_csv, outcomes_json, outcomes_text

    table = evidence_table().causes
    tends = {name: cause.tends for name, cause in table.items()}
    # a cause of several kinds of brake counts by the mean of its weights: the history does not know the kind
    prior = {name: sum(cause.prior.values()) / len(cause.prior) for name, cause in table.items()}
    found = outcomes_of(kept.visits(), kept.jobs(), tends, prior)
    told = {"json": outcomes_json, "csv": outcomes_csv}
    return told.get(writing.output_format, outcomes_text)(found)


def _told(kept: History, unit: str | None, writing: Writing) -> PrintedHistory:
    """The rows of all units, or of the one that was asked for with its story."""
    from thermlog.history.unitstories import story_of, unit_rows
    from thermlog.reports.report_history import history_csv, history_json, history_text, story_text
    from thermlog.words.vehicle import alike_units, unit_key

    key = None if unit is None else unit_key(unit)
    visits, jobs = kept.visits(key), kept.jobs(key)
    now_s = time.time()
    story = None if key is None else story_of(_known(visits, kept, key), jobs, now_s)
    rows = unit_rows(visits, jobs, now_s)
    unnamed = sum(visit.unit is None for visit in visits)
    if writing.output_format == "json":
        text = history_json(rows, unnamed, story)
    elif writing.output_format == "csv":
        text = history_csv(rows)
    elif story is not None:
        text = story_text(story, show=writing.show)
    else:
        text = history_text(rows, unnamed, show=writing.show)
    alike = tuple(alike_units(row.unit for row in rows))
    flagged = any(row.last.flagged for row in rows)
    return PrintedHistory(text=text, flagged=flagged, story=story, alike=alike)


def _known(visits: list[KeptVisit], kept: History, unit: str) -> list[KeptVisit]:
    """Visits of a unit; one that nobody knows is refused with what is near."""
    if visits:
        return visits
    from difflib import get_close_matches

    names = sorted({visit.unit for visit in kept.visits() if visit.unit is not None})
    near = get_close_matches(unit, names, n=3)
    msg = f'no unit "{unit}" in {kept.shown}; nearest: {", ".join(near) or "none"}'
    raise OptionError(msg)
