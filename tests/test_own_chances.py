"""One probability for one brake: what stands beside a name is not that of another brake.

An answer's probability is that of any brake. A brake that is named for its own open gap has one of its own,
and whoever reads the summary, a panel of the chart or a line of a list meets the same number. Logs are
invented.
"""

from __future__ import annotations

import json
import re

import pytest
from coolinglogs import cooling_log

RISES = {"FL": 100.0, "FR": 74.0, "RR": 102.0, "RL": 57.0}
CALM = {"FL": 77.0, "FR": 76.0, "RR": 90.0, "RL": 53.0}


def test_a_brake_named_for_its_own_gap_has_its_own_probability_everywhere(thermlog, tmp_path):
    (tmp_path / "log.csv").write_text(cooling_log(RISES, rounds=2, wheel_s=12), encoding="utf-8")
    told = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    drag = told["answers"]["drag"]
    gap = next(one for one in drag["reasons"] if one["code"] == "gap_open" and one["corners"][0] == "1L")
    share, of_any = gap["numbers"]["share_drag"], drag["p"]

    assert (drag["answer"], drag["corners"]) == ("watch", ["2R", "1L"])
    assert share < 0.5 * of_any
    own, any_brake = f"{100 * share:.0f} %", f"{100 * of_any:.0f} %"
    text = thermlog("check", "log.csv").out
    assert f"(probability {any_brake}; front left by itself {own})" in text
    assert f"front left drags {own}" in text
    listed = " ".join(thermlog("fleet", "log.csv").out.split())
    assert re.search(rf"front left may drag; [^!]*past the marks; by the model alone {own}", listed)
    assert re.search(rf"rear right may drag; [^!]*probability {any_brake}", listed)
    assert thermlog("check", "log.csv", "--report", "log.html", "-q").code == 1
    assert f"front left by itself {own}" in (tmp_path / "log.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("rounds", [1, 2, 4])
def test_one_name_has_one_number(thermlog, tmp_path, rounds):
    (tmp_path / "log.csv").write_text(cooling_log(CALM, rounds=rounds, wheel_s=12), encoding="utf-8")

    assert "by itself" not in thermlog("check", "log.csv").out
