"""What stops a vehicle is marked in the table of the text as it is in the headline; the log is invented."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from judgecases import told_text

from thermlog.reports.report_text import report
from thermlog.words.policy import load_policy

HOT_TYRE = """# ambient: 18 C
time_s,position,spot,temp_c
60,FL,rotor,90
75,FL,tyre,40
90,FR,rotor,88
105,FR,tyre,41
120,RL,rotor,60
135,RL,tyre,118
150,RR,rotor,59
165,RR,tyre,39
180,RR,rotor,57
195,RL,rotor,57
210,FR,rotor,84
225,FL,rotor,85
"""


def test_a_tyre_that_stops_the_vehicle_is_not_called_even_in_the_table() -> None:
    found = told_text(HOT_TYRE)
    lines = report(found, load_policy(found.policy.name)).splitlines()
    (hot,) = (line for line in lines if line.split()[:4] == ["rear", "left", "tyre", "outer"])
    (cool,) = (line for line in lines if line.split()[:4] == ["rear", "right", "tyre", "outer"])

    assert [one.spot for one in found.urgent] == ["tyre_outer"]
    assert hot.endswith("!! STOP")
    assert cool.endswith("= even")


# The line that each of them passes, read by the policy: 120, 90, 120 degC; a bright face 200 degC as the gun
# shows it. Both sides alike: beside each other they are even.
PAST = {"hub": (131.0, "hot"), "tyre": (118.0, "hot"), "rim": (130.0, "hot"), "caliper": (260.0, "watch")}


def alike(spot: str, degc: float) -> str:
    rows = ["# ambient: 18 C", "# unit: V1", "time_s,position,spot,temp_c"]
    for turn in (0, 1):
        for k, wheel in enumerate(("FL", "FR", "RL", "RR")):
            at_s = 60 + 15 * k + 150 * turn
            rows.append(f"{at_s},{wheel},rotor,{90 - 4 * turn if wheel < 'G' else 60 - 3 * turn}")
            if wheel < "G":
                rows.append(f"{at_s + 5},{wheel},{spot},{degc - 4 * turn}")
    return "\n".join(rows) + "\n"


def table(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


@pytest.mark.parametrize("spot", PAST)
def test_no_table_says_even_of_what_stops_the_vehicle(thermlog, spot: str) -> None:
    """CSV, JSON and the list of a fleet carry the code that the text and the headline stand for."""
    degc, verdict = PAST[spot]
    Path("log.csv").write_text(alike(spot, degc))
    found = json.loads(thermlog("check", "log.csv", "--format", "json").out)
    told = {(one["corner"], one["spot"].removesuffix("_outer")): one for one in found["corners"]}
    assert {one["corner"] for one in found["urgent"]} == {"1L", "1R"}
    for corner in ("1L", "1R"):
        assert told[corner, spot]["verdict"] == verdict
        assert "past the line" in told[corner, spot]["why"][0]
    rows = table(thermlog("check", "log.csv", "--format", "csv").out)
    codes = {(one["corner"], one["spot"].removesuffix("_outer")): one["verdict"] for one in rows}
    assert codes == {place: one["verdict"] for place, one in told.items()}
    (line,) = table(thermlog("fleet", "log.csv", "--format", "csv").out)
    assert (line["group"], line["verdict"]) == ("urgent", "hot")
    (drive,) = json.loads(thermlog("fleet", "log.csv", "--format", "json").out)["work"]["drives"]
    assert drive["lines"][0]["verdict"] == "hot"


def test_what_was_seen_stops_the_vehicle_and_its_line_is_not_even(thermlog) -> None:
    Path("log.csv").write_text("# seen: smoke\n" + alike("tyre", 40.0))
    (line,) = table(thermlog("fleet", "log.csv", "--format", "csv").out)
    assert line["group"] == "urgent"
    assert line["verdict"] not in {"even", "cannot_tell"}


def test_hubs_past_their_line_are_no_faults_of_brakes_in_a_comparison(thermlog) -> None:
    """What stopped the vehicle is told as that; hubs alike were no gap that could be gone."""
    Path("before.csv").write_text(alike("hub", 131.0))
    Path("after.csv").write_text(alike("hub", 40.0))
    text = thermlog("compare", "before.csv", "after.csv").out
    assert "Hub of front left" in text or "hub of front left" in text
    assert "cannot tell if even again" not in text
