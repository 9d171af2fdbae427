"""Numbers of docs/method.md before its example, of docs/surfaces.md and of docs/vehicle.md, recomputed."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from bodies import plain_fit, plate_degc

from thermlog.advice.severity import severity_figures
from thermlog.fitting.settle import FEWEST_READINGS
from thermlog.fleet.skinlearning import FEWEST_LOGS, MOST_LOGS
from thermlog.inference.limits import Z80
from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings
from thermlog.physics.cooling import law_shape
from thermlog.physics.radiation import indicated_degc, surface_degc
from thermlog.reading.read import read_log
from thermlog.words.policy import load_policy

DOCS = Path(__file__).parent.parent / "docs"


def flowing(name):
    """Text of a page with its line breaks taken out."""
    return re.sub(r"\s+", " ", (DOCS / name).read_text(encoding="utf-8"))


METHOD, SURFACES, VEHICLE = flowing("method.md"), flowing("surfaces.md"), flowing("vehicle.md")


def test_minutes_of_the_walk():
    """By hand: 100 (1 - exp(-3/30))."""
    lost_k = 100.0 * (1.0 - math.exp(-3.0 / 30.0))

    assert (
        f"100 K above the air with a time constant of 30 min has lost {lost_k:.1f} K three minutes" in METHOD
    )


def test_biot_number_of_the_ring():
    """By hand: 100 × 0.011 / 48."""
    biot = 100.0 * (0.022 / 2.0) / 48.0

    assert biot == pytest.approx(0.0229, abs=5e-5)
    assert f"22 mm thick, of iron with 48 W/(m·K), it is {biot:.3f} even at 100 W/(m²·K)" in METHOD


def test_two_laws_look_alike_in_twelve_minutes():
    """An exponential through the 5/4-power law at six readings, by the fit of logs."""
    minutes = np.linspace(0.0, 12.0, 6)
    truth = 100.0 * law_shape(minutes / 30.0, "power")[0]
    _, fits = plain_fit(60.0 * minutes, truth, 0.0)
    worst = np.abs(fits.residual_k).max()

    assert 0.1 < worst <= 0.25
    assert (
        "from 100 K with a time constant of 30 min is met by an exponential to within 0.2 K at all six"
        in METHOD
    )


@pytest.mark.parametrize("emissivity", [0.3, 0.8])
def test_an_hour_ahead(emissivity):
    """The worked body of test_cooling_bodies.py, integrated, fitted and run forward."""
    minutes = np.array([2.0, 5.0, 8.0, 11.0, 14.0])
    _, fits = plain_fit(60.0 * minutes, plate_degc(60.0 * minutes, emissivity), 20.0)
    worst, tau_s = np.abs(fits.residual_k).max(), np.exp(fits.log_tau[0, 0])
    ahead = 20.0 + fits.amplitude_k[0, 0] * math.exp((fits.reference_s[0] - 3600.0) / tau_s)
    (hour,) = plate_degc([3600.0], emissivity)
    row = f"| {emissivity} | {worst:.1f} °C | {ahead:.1f} °C | {hour:.1f} °C | {ahead - hour:.1f} °C |"

    assert row in METHOD


def test_air_known_or_fitted():
    """Textbook rule for least squares: covariance is the inverse of J'J over the variance, here 1 °C²."""
    minutes = np.linspace(0.0, 10.0, 5)
    fall = np.exp(-minutes / 30.0)
    slopes = np.stack([fall, 100.0 * fall * minutes / 30.0**2, np.ones(5)], axis=1)
    known, fitted = (math.sqrt(np.linalg.inv(part.T @ part)[1, 1]) for part in (slopes[:, :2], slopes))

    assert (
        "A rise of 100 K with a time constant of 30 min, read five times (at 0, 2.5, 5, 7.5 and 10 min)"
        in METHOD
    )
    assert (
        f"uncertainty of {known:.2f} min if the air is known and of {fitted:.0f} min if it is fitted"
        in METHOD
    )


LIGHT, HEAVY = load_policy("light"), load_policy("heavy")


@pytest.mark.parametrize(
    "words",
    [
        f"from the larger of {LIGHT.drag_least_k:g} K (`drag_least_k`; heavy {HEAVY.drag_least_k:g} K) and a "
        "fifth of the",
        f"(`drag_least_part`) up to {LIGHT.drag_most_k:g} K",
        f"anything from nothing to {LIGHT.cold_remaining_most:g} of its heat",
        f"front over rear {LIGHT.front_share:g} on light vehicles (`front_share`)",
        f"one kind ({LIGHT.like_axle_spread:g} in ln), more",
        f"more between disc and drum ({LIGHT.unlike_axle_spread:g})",
        f"where nothing describes the vehicle ({LIGHT.unsaid_axle_spread:g})",
        f"miss**: {100 * LIGHT.miss_share:.0f} % of them (`miss_share`), a fifth of these high",
        f"`side_probability` ({LIGHT.side_probability:g}) of both",
        f"hotter side has {LIGHT.gap_probability:g} or more (`gap_probability`",
        f"({LIGHT.unstated_air_low_degc:g} to {LIGHT.unstated_air_high_degc:g} °C, no",
        f"a drag of {LIGHT.hidden_drag_k:g} K (light; heavy {HEAVY.hidden_drag_k:g} K), or of half",
        f"only where a loss of {100 * LIGHT.hidden_loss_share:.0f} % would (`hidden_loss_share`)",
        f"towards the air: {LIGHT.coast_heat_median_k:g} K are usual (`coast_heat_median_k`)",
        f"sides {LIGHT.coast_side_spread_k:g} K and a fifth of it apart",
        f"against their mates ({LIGHT.hub_over_mate_k:g} K, and more likely hot than not)",
        f"their own brakes ({LIGHT.hub_stop_k:g} K; {LIGHT.hub_own_heat_k:g} K where the other side",
        f"learns the share from {FEWEST_LOGS} logs and more",
        f"sample of at most {MOST_LOGS}, held towards",
    ],
)
def test_assumptions_on_the_page_are_those_of_the_program(words):
    """Policies and modules hold the number; the page repeats it."""
    assert words in METHOD


def test_parts_told_in_words_are_those_of_the_policy():
    """A fifth, a half, twice: told in words on the page."""
    assert (LIGHT.drag_least_part, LIGHT.hidden_drag_part) == (0.2, 0.5)
    assert (LIGHT.high_miss_part, LIGHT.coast_side_spread_fraction) == (0.2, 0.2)
    assert LIGHT.coast_front_share == 1.0
    assert (LIGHT.unlike_axles_ratio, HEAVY.unlike_axles_ratio) == (2.2, 2.0)


def test_octaves_of_a_drag():
    """By hand: log2(400 / 30) octaves, each as likely as another."""
    octaves = math.log2(LIGHT.drag_most_k / LIGHT.drag_least_k)

    assert (
        f"are {octaves:.1f} octaves, so a drag of 30 to 60 K is given {100 / octaves:.0f} % of all" in METHOD
    )


def test_detection_limit_by_hand():
    """Normal distribution: 80 % lie below 0.8416; by hand 20 + 0.8416 sqrt(2 (2² + 2²))."""
    limit_k = 20.0 + Z80 * math.sqrt(2.0 * (2.0**2 + 2.0**2))

    assert pytest.approx(0.841621, abs=5e-5) == Z80  # quantile of 80 %: any table of the normal distribution
    assert f"With a threshold of 20 K and both rises known to 2 K that is {limit_k:.1f} K." in METHOD


def test_small_drags_are_overstated_as_the_page_says():
    figures = severity_figures()

    assert (
        f"drags of {figures.selection_light_nm:g} N·m on light vehicles the called ones are told about "
        f"{figures.selection_factor:g} times"
    ) in METHOD


def test_readings_of_the_long_records():
    assert f"Long records ({FEWEST_READINGS} readings and more)" in METHOD


def by_fourth_power(shown_degc):
    """True temperature of a face of 0.30 by σT⁴ in place of the band; gun at 0.95, 20 °C round about."""
    gun, face, around = 0.95, 0.30, 293.15**4
    signal = gun * (shown_degc + 273.15) ** 4 + (1.0 - gun) * around
    return ((signal - (1.0 - face) * around) / face) ** 0.25 - 273.15


def test_fourth_power_against_the_band():
    """Which error belongs to which case: a true 120 °C, and a reading of 120 °C."""
    shown = float(indicated_degc(120.0, emissivity=0.30))
    assert float(surface_degc(shown, emissivity=0.30)) == pytest.approx(120.0, abs=1e-6)
    low = by_fourth_power(shown)
    assert f"emissivity 0.30 at a true 120 °C as {shown:.0f} °C" in METHOD
    assert f"makes {low:.0f} °C of that {shown:.0f} °C, {120.0 - low:.0f} °C too little" in METHOD

    band, power = float(surface_degc(120.0, emissivity=0.30)), by_fourth_power(120.0)
    assert (
        f"of a *reading* of 120 °C on such a face it makes {power:.0f} °C where the band gives {band:.0f} °C"
        in METHOD
    )
    assert f"{band:.0f} °C, {band - power:.0f} °C too little" in METHOD


def test_false_gap_of_unequal_skins():
    bright, dull = (float(indicated_degc(120.0, emissivity=e)) for e in (0.30, 0.60))

    assert f"a false gap of {dull - bright:.0f} °C where both faces are at a true 120 °C" in METHOD
    assert f"then read {dull - bright:.0f} °C apart" in SURFACES


def test_one_gun_or_two():
    """By hand, JCGM 100:2008: 2 % as a rectangle; shared errors subtract, separate ones add as squares."""
    left, right = (0.02 * degc / math.sqrt(3.0) for degc in (118.0, 100.0))

    assert f"a standard uncertainty of {left - right:.1f} °C in the difference" in SURFACES
    assert f"two guns would leave {math.hypot(left, right):.1f} °C" in SURFACES


def test_ring_in_the_spot():
    """By hand: share of a circle of 1 m / 12 that a strip of 60 mm through its middle covers."""
    part = 0.060 / (1.0 / 12.0)
    share = 2.0 / math.pi * (math.asin(part) + part * math.sqrt(1.0 - part**2))

    assert f"({100.0 * share:.0f} % for that ring read from 1 m)" in SURFACES


STATED = re.findall(r"\| ([^|]*) \| (light|heavy) \| ([0-9.]+) \| ([0-9.]+) \| (watch|no) \|", VEHICLE)


def lukewarm_log(header):
    """Three rounds, every brake cooling by Newton's law with 30 min; rises at the first moment."""
    rises_k = {"FL": 50.0, "FR": 51.0, "RR": 75.0, "RL": 76.0}
    rows = [
        f"{240 * walk + 15 * place},{word},{15.0 + rise * math.exp(-(240 * walk + 15 * place) / 1800.0):.1f}"
        for walk in range(3)
        for place, (word, rise) in enumerate(rises_k.items())
    ]
    return "\n".join([*header, "# ambient: 15", "elapsed_s,position,temp_c", *rows]) + "\n"


def test_five_ways_to_state_the_vehicle_are_on_the_page():
    assert len(STATED) == 5


@pytest.mark.parametrize("row", STATED, ids=lambda row: row[0])
def test_what_stating_the_vehicle_changes(tmp_path, row):
    """Policies hold shares and spreads; the answers are those of the program."""
    stated, policy, share, spread, answer = row
    log = tmp_path / "log.csv"
    log.write_text(lukewarm_log(re.findall(r"`(# [^`]*)`", stated)), encoding="utf-8")
    (one,) = diagnoses(judge(read_log(str(log)).readings, Settings()))
    numbers = load_policy(policy)
    likeness = "unsaid" if stated == "nothing" else "unlike" if "disc drum" in stated else "like"

    assert one.policy.name == policy
    assert one.answers.drag.answer == answer
    assert float(share) == (1.0 if "trailer" in stated else numbers.front_share)
    assert float(spread) == getattr(numbers, f"{likeness}_axle_spread")
    assert (stated == "nothing") == any(step.code == "state_class" for step in one.answers.drag.decides)
