"""Vehicle, drive, wheel and spot of readings for which they are stated on lines between the rows."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.spottitles import titled_spot
from thermlog.reading.walks import with_walks

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.reading.observations import Observations
    from thermlog.reading.statements import Statements
    from thermlog.words.columns import Role


def placed_in_sections(seen: Observations, statements: Statements, *, file: str) -> Observations:
    """The readings with vehicle, drive, walk, wheel and spot where lines state them.

    Raises
    ------
    LogRefusedError
        As for `with_walks`.
    """
    seen = with_walks(seen, statements, file=file)
    if not statements.sections and not {"wheel", "spot"} & statements.said.keys():
        return seen
    told = [statements.at(line) for line in seen.line]
    stated: dict[Role, list[str]] = {}
    if statements.sections:
        stated = {"vehicle": [one.vehicle or "" for one in told], "drive": list(map(_drive_said, told))}
    spots = [titled_spot(one.said["spot"].text) if "spot" in one.said else None for one in told]
    stated["spot"] = [spot or "" for spot in spots]
    columns = {role: _filled(seen.extra.get(role), cells) for role, cells in stated.items() if any(cells)}
    seen = replace(seen, extra={**seen.extra, **columns})
    wheels = [one.said["wheel"].text if "wheel" in one.said else "" for one in told]
    return replace(seen, position=_filled(seen.position, wheels)) if any(wheels) else seen


def _drive_said(one: Statements) -> str:
    """The drive that holds for a row, as written where its word is not known."""
    return one.drive or (one.said["drive"].text if "drive" in one.said else "")


def _filled(own: Sequence[str] | None, stated: Sequence[str]) -> Sequence[str]:
    """The own cells of a column, and what is stated where they are empty."""
    if own is None:
        return stated
    return [cell if cell.strip() else other for cell, other in zip(own, stated, strict=True)]
