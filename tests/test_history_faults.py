"""Whatever goes wrong under a history: nothing is lost, and a clear line says what it was."""

from __future__ import annotations

import resource
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from historycases import address_of, dated, judged_log, visits
from logs import HEALTHY_K, write_log
from rights import without_rights
from smalldisk import small_disk_at

from thermlog.history.store import History

HERE = Path()
SMALL_KIB = 512


def yard(count: int, first: int = 0) -> None:
    """So many vans that never were."""
    for unit in range(first, first + count):
        rises = {corner: rise_k + 0.01 * unit for corner, rise_k in HEALTHY_K.items()}
        write_log(HERE, f"yard/{unit:04d}.csv", rises, vehicle=f"v {unit}")


def good(address: str) -> int:
    """How many checks a file holds, whose pages are all in order."""
    with sqlite3.connect(address) as file:
        assert file.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        (checks,) = file.execute("SELECT count(*) FROM checks").fetchone()
    file.close()
    assert len(History.open(address).visits()) == checks
    return int(checks)


@pytest.fixture
def small_disk(tmp_path: Path):
    """A disk of half a mebibyte."""
    with small_disk_at(tmp_path / "small", SMALL_KIB) as place:
        yield place


def test_a_full_disk_under_a_history_loses_nothing(thermlog, small_disk: Path, monkeypatch) -> None:
    from thermlog.fleet import fleetlist

    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 50)
    yard(400)
    address = str(small_disk / "depot.db")
    ran = thermlog("fleet", "yard", "--history", address)

    assert ran.code == 3
    assert "400 drives of 400 units judged" in ran.out
    assert f"{address}: cannot be written (database or disk is full)" in ran.err
    stored = good(shutil.copy(address, "elsewhere.db"))
    assert 0 < stored < 400
    assert stored % 50 == 0  # a piece is there whole or not at all
    assert f"{400 - stored} checks were not stored" in ran.err
    again = thermlog("fleet", "yard", "--history", "elsewhere.db")
    assert (again.code, good("elsewhere.db")) == (0, 400)
    assert f"{400 - stored} checks stored, {stored} stood there before" in again.err


def _no_larger_files() -> None:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_FSIZE, (1024 * SMALL_KIB,) * 2)


def test_a_file_that_may_not_grow_loses_nothing() -> None:
    """The same where no disk can be mounted: the system grants no larger file."""
    yard(600)
    command = [sys.executable, "-m", "thermlog", "fleet", "yard", "--history", "depot.db", "--jobs", "1"]
    ran = subprocess.run(command, capture_output=True, text=True, check=False, preexec_fn=_no_larger_files)

    assert ran.returncode == 3, ran.stderr
    assert "600 drives of 600 units judged" in ran.stdout
    assert "depot.db: cannot be written (" in ran.stderr
    stored = good("depot.db")
    assert f"{600 - stored} checks were not stored" in ran.stderr
    again = subprocess.run(command, capture_output=True, text=True, check=False)
    assert (again.returncode, good("depot.db")) == (0, 600)


def test_a_folder_without_leave_is_named_and_the_history_in_it_stays(thermlog, monkeypatch) -> None:
    """To write to a history, to make one, and to find one."""
    monkeypatch.setenv("XDG_CONFIG_HOME", "no-settings")  # which others may look for, too
    yard(2)
    with TemporaryDirectory() as place:  # one that everybody finds
        Path(place).chmod(0o755)
        mine, shut = Path(place) / "mine", Path(place) / "shut"
        mine.mkdir()
        shut.mkdir(mode=0)
        kept = mine / "depot.db"
        assert thermlog("fleet", "yard", "--history", str(kept)).code == 0
        before = kept.read_bytes()
        mine.chmod(0o555)
        yard(1, first=2)
        with without_rights():
            writing = thermlog("fleet", "yard", "--history", str(kept))
            making = thermlog("fleet", "yard", "--history", str(mine / "new.db"))
            finding = thermlog("fleet", "yard", "--history", str(shut / "depot.db"))
        assert [one.code for one in (writing, making, finding)] == [3, 3, 3]
        assert f"{kept}: cannot be written (attempt to write a readonly database)" in writing.err
        assert "new.db: cannot be opened (unable to open database file): no leave to write" in making.err
        assert "depot.db: cannot be opened (Permission denied)" in finding.err
        assert kept.read_bytes() == before
        assert good(str(kept)) == 2


@pytest.mark.parametrize("kind", ["file", "postgresql"])
def test_a_history_that_goes_away_between_two_pieces_keeps_the_first(
    kind: str, thermlog, tmp_path: Path, monkeypatch
) -> None:
    """What came before stands, the list is whole, and the same command stores the rest and nothing twice."""
    from thermlog.cli import keeping
    from thermlog.fleet import fleetlist

    monkeypatch.setattr(fleetlist, "LOGS_PER_PIECE", 1)
    yard(3)
    with address_of(kind, tmp_path) as address:
        add, gone = keeping.Keeper.add, []

        def once(keeper, *some):
            add(keeper, *some)
            if not gone:
                gone.append(_away(keeper._history))

        monkeypatch.setattr(keeping.Keeper, "add", once)
        ran = thermlog("fleet", "yard", "--history", address, "--jobs", "1")
        monkeypatch.setattr(keeping.Keeper, "add", add)
        assert ran.code == 3
        assert "3 drives of 3 units judged" in ran.out
        assert "2 checks were not stored" in ran.err
        gone[0]()
        again = thermlog("fleet", "yard", "--history", address, "--jobs", "1")
        assert again.code == 0
        assert "2 checks stored, 1 stood there before" in again.err
        assert len(History.open(address).visits()) == 3


def _away(history: History):
    """Take a history away, in the middle of a run; gives what brings it back."""
    if "://" not in history.address:
        Path(history.address).rename(f"{history.address}.away")
        return lambda: Path(f"{history.address}.away").rename(history.address)
    from sqlalchemy import create_engine, text

    url = history._engine.url

    def allow(word: str) -> None:
        admin = create_engine(url.set(database="postgres"), isolation_level="AUTOCOMMIT")
        with admin.connect() as connection:
            connection.execute(text(f"ALTER DATABASE {url.database} ALLOW_CONNECTIONS {word}"))
        admin.dispose()

    allow("false")
    return lambda: allow("true")


@pytest.mark.parametrize("kind", ["file", "postgresql"])
def test_a_log_from_a_clock_that_went_back_is_stored_in_its_place_and_told(
    kind: str, thermlog, tmp_path: Path
) -> None:
    with address_of(kind, tmp_path) as address:
        for name, day in (("new.csv", "2026-03-18"), ("old.csv", "2026-03-04")):
            Path(name).write_text(dated(HEALTHY_K, day), encoding="utf-8")
        first = thermlog("check", "new.csv", "--history", address)
        back = thermlog("check", "old.csv", "--history", address)
        known = thermlog("check", "old.csv", "--history", address)
        of_one_command = thermlog("fleet", "new.csv", "old.csv", "--history", str(tmp_path / "own.db"))
        assert [one.file for one in History.open(address).visits()] == ["old.csv", "new.csv"]
    said = "dated before a drive of the same vehicle that stood there"
    assert [first.code, back.code] == [0, 0]
    assert f"{said}: old.csv; put in order by their dates, so mend the date if a clock went back" in back.err
    assert not any(said in one.err for one in (first, known, of_one_command))


@pytest.mark.parametrize("kind", ["file", "postgresql"])
def test_a_computer_whose_clock_goes_back_keeps_the_order_of_logs_without_a_date(
    kind: str, tmp_path: Path, monkeypatch
) -> None:
    def undated(number: int):
        text = dated(HEALTHY_K, "2026-03-04").replace("# date: 2026-03-04\n", f"# note: {number}\n")
        return visits(judged_log(tmp_path, f"{number}.csv", text))

    with address_of(kind, tmp_path) as address:
        history, now_s = History.open(address, make=True), time.time()
        added = []
        for number, moment_s in enumerate((now_s, now_s - 400 * 86400.0, now_s + 60.0)):
            monkeypatch.setattr(time, "time", lambda moment_s=moment_s: moment_s)
            added.append(history.add(undated(number)))
        assert [Path(one.file).name for one in history.visits()] == ["0.csv", "1.csv", "2.csv"]
        assert [one.clock_behind for one in added] == [False, True, False]


def test_a_clock_behind_is_told(thermlog, monkeypatch) -> None:
    yard(2)
    thermlog("check", "yard/0000.csv", "--history", "depot.db")
    early_s = time.time() - 30 * 86400.0
    monkeypatch.setattr(time, "time", lambda: early_s)
    ran = thermlog("check", "yard/0001.csv", "--history", "depot.db")
    assert ran.code == 0
    assert "this computer's clock stands before the last check stored" in ran.err
