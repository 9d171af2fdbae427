"""How often the healthy band holds what a healthy brake reads: python bench/band_coverage.py [--write PAGE].

Healthy vehicles of both simulators, one to three rounds, all skin plans, fixed seeds; a minute or two.
``--small`` takes a tenth of them. With ``--write docs/normal.md`` the table goes between the marks there.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from validation_worlds import WORLDS, Batch, Cell, WorldName, batch, kinds_of, skins_of

from thermlog.judging.curves import curves_of
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.words.findings import Diagnosis
from thermlog.words.fitted import Curve

VEHICLES = 2100
ROUNDS = (1, 2, 3)
BEGIN, END = "<!-- table by bench/band_coverage.py -->", "<!-- end -->"
NAMES = {"own": "own simulator", "other": "second simulator"}
HEAD = (
    "| what was read | brakes | inside at the common time | inside at the first reading | at the last |\n"
    "|---|---|---|---|---|"
)
_OWN = 500


def cells(world: WorldName, rounds: int) -> list[Cell]:
    """Every class with every skin plan."""
    return [
        Cell(world=world, kind=kind, skins=skins, rounds=rounds)
        for kind in kinds_of(world)
        for skins in skins_of(world)
    ]


def hits(made: Batch) -> Iterator[tuple[bool, bool, bool]]:
    """Whether each healthy brake reads inside its band: at the common time, first and last in the walk."""
    judged = judge(made.readings, Settings())
    for k, found in enumerate(diagnoses(judged)):
        for curve in curves_of(judged, k, found.corners):
            if curve.corner not in made.odd[k] and curve.healthy is not None and curve.grid_s.size:
                yield (_at_common(found, curve), *_along(curve))


def _at_common(found: Diagnosis, curve: Curve) -> bool:
    one = found.corner(curve.corner, curve.spot)
    if one is None or one.expected_degc is None or one.at_common_degc is None:
        return False
    low, high = one.expected_degc
    return low <= one.at_common_degc.value <= high


def _along(curve: Curve) -> tuple[bool, bool]:
    healthy = curve.healthy
    if healthy is None:
        return False, False
    first, last = (
        bool(healthy.low_degc[end] <= curve.mean_degc[end] <= healthy.high_degc[end]) for end in (0, -1)
    )
    return first, last


def counted(world: WorldName, rounds: int, fault: str, vehicles: int) -> np.ndarray[Any, Any]:
    """Hits of so many vehicles, shared out over the cells: bool array (brakes, 3)."""
    places = cells(world, rounds)
    each = max(2, -(-vehicles // len(places)))
    return np.array(
        [
            hit
            for number, cell in enumerate(places)
            for hit in hits(batch(cell, fault, each, 7_000_000 + _OWN * rounds + number))
        ]
    )


def table(vehicles: int) -> list[str]:
    """Rows of the page."""
    rows = [HEAD]
    for world in WORLDS:
        by_rounds = [counted(world, rounds, "none", vehicles // len(ROUNDS)) for rounds in ROUNDS]
        for rounds, found in zip(ROUNDS, by_rounds, strict=True):
            rows.append(row(f"{NAMES[world]}, healthy, {rounds} round{'s' * (rounds > 1)}", found))
        rows.append(row(f"**{NAMES[world]}, healthy, all**", np.concatenate(by_rounds)))
        beside = counted(world, 3, "corner_hot", vehicles // len(ROUNDS))
        rows.append(row(f"{NAMES[world]}, healthy brakes of vehicles with one dragging, 3 rounds", beside))
    return rows


def row(name: str, found: np.ndarray[Any, Any]) -> str:
    """One row: shares in per cent."""
    shares = " | ".join(f"{100.0 * share:.1f} %" for share in found.mean(axis=0))
    return f"| {name} | {len(found)} | {shares} |"


def main() -> None:
    """Count, print or write."""
    options = argparse.ArgumentParser(description="Coverage of the healthy band.")
    options.add_argument("--write", type=Path, help="page whose table is written anew")
    options.add_argument("--small", action="store_true", help="a tenth of the vehicles")
    chosen = options.parse_args()
    lines = "\n".join(table(VEHICLES // 10 if chosen.small else VEHICLES))
    if chosen.write is None:
        print(lines)
        return
    page = chosen.write.read_text(encoding="utf-8")
    before, rest = page.split(BEGIN)
    chosen.write.write_text(f"{before}{BEGIN}\n\n{lines}\n\n{END}{rest.split(END)[1]}", encoding="utf-8")


if __name__ == "__main__":
    main()
