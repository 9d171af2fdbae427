"""Which aims of the validation are met, from the same results as the tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from validation_checks import SETTINGS, merged
from validation_tables import beyond_chance, comparisons, drags, named_right

if TYPE_CHECKING:
    from validation_page import Results
STATED_WATCH, STATED_CALLED = 0.05, 0.01


def aim_rows(results: Results) -> list[tuple[str, str, str]]:
    """Every aim, what was found, and whether it is met."""
    return [
        _more_corners(results),
        _healthy_called(results),
        _healthy_watch(results),
        _ten_like_four(results),
        _right_corner(results),
        _own_corner(results),
        _healthy_hot(results),
        _hidden(results, "axle_hot"),
        _hidden(results, "diagonal_hot"),
        _hidden(results, "all_hot"),
        _difference(results),
        _calibration(results),
        _bright_side(results),
        _gap_gone(results),
    ]


def _met(met: bool) -> str:  # noqa: FBT001 - one bit
    return "yes" if met else "**no**"


def _span(values: list[float], digits: int = 1) -> str:
    return f"{100 * min(values):.{digits}f} to {100 * max(values):.{digits}f} %"


def _more_corners(results: Results) -> tuple[str, str, str]:
    every = comparisons(results.cells, "corner_hot")
    fewer = [ours - theirs for _, _, _, ours, theirs in every if ours < theirs]
    found = f"fewer in {len(fewer)} of {len(every)} comparisons"
    if fewer:
        lost = [one for one in every if one[3] < one[4]]
        found += (
            f", by {100 * -min(fewer):.0f} points at most, {beyond_chance(lost)} beyond two standard errors"
        )
    return (
        "more dragging corners than each baseline in every row (as many where all are found)",
        found,
        _met(not fewer),
    )


def _by_skin(results: Results, skins: str, part: str) -> list[float]:
    return [getattr(row.calls, part) for row in results.healthy if row.skins == skins]


def _healthy_called(results: Results) -> tuple[str, str, str]:
    rates = _by_skin(results, "somewhat unlike", "called")
    words = "below 1 % of healthy vehicles called in every class, skins somewhat unlike"
    return words, _span(rates), _met(max(rates) < STATED_CALLED)


def _healthy_watch(results: Results) -> tuple[str, str, str]:
    rates = _by_skin(results, "somewhat unlike", "watch")
    words = "about 5 % (2.5 to 7.5) of healthy vehicles reach watch in every class, skins somewhat unlike"
    return words, _span(rates), _met(min(rates) >= 0.5 * STATED_WATCH and max(rates) <= 1.5 * STATED_WATCH)


def _ten_like_four(results: Results) -> tuple[str, str, str]:
    rates: dict[bool, list[float]] = {True: [], False: []}
    for row in results.healthy:
        if row.skins == "somewhat unlike":
            rates["combination" in row.name].append(row.calls.watch)
    many, few = (float(np.mean(rates[key])) for key in (True, False))
    words = "ten corners raise no more false watches than four or six"
    return words, f"{100 * many:.1f} % against {100 * few:.1f} %", _met(many <= 1.2 * few)


def _right_corner(results: Results) -> tuple[str, str, str]:
    rates = [named_right(drags(cell)) for cell in results.cells]
    words = "right corner in at least 95 of 100 named single drags, every class and number of rounds"
    return words, _span(rates), _met(min(rates) >= 0.95)


def _cold(results: Results, part: str) -> list[float]:
    return [
        getattr(row.calls, part)
        for cell in results.cells
        for row in cell.rows
        if cell.rounds >= 2 and row.kind == "corner_cold" and row.severity == 1.0
    ]


def _own_corner(results: Results) -> tuple[str, str, str]:
    rates = _cold(results, "own_corner")
    words = "dead brake (all lost) called cold at its own corner in at least 75 of 100, two rounds or more"
    return words, _span(rates), _met(min(rates) >= 0.75)


def _healthy_hot(results: Results) -> tuple[str, str, str]:
    rates = _cold(results, "healthy_hot")
    return "its healthy mate, or another, not called hot (below 2 %)", _span(rates), _met(max(rates) < 0.02)


def _hidden(results: Results, kind: str) -> tuple[str, str, str]:
    strongest: dict[str, float] = {}
    for cell in results.cells:
        for row in cell.rows:
            if cell.rounds == 3 and row.kind == kind:
                strongest[cell.name] = row.calls.watch
    words = f"{kind}: at least watch in 90 of 100 at the strongest drag planted, three rounds"
    worst = min(strongest, key=lambda name: strongest[name])
    return (
        words,
        f"{_span(list(strongest.values()), 0)}, least on {worst}",
        _met(min(strongest.values()) >= 0.9),
    )


def _difference(results: Results) -> tuple[str, str, str]:
    rates = [row.difference for row in results.coverages if row.setting != SETTINGS[0]]
    calm = [row.difference for row in results.coverages if row.setting == SETTINGS[0]]
    words = "95 % intervals of left minus right hold the truth in 90 to 99 of 100, all errors switched on"
    found = f"{_span(rates)}; with nothing but scatter {_span(calm)}"
    return words, found, _met(min(rates) >= 0.9 and max(rates) <= 0.99)


def _calibration(results: Results) -> tuple[str, str, str]:
    def error(skins: str) -> tuple[float, float]:
        bins = [row.fault for row in results.calibrations if row.skins == skins]
        return merged(bins).calibration_error, max(one.calibration_error for one in bins)

    kinds = dict.fromkeys(row.skins for row in results.calibrations)
    words = "calibration error of `p_fault` at most 0.05, all classes together, skins as believed"
    each = {skins: error(skins) for skins in kinds}
    found = "; ".join(f"{skins} {one:.3f}, worst class {worst:.3f}" for skins, (one, worst) in each.items())
    return words, found, _met(each["as believed"][0] <= 0.05)


def _bright_side(results: Results) -> tuple[str, str, str]:
    words = "equal heat, unequal skins: brighter side called cold in less than 1 % (5 % at 0.6 / 0.3)"
    hard = max(row.bright_cold for row in results.skins if row.right == 0.3)
    mild = max(row.bright_cold for row in results.skins if row.right != 0.3)
    found = f"at most {100 * mild:.1f} % up to 0.8 / 0.7, {100 * hard:.1f} % at 0.6 / 0.3"
    return words, found, _met(mild < STATED_CALLED and hard < STATED_WATCH)


def _gap_gone(results: Results) -> tuple[str, str, str]:
    left = [
        abs(row.given_gap_k - even.given_gap_k)
        for row in results.skins
        for even in results.skins
        if even.name == row.name and even.left == even.right
    ]
    words = "with emissivities given the false gap is gone (below 1 K beyond equal skins)"
    return words, f"at most {max(left):.1f} K", _met(max(left) < 1.0)
