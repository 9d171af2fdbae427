"""Remarks that nobody understands are named; what stops a vehicle is known in many words."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

SAMPLES = Path(__file__).parent.parent / "sample_logs"
HEAD = "# vehicle: van 3\n# drive: normal\n# air: 18 C\n# parked: 13:58:00\n"
ROUNDS = (("14:00", 0.0), ("14:05", 0.12), ("14:10", 0.22))
RISES = (("LF", 62.0), ("RF", 61.0), ("LR", 40.0), ("RR", 41.0))


def log(remark: str, *, beside: str = "LR") -> str:
    """A sound van, read three times; a remark stands beside one wheel."""
    rows = ["time,wheel,temp °C,remark"]
    for minute, lost in ROUNDS:
        for second, (wheel, rise) in enumerate(RISES):
            said = remark if wheel == beside and minute == "14:05" else ""
            rows.append(f"{minute}:{10 * second:02d},{wheel},{18.0 + rise * (1.0 - lost):.1f},{said}")
    return HEAD + "\n".join(rows) + "\n"


def checked(thermlog, tmp_path, text, *options):
    path = tmp_path / "log.csv"
    path.write_text(text, encoding="utf-8")
    return thermlog("check", str(path), *options)


# What a technician expects of each remark was written before it was run: the vehicle stops.
@pytest.mark.parametrize(
    ("remark", "code"),
    [
        ("cherry red", "glow"), ("dull red", "glow"), ("disc is red", "glow"), ("fumes coming off", "smoke"),
        ("smokey", "smoke"), ("slight odour", "smell"), ("acrid", "smell"), ("fluid boiling", "steam"),
        ("fluid on the wheel", "leak"), ("caliper leaking", "leak"), ("brake fluid leak", "leak"),
        ("wheel seized", "locked"), ("locked up", "locked"), ("wheel won't turn", "locked"),
        ("wheel is locked", "locked"),
    ],
)  # fmt: skip
def test_words_that_stop_a_vehicle(thermlog, tmp_path, remark, code):
    ran = checked(thermlog, tmp_path, log(remark), "--format", "json")
    told = json.loads(ran.out)

    assert ran.code == 1
    assert [(one["code"], one["corner"]) for one in told["urgent"]] == [(code, "2L")]
    assert told["unweighed"] == []


@pytest.mark.parametrize(
    "remark", ["pinging and ticking", "not smoking now but did", "rattles over bumps", "Bremse quietscht"]
)
def test_a_remark_nobody_understands_is_named_wherever_answers_are_read(thermlog, tmp_path, remark):
    text = log(remark)
    told = json.loads(checked(thermlog, tmp_path, text, "--format", "json").out)

    assert told["unweighed"] == [{"line": 12, "text": remark, "corner": "2L", "of_brakes": True}]
    named = f'line 12, rear left: "{remark}"'
    assert named in checked(thermlog, tmp_path, text).out
    assert named in checked(thermlog, tmp_path, text, "-q").out
    assert remark in thermlog("inspect", str(tmp_path / "log.csv")).out


@pytest.mark.parametrize("remark", ["", "ok", "no smoke", "all fine, no smell", "missed, rim", "3", "disc"])
def test_what_is_understood_is_not_named(thermlog, tmp_path, remark):
    told = json.loads(checked(thermlog, tmp_path, log(remark), "--format", "json").out)

    assert told["unweighed"] == []
    assert told["urgent"] == []


@pytest.mark.parametrize(
    "remark", ["brake fluid changed", "doors locked", "boiling point 180", "slide pin seized"]
)
def test_work_and_words_of_other_meaning_stop_nothing(thermlog, tmp_path, remark):
    told = json.loads(checked(thermlog, tmp_path, log(remark), "--format", "json").out)

    assert told["urgent"] == []
    assert [one["text"] for one in told["unweighed"]] == [remark]


def test_a_remark_in_the_header_and_one_said_twice(thermlog, tmp_path):
    head, *rows = log("squeals").removeprefix(HEAD).splitlines()
    rows = [f"{row}Squeals " if row.startswith("14:10:20,LR") else row for row in rows]
    text = HEAD + "# remark: pedal creaks\n" + "\n".join([head, *rows]) + "\n"
    told = json.loads(checked(thermlog, tmp_path, text, "--format", "json").out)

    assert sorted((one["text"], one["corner"]) for one in told["unweighed"]) == [
        ("remark: pedal creaks", None),
        ("squeals", "2L"),
    ]


def test_many_remarks_are_counted(thermlog, tmp_path):
    head, *rows = log("").removeprefix(HEAD).splitlines()
    more = [f"{row}squeal number {k}{'x' * 80}" for k, row in enumerate(rows)]
    ran = checked(thermlog, tmp_path, HEAD + "\n".join([head, *more]) + "\n", "-q")

    assert f"and {len(rows) - 2} more" in ran.out
    assert "x" * 61 not in ran.out


def test_samples_hold_no_remark_that_nobody_weighs(thermlog):
    told = json.loads(thermlog("check", *map(str, sorted(SAMPLES.glob("*.csv"))), "--format", "json").out)

    assert [one["unweighed"] for one in told if one["unweighed"]] == []
