"""Whatever goes wrong under a depot's list: nothing is lost, and a clear line says what it was."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest
from logs import DRAGGING_K, HEALTHY_K, log_text, write_log
from rights import without_rights
from smalldisk import small_disk_at

HERE = Path()
THERMLOG = [sys.executable, "-m", "thermlog"]


def yard(count: int = 30) -> list[str]:
    return [
        write_log(
            HERE,
            f"yard/{unit:03d}.csv",
            {k: v + 0.1 * unit for k, v in HEALTHY_K.items()},
            vehicle=f"v {unit}",
        )
        for unit in range(count)
    ]


def test_all_of_it_at_once_stops_nothing_and_every_line_names_its_file(thermlog):
    """Links that lead nowhere or in a circle, a pipe, a clock put back, a folder named like a log."""
    yard(3)
    Path("yard/empty.csv").write_bytes(b"")
    Path("yard/dangling.csv").symlink_to("nowhere.csv")
    Path("yard/loop").symlink_to(".")
    Path("yard/itself.csv").symlink_to("itself.csv")
    os.mkfifo("yard/pipe.csv")
    rows = ("2:55:00,FL,80", "2:56:00,FR,81", "2:01:00,RL,60", "2:02:00,RR,60")
    back = "# ambient: 18 C\ntime,position,temp_c\n" + "\n".join(rows) + "\n"
    Path("yard/back.csv").write_text(back, encoding="utf-8")
    Path("yard/folder.csv").mkdir()
    write_log(HERE, "yard/folder.csv/deep.csv", DRAGGING_K, vehicle="deep")
    found = json.loads(thermlog("fleet", "yard", "gone.csv", "--format", "json").out)
    refused = {one["file"]: one for one in found["unreadable"]}

    assert set(refused) == {
        "yard/empty.csv", "yard/dangling.csv", "yard/itself.csv", "yard/pipe.csv", "yard/back.csv",
        "gone.csv",
    }  # fmt: skip
    assert all(one["reason"].startswith(file) for file, one in refused.items())
    assert (refused["yard/back.csv"]["code"], refused["yard/back.csv"]["line"]) == ("clock_back", 5)
    assert found["work"]["drives"][0]["unit"] == "deep"
    tally = found["work"]["tally"]
    assert (tally["files"], tally["read"], tally["unreadable"]) == (10, 4, 6)


def test_a_file_and_a_folder_without_leave_are_named_and_the_rest_goes_on(thermlog, monkeypatch):
    monkeypatch.setenv("XDG_CONFIG_HOME", "no-settings")  # which others may look for, too
    yard(2)
    write_log(HERE, "yard/shut/a.csv", HEALTHY_K)
    Path("yard/locked.csv").write_text(log_text(HEALTHY_K))
    Path("yard/locked.csv").chmod(0)
    Path("yard/shut").chmod(0)
    try:
        with without_rights():
            ran = thermlog("fleet", "yard")
    finally:
        Path("yard/shut").chmod(0o700)
    said = " ".join(ran.out.split())
    assert "2 drives of 2 units judged" in said
    assert "yard/locked.csv: cannot be opened (Permission denied)" in said
    assert "yard/shut: this folder cannot be looked into (Permission denied)" in said


@pytest.mark.skipif(sys.platform != "linux", reason="work is shared among processes on Linux only")
def test_a_helper_killed_in_mid_run_loses_nothing():
    """Each child that the run starts is killed as soon as it is seen."""
    yard(600)  # more than one piece
    command = [*THERMLOG, "fleet", "yard", "--format", "csv", "--jobs", "3"]
    whole = subprocess.run(command, capture_output=True, check=False).stdout
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as running:
        killed: set[int] = set()
        children = Path(f"/proc/{running.pid}/task/{running.pid}/children")
        until = time.monotonic() + 60.0
        while running.poll() is None and len(killed) < 2 and time.monotonic() < until:
            with suppress(OSError, ProcessLookupError):
                for child in map(int, children.read_text().split()):
                    if child not in killed:
                        os.kill(child, signal.SIGKILL)
                        killed.add(child)
        out, _ = running.communicate(timeout=60)
    assert killed
    assert out == whole
    assert len(out.splitlines()) > 600


@pytest.fixture
def small_disk(tmp_path):
    """A disk of 64 KiB."""
    with small_disk_at(tmp_path / "small", 64) as place:
        yield place


@pytest.mark.parametrize("form", ["text", "csv", "json", "html", "xlsx", "parquet"])
def test_a_full_disk_is_named_and_what_stood_there_stays(thermlog, small_disk, form):
    yard(150 if form != "text" else 900)
    target = small_disk / f"list.{form}"
    target.write_text("the list of yesterday", encoding="utf-8")
    (small_disk / "filler").write_bytes(b"x" * 50_000)
    ran = thermlog("fleet", "yard", "--format", form, "-o", str(target), "--force")
    assert ran.code == 3
    assert "No space left on device" in ran.err
    assert str(target) in ran.err
    assert target.read_text(encoding="utf-8") == "the list of yesterday"
    assert sorted(path.name for path in small_disk.iterdir()) == ["filler", target.name]


def test_a_full_disk_under_the_record_for_filing_leaves_the_list_whole(thermlog, small_disk):
    for unit in range(60):
        write_log(
            HERE, f"yard/{unit:03d}.csv", {k: v + unit for k, v in DRAGGING_K.items()}, vehicle=f"v {unit}"
        )
    (small_disk / "filler").write_bytes(b"x" * 50_000)
    filed = small_disk / "filed.json"
    ran = thermlog("fleet", "yard", "--filing", str(filed))
    assert ran.code == 3
    assert "60 drives of 60 units judged" in ran.out
    assert str(filed) in ran.err
    assert not filed.exists()
