"""A wheel above the gun's range may be the hottest of all: keep clear and wait, as at an urgent line.

The lines are the policy's own (judgement); all readings are invented.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from judgecases import told_text
from logs import HEALTHY_K, log_text

from thermlog.reading.remarks.heatsaid import over_said
from thermlog.words.findings import Diagnosis
from thermlog.words.units import from_degc

OVER = ["OL", "HI", ">240", ">150 C"]


def with_cell(cell: str, *, column: str = "temp_c", spot: str = "") -> Diagnosis:
    """The healthy van with one more reading at its front left wheel, of a spot if one is named."""
    rows = log_text(HEALTHY_K).replace("temp_c", f"{column},spot").splitlines()
    rows = [f"{row}," if row[0].isdigit() else row for row in rows]
    return told_text("\n".join([*rows, f"1L,900,{cell},{spot}"]) + "\n")


def raised(found: Diagnosis) -> list[tuple[str, str | None, float | None]]:
    return [(one.code, one.corner, one.value_degc) for one in found.urgent]


@pytest.mark.parametrize("cell", OVER)
def test_above_range_nobody_works_or_drives_and_it_cools_the_usual_time(cell: str) -> None:
    found = with_cell(cell)
    assert [(code, corner) for code, corner, _ in raised(found)] == [("over_range", "1L")]
    assert found.next_check is not None
    assert found.next_check.id == "clear_and_wait"
    assert found.next_check.question.startswith("No drive and no work at any wheel: keep clear, wait 45 min")
    assert [one.code for one in found.answers.drag.decides] == ["clear_and_wait"]
    assert str(found.cautions[0]).startswith("Stop driving and keep clear: the gun was above its range at 1L")


@pytest.mark.parametrize(
    ("cell", "spot", "code", "value_degc"),
    [
        (">300", "", "brake_hot", 300.0),
        (">299", "", "over_range", None),
        ("≥ 650 F", "", "brake_hot", (650 - 32) / 1.8),
        (">120", "hub", "hub_hot", 120.0),
        (">90", "tyre", "tyre_hot", 90.0),
        (">89", "tyre", "over_range", None),
    ],
)
def test_a_figure_raises_the_line_of_its_own_part(
    cell: str, spot: str, code: str, value_degc: float | None
) -> None:
    ((said, corner, value),) = raised(with_cell(cell, spot=spot))
    assert (said, corner) == (code, "1L")
    assert value == (None if value_degc is None else pytest.approx(value_degc))


def test_a_figure_is_in_the_unit_of_its_column() -> None:
    """A column in °F: 580 is 304 °C, past the line of 300; 560 is 293, which is not."""
    for figure, code in ((580, "brake_hot"), (560, "over_range")):
        rows = []
        for row in log_text(HEALTHY_K).replace("temp_c", "temp_f").splitlines():
            head, _, degc = row.rpartition(",")
            rows.append(f"{head},{from_degc(float(degc), 'F'):.1f}" if row[0].isdigit() else row)
        assert [one[0] for one in raised(told_text("\n".join([*rows, f"1L,900,>{figure}"]) + "\n"))] == [code]


@pytest.mark.parametrize("cell", ["LO", "---", "<20"])
def test_below_range_or_no_figure_is_read_again_and_not_urgent(cell: str) -> None:
    rows = [row for row in log_text(HEALTHY_K).splitlines() if not row.startswith("1L")]
    found = told_text("\n".join([*rows, f"1L,900,{cell}"]) + "\n")
    assert found.urgent == ()
    assert found.next_check is not None
    assert found.next_check.id == "read_unread"


def test_fleet_and_json_say_it_too(thermlog) -> None:
    Path("one.csv").write_text(log_text(HEALTHY_K) + "1L,900,OL\n")
    listed = " ".join(thermlog("fleet", "one.csv").out.split())
    assert "!! STOP DRIVING: reading above the gun's range at front left" in listed
    said = thermlog("check", "one.csv", "--format", "json")
    assert (said.code, [one["code"] for one in json.loads(said.out)["urgent"]]) == (1, ["over_range"])
    assert "STOP DRIVING: reading above the gun's range at front left" in thermlog("check", "one.csv").out


# Keys of entries as they are made by chance, and numbers of parts: "0L" and "OL" in them are no marks.
KEYS = ["7f0l3x-a9ol2k", "kl2w0l-ol5is8", "abcdol-0labcd", "ddrv20-634kb7", "npolnp-xxolxx"]


@pytest.mark.parametrize("key", KEYS)
def test_the_key_of_an_entry_holds_no_mark(key: str) -> None:
    head, *lines = log_text(HEALTHY_K).replace("temp_c", "temp_c,entry").splitlines()
    rows = [
        f"{row},{key}{place}@2031-05-04T12:00:00+02:00" if row[0].isdigit() else row
        for place, row in enumerate(lines)
    ]
    found = told_text("\n".join([head, *rows]) + "\n")
    assert found.urgent == ()
    assert {one.answer for one in found.answers.each} == {
        one.answer for one in told_text(log_text(HEALTHY_K)).answers.each
    }
    assert not {one.code for each in found.answers.each for one in each.reasons} & {
        "over_range",
        "unread_cell",
    }


@pytest.mark.parametrize("text", ["part 5Z0L3 fitted", "X9ol2 fitted"])
def test_the_number_of_a_part_holds_no_mark(text: str) -> None:
    assert not over_said(text)


@pytest.mark.parametrize("text", ["showed 0L", "84OL", "OL 84", "first shot 0.L"])
def test_a_mark_beside_a_figure_is_one(text: str) -> None:
    assert over_said(text)
