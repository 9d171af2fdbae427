"""``thermlog enter``: on a real pseudo-terminal, from lines, after kill -9, and beside ``check``."""

from __future__ import annotations

import fcntl
import os
import pty
import select
import signal
import struct
import subprocess
import sys
import termios
import time
from contextlib import suppress
from datetime import datetime
from pathlib import Path

import pyte
import pytest

from thermlog.cli.terminal import fitted

COMMAND = [sys.executable, "-m", "thermlog", "enter"]


class Terminal:
    """A process on a pseudo-terminal; keys go in one by one, as from a finger."""

    def __init__(self, *arguments: str, columns: int = 100) -> None:
        self.child, self.terminal = pty.fork()
        if self.child == 0:
            os.environ |= {"TERM": "xterm", "PROMPT_TOOLKIT_NO_CPR": "1"}
            os.unsetenv("COLUMNS")  # the terminal tells it; readline sets it past os.environ
            os.execv(sys.executable, [*COMMAND, *arguments])  # noqa: S606 - our own
        fcntl.ioctl(self.terminal, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
        self.screen = pyte.Screen(columns, 40)
        self.stream = pyte.ByteStream(self.screen)

    def shown(self) -> str:
        """What stands on the screen."""
        return "\n".join(line.rstrip() for line in self.screen.display).rstrip()

    def until(self, words: str, *, seconds: float = 30.0) -> str:
        """The screen once it shows these words."""
        end = time.monotonic() + seconds
        while words not in self.shown():
            ready, _, _ = select.select([self.terminal], [], [], max(end - time.monotonic(), 0.0))
            assert ready, f"{words!r} is not shown:\n{self.shown()}"
            self.stream.feed(os.read(self.terminal, 65536))
        return self.shown()

    def type(self, keys: str) -> None:
        for key in keys:
            os.write(self.terminal, key.encode())
            time.sleep(0.01)

    def line(self, text: str, answer: str) -> str:
        self.type(f"{text}\r")
        return self.until(answer)

    def ended(self) -> int:
        """Exit code, and everything read until then."""
        with suppress(OSError):  # a terminal nobody writes to any more
            while part := os.read(self.terminal, 65536):
                self.stream.feed(part)
        _, status = os.waitpid(self.child, 0)
        self.child = 0
        return os.waitstatus_to_exitcode(status)

    def kill(self) -> None:
        if self.child:
            with suppress(ProcessLookupError):
                os.kill(self.child, signal.SIGKILL)
            os.waitpid(self.child, 0)
            self.child = 0


@pytest.fixture
def terminal():
    opened: list[Terminal] = []

    def start(*arguments: str, **size: int) -> Terminal:
        opened.append(Terminal(*arguments, **size))
        return opened[-1]

    yield start
    for one in opened:
        one.kill()
        os.close(one.terminal)


def rows(path: str = "walk.csv") -> list[list[str]]:
    lines = Path(path).read_text().splitlines()
    return [line.split(",") for line in lines if line[0].isdigit()]


def test_a_walk_on_a_terminal(terminal):
    """Parked, read, an odd value asked about, undo, a note, done: the file, and what it ends with."""
    shell = terminal("walk.csv", "--name", "van 7")
    assert "type parked when the wheels stand" in shell.until(">")
    shell.line("parked", "front left>")
    shell.line("75", "front left 75")
    time.sleep(1.1)  # nobody reads two wheels within a second
    assert "front right" in shell.line("72", "rear right>")
    time.sleep(1.1)
    shell.line("lr 66", "rear right>")
    time.sleep(1.1)
    assert "?" in shell.line("670", "k, r, number or wheel>")
    shell.line("67", "taken back: rear right 670")
    shell.until(">")
    assert "note: dry" in shell.line("note dry", "note: dry")
    assert '"moon" says nothing known' in shell.line("moon", "done")
    shell.line("undo", "taken back: rear right 67")
    shell.type("done\r")
    assert shell.ended() == 1
    assert "FINDING" in shell.shown()
    assert [(row[1], row[3]) for row in rows()] == [
        ("1L", "75"), ("1R", "72"), ("2L", "66"), ("2R", "670"), ("2R", "67"),
    ]  # fmt: skip


def test_what_stops_the_vehicle_is_told_whole_on_a_narrow_terminal(terminal):
    """Below the lines typed, where a longer line was cut at the edge."""
    shell = terminal("walk.csv", columns=60)
    shell.until(">")
    shell.line("parked", "front left>")
    shell.line("smoke at LF", "STOP DRIVING")
    told = " ".join(shell.until("front left>").split())
    assert "STOP DRIVING: smoke seen at front left. Keep clear; no water, no work at a wheel." in told


def test_the_stamp_is_that_of_the_first_key(terminal):
    """Half a reading is typed, two seconds pass, the rest is typed: it is of the first key."""
    shell = terminal("walk.csv")
    shell.until(">")
    shell.line("parked", "front left>")
    start = time.monotonic()
    shell.type("1")
    pressed = time.monotonic() - start
    time.sleep(2.0)
    shell.line("77", "front left 177")
    entered = time.monotonic() - start
    parked = next(line for line in Path("walk.csv").read_text().splitlines() if line.startswith("# parked: "))
    moments = (datetime.fromisoformat(text) for text in (rows()[0][0], parked.removeprefix("# parked: ")))
    stamp = (next(moments) - next(moments)).total_seconds()
    assert stamp < entered - 1.5
    assert stamp == pytest.approx(pressed, abs=3.0)  # parked was pressed up to a redraw before `start`


def test_ages_go_on_while_nobody_types(terminal):
    """The screen is drawn anew every second."""
    shell = terminal("walk.csv", "--parked-ago", "1:00")
    shell.until("since parked")
    shell.line("80", "0 s ago")
    assert shell.until("2 s ago", seconds=10)


def test_kill_9_loses_at_most_the_line_being_typed_and_the_walk_goes_on(terminal):
    shell = terminal("walk.csv", "--axles", "3")
    shell.until(">")
    shell.line("parked", "axle 1 left>")
    shell.line("75", "axle 1 left 75")
    shell.type("axle 1 ri")
    shell.kill()
    before = Path("walk.csv").read_text()
    assert [(row[1], row[3]) for row in rows()] == [("1L", "75")]
    again = terminal("walk.csv")
    assert "goes on: 1 readings" in again.until("axle 1 right>")
    again.type("\x04")  # end of input
    assert again.ended() == 1
    assert Path("walk.csv").read_text() == before


def test_control_c_stops_and_leaves_what_was_kept(terminal):
    shell = terminal("walk.csv")
    shell.until(">")
    shell.line("parked", "front left>")
    shell.line("75", "front left 75")
    shell.type("\x03")
    assert shell.ended() == 130
    assert "written whole: walk.csv" in shell.shown()
    assert [(row[1], row[3]) for row in rows()] == [("1L", "75")]


def lines(*typed: str, arguments: tuple[str, ...] = ()) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [*COMMAND, "walk.csv", *arguments], input="".join(f"{one}\n" for one in typed), capture_output=True,
        text=True, check=False,
    )  # fmt: skip


def test_lines_from_elsewhere_are_taken_when_they_come():
    ran = lines("parked", "air 64F", "a 177", "OL", "", "done", "b 1", arguments=("--by", "AB, shop"))
    assert (ran.returncode, [row[1] for row in rows()]) == (1, ["ambient", "1L", "1R"])
    assert "FINDING   !! STOP DRIVING: reading above the gun's range at front right" in ran.stdout
    assert '"AB, shop"' in Path("walk.csv").read_text()


@pytest.mark.parametrize(
    ("arguments", "code", "found"),
    [
        (("--axles", "0"), 3, '"0" axles cannot be entered'),
        (("--parked-ago", "soon"), 2, "write 12:30 or 40"),
        (("--axles", "2", "--brakes", "paper"), 3, "paper"),
        (("--vehicle", "none.toml"), 3, "none.toml"),
    ],
)
def test_what_cannot_be_is_refused_before_a_file_is_made(arguments, code, found):
    ran = lines("parked", arguments=arguments)
    assert (ran.returncode, Path("walk.csv").exists()) == (code, False)
    assert found in ran.stderr


def test_a_walk_that_was_begun_is_not_told_its_vehicle_again():
    lines("parked", "75")
    ran = lines("72", arguments=("--axles", "3"))
    assert (ran.returncode, len(rows())) == (3, 1)
    assert "holds what --axles would say" in ran.stderr


def test_a_file_of_another_kind_is_left_alone():
    Path("walk.csv").write_text("time_s,position,temp_c\n0,FL,80\n")
    ran = lines("parked")
    assert (ran.returncode, Path("walk.csv").read_text()[:6]) == (3, "time_s")
    assert "not a walk that thermlog kept" in ran.stderr


def test_without_the_library_the_cure_is_named(monkeypatch, thermlog):
    """Only the terminal needs it."""
    monkeypatch.setitem(sys.modules, "prompt_toolkit", None)
    monkeypatch.setattr(sys.stdin, "isatty", lambda: True, raising=False)
    monkeypatch.setattr(sys.stderr, "isatty", lambda: True, raising=False)
    ran = thermlog("enter", "walk.csv")
    assert (ran.code, Path("walk.csv").exists()) == (3, False)
    assert 'prompt_toolkit: python -m pip install ".[enter]"' in ran.err


def test_what_a_narrow_terminal_is_told_breaks_between_words(monkeypatch):
    told = "rear right: 7 °C? From its earlier readings about 67 °C is expected\nk keep it"
    monkeypatch.setenv("COLUMNS", "40")
    assert fitted(told) == told  # no terminal here: as it is
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    lines = fitted(told).splitlines()
    assert max(map(len, lines)) < 40
    assert " ".join(lines) == told.replace("\n", " ")
