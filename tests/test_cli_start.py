"""The command line as such: start-up, help, exit codes, faults."""

from __future__ import annotations

import importlib
import os
import subprocess
import sys
from pathlib import Path

import click
import pytest
from logs import HEALTHY_K, write_log

import thermlog.cli
from thermlog import __version__
from thermlog.cli import COMMANDS, program, run
from thermlog.words.errors import OutputError

ROOT = Path(__file__).parent.parent
HEAVY = {"numpy", "pandas", "scipy", "matplotlib", "numpy.ma", "statistics"}
CAREFUL = "thermlog.reading.careful"  # with some thirty modules behind it
HEARD = "thermlog.reading.beheld"  # with a dozen
RARE = {
    CAREFUL,
    HEARD,
    "thermlog.reading.columnmap",
    "thermlog.reading.vehiclefile",
    "thermlog.inference.memory",
}


def modules_after(*arguments: str) -> set[str]:
    """Heavy modules that one command line brings in, in a fresh interpreter."""
    script = (
        "import sys; from thermlog.cli import run; run(sys.argv[1:]); sys.stdout.flush(); "
        f"print(*(set(sys.modules) & {HEAVY | RARE}), file=sys.stderr)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        capture_output=True,
        text=True,
        check=True,
        encoding="utf-8",
    )
    return set(done.stderr.splitlines()[-1].split())


@pytest.mark.parametrize("command", ["", *COMMANDS])
def test_help_imports_nothing_heavy(command):
    assert modules_after(*filter(None, [command]), "--help") == set()


@pytest.mark.parametrize("options", [[], ["--format", "csv"], ["-q"]])
def test_a_check_loads_what_it_needs_only(options):
    """Masked arrays come with some functions of numpy, and each of these costs a twentieth of a check."""
    assert modules_after("check", str(ROOT / "sample_logs/van_front_left_hot.csv"), *options) == {"numpy"}


def test_a_log_with_something_odd_about_it_is_read_by_the_careful_reader(tmp_path):
    """A row of four cells among rows of three: no plain log, and what it needs is loaded then."""
    log = Path(write_log(tmp_path, "log.csv", HEALTHY_K))
    log.write_text(f"{log.read_text()}900,1L,61.0,note\n")

    assert {CAREFUL, HEARD} <= modules_after("check", str(log))


def test_numpy_is_loaded_before_modules_of_ours_stand_below_it():
    """Each would put five calls below it, up to where its import crosses the end of a piece of the stack."""
    script = (
        "import sys\n"
        "class Watch:\n"
        "    def find_spec(self, name, *_):\n"
        "        frame, below = sys._getframe(1), 0\n"
        "        while name == 'numpy' and frame is not None:\n"
        "            below += frame.f_code.co_name == '<module>'\n"
        "            frame = frame.f_back\n"
        "        if name == 'numpy':\n"
        "            print(below - 1, file=sys.stderr)\n"  # one is this script
        "sys.meta_path.insert(0, Watch())\n"
        "from thermlog.cli import run\n"
        "run(sys.argv[1:])\n"
    )
    log = str(ROOT / "sample_logs/van_front_left_hot.csv")
    done = subprocess.run(
        [sys.executable, "-c", script, "check", log], capture_output=True, text=True, check=True
    )
    assert done.stderr == "0\n"


def test_the_overview_makes_no_records():
    """Whatever defines one loads msgspec, a tenth of the overview."""
    script = "import sys; from thermlog.cli import run; run(['--help']); sys.exit('msgspec' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], capture_output=True, check=False).returncode == 0


def test_overview_says_of_each_command_what_its_own_help_says():
    """The overview is a table of its own so that no command need be imported; the two must agree."""
    with click.Context(program) as ctx:
        for name, line in COMMANDS.items():
            command = program.get_command(ctx, name)
            assert command is not None
            assert " ".join((command.help or "").split("\n\n")[0].split()) == line


def test_help_and_version(thermlog):
    assert thermlog("-h").out == thermlog("--help").out
    assert thermlog("--version").out == f"thermlog {__version__}\n"
    assert all(f"\n  {name} " in thermlog("--help").out for name in COMMANDS)


def test_module_can_be_run():
    done = subprocess.run(
        [sys.executable, "-m", "thermlog", "--version"], capture_output=True, text=True, check=True
    )

    assert done.stdout == f"thermlog {__version__}\n"


@pytest.mark.parametrize(
    "arguments",
    [["nonsense"], ["check"], ["check", "a.csv", "--no-such-option"], ["check", "a.csv", "--show", "K"]],
)
def test_wrong_usage_leaves_with_2(thermlog, arguments):
    ran = thermlog(*arguments)

    assert ran.code == 2
    assert "Traceback" not in ran.err
    assert ran.out == ""


def test_nearest_command_is_named_and_not_run(thermlog):
    ran = thermlog("chek")

    assert ran.code == 2
    assert 'no command "chek"; did you mean "check"?' in ran.err
    assert "did you mean" not in thermlog("xyzzy").err


@pytest.mark.parametrize(
    ("air", "said"),
    [("warm", "not a temperature"), ("64", "no air temperature; add the unit"), ("300K", None)],
)
def test_air_temperature_out_of_reach_is_a_usage_error(thermlog, air, said):
    ran = thermlog("check", "missing.csv", "--ambient", air)

    assert ran.code == (2 if said else 3)
    assert said is None or said in ran.err


@pytest.mark.parametrize(
    ("text", "degc"), [("18", 18.0), ("18C", 18.0), ("64.4F", 18.0), ("18,5 °C", 18.5), ("-4", -4.0)]
)
def test_air_temperature_takes_a_unit(text, degc):
    from thermlog.cli.options import air_degc

    ctx, param = click.Context(program), click.Option(["--ambient"])

    assert air_degc(ctx, param, text) == pytest.approx(degc, abs=1e-9)


@pytest.mark.parametrize(
    ("country", "side"),
    [("GB", "left"), ("UK", "left"), ("jp", "left"), ("England", "left"), ("US", "right"), ("DE", "right")],
)
def test_country_tells_the_side_traffic_keeps_to(country, side):
    from thermlog.cli.options import kept_side

    assert kept_side(click.Context(program), click.Option(["--country"]), country) == side


@pytest.mark.parametrize("country", ["ZZ", "EN", "XK2", "left", "rhd"])
def test_what_is_no_country_is_wrong_usage(thermlog, country):
    """Taken for traffic on the right, it put the near side on the other wheel."""
    ran = thermlog("check", "-", "--country", country)
    assert (ran.code, "is no known country" in ran.err) == (2, True)


def test_refusal_is_one_line_and_carries_its_code(thermlog):
    ran = thermlog("check", "missing.csv")

    assert ran.code == 3
    assert len(ran.err.splitlines()) == 1
    assert ran.err.startswith("thermlog: missing.csv: ")


def test_refusal_stays_one_line_whatever_the_file_is_called(thermlog):
    ran = thermlog("check", "a\nb\x1b[2J.csv")

    assert len(ran.err.splitlines()) == 1
    assert "\x1b" not in ran.err


@pytest.mark.parametrize(
    ("arguments", "wanted"),
    [
        (["--unit", "f"], ("unit", "F")),
        (["--ambient", "50F"], ("ambient_degc", 10.0)),
        (["--ambient-sigma", "0.5"], ("ambient_sigma_k", 0.5)),
        (["--override", "unit"], ("override", ("unit",))),
        (["--vehicle-name", "van 9"], ("vehicle", "van 9")),
        (["--drive", "coast"], ("drive", "coast")),
        (["--delimiter", "tab"], ("delimiter", "\t")),
        (["--delimiter", ";"], ("delimiter", ";")),
        (["--decimal", ","], ("decimal", ",")),
        (["--encoding", "cp1252"], ("encoding", "cp1252")),
        (["--date-order", "mdy"], ("date_order", "mdy")),
        (["--country", "GB"], ("traffic_side", "left")),
        (["--country", "GB", "--traffic-side", "right"], ("traffic_side", "right")),
        (["--drive-side", "left"], ("driver_side", "left")),
        (["--language", "german"], ("language", "german")),
        (["--count", "per_unit"], ("axle_count", "per_unit")),
        (["--columns", "map.toml"], ("column_map", "the map")),
    ],
)
@pytest.mark.parametrize("command", ["check", "inspect", "fleet", "compare"])
def test_every_reading_option_reaches_the_reader(thermlog, monkeypatch, command, arguments, wanted):
    asked = []

    def refuse(_: object, options: object, **_more: object) -> None:
        asked.append(options)
        message = "seen enough"
        raise OutputError(message)

    importlib.import_module("thermlog.reading.optionchecks")  # who loads it while it is replaced keeps that
    monkeypatch.setattr("thermlog.reading.columnmap.load_column_map", lambda path: f"the {path[:3]}")
    monkeypatch.setattr("thermlog.reading.read.read_log", refuse)
    monkeypatch.setattr("thermlog.pipeline.sources.read_logs", refuse)
    assert thermlog(command, "a.csv", *arguments).code == 3

    assert (wanted[0], getattr(asked[0], wanted[0])) == wanted


@pytest.mark.parametrize("command", ["check", "fleet", "compare"])
def test_every_judging_option_reaches_the_judge(thermlog, monkeypatch, command):
    asked = []

    def refuse(_: object, settings: object, **_how: object) -> None:
        asked.append(settings)
        message = "seen enough"
        raise OutputError(message)

    monkeypatch.setattr("thermlog.pipeline.run.judge", refuse)
    log = write_log(Path(), "a.csv", HEALTHY_K)
    assert thermlog(command, log, "--policy", "heavy", "--law", "power").code == 3

    assert (asked[0].policy.name, asked[0].law) == ("heavy", "power")


def fail_with(monkeypatch: pytest.MonkeyPatch, fault: BaseException) -> None:
    """Let the command ``schema check`` run into a fault."""

    def broken(_: str) -> str:
        raise fault

    monkeypatch.setattr("thermlog.reports.contract.schemas.schema_text", broken)


def test_unexpected_fault_is_one_sentence_and_4(thermlog, monkeypatch):
    fail_with(monkeypatch, ZeroDivisionError("secret inner words"))
    ran = thermlog("schema", "check")

    assert ran.code == 4
    assert len(ran.err.splitlines()) == 1
    assert "nothing was written" in ran.err
    assert "Traceback" not in ran.err


def test_debug_shows_the_fault(monkeypatch):
    fail_with(monkeypatch, ZeroDivisionError("inner words"))

    with pytest.raises(ZeroDivisionError, match="inner words"):
        run(["--debug", "schema", "check"])


def test_interrupt_leaves_with_130(thermlog, monkeypatch):
    fail_with(monkeypatch, KeyboardInterrupt())
    ran = thermlog("schema", "check")

    assert ran.code == 130
    assert "interrupted" in ran.err


def test_refusal_below_a_command_carries_its_own_code(thermlog, monkeypatch):
    fail_with(monkeypatch, OutputError("disk full"))
    ran = thermlog("schema", "check")

    assert (ran.code, ran.err) == (3, "thermlog: disk full\n")


def test_reader_that_goes_away_is_no_fault():
    """Like ``thermlog schema check | head -1``: the pipe closes before everything is written."""
    reading, writing = os.pipe()
    os.close(reading)
    script = (
        "import sys; from thermlog.__main__ import main; sys.argv = ['thermlog', 'schema', 'check']; main()"
    )
    done = subprocess.run([sys.executable, "-c", script], stdout=writing, stderr=subprocess.PIPE, check=False)
    os.close(writing)

    assert done.stderr == b""


ENDING = """
import atexit, sys
from thermlog.__main__ import main
atexit.register(print, "the interpreter took everything down")
sys.argv = ["thermlog", "check", "missing.csv"]
main()
"""


@pytest.mark.parametrize(
    ("watch", "out"),
    [("", ""), ("import sys; sys.setprofile(lambda *_: None)", "the interpreter took everything down\n")],
)
def test_the_process_ends_at_once_unless_somebody_watches_it(watch, out):
    """Taking down what a check loaded was a twentieth of it; a profiler writes what it saw at the end."""
    done = subprocess.run([sys.executable, "-c", watch + ENDING], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stdout) == (3, out)
    assert done.stderr.startswith("thermlog: missing.csv: ")


def test_what_was_written_arrives_before_the_process_ends():
    """Python gathers what goes into a pipe; left in its buffer it would be lost."""
    script = "import sys; from thermlog.cli.console import leave; sys.stdout.write('kept'); leave(7)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=False)

    assert (done.returncode, done.stdout, done.stderr) == (7, "kept", "")


def test_threads_of_the_linear_algebra_are_limited_before_it_is_imported(monkeypatch):
    monkeypatch.delenv("OPENBLAS_NUM_THREADS", raising=False)
    monkeypatch.setattr(sys, "argv", ["thermlog", "--version"])

    assert thermlog.cli.main() == 0
    assert os.environ["OPENBLAS_NUM_THREADS"] == "1"


@pytest.mark.parametrize("figure", ["nan", "inf", "-inf"])
@pytest.mark.parametrize(
    "arguments",
    [
        ["inspect", "a.csv", "--ambient"],
        ["inspect", "a.csv", "--ambient-sigma"],
        ["simulate", "--ambient"],
        ["simulate", "--fault", "corner_hot", "--drag-nm"],
        ["simulate", "--fault", "corner_cold", "--lost"],
    ],
)
def test_what_is_no_number_is_refused_on_the_command_line(thermlog, arguments, figure):
    ran = thermlog(*arguments, figure)

    assert ran.code == 2
    assert figure in ran.err


def test_the_name_of_a_vehicle_is_not_the_name_of_a_file(thermlog):
    ran = thermlog("inspect", "a.csv", "--vehicle-name", "v.toml")

    assert ran.code == 2
    assert "the file to --vehicle" in ran.err
