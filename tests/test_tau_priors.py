"""The page on priors says what its command prints, and the policies follow it."""

import math
from pathlib import Path

import numpy as np
import pytest
from ht.conv_free_immersed import Nu_vertical_plate_Churchill
from tau_priors import CLASSES, breeze_film_w_m2k, plate_film_w_m2k, prior, tables

from thermlog.words.policy import load_policy

KMH_PER_MPH = 1.609344  # exact
PAGE = (Path(__file__).parents[1] / "docs" / "tau-priors.md").read_text(encoding="utf-8")


def test_page_shows_what_the_command_prints():
    lines = PAGE.splitlines()
    assert [line for line in tables() if line not in lines] == []


@pytest.mark.parametrize(
    ("rise_k", "film"), [(20.0, 4.350110), (50.0, 5.546547), (100.0, 6.558421), (200.0, 7.537986)]
)
def test_plate_of_a_disc_in_air(rise_k, film):
    """Worked with the same air table and standard gravity, L = 0.28 m; the package ht agrees."""
    got = plate_film_w_m2k(rise_k, 0.28)
    assert got == pytest.approx(film, abs=6e-7)
    film_k = 293.15 + rise_k / 2.0
    nu, alpha, k, prandtl = (np.interp(film_k, [300, 350, 400], c) for c in AIR_BY_PROPERTY)
    rayleigh = 9.80665 / film_k * rise_k * 0.28**3 / (nu * alpha)
    assert got == pytest.approx(Nu_vertical_plate_Churchill(prandtl, rayleigh / prandtl) * k / 0.28, rel=1e-9)


# Bergman et al., 7th ed., table A.4, air at 300, 350, 400 K (from memory, not checked).
AIR_BY_PROPERTY = (
    [15.89e-6, 20.92e-6, 26.41e-6],
    [22.5e-6, 29.9e-6, 38.3e-6],
    [0.0263, 0.0300, 0.0338],
    [0.707, 0.700, 0.690],
)


def test_a_breeze_beats_still_air():
    """Worked: 10.335 W/(m²·K) at 2 m/s on 0.28 m, air properties at another temperature, hence 1 %."""
    assert float(breeze_film_w_m2k(np.array(2.0), 0.28)) == pytest.approx(10.335, rel=0.01)


@pytest.mark.parametrize(
    ("policy", "name", "key"),
    [
        ("light", "light disc", "tau_disc"),
        ("light", "light drum", "tau_drum"),
        ("heavy", "heavy disc", "tau_disc"),
        ("heavy", "heavy drum", "tau_drum"),
    ],
)
def test_policies_follow_the_page(policy, name, key):
    found, stated = prior(CLASSES[name]), load_policy(policy)
    median_s, spread = getattr(stated, f"{key}_s"), getattr(stated, f"{key}_spread")
    assert abs(math.log(median_s / found.median_s)) < 0.25
    assert spread > found.spread


def test_rolling_drums_of_the_page():
    """Worked with the published constants (docs/sources.md): τ = 60/K₁ min, K₁ per hour, speed in mph."""
    speeds_mph = np.array([20.0, 55.0, 50.0 / KMH_PER_MPH])
    first = 60.0 / (1.23 + 0.0256 * speeds_mph)
    refit = 60.0 / (1.5 * (1.1852 + 0.0331 * speeds_mph))
    page = " ".join(PAGE.split())

    assert "from 20 to 55 mph, {:.0f} down to {:.0f} min (its constants of 1981".format(*first) in page
    assert "WY-1901F of 2018 (read as model source text) {:.0f} down to {:.0f} min".format(*refit) in page
    assert f"at 50 km/h {first[2]:.0f} and {refit[2]:.0f} min" in page


@pytest.mark.parametrize(("policy", "part"), [("light", 0), ("heavy", 1)])
def test_hub_priors_follow_the_page(policy, part):
    found, stated = prior((CLASSES["hub"][part],)), load_policy(policy)
    assert abs(math.log(stated.tau_hub_s / found.median_s)) < 0.25
    assert stated.tau_hub_spread > found.spread
