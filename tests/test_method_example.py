"""The example worked by hand in docs/method.md, recomputed, and the fit beside it."""

import math
import re
from pathlib import Path

import numpy as np
import pytest

from thermlog.fitting.fit import fit
from thermlog.fitting.pairs import pair_readings
from thermlog.fitting.stack import Priors
from thermlog.inference.left_right import compare
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.words.policy import load_policy
from thermlog.words.tables import Case, LogRecord, Readings

PAGE = (Path(__file__).parent.parent / "docs" / "method.md").read_text(encoding="utf-8")
AIR_DEGC = 20.0
LEFT = {0.0: 120.0, 300.0: 104.6, 600.0: 91.7}
RIGHT = {60.0: 87.7, 360.0: 77.3, 660.0: 68.5}


def by_hand(side, common_s):
    """Time constant from first and last reading, and the rise brought to the common time."""
    first, last = min(side), max(side)
    tau_s = (last - first) / math.log((side[first] - AIR_DEGC) / (side[last] - AIR_DEGC))
    return tau_s, (side[first] - AIR_DEGC) * math.exp(-(common_s - first) / tau_s)


def example_readings():
    record = LogRecord(file="example", sha256="", rows_read=6, rows_used=6)
    rows = [(t, value, side) for side, log in ((0, LEFT), (1, RIGHT)) for t, value in log.items()]
    size = len(rows)
    return Readings(
        cases=(Case(log=record, ambient_degc=AIR_DEGC),),
        case=np.zeros(size, dtype=np.int64),
        line=np.arange(size),
        axle=np.ones(size, dtype=np.int64),
        side=np.array([row[2] for row in rows]),
        spot=np.zeros(size, dtype=np.int64),
        elapsed_s=np.array([row[0] for row in rows]),
        indicated_degc=np.array([row[1] for row in rows]),
        emissivity=np.full(size, np.nan),
        distance_m=np.full(size, np.nan),
    )


def test_readings_on_the_page_are_those_of_this_test():
    """The page states the readings that are used here."""
    for side in (LEFT, RIGHT):
        first, middle, last = (f"{value:.1f}" for value in side.values())
        assert re.search(rf"{first}, {middle} and {last}", PAGE)


def test_page_shows_what_the_hand_finds():
    """Time constants, rises, difference and ratio of docs/method.md, to the digits printed there."""
    tau_left, rise_left = by_hand(LEFT, 300.0)
    tau_right, rise_right = by_hand(RIGHT, 300.0)

    assert f"= {tau_left:.0f} s; right" in PAGE
    assert f"= {tau_right:.0f} s. Alike" in PAGE
    assert f"= {rise_left:.1f} K; right" in PAGE
    assert f"= {rise_right:.1f} K.\n4. Difference {rise_left - rise_right:.1f} K" in PAGE
    assert f"{rise_left:.1f} / {rise_right:.1f} = {rise_left / rise_right:.2f}" in PAGE
    assert f"= {LEFT[0.0] - RIGHT[60.0]:.1f} K, would have" in PAGE


def test_rises_and_the_naive_comparison_on_the_page():
    """By hand: readings less 20 °C, and the gap of the first readings over that at the common time."""
    left, right = (", ".join(f"{value - AIR_DEGC:.1f}" for value in side.values()) for side in (LEFT, RIGHT))
    assert f"Rises left: {left} K; right: {right} K." in PAGE

    (_, rise_left), (_, rise_right) = by_hand(LEFT, 300.0), by_hand(RIGHT, 300.0)
    assert "look a quarter worse" in PAGE
    assert (LEFT[0.0] - RIGHT[60.0]) / (rise_left - rise_right) == pytest.approx(1.25, abs=0.03)


def test_marks_on_the_page_are_the_policy_s():
    """The marks quoted are those of the light policy."""
    policy = load_policy("light")

    assert f"watch at {policy.watch_ratio:g} and {policy.watch_difference_k:g} K" in PAGE
    assert f"suspect at {policy.suspect_ratio:g} and {policy.suspect_difference_k:g} K" in PAGE


def test_plain_gap_by_hand():
    """Step 6: scatter of one shot by the policy, three readings a side, everything from printed digits."""
    policy = load_policy("light")
    rises = {"left": 84.7, "right": 59.2}
    sigma = {
        side: math.hypot(policy.aim_fraction * rise, policy.reading_sigma_k) / math.sqrt(3.0)
        for side, rise in rises.items()
    }
    both = round(math.hypot(*sigma.values()), 1)

    assert f"= {sigma['left']:.1f} K, right {sigma['right']:.1f} K, together {both:.1f} K." in PAGE
    assert f"leaves {25.4 - 2.0 * both:.1f} K, past {policy.watch_difference_k:g} K" in PAGE


def test_program_answers_as_the_hand_does():
    """Steps 6 and 7: a watch whose side is open, because the vehicle has one axle only; never "even"."""
    (one,) = diagnoses(judge(example_readings(), Settings(policy=load_policy("light"))))
    drag = one.answers.drag
    (gap,) = (reason for reason in drag.reasons if reason.code == "gap_open")

    assert drag.answer == "watch"
    assert gap.corners == ("1L", "1R")
    assert gap.numbers["low_k"] == pytest.approx(21.4, abs=4.0)  # prior and Student widen, 2 min is earlier
    shares = [gap.numbers[name] for name in ("share_drag", "share_idle", "share_skins", "share_reading")]
    assert sum(shares) == pytest.approx(1.0)
    assert drag.decides[0].code == "coast_drive"


def test_fit_agrees_with_the_hand():
    """Without priors and with the air held, the fit differs from the hand by rounding only."""
    readings = example_readings()
    pairs = pair_readings(readings)
    one, case = np.ones(pairs.count), np.ones(1)
    priors = Priors(
        log_tau_mean=one * math.log(1800.0),
        log_tau_spread=one * np.inf,
        side_spread=one * np.inf,
        ambient_degc=case * AIR_DEGC,
        ambient_sigma_k=case * 0.0,
        reading_sigma_k=case,
        aim_fraction=case * 0.0,
        floor_sigma_k=case * 0.1,
        noise_dof=case * np.inf,
    )
    fits = fit(readings, pairs, priors)
    found = compare(pairs, fits, wanted_time_s=np.array([300.0]))
    tau_left, rise_left = by_hand(LEFT, 300.0)
    tau_right, rise_right = by_hand(RIGHT, 300.0)

    assert found.common_time_s[0] == 300.0
    # readings are rounded to 0.1 °C: 0.05 K in 70 K over a third of tau moves tau by up to about 0.5 %
    assert np.exp(fits.log_tau[:, 0]) == pytest.approx([tau_left, tau_right], rel=0.005)
    assert found.difference_k[0] == pytest.approx(rise_left - rise_right, abs=0.1)
    assert found.ratio[0] == pytest.approx(rise_left / rise_right, abs=0.005)
