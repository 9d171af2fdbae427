"""Diagnosis, understanding of a log, fleet and comparison -> JSON text."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reports.contract.check import check_objects
from thermlog.reports.contract.writing import json_line, json_text

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.worklist import WorkList
    from thermlog.followup.proof import Comparison
    from thermlog.reading.gathered import LogReadings
    from thermlog.words.findings import Diagnosis

_LOGS = '"logs": ['


def check_text(diagnoses: Sequence[Diagnosis], *, as_list: bool) -> str:
    """JSON text of one diagnosis, or of a list of them."""
    objects = list[Struct](check_objects(diagnoses))
    return json_text(objects if as_list else objects[0])


def inspect_text(log: LogReadings) -> str:
    """JSON text of what was understood of a log."""
    from thermlog.reports.contract.lists import InspectObject

    return json_text(InspectObject.of(log))


def comparison_json(comparison: Comparison) -> str:
    """JSON text of a comparison."""
    from thermlog.reports.contract.beside import CompareObject

    return json_text(CompareObject.of(comparison))


def check_lines(diagnoses: Sequence[Diagnosis]) -> tuple[str, ...]:
    """JSON text of diagnoses, each on one line."""
    return tuple(map(json_line, check_objects(diagnoses)))


def fleet_opening() -> str:
    """Begin the JSON text of a fleet; one line a log follows, so that memory stays small."""
    from thermlog.reports.contract.lists import FleetObject

    return "".join(json_line(FleetObject()).partition(_LOGS)[:2])


def fleet_lines(lines: Sequence[str], *, first: bool) -> str:
    """Some logs of a fleet, each a line of `check_lines`."""
    return ("\n" if first else ",\n") + ",\n".join(lines) if lines else ""


def fleet_closing(work: WorkList) -> str:
    """End the JSON text of a fleet: files nobody could read, files met twice, the list of work."""
    from thermlog.reports.contract.lists import FleetObject

    return "\n" + json_line(FleetObject.around(work)).partition(_LOGS)[2] + "\n"
