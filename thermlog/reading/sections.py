"""Vehicle, drive, wheel and spot of readings for which they are stated on lines between the rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reading.spottitles import titled_spot
from thermlog.reading.walks import number_walks

if TYPE_CHECKING:
    from thermlog.reading.observations import Observations
    from thermlog.reading.statements import Statements
    from thermlog.words.columns import Role


def place_in_sections(seen: Observations, statements: Statements, *, file: str) -> None:
    """Fill in vehicle, drive, walk, wheel and spot of the readings for which lines state them.

    Raises
    ------
    LogRefusedError
        As for `number_walks`.
    """
    number_walks(seen, statements, file=file)
    if not statements.sections and not {"wheel", "spot"} & statements.said.keys():
        return
    told = [statements.at(line) for line in seen.line]
    if any(one.vehicle for one in told) and statements.sections:
        _fill(seen, "vehicle", [one.vehicle or "" for one in told])
    if statements.sections and any(drives := list(map(_drive_said, told))):
        _fill(seen, "drive", drives)
    if any("spot" in one.said for one in told):
        spots = [titled_spot(one.said["spot"].text) if "spot" in one.said else None for one in told]
        _fill(seen, "spot", [spot or "" for spot in spots])
    if any("wheel" in one.said for one in told):
        wheels = [one.said["wheel"].text if "wheel" in one.said else "" for one in told]
        seen.position = [
            own if own.strip() else wheel for own, wheel in zip(seen.position, wheels, strict=True)
        ]


def _drive_said(one: Statements) -> str:
    """The drive that holds for a row, as written where its word is not known."""
    return one.drive or (one.said["drive"].text if "drive" in one.said else "")


def _fill(seen: Observations, role: Role, stated: list[str]) -> None:
    own = seen.extra.get(role)
    if own is not None:
        stated = [cell if cell.strip() else other for cell, other in zip(own, stated, strict=True)]
    seen.extra[role] = stated
