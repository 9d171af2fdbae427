"""The record of a job from Python, and earlier drives in a search: the same as on the command line."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import thermlog as package
from thermlog.words.errors import JobRefusedError, OptionError

SAMPLES = Path(__file__).parent.parent / "sample_logs"
VAN, TWO, OTHER = (
    str(SAMPLES / f"{name}.csv")
    for name in ("van_front_left_hot", "van_two_drives", "estate_front_right_hot")
)


def kept() -> dict:
    return json.loads(Path("card.json").read_text(encoding="utf-8"))


def without_times(record: dict) -> dict:
    answers = [{"check": one["check"], "answer": one["answer"]} for one in record["answers"]]
    return {**record, "answers": answers, "opened_at": "", "changed_at": ""}


def test_a_record_is_written_and_gone_on_with(thermlog):
    first = package.narrow(VAN, {"visual": "nothing_seen"}, job="card.json", skipped=["th_face"])
    assert [one["check"] for one in kept()["answers"]] == ["visual"]
    second = package.narrow(VAN, {"feel_noise": "none"}, job=Path("card.json"))
    assert [one["id"] for one in second["asked"]] == ["visual", "feel_noise"]
    assert second["skipped"] == first["skipped"] == ["th_face"]
    ran = thermlog("narrow", VAN, "--job", "card.json", "--format", "json")
    assert json.loads(ran.out) == second


def test_it_is_the_record_of_the_command_line(thermlog):
    vehicle = str(SAMPLES / "van.toml")
    package.narrow(VAN, {"visual": "nothing_seen"}, job="card.json", vehicle_file=vehicle, policy="light")
    from_python = without_times(kept())
    Path("card.json").unlink()
    thermlog(
        "narrow", VAN, "--vehicle", vehicle, "--policy", "light", "--found", "visual=nothing_seen", "--job",
        "card.json",
    )  # fmt: skip
    assert from_python == without_times(kept())


def test_the_drive_is_kept_by_its_number(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    package.narrow(TWO, job="card.json", case="coast")
    assert kept()["stated"] == {"case": ["2"]}
    with pytest.raises(JobRefusedError, match="drive 2 of the log"):
        package.narrow(TWO, job="card.json", case=1)


def test_what_a_program_cannot_keep_or_does_not_state_is_refused_and_nothing_is_lost(thermlog):
    with pytest.raises(OptionError, match=r"card.json cannot keep unit=; state it in the log"):
        package.narrow(VAN, job="card.json", unit="C")
    assert not Path("card.json").exists()
    thermlog("narrow", VAN, "--job", "card.json", "--seen", "smell at LF")
    before = Path("card.json").read_bytes()
    with pytest.raises(OptionError, match=r"the record states seen=smell at LF; .*--job card.json"):
        package.narrow(VAN, job="card.json")
    thermlog("narrow", VAN, "--job", "plain.json")
    with pytest.raises(JobRefusedError, match="name another file"):
        package.narrow(OTHER, job="plain.json")
    assert Path("card.json").read_bytes() == before


def test_a_wrong_answer_leaves_the_record_as_it_was(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    package.narrow(VAN, {"visual": "nothing_seen"}, job="card.json")
    before = Path("card.json").read_bytes()
    with pytest.raises(OptionError, match="no answer"):
        package.narrow(VAN, {"feel_noise": "lots"}, job="card.json")
    assert Path("card.json").read_bytes() == before


def test_a_search_lets_earlier_drives_count_and_stores_nothing(thermlog):
    """The command that check prints carries the history; one that does not exist is refused by name."""
    printed = thermlog("check", VAN, "--history", "past.db").out
    assert f"thermlog narrow {VAN} --history past.db" in printed
    before = Path("past.db").read_bytes()
    ran = thermlog("narrow", VAN, "--history", "past.db", "--job", "card.json", "--format", "json")
    assert ran.code == 1
    assert Path("past.db").read_bytes() == before
    assert kept()["stated"] == {"history": ["past.db"]}
    again = thermlog("narrow", VAN, "--job", "card.json", "--format", "json")
    assert again.out == ran.out
    assert "goes on with --history past.db" in again.err
    none = thermlog("narrow", VAN, "--history", "none.db")
    assert (none.code, "none.db: no such history" in none.err) == (3, True)
    assert not Path("none.db").exists()
