"""``thermlog inspect``: never a fault whatever the log, and a word about all that a check will lack."""

from __future__ import annotations

import json
import random
from pathlib import Path

import pytest
from jsonschema import Draft202012Validator
from readcases import PLAIN, SEEDS
from troubles import TROUBLES

from thermlog.reports.contract.schemas import schema_text

WHOLE = "# ambient: 18 C\n" + PLAIN + "60,FL,79\n70,FR,79.5\n80,RL,69\n90,RR,70\n"
HEAD = "# ambient: 18 C\ntime_s,position,temp_c\n"
FORMS = [[], ["--show", "F"], ["--format", "json"], ["--quiet"]]


def lacking(thermlog, text: str | bytes, *arguments: str) -> list[str]:
    """What inspect says will be missing, from its JSON; the text must say the same."""
    Path("log.csv").write_bytes(text if isinstance(text, bytes) else text.encode())
    found = json.loads(thermlog("inspect", "log.csv", "--format", "json", *arguments).out)
    Draft202012Validator(json.loads(schema_text("inspect"))).validate(found)
    told = [word for one in found["lacks"] for word in one["lacks"]]
    lines = thermlog("inspect", "log.csv", *arguments).out.splitlines()
    assert [line.removeprefix("  a check will lack: ") for line in lines if "will lack" in line] == told
    return told


def test_a_whole_log_lacks_nothing(thermlog):
    assert lacking(thermlog, WHOLE) == []


@pytest.mark.parametrize(
    ("log", "said"),
    [
        (
            HEAD + "0,FL,80\n10,RL,70\n60,FL,79\n70,RL,69\n",
            "only left wheels: a check compares left with right",
        ),
        (
            HEAD + "0,FR,80\n10,RR,70\n60,FR,79\n70,RR,69\n",
            "only right wheels: a check compares left with right",
        ),
        ("# Luft: 18 C\nZeit_s;Rad;Temp_C\n0;VL;80\n60;VL;79\n", "only left wheels: a check compares"),
        (
            HEAD + "0,FL,80\n10,FR,80\n20,RL,70\n60,FL,79\n70,FR,79\n80,RL,69\n",
            "only the left wheel of axle 2: ",
        ),
        (HEAD + "0,FL,80\n", "one reading: nothing to compare it with"),
        ("# ambient: 18 C\nposition,temp_c\nFL,80\n", "one reading: nothing to compare it with"),
        ("# ambient: 18 C\nposition,temp_c\nFL,80\nFR,81\nRL,70\nRR,71\n", "no times: "),
        (PLAIN, "no ambient: "),
        ("# ambient: unknown\n" + PLAIN, "no ambient: "),
        (HEAD + "0,FL,80\n10,FR,81\n60,FL,79\n70,FR,80\n", "only axle 1 was read: "),
        (WHOLE.replace("80,RL,69\n", ""), "one reading at 2L: how it cools is not seen"),
        (
            HEAD + "0,FL hub,80\n9,FR,81\n60,FL hub,79\n69,FR,80\n",
            "axle 1 read at hub on the left and at brake on",
        ),
        (WHOLE + "95,XQ7,150\n", "a reading of a wheel nobody knows: line 11"),
        (WHOLE.replace("60,FL,79", "60,FL,OL"), "a reading without a temperature at 1L"),
    ],
)
def test_what_a_check_will_lack_is_listed(thermlog, log, said):
    assert any(word.startswith(said) for word in lacking(thermlog, log))


def test_an_option_fills_what_the_log_lacks(thermlog):
    assert any(word.startswith("no ambient") for word in lacking(thermlog, PLAIN))
    assert not any(word.startswith("no ambient") for word in lacking(thermlog, PLAIN, "--ambient", "18"))


def test_every_vehicle_is_told_of_by_itself(thermlog):
    log = "# ambient: 18 C\nvehicle,time_s,position,temp_c\nA,0,FL,80\nA,9,FL,79\nB,0,FR,80\nB,9,FR,79\n"
    words = lacking(thermlog, log)
    assert [word.split(":")[0] for word in words if "wheels" in word] == [
        "only left wheels",
        "only right wheels",
    ]


def test_a_log_without_times_is_shown_without_them(thermlog):
    Path("log.csv").write_text("position,temp_c\nFL,80\nFR,81\n")
    ran = thermlog("inspect", "log.csv")

    assert ran.code == 0
    assert "1L   brake          1 reading   80 °C\n" in ran.out


def test_times_are_given_in_full(thermlog):
    """A log that runs for days at a tenth of a second has more than six digits."""
    Path("log.csv").write_text("time_s,position,temp_c\n864000.1,FL,80\n864010.25,FR,81\n")
    found = json.loads(thermlog("inspect", "log.csv", "--format", "json").out)
    first, second = (reading["elapsed_s"] for reading in found["readings"])
    assert second - first == pytest.approx(10.15, abs=1e-9)


@pytest.mark.parametrize("trouble", TROUBLES)
def test_no_trouble_of_a_log_is_a_fault_of_inspect(thermlog, trouble):
    log, _ = TROUBLES[trouble]
    Path("log.csv").write_bytes(log if isinstance(log, bytes) else log.encode())
    for form in FORMS:
        assert thermlog("inspect", "log.csv", *form).code in {0, 3}


@pytest.mark.parametrize("seed", range(12))
def test_no_mutation_of_a_log_is_a_fault_of_inspect(thermlog, seed):
    """Bytes changed, cut, doubled, or made extreme: read or refused, told in every form."""
    rng = random.Random(seed)
    extremes = (b"999999999999", b"1e300", b"-", b"inf", b"nan", b"\n\n", "°".encode(), b"\xff", b"1e-300")
    for _ in range(40):
        log = bytearray(rng.choice(SEEDS).encode())
        for _ in range(rng.randrange(1, 5)):
            at = rng.randrange(len(log))
            log[at : at + rng.randrange(0, 6)] = rng.choice(extremes) if rng.random() < 0.5 else log[:9]
        Path("log.csv").write_bytes(bytes(log))
        assert thermlog("inspect", "log.csv", *rng.choice(FORMS)).code in {0, 3}


@pytest.mark.parametrize(
    "made",
    [
        lambda: Path("it").mkdir(),
        lambda: Path("it").symlink_to("it"),
        lambda: Path("it").symlink_to("/dev/null"),
        lambda: Path("it").write_bytes(b""),
        lambda: Path("it").write_bytes(b"\0" * 5000),
        lambda: Path("it").write_bytes(b"PK\x03\x04"),
        lambda: Path("it").write_bytes(b"\x1f\x8b\x08"),
        lambda: None,
    ],
)
def test_what_is_no_log_is_refused_in_one_line(thermlog, made):
    made()
    ran = thermlog("inspect", "it")

    assert (ran.code, len(ran.err.splitlines())) == (3, 1)
