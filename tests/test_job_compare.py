"""``compare --job`` lays the drive of the job, as it was stated there, beside the drives of its vehicle."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

LOGS = Path(__file__).parent.parent / "sample_logs"
HEALTHY = (LOGS / "saloon_healthy.csv").read_text(encoding="utf-8")
LOOKED = HEALTHY + "# seen: nothing\n"
TWO = (LOGS / "van_two_drives.csv").read_text(encoding="utf-8")
REPAIRED = (LOGS / "van_after_repair.csv").read_text(encoding="utf-8").replace("van 9", "van 4")


def written(name: str, text: str) -> str:
    Path(name).write_text(text, encoding="utf-8")
    return name


def last_entry() -> dict:
    return json.loads(Path("card.json").read_text(encoding="utf-8"))["verifications"][-1]


@pytest.mark.parametrize("mended", [(), ("--part", "brake hose, front right")])
def test_what_was_seen_at_the_drive_of_the_job_is_not_forgotten(thermlog, mended):
    """Smoke that was stated on the command line stands as it does where the log states it."""
    thermlog("narrow", written("first.csv", HEALTHY), "--seen", "smoke at RF", "--job", "card.json", *mended)
    ran = thermlog("compare", written("after.csv", LOOKED), "--job", "card.json")
    entry = last_entry()
    written("first.csv", HEALTHY + "# seen: smoke at RF\n")
    Path("card.json").unlink()
    thermlog("narrow", "first.csv", "--job", "card.json", *mended)
    in_log = thermlog("compare", "after.csv", "--job", "card.json")
    assert ran.finding == in_log.finding
    assert "Smoke seen at front right before, not now" in ran.finding
    assert ran.code == in_log.code == (0 if mended else 1)
    assert entry["even_again"] is last_entry()["even_again"] is bool(mended)
    assert "first.csv is judged with --seen 'smoke at RF', as the record states" in ran.err


def test_what_is_seen_now_is_of_the_drive_after_the_repair(thermlog):
    """A smell after the work is new; it was not there before."""
    thermlog("narrow", written("first.csv", HEALTHY), "--job", "card.json")
    ran = thermlog("compare", written("after.csv", LOOKED), "--job", "card.json", "--seen", "smoke at RF")
    alone = thermlog("check", "after.csv", "--seen", "smoke at RF", "-q")
    assert "STOP DRIVING" in alone.finding
    assert "STOP DRIVING" in ran.finding
    drives = json.loads(
        thermlog(
            "compare", "after.csv", "--job", "card.json", "--seen", "smoke at RF", "--format", "json"
        ).out
    )["logs"]
    assert [bool(one["urgent"]) for one in drives] == [False, True]
    assert ran.code == 1


def test_the_drive_of_the_job_is_compared_and_no_other_of_its_log(thermlog):
    """The coasting drive, 106 °C apart, and not the braking one before it, 83 °C."""
    thermlog("narrow", written("two.csv", TWO), "--case", "coast", "--job", "card.json")
    coast = "\n".join(line for line in TWO.splitlines() if not line.startswith("normal")) + "\n"
    ran = thermlog("compare", written("after.csv", REPAIRED), "--job", "card.json")
    alone = thermlog("compare", written("coast.csv", coast), "after.csv")
    assert "+106 ± 5 °C" in ran.finding
    assert ran.finding == alone.finding


def several(**hot: str) -> str:
    """A log of vehicles, each with its odd wheel."""
    lines = ["# ambient: 18 C", "# drive: normal", "vehicle,time_s,position,temp_c"]
    for name, odd in hot.items():
        for start, cooled in ((30, 0), (300, 18)):
            for k, (wheel, degc) in enumerate({"LF": 120, "RF": 122, "RR": 80, "LR": 79}.items()):
                lines.append(f"{name},{start + 20 * k},{wheel},{degc + 80 * (wheel == odd) - cooled}")
    return "\n".join(lines) + "\n"


def test_of_several_vehicles_in_the_logs_that_of_the_job_is_compared(thermlog):
    thermlog(
        "narrow", written("yard.csv", several(A="LF", B="", C="RR")), "--case", "C", "--job", "card.json"
    )
    ran = thermlog("compare", written("later.csv", several(C="", B="", A="LF")), "--job", "card.json")
    assert "Rear even again" in ran.finding
    assert ran.code == 0
    assert last_entry()["even_again"] is True


def test_a_log_without_the_vehicle_of_the_job_is_not_entered(thermlog):
    thermlog("narrow", written("yard.csv", several(A="LF", B="")), "--case", "A", "--job", "card.json")
    ran = thermlog("compare", written("later.csv", several(B="", D="")), "--job", "card.json")
    assert ran.code == 3
    assert 'the record of "A", not of ' in ran.err


def test_what_describes_the_vehicle_holds_for_the_drives_after_the_repair_too(thermlog):
    """A policy of the record judges both; its air is of its own drive."""
    bare = HEALTHY.replace("# ambient: 16.0 C\n", "")
    stated = ("--policy", "heavy", "--ambient", "16")
    thermlog("narrow", written("first.csv", bare), *stated, "--job", "card.json")
    ran = thermlog(
        "compare",
        written("after.csv", bare + "\n"),
        "--job",
        "card.json",
    )
    airs = [line for line in ran.out.splitlines() if line.startswith(("first:", "after:"))]
    assert ["air 16 °C (by option)" in line for line in airs[:2]] == [True, False]
    assert "POLICY    heavy" in thermlog("compare", "after.csv", "--job", "card.json", "-q").out


def test_a_record_that_states_what_no_option_takes_is_refused_and_kept(thermlog):
    thermlog(
        "narrow",
        written("first.csv", HEALTHY),
        "--ambient",
        "16",
        "--override",
        "ambient",
        "--job",
        "card.json",
    )
    text = Path("card.json").read_text(encoding="utf-8").replace('"16"', '"warm"')
    ran = thermlog("compare", written("after.csv", LOOKED), "--job", written("card.json", text))
    assert ran.code == 3
    assert "the record states --ambient warm" in ran.err
    assert Path("card.json").read_text(encoding="utf-8") == text
