"""--explain says why first: what was expected, what was read, what was weighed and what spoke on each."""

from __future__ import annotations

import re

from judgecases import LIGHT, VAN_K, Walk, tell, told, walked
from msgspec.structs import replace

from thermlog.judging.diagnose import judge
from thermlog.judging.explain import budgets
from thermlog.reports.report_text import report
from thermlog.reports.report_why import why_blocks
from thermlog.words.findings import Diagnosis
from thermlog.words.policy import load_policy
from thermlog.words.vehicle import corner_words


def explained(rises_k: dict[str, float], walk: Walk = Walk()) -> Diagnosis:  # noqa: B008 (frozen)
    judged = judge(walked(rises_k, walk), LIGHT)
    return replace(tell(judged, 0), budgets=budgets(judged, 0))


def lines_of(found: Diagnosis) -> list[str]:
    return [line for block in why_blocks(found, "C") for line in block]


def test_a_hot_brake_is_explained_before_its_budget() -> None:
    found = explained(VAN_K | {"1L": 220.0})
    text = report(found, load_policy("light"))
    assert (
        text.index("Why HOT: front left")
        < text.index("What was weighed")
        < text.index("Where the uncertainty")
    )
    one = found.corner("1L")
    assert one is not None
    low, high = one.expected_degc
    assert f"  expected of a healthy brake here, given the others: {low:.0f} to {high:.0f} °C" in text
    above = one.at_common_degc.value - high
    assert f"°C, {above:.0f} °C above that" in text
    axle = found.axle(1)
    watch, suspect = axle.marks_k
    assert f"watched from {watch:.0f} °C on, suspect from {suspect:.0f} °C on" in text


def test_shares_are_those_of_the_json_and_ordered() -> None:
    found = explained(VAN_K | {"1L": 150.0})
    rows = re.findall(r"^ +(\d+) %  ([^:]+):", "\n".join(lines_of(found)), re.MULTILINE)
    told_shares = {name: int(share) for share, name in rows}
    assert told_shares["front left drags"] == round(100 * found.corner("1L").p_hot)
    assert told_shares["no fault at all"] == round(100 * (1.0 - found.p_fault))
    shares = [share for name, share in told_shares.items() if name != "no fault at all"]
    assert shares == sorted(shares, reverse=True)


def test_what_speaks_against_skins_and_shots() -> None:
    strong = "\n".join(lines_of(explained(VAN_K | {"1L": 300.0})))
    assert "front skins that shine unlike: against it, even then the metal differs by" in strong
    assert "shots beside the brake at front left: against it, 3 of 3 readings vote" in strong
    weak = "\n".join(lines_of(explained(VAN_K | {"1L": 150.0})))
    assert "front skins that shine unlike: they could be all of it" in weak


def test_nothing_odd_names_the_brake_furthest_from_what_is_expected() -> None:
    one = explained(VAN_K | {"2L": 72.0})
    off = {}
    for corner in one.corners:
        low, high = corner.expected_degc
        off[corner.corner] = abs(corner.at_common_degc.value - 0.5 * (low + high)) / (high - low)
    found = lines_of(one)
    place = corner_words(max(off, key=lambda corner: off[corner]), 2)
    assert found[0] == f"Why nothing stands out; furthest from what is expected: {place}"
    assert any("no fault at all: every brake reads inside" in line for line in found)


def test_nothing_is_explained_unless_asked() -> None:
    assert why_blocks(told(walked(VAN_K | {"1L": 220.0}), LIGHT), "C") == []


def test_where_nothing_is_expected_nothing_is_said_of_it(thermlog) -> None:
    """One axle alone: no other brake leads to expect anything of its brakes."""
    from pathlib import Path

    rows = [
        f"{corner},{30 + 20 * k + 240 * turn},{degc - 5 * turn}"
        for turn in range(3)
        for k, (corner, degc) in enumerate((("1L", 165), ("1R", 84)))
    ]
    Path("log.csv").write_text("# ambient: 18 C\ncorner,since_parked_s,temp_c\n" + "\n".join(rows) + "\n")
    out = thermlog("check", "log.csv", "--explain").out
    assert "given the others: not known" in out
    assert "would read here is not known" in out
    assert "beside nothing" not in out
    assert "inside what is expected" not in out
