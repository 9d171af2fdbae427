"""The journal of a walk: a log as it is, appended line by line, read back after anything that may happen."""

from __future__ import annotations

import errno
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from walkcases import VAN, HandClock, desk_at, head, walked

from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.reading.read import read_content
from thermlog.taking.entries import Entry
from thermlog.taking.journal import Journal
from thermlog.taking.journaltext import entry_lines, head_text, read_journal
from thermlog.taking.stopwatch import ParkedMark
from thermlog.taking.vehicleform import described_vehicle
from thermlog.taking.walking import WalkHead, WalkInProgress
from thermlog.words.errors import OutputError, WalkError

TYPED = "# axles: steer axle\nsince_parked_s,position,temp_c\n0,ambient,18\n" + "".join(
    f"{at},{wheel},{shown}\n" for at, wheel, shown in VAN
)


SAID_PARKED = "# log: entry p@2031-05-04T12:00:00 parked at 0.0 steady 1.0 boot b"
PARKED = f"{SAID_PARKED}\n# parked: 2031-05-04T12:00:00.0+02:00\n"


def told(path: str):
    return next(iter(run_one(path, Settings()).findings()))


def test_the_journal_gives_the_answers_of_the_same_readings_typed():
    """Also with a slip that was taken back, notes, and the air read twice."""
    clock = HandClock()
    desk = walked(desk_at("taken.csv", clock), clock)
    desk.take("note wind from the left: dry", clock.s)
    desk.take("2L 20", clock.s)
    desk.take("r", clock.s)
    Path("typed.csv").write_text(TYPED)
    taken, typed = told("taken.csv"), told("typed.csv")
    assert taken.answers == typed.answers
    assert taken.corners == typed.corners
    assert [one.code for one in taken.log.set_aside] == ["air", "taken_back"]
    assert "says nothing thermlog uses" not in " ".join(taken.log.notes)


def test_rows_that_come_late_are_read_in_order_of_time():
    """A phone that was out of reach sends its readings of the first round after those of the second."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock, [])
    for n in (1, 0, 3, 2, 7, 4, 6, 5):
        at, wheel, shown = VAN[n]
        desk.journal.append(Entry(key=f"k{n}", kind="reading", corner=wheel, cell=shown, elapsed_s=float(at)))
    Path("typed.csv").write_text(TYPED)
    late, typed = told("walk.csv"), told("typed.csv")
    assert (late.answers, late.corners) == (typed.answers, typed.corners)


def test_every_line_is_on_the_disk_before_the_next(monkeypatch):
    """One write and one fsync an entry, the fsync last."""
    clock = HandClock()
    desk = desk_at("walk.csv", clock)
    calls = []
    write, sync = os.write, os.fsync
    monkeypatch.setattr(os, "write", lambda n, data: (calls.append("write"), write(n, data))[1])
    monkeypatch.setattr(os, "fsync", lambda n: (calls.append("sync"), sync(n))[1])
    desk.take("parked", clock.s)
    desk.take("a 177", clock.s + 20)
    desk.take("undo", clock.s + 21)
    assert calls == ["write", "sync"] * 3


def test_a_killed_process_loses_at_most_the_line_being_typed(tmp_path):
    """kill -9 right after an entry was told as kept: it is in the file, and the walk goes on."""
    script = "import sys, time; sys.argv[1:] = ['enter', 'walk.csv']; from thermlog.cli import main; main()"
    child = subprocess.Popen(
        [sys.executable, "-c", script], cwd=tmp_path, stdin=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    )
    child.stdin.write("parked\na 177\nb 12")  # the third line is being typed
    child.stdin.flush()
    lines = [child.stderr.readline(), child.stderr.readline()]
    child.send_signal(signal.SIGKILL)
    child.wait()
    child.stdin.close()
    child.stderr.close()
    assert "front left 177" in lines[1]
    again = Journal.go_on(str(tmp_path / "walk.csv"))
    assert [(one.corner, one.cell) for one in again.walk.readings()] == [("1L", "177")]
    again.close()


def test_going_on_reads_back_what_was_kept():
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock)
    desk.take("seen smoke at RF", clock.s)
    desk.take("undo", clock.s)
    before, text = desk.journal.walk, Path("walk.csv").read_text()
    desk.journal.close()
    again = Journal.go_on("walk.csv")
    assert again.walk.entries == before.entries
    assert (again.walk.head.corners, again.walk.head.unit) == (before.head.corners, before.head.unit)
    assert again.mark == desk.journal.mark
    again.append(Entry(key="x1", kind="reading", corner="2R", cell="55", elapsed_s=400.0))
    again.append(Entry(key="x2", kind="taken_back", target="x1", elapsed_s=401.0))
    assert Path("walk.csv").read_text().startswith(text)  # appended, never rewritten
    last = read_content(Path("walk.csv").read_bytes(), file="walk.csv").record
    assert [one.value for one in last.set_aside if one.code == "taken_back"] == ["157", "55"]


def test_the_same_entry_twice_is_one():
    journal = Journal.begin("walk.csv", head())
    journal.append(
        Entry(key="p", kind="parked", wall="2031-05-04T12:00:00+02:00"),
        mark=ParkedMark(steady_s=1.0, boot="b", wall=HandClock().clocks().wall()),
    )
    one = Entry(key="k1", kind="reading", corner="1L", cell="80", elapsed_s=20.0)
    assert [journal.append(one), journal.append(one)] == [True, False]
    with pytest.raises(WalkError, match="key k1"):
        journal.append(Entry(key="k1", kind="reading", corner="1R", cell="80", elapsed_s=20.0))
    assert Path("walk.csv").read_text().count("k1@") == 1


@pytest.mark.parametrize(
    "torn", ["2031-05-04T12:05:20.0+02:00,1L,,15", "# log: entry e9@2031", "# taken", "3"]
)
def test_a_line_that_a_fault_left_unfinished_is_no_reading(torn):
    """The torn text stays in a note; the walk goes on behind it."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock)
    desk.journal.close()
    whole = Path("walk.csv").read_text()
    Path("walk.csv").write_text(whole + torn)
    again = Journal.go_on("walk.csv")
    assert len(again.walk.readings()) == len(VAN)
    text = Path("walk.csv").read_text()
    assert text.startswith(whole)
    assert repr(torn) in text.removeprefix(whole)
    assert read_content(text.encode(), file="walk.csv").record.rows_used == len(VAN)
    again.close()
    assert len(Journal.go_on("walk.csv").walk.readings()) == len(VAN)


@pytest.mark.parametrize(
    ("content", "found"),
    [
        ("", "not a walk that thermlog kept"),
        ("time_s,position,temp_c\n0,FL,80\n", "not a walk that thermlog kept"),
        ("# log: thermlog walk 1\n", "not a walk that thermlog kept"),
        ("# log: thermlog walk 1\ntime_s,position,temp_c\n", "line 2"),
        ("{head}2031-05-04T12:00:20.0+02:00,1L,,80,,e1@\n", "line 5: this line was not written"),
        ("{head}{parked}20,1L,80\n", "line 7: this line was not written"),
        ("{head}{parked}2031-05-04T12:00:20.0+02:00,1L,,80,,hand\n", "line 7: this line was not written"),
        ("{head}{parked}2031-05-04T12:00:20.0,1L,,80,,e1@\n", "line 7: this line was not written"),
        ("{head}{parked}2031-05-04T12:00:20.0+02:00,9L,,80,,e1@\n", 'line 7: no wheel "9L"'),
        ("{head}{parked}2031-05-04T12:00:20.0+02:00,1L,moon,80,,e1@\n", "line 7: this line was not written"),
        ("{head}{parked}2031-05-04T11:00:20.0+02:00,1L,,80,,e1@\n", "line 7"),
        ("{head}{parked}{parked}", "line 7"),
        ("{head}# log: entry p@ parked at 0.0 steady 1.0 boot b\n# parked: soon\n", "line 6"),
        ("{head}# log: entry e1@2031-05-04T12:00:00 note at 3.0\n", "line 5"),
        ("{head}# hello\n", "line 5"),
        ("{head}\n", "line 5"),
    ],
)
def test_what_was_not_written_by_thermlog_is_refused_by_line(content, found):
    content = content.replace("{head}", head_text(head(vehicle="van"))).replace("{parked}", PARKED)
    Path("walk.csv").write_text(content)
    with pytest.raises(WalkError, match=found):
        Journal.go_on("walk.csv")
    assert Path("walk.csv").read_text() == content.replace(
        "{head}", head_text(head(vehicle="van"))
    )  # nothing was touched


def test_bytes_that_are_no_text_and_huge_files_are_refused():
    Path("bytes.csv").write_bytes(b"# log: thermlog walk 1\n\xff\xfe\n")
    Path("huge.csv").write_bytes(b"#" * (5 << 20))
    with pytest.raises(WalkError, match="line 2: not UTF-8"):
        Journal.go_on("bytes.csv")
    with pytest.raises(WalkError, match="larger than any walk"):
        Journal.go_on("huge.csv")


def test_two_writers_cannot_share_a_file():
    first = Journal.begin("walk.csv", head())
    with pytest.raises(WalkError, match="another thermlog writes"):
        Journal.go_on("walk.csv")
    first.close()
    Journal.go_on("walk.csv").close()


def test_nothing_that_is_there_is_replaced_and_no_link_is_followed():
    Path("there.csv").write_text("mine")
    Path("link.csv").symlink_to("elsewhere.csv")
    for name in ("there.csv", "link.csv"):
        with pytest.raises(WalkError):
            Journal.begin(name, head())
    assert Path("there.csv").read_text() == "mine"
    assert not Path("elsewhere.csv").exists()


def test_a_full_disk_keeps_nothing_of_an_entry(monkeypatch):
    """Half a line is cut off again, the walk does not hold the entry, and it can be entered anew."""
    clock = HandClock()
    desk = walked(desk_at("walk.csv", clock), clock)
    before, write = Path("walk.csv").read_text(), os.write

    def half(number, data):
        write(number, data[: len(data) // 2])
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as full:
        full.setattr(os, "write", half)
        with pytest.raises(OutputError, match="not kept: No space left on device"):
            desk.take("1L 140", clock.s)
    assert Path("walk.csv").read_text() == before
    assert len(desk.journal.walk.readings()) == len(VAN)
    desk.take("1L 140", clock.s)
    desk.journal.close()
    assert len(Journal.go_on("walk.csv").walk.readings()) == len(VAN) + 1


@pytest.mark.parametrize("unit", ["C", "F"])
def test_a_head_says_the_vehicle_and_comes_back(unit):
    vehicle = described_vehicle(axles="steer drive drive", brakes="drum", weight="heavy")
    said = WalkHead(description=vehicle, vehicle="truck 12", drive="coast", unit=unit)
    back = read_journal(head_text(said), file="w.csv").walk.head
    assert back == said


_words = st.text(
    st.characters(min_codepoint=32, max_codepoint=0x24F, exclude_categories=("C", "Z")), max_size=30
)


_shown = st.integers(-20, 400).filter(bool)  # a 0 without a stated air is set aside, as an empty cell stored


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])  # the table of letters is made once
@given(
    cells=st.lists(st.tuples(st.sampled_from(["1L", "1R", "2L", "2R"]), _shown), max_size=12),
    by=_words,
    note=_words.filter(str.strip),
    back=st.integers(0, 11),
)
def test_any_walk_comes_back_and_is_read_as_it_is(cells, by, note, back):
    """Whatever people call themselves and note down, commas, quotes and colons included."""
    walk, lines = WalkInProgress(head=head()), {}
    mark = ParkedMark(steady_s=5.0, boot="b1", wall=HandClock().clocks().wall())
    entries = [Entry(key="p", kind="parked", wall="2031-05-04T12:00:00+02:00", by=by)]
    entries += [
        Entry(key=f"k{n}", kind="reading", corner=corner, cell=str(value), elapsed_s=20.0 * n + 20, by=by)
        for n, (corner, value) in enumerate(cells)
    ]
    entries.append(Entry(key="n", kind="note", text=note, elapsed_s=1.0, by=by))
    if back < len(cells):
        entries.append(Entry(key="u", kind="taken_back", target=f"k{back}", elapsed_s=900.0))
    text = head_text(walk.head)
    for entry in entries:
        walk.add(entry)
        lines[entry.key] = text.count("\n") + 1
        text += entry_lines(entry, lines=lines, walk=walk, mark=mark)
    found = read_journal(text, file="w.csv")
    assert (found.walk.entries, found.lines, found.torn) == (walk.entries, lines, "")
    if len(cells) > (back < len(cells)):
        record = read_content(text.encode(), file="w.csv").record
        assert record.rows_used == len(walk.readings())
