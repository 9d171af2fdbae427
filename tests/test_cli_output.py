"""Results that cannot be delivered: full disks, closed streams, links, pipes, inputs, signals, consoles."""

from __future__ import annotations

import errno
import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from readcases import PLAIN

from thermlog.cli import run
from thermlog.cli.files import result_stream
from thermlog.reports.wholefile import refuse_existing, write_whole
from thermlog.words.errors import OutputError

FULL = Path("/dev/full")
LOG = "# vehicle: Kühlwagen 7\n" + PLAIN
# commands that write a result on standard output
WRITERS = [
    ["inspect", "log.csv"],
    ["inspect", "log.csv", "--format", "json"],
    ["simulate"],
    ["schema", "check"],
    ["policy", "show"],
    ["demo", "samples"],
    ["--help"],
    ["inspect", "--help"],
    ["--version"],
]


def launch(*arguments: str, **streams) -> subprocess.CompletedProcess[bytes]:
    """The command in a process of its own."""
    command = [sys.executable, "-m", "thermlog", *arguments]
    return subprocess.run(command, stderr=subprocess.PIPE, check=False, **streams)


@pytest.fixture(autouse=True)
def log() -> Path:
    file = Path("log.csv")
    file.write_text(LOG, encoding="utf-8")
    return file


# ---- standard output that takes nothing -----------------------------------------------------------------


@pytest.mark.skipif(not FULL.exists(), reason="a device that is always full is needed; Linux has one")
@pytest.mark.parametrize("arguments", WRITERS, ids=" ".join)
def test_full_disk_behind_standard_output_is_named_and_leaves_with_3(arguments):
    with FULL.open("wb") as full:
        done = launch(*arguments, stdout=full)
    said = done.stderr.decode()

    assert done.returncode == 3
    assert said.startswith("thermlog: standard output: cannot be written: No space left on device")
    assert "fault" not in said
    assert "Traceback" not in said
    assert "Exception ignored" not in said


@pytest.mark.parametrize("arguments", WRITERS, ids=" ".join)
def test_closed_standard_output_is_named_and_leaves_with_3(arguments):
    command = [sys.executable, "-m", "thermlog", *arguments]
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" >&-', "sh", *command], stderr=subprocess.PIPE, check=False
    )
    said = done.stderr.decode()

    assert done.returncode == 3
    assert "standard output: cannot be written: it is closed" in said
    assert "fault" not in said


def test_closed_standard_output_does_not_matter_to_a_result_file():
    command = [sys.executable, "-m", "thermlog", "inspect", "log.csv", "-o", "out.txt"]
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" >&- 2>&- <&-', "sh", *command], check=False, capture_output=True
    )

    assert done.returncode == 0
    assert Path("out.txt").read_text(encoding="utf-8").startswith("log.csv: 4 readings")


def test_closed_standard_input_is_an_empty_log():
    command = [sys.executable, "-m", "thermlog", "inspect", "-"]
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" <&-', "sh", *command], capture_output=True, check=False
    )

    assert done.returncode == 3
    assert b"the file is empty" in done.stderr


def test_reader_that_goes_away_hears_nothing_and_the_code_tells():
    reading, writing = os.pipe()
    os.close(reading)
    done = launch("simulate", "--rounds", "20", stdout=writing)
    os.close(writing)

    assert (done.returncode, done.stderr) == (3, b"")


def test_what_stands_whole_is_named_when_the_rest_fails():
    Path("samples").mkdir()
    with FULL.open("wb") as full:
        done = launch("demo", "samples", stdout=full)

    assert done.returncode == 3
    assert b"written whole: samples/" in done.stderr
    assert Path("samples/README.md").is_file()


def test_full_disk_under_a_result_file_leaves_the_old_one(monkeypatch, thermlog):
    Path("out.txt").write_text("old")

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("os.fsync", full)
    ran = thermlog("inspect", "log.csv", "-o", "out.txt", "--force")

    assert ran.code == 3
    assert "out.txt: cannot be written: No space left on device; nothing new was left there" in ran.err
    assert Path("out.txt").read_text() == "old"
    assert sorted(file.name for file in Path().iterdir()) == ["log.csv", "out.txt"]


@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_a_result_larger_than_the_system_allows_is_no_fault(unbuffered):
    """A true refusal by the system: no file may grow beyond 1 kB, and the log is longer."""
    script = 'ulimit -f 2; exec "$@"'
    command = [sys.executable, "-m", "thermlog", "simulate", "--rounds", "20", "--class", "combination5_drum"]
    for tail in (["-o", "out.csv"], []):
        done = subprocess.run(
            ["/bin/sh", "-c", f"{script} {'' if tail else '>out.csv'}", "sh", *command, *tail],
            stderr=subprocess.PIPE,
            check=False,
            env={**os.environ, "PYTHONUNBUFFERED": unbuffered},
        )
        assert done.returncode == 3
        assert b"cannot be written: File too large" in done.stderr
    assert sorted(file.name for file in Path().iterdir()) == ["log.csv", "out.csv"]


# ---- what -o never replaces -----------------------------------------------------------------------------


@pytest.mark.parametrize("force", [False, True])
@pytest.mark.parametrize("leads_to", ["log.csv", "other.txt", "nowhere", "link"])
def test_a_link_is_never_replaced(thermlog, leads_to, force):
    Path("other.txt").write_text("other")
    Path("link").symlink_to(leads_to)
    ran = thermlog("inspect", "log.csv", "-o", "link", *(["--force"] if force else []))

    assert ran.code == 3
    assert "link: is a link, which is never replaced" in ran.err
    assert Path("link").is_symlink()
    assert Path("other.txt").read_text() == "other"
    assert not Path("nowhere").exists()


@pytest.mark.parametrize("force", [False, True])
def test_a_pipe_or_a_device_is_never_replaced(thermlog, force):
    os.mkfifo("pipe")
    for place in ("pipe", "/dev/null"):
        ran = thermlog("inspect", "log.csv", "-o", place, *(["--force"] if force else []))
        assert ran.code == 3
        assert "is a pipe or a device" in ran.err
    assert Path("pipe").is_fifo()
    assert Path("/dev/null").is_char_device()


@pytest.mark.parametrize("name", ["log.csv", "./log.csv", "sub/../log.csv", "hard.csv"])
def test_an_input_is_never_replaced_not_even_by_force(thermlog, name):
    Path("sub").mkdir()
    Path("hard.csv").hardlink_to("log.csv")
    ran = thermlog("inspect", "log.csv", "-o", name, "--force")

    assert ran.code == 3
    assert "an input is never replaced" in ran.err
    assert Path("log.csv").read_text(encoding="utf-8") == LOG


def test_files_that_are_read_beside_the_log_are_not_replaced_either(thermlog):
    Path("map.toml").write_text('layout = "long"\n')
    ran = thermlog("inspect", "log.csv", "--columns", "map.toml", "-o", "map.toml", "--force")

    assert "an input is never replaced" in ran.err
    assert Path("map.toml").read_text() == 'layout = "long"\n'


@pytest.mark.parametrize("command", ["check", "compare"])
def test_a_chart_is_not_drawn_over_an_input_or_the_result(thermlog, command):
    Path("log.svg").write_text(LOG)
    ran = thermlog(command, "log.csv", "log.svg", "--chart", "log.svg", "--force")
    assert "an input is never replaced" in ran.err
    ran = thermlog(command, "log.csv", "--chart", "a.svg", "-o", "./a.svg")
    assert (ran.code, "name the same file" in ran.err) == (2, True)


def test_a_name_too_long_for_the_system_is_refused_in_one_line(thermlog):
    ran = thermlog("inspect", "log.csv", "-o", "x" * 300)

    assert ran.code == 3
    assert "File name too long" in ran.err
    assert len(ran.err.splitlines()) == 1


def test_a_file_made_in_the_meantime_is_not_replaced():
    def slow(draft: Path) -> None:
        draft.write_text("mine")
        Path("out.txt").write_text("theirs")

    with pytest.raises(OutputError, match="exists already"):
        write_whole("out.txt", slow, force=False)
    assert Path("out.txt").read_text() == "theirs"


# ---- signals --------------------------------------------------------------------------------------------

SLOW = """import sys, time
import thermlog.reports.wholefile as wholefile
from thermlog.__main__ import main
settle = wholefile._settle
def slow(draft, target, *, force):
    print("now", flush=True)
    time.sleep(60)
    settle(draft, target, force=force)
wholefile._settle = slow
sys.argv = ["thermlog", "simulate", "-o", "out.csv"]
main()
"""


@pytest.mark.parametrize(
    ("number", "code"),
    [(signal.SIGTERM, 143), (signal.SIGHUP, 129), (signal.SIGINT, 130)],
)
def test_no_draft_stays_after_a_signal(number, code):
    usual = "default_int_handler" if number == signal.SIGINT else "SIG_DFL"
    heeding = f"import signal; signal.signal({int(number)}, signal.{usual})\n"  # also under nohup
    with subprocess.Popen(
        [sys.executable, "-c", heeding + SLOW], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout.readline() == b"now\n"
        assert [file.suffix for file in Path().iterdir() if file.name != "log.csv"] == [".csv"]
        process.send_signal(number)
        _, said = process.communicate(timeout=30)

    assert process.returncode == code
    assert [file.name for file in Path().iterdir()] == ["log.csv"]
    assert b"no result file was written" in said
    assert b"Traceback" not in said


LOADING = """
import signal, sys, time
signal.signal(signal.SIGINT, signal.default_int_handler)

class Slow:
    def find_spec(self, name, path=None, target=None):
        if name == "thermlog.cli":
            print("now", flush=True)
            time.sleep(60)

sys.meta_path.insert(0, Slow())
from thermlog.__main__ import main
main()
"""


def test_an_interruption_while_the_command_is_loaded_ends_it_without_a_word():
    with subprocess.Popen(
        [sys.executable, "-c", LOADING], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdout.readline() == b"now\n"
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=30)

    assert (process.returncode, said) == (130, b"")


def test_a_signal_that_the_user_had_ignored_stays_ignored():
    """``nohup`` ignores the hang-up; the command must then go on."""
    ignoring = "import signal; signal.signal(signal.SIGHUP, signal.SIG_IGN)\n"
    script = ignoring + SLOW.replace("time.sleep(60)", "time.sleep(1)")
    with subprocess.Popen([sys.executable, "-c", script], stdout=subprocess.PIPE) as process:
        assert process.stdout.readline() == b"now\n"
        process.send_signal(signal.SIGHUP)
        process.communicate(timeout=30)

    assert process.returncode == 0


# ---- consoles and encodings -----------------------------------------------------------------------------


def spoken(encoding: str, *arguments: str) -> bytes:
    own = {**os.environ, "PYTHONIOENCODING": encoding, "PYTHONUTF8": "0"}
    return launch(*arguments, stdout=subprocess.PIPE, env=own).stdout


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp437", "utf-8"])
def test_text_on_a_poor_console_stays_readable(encoding):
    text = spoken(encoding, "inspect", "log.csv").decode(encoding)

    assert "Kuhlwagen 7" in text.replace("ü", "u")
    assert "80 C" in text.replace("°", "")
    assert "?" not in text


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "utf-16"])
def test_what_programs_read_is_utf_8_in_every_locale(encoding):
    found = json.loads(spoken(encoding, "inspect", "log.csv", "--format", "json").decode("utf-8"))
    assert found["understood"]["unit"] == "°C"
    assert spoken(encoding, "schema", "check") == spoken("utf-8", "schema", "check")
    assert spoken(encoding, "simulate") == spoken("utf-8", "simulate")


def test_result_files_are_utf_8_in_every_locale():
    own = {**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    assert launch("inspect", "log.csv", "-o", "out.txt", env=own).returncode == 0

    assert "Kühlwagen 7" in Path("out.txt").read_text(encoding="utf-8")


def test_a_file_name_that_is_no_text_is_shown_and_written():
    name = os.fsdecode(b"van\xff.csv")
    Path(name).write_text(LOG, encoding="utf-8")

    for arguments in ([], ["--format", "json"], ["-o", "out.txt"], ["-o", "out.json", "--format", "json"]):
        done = launch("inspect", name, *arguments, stdout=subprocess.PIPE)
        assert (done.returncode, done.stderr) == (0, b"")
    assert json.loads(Path("out.json").read_text(encoding="utf-8"))["log"]["file"] == name


def test_a_stream_that_fails_half_way_is_told_from_a_fault_of_ours(monkeypatch, capsys):
    def full(_: str) -> int:
        raise OSError(errno.EDQUOT, os.strerror(errno.EDQUOT))

    monkeypatch.setattr(sys.stdout, "write", full)
    assert run(["simulate"]) == 3
    monkeypatch.undo()
    assert "standard output: cannot be written: Disk quota exceeded" in capsys.readouterr().err


def test_a_full_folder_for_drafts_is_named(monkeypatch):
    def full(*_: object, **__: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("tempfile.TemporaryFile", full)
    said = r"out\.txt: cannot be written: No space left on device in "
    with pytest.raises(OutputError, match=said), result_stream("out.txt", force=False) as out:
        out.write("x")


def test_refusing_looks_at_no_input_while_nothing_is_to_be_replaced():
    """A folder of a hundred thousand logs is not looked through for a new file."""

    def inputs():
        raise AssertionError
        yield ""

    refuse_existing("new.txt", force=True, inputs=inputs())


def test_no_file_gets_the_number_of_a_closed_stream():
    """Else what a helper writes on standard output would end up in a log."""
    script = (
        "import os; from thermlog.cli.console import own_streams; own_streams(); "
        "number = os.open('log.csv', os.O_RDONLY); open('number', 'w').write(str(number))"
    )
    done = subprocess.run(
        ["/bin/sh", "-c", 'exec "$@" <&- >&- 2>&-', "sh", sys.executable, "-c", script], check=False
    )

    assert done.returncode == 0
    assert int(Path("number").read_text()) > 2
