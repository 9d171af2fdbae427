"""Readings a day and more apart in one log: no heat that no metal has is told, and nothing is cleared."""

from __future__ import annotations

import json
import re
import warnings
from collections.abc import Iterator

import pytest

from thermlog.inference.left_right import MOST_RISE_K

HEAD = "# ambient: 20 C\n# axles: steer axle\n# brakes: disc disc\n# weight: light\ntime_s,position,temp_c\n"
DAY_S = 86_400


def heats(told: object, name: str = "") -> Iterator[tuple[str, float]]:
    """Every temperature and difference of temperatures in a JSON answer."""
    if isinstance(told, dict):
        for key, one in told.items():
            yield from heats(one, key)
    elif isinstance(told, list):
        for one in told:
            yield from heats(one, name)
    elif isinstance(told, float) and name.endswith(("_degc", "_k")):
        yield name, told


@pytest.mark.parametrize("apart_s", [DAY_S // 2, DAY_S, 20 * DAY_S, 400 * DAY_S])
def test_no_curve_is_told_where_no_brake_could_have_its_heat(checked, apart_s):
    log = HEAD + f"20,FL,95\n32,FR,93\n{apart_s},RL,70\n{apart_s + 14},RR,72\n{apart_s + 300},RL,66\n"
    with warnings.catch_warnings():
        warnings.simplefilter("error")  # numbers beyond single precision warned on standard error
        ran, why = checked(log, "--format", "json"), checked(log, "--explain")
    assert ran.code == 1  # nobody reads two wheels so late after one another: cannot tell
    found = [*heats(json.loads(ran.out))]
    assert found
    assert [one for one in found if abs(one[1]) > MOST_RISE_K] == []
    assert not re.search(r"\d{5,}[.\d]* °C", why.out)


def test_a_brake_read_half_an_hour_late_keeps_its_curve(checked):
    """500 °C read then stands for some 1400 °C half an hour before (30 min is a usual time constant)."""
    rows = "20,FL,95\n32,FR,93\n44,RR,90\n1844,RL,500\n1900,FL,50\n1915,FR,49\n1930,RR,48\n1944,RL,480\n"
    told = checked(HEAD + rows).out
    assert re.search(r"rear left +brake +\S*\d", told)
