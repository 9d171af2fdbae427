"""``thermlog check`` and ``thermlog inspect`` from files to exit codes."""

from __future__ import annotations

import csv
import io
import json
import re
import subprocess
import sys
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from logs import DRAGGING_K, HEALTHY_K, log_text, write_log

from thermlog.reports.contract.schemas import schema_text

HERE = Path()
SAMPLES = sorted((Path(__file__).parent.parent / "sample_logs").glob("[a-z]*.csv"))


def validate(contract: str, content: object) -> None:
    Draft202012Validator(json.loads(schema_text(contract))).validate(content)


def test_dragging_brake_is_found_and_leaves_with_1(thermlog):
    ran = thermlog("check", write_log(HERE, "a.csv", DRAGGING_K))

    assert ran.code == 1
    assert ran.err == ""
    assert "+ rear right drags" in ran.out.splitlines()[-4]


def test_healthy_vehicle_leaves_with_0(thermlog):
    ran = thermlog("check", write_log(HERE, "a.csv", HEALTHY_K))

    assert ran.code == 0
    assert "no brake drags, and every brake read does its part" in ran.out.splitlines()[-4]


def test_exit_zero_is_for_scripts(thermlog):
    assert thermlog("check", write_log(HERE, "a.csv", DRAGGING_K), "--exit-zero").code == 0


def test_quiet_leaves_the_last_four_lines(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)

    assert thermlog("check", log, "-q").out.splitlines() == thermlog("check", log).out.splitlines()[-4:]


def test_quiet_names_file_vehicle_and_drive_above_each_block_where_there_are_several(thermlog):
    write_log(HERE, "a.csv", DRAGGING_K)
    Path("b.csv").write_text(log_text(HEALTHY_K).replace("# vehicle: van 7\n# drive: normal\n", ""))
    lines = thermlog("check", "a.csv", "b.csv", "-q").out.splitlines()

    assert [line for line in lines if not line.startswith(("FINDING", "MEASURED", "DO NEXT", "CAUTION"))] == [
        "LOG       a.csv | van 7 | normal drive",
        "",
        "LOG       b.csv | vehicle not named",
    ]
    assert lines[0].startswith("LOG")


def test_json_of_one_log_is_an_object_and_of_several_a_list(thermlog):
    one, two = write_log(HERE, "a.csv", DRAGGING_K), write_log(HERE, "b.csv", HEALTHY_K)
    single = json.loads(thermlog("check", one, "--format", "json").out)
    several = json.loads(thermlog("check", one, two, "--format", "json").out)

    validate("check", single)
    validate("check", several)
    assert single["log"]["file"] == "a.csv"
    assert single["pattern"]["corners"] == ["2R"]
    assert [item["log"]["file"] for item in several] == ["a.csv", "b.csv"]
    assert several[0] == single


def test_csv_has_a_row_a_corner(thermlog):
    ran = thermlog("check", write_log(HERE, "a.csv", DRAGGING_K), "--format", "csv")
    rows = list(csv.DictReader(io.StringIO(ran.out)))

    assert [row["corner"] for row in rows] == ["1L", "1R", "2L", "2R"]
    assert rows[3]["verdict"] == "hot"


@pytest.mark.usefixtures("thermlog")
def test_standard_input_is_a_log_too():
    log = write_log(HERE, "a.csv", DRAGGING_K)
    done = subprocess.run(
        [sys.executable, "-m", "thermlog", "check", "-", "-q"],
        input=Path(log).read_bytes(),
        capture_output=True,
        check=False,
    )

    assert done.returncode == 1
    assert b"rear right drags" in done.stdout


def test_fahrenheit_is_only_another_paper(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)

    assert "°F" in thermlog("check", log, "--show", "F").out
    assert "rear right drags" in thermlog("check", log, "--show", "f").out


@pytest.mark.parametrize("sample", ["pickup_all_hot", "bus_rear_axle_hot"])
def test_brakes_too_hot_for_a_drive_are_cooled_and_turned_by_hand(thermlog, sample):
    """A drive without braking would tell; above 200 °C, or with a strong gap, nobody drives to find out."""
    log = next(str(log) for log in SAMPLES if log.stem == sample)
    found = json.loads(thermlog("check", log, "--format", "json").out)
    degc = max(corner["start_degc"] for corner in found["corners"])

    assert found["next_check"]["id"] == "cool_and_turn"
    assert degc >= 200.0 or max(abs(axle["difference_k"]) for axle in found["axles"]) >= 30.0
    steps = [step["code"] for answer in found["answers"].values() for step in answer["decides"]]
    assert not set(steps) & {"coast_drive", "repeat_drive", "drive_with_braking", "drive_loaded"}


def test_what_cannot_be_told_is_asked_for_with_what_is_missing(thermlog):
    log = next(str(log) for log in SAMPLES if log.stem == "electric_hatchback_cool")
    finding, measured, do_next, _ = thermlog("check", log, "-q").out.splitlines()

    assert "no brake drags; ? whether every brake works cannot be told: the warmest brake is" in finding
    assert measured.startswith("MEASURED  largest difference of all axles, ")
    # its motor brakes too: no number of stops is worth naming
    assert do_next.startswith(
        "DO NEXT   Drive again with retarder or motor braking off, or as low as it goes"
    )


@pytest.mark.parametrize(("show", "foreign"), [("C", "°F"), ("F", "°C")])
@pytest.mark.parametrize("command", ["check", "fleet", "compare"])
def test_paper_speaks_one_unit_and_words_also_in_its_reasons(thermlog, command, show, foreign):
    logs = [str(log) for log in SAMPLES]
    vans = [log for log in logs if "_repair" in log][::-1]
    extra = ["--explain"] if command == "check" else []
    ran = thermlog(command, *(vans if command == "compare" else logs), "--show", show, *extra)

    assert f"°{show}" in ran.out
    assert foreign not in ran.out
    assert re.search(r"\d K\b", ran.out) is None
    # codes of corners stand in brackets behind their words, as in "Lift front left (1L)"
    assert re.sub(r"\(\d[LR]\)", "", ran.out) == re.sub(r"\b\d[LR]\b|\(\d[LR]\)", "", ran.out)


def test_air_temperature_by_an_option_that_overrides_wins_and_is_said(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)
    refused = thermlog("check", log, "--ambient", "68F", "--format", "json")
    ran = thermlog("check", log, "--ambient", "68F", "--override", "ambient", "--format", "json")
    found = json.loads(ran.out)

    assert (refused.code, "--override ambient" in refused.err) == (3, True)
    assert (found["ambient_degc"], found["ambient_source"]) == (20.0, "option")


def test_policy_of_ones_own_is_named(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)
    Path("mine.toml").write_text('base = "light"\nname = "shop"\n')
    found = json.loads(thermlog("check", log, "--policy", "mine.toml", "--format", "json").out)

    assert found["policy"]["name"] == "shop"
    assert "policy shop" in thermlog("check", log, "--policy", "mine.toml").out


def test_output_goes_into_a_file_and_never_over_another(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)
    assert thermlog("check", log, "-o", "out.json", "--format", "json").out == ""
    first = Path("out.json").read_text()
    again = thermlog("check", log, "-o", "out.json")

    validate("check", json.loads(first))
    assert again.code == 3
    assert "--force" in again.err
    assert Path("out.json").read_text() == first
    assert thermlog("check", log, "-o", "out.json", "--force").code == 1
    assert Path("out.json").read_text() != first


def test_one_bad_log_does_not_hide_the_others(thermlog):
    ran = thermlog("check", "missing.csv", write_log(HERE, "a.csv", DRAGGING_K))

    assert ran.code == 3
    assert "missing.csv" in ran.err
    assert "rear right drags" in ran.out


def text_of_rows(*rows: str) -> bytes:
    return "\n".join(["# ambient: 18 C", "corner,time_s,temp_c", *rows, ""]).encode()


REFUSED = {
    "empty.csv": b"",
    "header_only.csv": text_of_rows(),
    "unknown_positions.csv": text_of_rows("zorp,0,100", "blib,20,90"),
    "text_as_temperature.csv": text_of_rows("1L,0,hot", "1R,20,cold"),
    "binary.csv": bytes(range(256)) * 8,
}


@pytest.mark.parametrize("name", REFUSED)
@pytest.mark.parametrize("command", ["check", "inspect"])
def test_what_cannot_be_read_is_one_line_and_3(thermlog, name, command):
    Path(name).write_bytes(REFUSED[name])
    before = sorted(Path().iterdir())
    ran = thermlog(command, name)

    assert ran.code == 3
    assert ran.out == ""
    assert ran.err.startswith(f"thermlog: {name}")
    assert "Traceback" not in ran.err
    assert sorted(Path().iterdir()) == before


@pytest.mark.parametrize("command", ["check", "inspect"])
def test_missing_file_and_folder_are_one_line_and_3(thermlog, command):
    Path("folder").mkdir()
    for path in ("missing.csv", "folder"):
        ran = thermlog(command, path, "-o", "result.txt")

        assert ran.code == 3
        assert ran.out == ""
        assert len(ran.err.splitlines()) == 1
        assert path in ran.err
        assert not Path("result.txt").exists()


UNTOLD = {
    "one_reading.csv": text_of_rows("1L,0,100"),
    "identical.csv": text_of_rows(*(f"{c},{t},60" for t in (0, 120, 240) for c in ("1L", "1R", "2L", "2R"))),
    "rising.csv": text_of_rows(
        *(f"{c},{t},{60 + t / 10}" for t in (0, 120, 240) for c in ("1L", "1R", "2L", "2R"))
    ),
}


@pytest.mark.parametrize("name", UNTOLD)
def test_what_cannot_be_judged_is_said_and_not_a_fault(thermlog, name):
    Path(name).write_bytes(UNTOLD[name])
    ran = thermlog("check", name)

    assert ran.code in {1, 3}
    assert "Traceback" not in ran.err
    assert ran.err == "" if ran.code == 1 else len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("name", UNTOLD)
def test_json_of_what_cannot_be_judged_satisfies_the_schema(thermlog, name):
    Path(name).write_bytes(UNTOLD[name])
    ran = thermlog("check", name, "--format", "json")

    assert ran.code == 1
    validate("check", json.loads(ran.out))


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.name)
def test_contract_holds_for_every_sample(thermlog, sample):
    checked = thermlog("check", str(sample), "--format", "json")
    inspected = thermlog("inspect", str(sample), "--format", "json")

    assert checked.code in {0, 1}
    validate("check", json.loads(checked.out))
    validate("inspect", json.loads(inspected.out))


def test_there_are_samples():
    assert len(SAMPLES) >= 12


def test_text_check_imports_no_heavy_library(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)
    script = (
        "import sys; from thermlog.cli import run; run(['check', sys.argv[1]]); "
        "print(*({'pandas', 'scipy', 'matplotlib'} & set(sys.modules)), file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", script, log], capture_output=True, text=True, check=True)

    assert done.stderr.strip() == ""
    assert "numpy" not in thermlog("check", "--help").out


@pytest.mark.usefixtures("thermlog")
def test_chart_is_begun_after_the_verdict_is_out():
    """Matplotlib is not yet imported when the last line of the verdict is written."""
    log = write_log(HERE, "a.csv", DRAGGING_K)
    script = """
import sys
from thermlog.cli import run
class Watched:
    def __init__(self, stream): self.stream = stream
    def write(self, text):
        if "CAUTION" in text:
            print("matplotlib" in sys.modules, file=sys.stderr)
        return self.stream.write(text)
    def flush(self): self.stream.flush()
sys.stdout = Watched(sys.stdout)
run(["check", sys.argv[1], "--chart", "a.svg"])
"""
    done = subprocess.run([sys.executable, "-c", script, log], capture_output=True, text=True, check=True)

    assert done.stderr.splitlines() == ["False", "chart: a.svg"]
    assert Path("a.svg").read_text(encoding="utf-8").startswith("<?xml")


@pytest.mark.parametrize("name", ["a.png", "a.pdf"])
def test_chart_is_written_in_the_form_of_its_ending(thermlog, name):
    ran = thermlog("check", write_log(HERE, "a.csv", DRAGGING_K), "--chart", name)

    assert ran.code == 1
    assert Path(name).read_bytes()[:4] in {b"\x89PNG", b"%PDF"}


def test_chart_that_exists_or_has_another_ending_stops_before_any_work(thermlog):
    log = write_log(HERE, "a.csv", DRAGGING_K)
    Path("a.png").write_text("mine")
    exists, ending = thermlog("check", log, "--chart", "a.png"), thermlog("check", log, "--chart", "a.bmp")

    assert (exists.code, exists.out) == (3, "")
    assert (ending.code, ending.out) == (2, "")
    assert Path("a.png").read_text() == "mine"


def test_two_drives_in_one_log_are_two_reports_and_two_charts(thermlog):
    rows = log_text(DRAGGING_K).splitlines()[4:]
    body = [f"{drive},{row}" for drive in ("normal", "coast") for row in rows]
    Path("two.csv").write_text(
        "\n".join(["# ambient: 18 C", "drive,corner,since_parked_s,temp_c", *body]) + "\n"
    )
    ran = thermlog("check", "two.csv", "--format", "json", "--chart", "two.png")

    assert [item["drive"] for item in json.loads(ran.out)] == ["normal", "coast"]
    assert Path("two.png").is_file()
    assert Path("two-2.png").is_file()


def test_inspect_shows_what_was_understood_and_set_aside(thermlog):
    text = log_text(HEALTHY_K).splitlines()
    text.insert(8, "1L,95,n/a")
    Path("a.csv").write_text("\n".join(text) + "\n")
    ran = thermlog("inspect", "a.csv")
    found = json.loads(thermlog("inspect", "a.csv", "--format", "json").out)

    assert ran.code == 0
    assert "17 readings = 16 used + 1 set aside" in ran.out
    assert "set aside: line 9" in ran.out
    assert "air 18 °C (from the log)" in ran.out
    validate("inspect", found)
    assert found["log"]["rows_read"] == 17
    assert len(found["readings"]) == 16
    assert found["readings"][0] == {
        "line": 5,
        "vehicle": "van 7",
        "drive": "normal",
        "corner": "1L",
        "spot": "brake",
        "elapsed_s": 30.0,
        "temp_degc": 121.3,  # 18 + 105 exp(-30/1800)
    }


def test_inspect_shows_what_is_not_known_and_what_was_seen(thermlog):
    text = log_text(HEALTHY_K).splitlines()
    text += ["1L,95,OL", "LFX,99,80"]
    Path("a.csv").write_text("# seen: smoke at 1R\n" + "\n".join(text) + "\n")
    ran = thermlog("inspect", "a.csv", "--seen", "smell")

    assert "  1R   seen: smoke" in ran.out
    assert "  ?    seen: smell" in ran.out
    assert 'line 22, "OL": above the gun\'s range' in ran.out
    assert 'line 23, "LFX": nobody knows which wheel' in ran.out


@pytest.mark.parametrize("command", ["check", "compare", "fleet", "inspect"])
def test_a_word_nobody_knows_as_seen_is_refused_by_name(thermlog, command):
    Path("a.csv").write_text(log_text(HEALTHY_K))
    ran = thermlog(command, "a.csv", "a.csv", "--seen", "mist")
    assert ran.code == 2
    assert (
        '"mist" is nothing known as seen; write one or more of smoke, glow, flame, sparks, steam' in ran.err
    )


def test_inspect_quiet_is_one_line(thermlog):
    ran = thermlog("inspect", write_log(HERE, "a.csv", HEALTHY_K), "-q")

    assert ran.out == "a.csv: 16 readings = 16 used + 0 set aside\n"


@pytest.mark.parametrize(("given", "refused"), [("40", True), ("40F", False), ("10C", False)])
def test_a_bare_ambient_is_asked_for_beside_fahrenheit(thermlog, given, refused):
    Path("f.csv").write_text("time_s,wheel,temp_f\n0,FL,180\n9,FR,182\n20,RL,150\n30,RR,151\n")
    ran = thermlog("check", "f.csv", "--ambient", given)
    assert ("write 40F or 40C" in ran.err) == refused
    assert (ran.code == 3) == refused
