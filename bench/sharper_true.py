"""Do logs state the limits that one more round, a hotter drive, marks and a coast drive were said to give?

    python bench/sharper_true.py [VEHICLES] [--write docs/method.md]

Healthy vehicles of the own simulator are read; then the same vehicles again with one round more, half as hot
again, with every brake painted alike, and after a drive without braking. At the corner that was worst in the
first log what was foretold is divided by what the second log states of itself: median and the middle 80 % of
the vehicles. Of paint in kelvin of the metal, as both are worked out.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import Literal, TypeAlias

import numpy as np
from msgspec import Struct
from validation_planted import by_corner
from validation_sets import SKINS, Array, walked
from validation_worlds import readings_of

from thermlog.correcting.surfaces import SurfaceChoice, usual_surfaces
from thermlog.judging.detectable import limits_ahead
from thermlog.judging.diagnose import judge
from thermlog.judging.judged import Judged
from thermlog.judging.settings import Settings
from thermlog.simulation.builds import HEALTHY
from thermlog.simulation.simulate import SimulatedFleet, simulate_fleet
from thermlog.simulation.vehicleclass import VEHICLE_CLASSES
from thermlog.simulation.walkround import Target, WalkPlan, draw_walk, shoot
from thermlog.words.sharpening import SharperBy
from thermlog.words.tables import Readings

Question: TypeAlias = Literal["drag", "idle"]
CLASSES = ("car_disc", "pickup_drum", "rigid3_drum", "combination5_mixed")
VEHICLES, ROUNDS, SEED = 100, 3, 5
HOTTER = 1.5
PAINT = usual_surfaces().surfaces["matt_black_paint"]
QUESTIONS: dict[SharperBy, tuple[Question, ...]] = {
    "round": ("drag", "idle"), "hotter": ("drag", "idle"), "paint": ("drag", "idle"), "coast": ("drag",),
}  # fmt: skip
NAMES: dict[SharperBy, str] = {
    "round": "one more round",
    "hotter": "half as hot again",
    "paint": "the same paint on both sides",
    "coast": "a drive without braking",
}
BEGIN, END = "<!-- sharper: begin -->", "<!-- sharper: end -->"


class Walked(Struct, frozen=True, kw_only=True):
    """How parked vehicles are read again."""

    rounds: int = ROUNDS
    heat: float = 1.0
    painted: bool = False


def read_again(fleet: SimulatedFleet, how: Walked, rng: np.random.Generator) -> Readings:
    """A new walk round the same parked vehicles."""
    vehicles, grid = len(fleet.faults), fleet.cooldown.grid_s
    axles = len(fleet.vehicle_class.axles)
    walk = draw_walk(WalkPlan(rounds=how.rounds), axles=axles, vehicles=vehicles, rng=rng)
    elapsed_s = np.minimum(walk.elapsed_s, float(grid[-1] - 1.0))
    place = elapsed_s / (grid[1] - grid[0])
    low = np.clip(place.astype(np.int64), 0, grid.size - 2)
    each, air = np.arange(vehicles)[:, None], fleet.ambient_degc[:, None]
    before, after = (fleet.cooldown.rotor_degc[low + step, each, walk.corner] for step in (0, 1))
    rise_k = how.heat * (before + (place - low) * (after - before) - air)
    skins = fleet.emissivity
    if how.painted:
        skins = PAINT.emissivity + PAINT.spread * rng.standard_normal(skins.shape)
    emissivity = np.take_along_axis(np.clip(skins, 0.1, 0.98), walk.corner, axis=1)
    seen = Target(surface_degc=air + rise_k, emissivity=emissivity, ambient_degc=air)
    return readings_of(fleet, walk.corner, elapsed_s, shoot(fleet.plan.gun, seen, rng=rng).indicated_degc)


def ratios(kind: str, skins: str, vehicles: int, seed: int = SEED) -> dict[tuple[SharperBy, Question], Array]:
    """Foretold over stated limits of every vehicle where both are known, by step and question."""
    made = VEHICLE_CLASSES[kind]
    healthy = [HEALTHY] * vehicles
    fleet, coasted = (
        simulate_fleet(made, healthy, drive=drive, plan=walked(ROUNDS + more, skins=SKINS[skins]), seed=seed)
        for drive, more in (("normal", 1), ("coast", 0))
    )
    rng = np.random.default_rng([seed, 51])
    first = judge(read_again(fleet, Walked(), rng), Settings())
    painted = Settings(surfaces=(SurfaceChoice(surface=PAINT),))
    later: dict[SharperBy, Judged] = {
        "round": judge(read_again(fleet, Walked(rounds=ROUNDS + 1), rng), Settings()),
        "hotter": judge(read_again(fleet, Walked(heat=HOTTER), rng), Settings()),
        "paint": judge(read_again(fleet, Walked(painted=True), rng), painted),
        "coast": judge(coasted.readings, Settings()),
    }
    return {
        (by, question): values
        for by, judged in later.items()
        for question, values in foretold_over_stated(first, judged, by).items()
    }


def foretold_over_stated(first: Judged, later: Judged, by: SharperBy) -> dict[Question, Array]:
    """Of every vehicle, at the corner that was worst in the first log."""
    every = range(len(first.readings.cases))
    ahead = limits_ahead(first, every, sharper=True)
    now, then = ahead.now().least, limits_ahead(later, every).now().least
    found: dict[Question, Array] = {}
    for place, question in enumerate(QUESTIONS[by]):
        worst = np.nan_to_num(by_corner(first, now[place]), nan=-1.0).argmax(axis=1)
        told = []
        for k, column in enumerate(worst.tolist()):
            side, pair = column % 2, int(np.flatnonzero(first.pairs.case == k)[column // 2])
            one = ahead.after(by, (side, pair))[place]
            value = None if one is None else one.lost_share if question == "idle" else one.rise_k
            metal = first.gap.metal_per_curve[side, pair] if (by, question) == ("paint", "drag") else 1.0
            told.append(np.nan if value is None else metal * value)
        ratio = np.array(told) / by_corner(later, then[place])[np.arange(worst.size), worst]
        found[question] = ratio[np.isfinite(ratio) & (ratio > 0.0)]
    return found


def table(vehicles: int) -> str:
    """All classes and skins together, a line a step."""
    questions: tuple[Question, ...] = ("drag", "idle")
    found: dict[tuple[SharperBy, Question], list[Array]] = {}
    for kind in CLASSES:
        for skins in SKINS:
            for key, values in ratios(kind, skins, vehicles).items():
                found.setdefault(key, []).append(values)
    lines = [
        "| step | drag, foretold over stated: median (middle 80 %) | loss | medians of single classes |",
        "|---|---|---|---|",
    ]
    for by, name in NAMES.items():
        cells = [spread(found[by, one]) if (by, one) in found else "-" for one in questions]
        medians = [float(np.median(one)) for key, some in found.items() if key[0] == by for one in some]
        lines.append(f"| {name} | {cells[0]} | {cells[1]} | {min(medians):.2f} to {max(medians):.2f} |")
    return "\n".join(lines)


def spread(some: list[Array]) -> str:
    """Median and middle 80 % in words."""
    low, middle, high = np.quantile(np.concatenate(some), [0.1, 0.5, 0.9]).tolist()
    return f"{middle:.2f} ({low:.2f} to {high:.2f})"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("vehicles", type=int, nargs="?", default=VEHICLES)
    parser.add_argument("--write", type=Path)
    given = parser.parse_args()
    text = table(given.vehicles)
    print(text)
    if given.write is not None:
        before, rest = given.write.read_text(encoding="utf-8").split(BEGIN)
        after = rest.split(END)[1]
        given.write.write_text(f"{before}{BEGIN}\n\n{text}\n\n{END}{after}", encoding="utf-8")


if __name__ == "__main__":
    main()
