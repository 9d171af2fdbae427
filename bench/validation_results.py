"""All that the validation works out, and how its tables are written."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import numpy as np
from msgspec import Struct
from validation_changes import Changed
from validation_coast import BothDrives, Coast
from validation_plain import PlainGap
from validation_planted import Planted
from validation_skinpairs import SkinPair
from validation_truths import Coverage, Look
from validation_walks import Scored, Seen
from validation_worlds import WorldName

ROUNDS = (1, 2, 3, 6)
WORLD_WORDS: dict[WorldName, str] = {"own": "own simulator", "other": "second simulator"}


class Results(Struct, frozen=True, kw_only=True):
    """All that was worked out; `walks` and `closer` one list a cell."""

    walks: list[list[Seen]]
    planted: list[Planted]
    changes: list[Changed]
    coasts: list[Coast]
    both: list[BothDrives]
    plain: list[PlainGap]
    coverages: list[Coverage]
    looks: list[Look]
    skins: list[SkinPair]
    closer: list[list[Scored]] = []

    def seen(self, world: WorldName, **only: object) -> list[Seen]:
        """Cells of one world with the attributes asked for."""
        return [
            one
            for cell in self.walks
            for one in cell
            if one.world == world and all(getattr(one, name) == value for name, value in only.items())
        ]

    def ranked(self, world: WorldName) -> list[Scored]:
        """Healthy vehicles and single drags of one world; more of them where the first walks left it open."""
        again = [one for cell in self.closer for one in cell if one.world == world]
        known = {(one.kind, one.rounds) for one in again}
        return again + [one for one in self.seen(world) if (one.kind, one.rounds) not in known]


def table(head: Sequence[str], rows: Iterable[Sequence[object]]) -> str:
    """A table in Markdown."""
    lines = ["| " + " | ".join(head) + " |", "|" + "---|" * len(head)]
    lines += ["| " + " | ".join(str(value) for value in row) + " |" for row in rows]
    return "\n".join(lines)


def percent(share: float, digits: int = 0) -> str:
    """Share in per cent; a dash where there is none."""
    return "-" if np.isnan(share) else f"{100.0 * share:.{digits}f}"


def slashed(shares: Iterable[float], digits: int = 0) -> str:
    """Several shares in one field."""
    return " / ".join(percent(share, digits) for share in shares)


def with_error(difference: float, error: float) -> str:
    """A difference of shares and its standard error, in points; bold beyond two of them."""
    text = f"{100.0 * difference:+.1f} ± {100.0 * error:.1f}".replace("-0.0", "+0.0")
    return f"**{text}**" if abs(difference) > 2.0 * error > 0.0 else text
