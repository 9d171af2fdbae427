"""What a machine or a rule made (keys, numbers, files, addresses, initials) changes no answer.

Such columns and lines stand in many logs of a depot. Texts are invented; a careful technician reads past
them, and reads the marks and words beside them.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from logs import HEALTHY_K, log_text

from thermlog.reading.beheld import is_remark, warns_of_danger
from thermlog.reading.identities import without_identities
from thermlog.reading.read import read_log
from thermlog.reading.remarks.heatsaid import over_said

SIGNS = st.characters(codec="ascii", categories=("L", "N"))


def read(text: str):
    Path("log.csv").write_text(text, encoding="utf-8")
    log = read_log("log.csv")
    (case,) = log.readings.cases
    return case


def with_column(heading: str, cells: list[str]) -> str:
    lines = log_text(HEALTHY_K).replace("temp_c", f"temp_c,{heading}").splitlines()
    rows = iter(cells)
    return "\n".join(f"{line},{next(rows)}" if line[0].isdigit() else line for line in lines) + "\n"


def readings_of(text: str) -> int:
    return sum(line[0].isdigit() for line in text.splitlines())


COUNT = readings_of(log_text(HEALTHY_K))


@given(st.uuids(version=4))
def test_a_key_made_by_chance_says_nothing(key):
    assert without_identities(str(key)) == ""
    assert not over_said(str(key))


@given(st.from_regex(r"[A-Z]{2}-[0-9]{4,6}[A-Z]{0,2}", fullmatch=True))
def test_the_number_of_an_order_says_nothing(text):
    assert not over_said(text)
    assert not is_remark(text)


@given(st.text(SIGNS, min_size=6, max_size=6), st.text(SIGNS, min_size=6, max_size=6))
def test_the_key_of_an_entry_says_nothing(one, other):
    key = f"{one}-{other}@2031-05-04T12:00:00+02:00"
    assert not over_said(key)
    assert without_identities(key) == ""


@pytest.mark.parametrize(
    ("heading", "cells"),
    [
        ("id", [f"d5ae305b-83ac-fb7e-b596-41d21b5c5{n:03d}" for n in range(COUNT)]),
        ("id", [f"rl{n}f0l3-0olb-4hi{n}-flrr-ol0{n}" for n in range(COUNT)]),
        ("photo", [f"ol{n}.jpg" for n in range(COUNT)]),
        ("photo", [f"smoke{n}.jpg" for n in range(COUNT)]),
        ("order", [f"WO-{n:05d}OL" for n in range(COUNT)]),
        ("serial", ["0L4X7Q2", "7F0L3X9"] * (COUNT // 2)),
        ("serial", [str(4711 + n) for n in range(COUNT)]),
        ("serial no", [f"OL{n}X{n}Y{n}" for n in range(COUNT)]),
    ],
)
def test_a_column_of_them_changes_nothing(heading, cells):
    case, plain = read(with_column(heading, cells)), read(log_text(HEALTHY_K))
    assert (case.blind, case.unweighed, case.seen) == (plain.blind, plain.unweighed, plain.seen)
    assert case.log.rows_used == plain.log.rows_used == COUNT


@pytest.mark.parametrize(
    "line",
    ["address: Fire Road 12", "location: Burning Lane 4", "tyres: 205/55 R16 91V",
     "tyre 315/80 R22.5 156/150L",
     "alloy wheels", "note: none", "note: -", "note: ok",
     "remark: all fine", "photo: ol7.jpg", "id: 7f0l3x-0l2ol5"],
)  # fmt: skip
def test_a_line_of_them_changes_nothing(line):
    case = read(f"# {line}\n{log_text(HEALTHY_K)}")
    assert (case.blind, case.unweighed, case.seen) == ((), (), ())


@pytest.mark.parametrize(
    "text", ["location: RR, smoke", "site: wheel RR smokes", "address: smoke at rear left"]
)
def test_what_is_seen_at_a_wheel_counts_behind_any_word(text):
    assert warns_of_danger(text)


@pytest.mark.parametrize("text", ["WO-32922, OL at RR", "photo ol7.jpg, gun showed OL", "RR84OL", "315 OL"])
def test_a_mark_beside_them_is_one(text):
    assert over_said(text)
