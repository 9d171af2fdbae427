"""``--filing FILE``: a record of every defect that was called, beside the result."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from thermlog.cli.files import refuse_alike, tell
from thermlog.reports.wholefile import refuse_existing

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.cli.keeping import Keeper
    from thermlog.cli.options import Writing
    from thermlog.fleet.fleetlist import FleetList
    from thermlog.fleet.worklist import WorkList
    from thermlog.reports.report_csv import CsvStyle


def refuse_filing(path: str | None, writing: Writing, inputs: Sequence[str]) -> None:
    """Refuse, before any work is done, a record that cannot be written.

    Raises
    ------
    UsageError
        Its name ends otherwise, or is that of the result.
    OutputError
        It is there already.
    """
    if path is None:
        return
    if not path.lower().endswith((".csv", ".json")):
        msg = f'--filing: "{path}" ends neither in .csv nor in .json'
        raise click.UsageError(msg)
    refuse_alike({"--filing": path, "--output": writing.output})
    refuse_existing(path, force=writing.force, inputs=inputs)


def write_filing(
    path: str, kept: FleetList, work: WorkList, keeper: Keeper, *, force: bool, style: CsvStyle = "point"
) -> None:
    """Write the record of every defect, each with what the history knows of it.

    Parameters
    ----------
    path : str
    kept : FleetList
        With its defects.
    work : WorkList
        Made of it.
    keeper : Keeper
        What was stored is there.
    force : bool
    style : CsvStyle
    """
    from thermlog.reports.report_filing import filing_csv, filing_json
    from thermlog.reports.wholefile import write_whole_text

    dealt = keeper.dealt_with(kept.defects)
    if path.lower().endswith(".json"):
        text = filing_json(work, kept.defects, dealt)
    else:
        text = filing_csv(work, kept.defects, dealt, style=style)
    write_whole_text(path, text, force=force)
    tell(f"filed: {len(kept.defects)} in {path}")
