"""How long reading takes: many small logs, and one of a million rows with its memory; then the extremes.

    python bench/read_speed.py [reading | extremes]

Extremes are whole processes: a million rows and a log of 200 axles through ``check``, 100 000 logs through
``fleet``, each with the peak memory of its largest process.
"""

from __future__ import annotations

import csv
import math
import random
import re
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from datetime import datetime, timedelta
from pathlib import Path

FILES = 1_000
ROWS = 60
MILLION = 1_000_000
WHEELS = [f"{axle}{side}" for axle in range(1, 6) for side in "LR"]
DEPOT, LONG_VEHICLE_AXLES = 100_000, 200
# A small process starts the command: the peak of a child counts that of the process it was forked from.
WATCH = """
import resource, subprocess, sys, time
start = time.perf_counter()
done = subprocess.run([sys.executable, "-m", "thermlog", *sys.argv[1:]], capture_output=True)
wall, used = time.perf_counter() - start, resource.getrusage(resource.RUSAGE_CHILDREN)
if done.returncode not in (0, 1):
    sys.exit(done.stderr.decode())
cpu = used.ru_utime + used.ru_stime
print(f"{wall:.1f} s ({cpu:.1f} s of processor), peak {used.ru_maxrss / 1024:.0f} MB")
"""


def log_text(rows: int, *, stamps: bool) -> str:
    """One log, a row a reading."""
    lines = [
        "# ambient: 18 C",
        "# vehicle: truck",
        "time,position,temp_c" if stamps else "time_s,position,temp_c",
    ]
    elapsed_s = 0
    start = datetime(2031, 5, 4)  # noqa: DTZ001 - a log without offset is what is wanted
    for row in range(rows):
        elapsed_s += random.randint(1, 9)  # noqa: S311 - invented readings
        when = (start + timedelta(seconds=elapsed_s)).isoformat() if stamps else str(elapsed_s)
        lines.append(f"{when},{WHEELS[row % 10]},{random.gauss(80, 10):.1f}")
    return "\n".join(lines) + "\n"


def bare_csv(path: str) -> list[float]:
    """What the csv module alone needs for the temperatures."""
    with Path(path).open(newline="", encoding="utf-8") as stream:
        rows = [row for row in csv.reader(stream) if not row[0].startswith("#")]
    return [float(row[2]) for row in rows[1:]]


def per_file_us(work: Callable[[Sequence[str]], object], paths: Sequence[str]) -> float:
    """Processor time a file, best of five [us]."""
    best = float("inf")
    for _ in range(5):
        start = time.process_time()
        work(paths)
        best = min(best, time.process_time() - start)
    return best / len(paths) * 1e6


def small_logs(folder: Path) -> None:
    from thermlog.reading.read import read_logs

    for stamps in (False, True):
        paths = []
        for number in range(FILES):
            file = folder / f"{stamps}{number}.csv"
            file.write_text(log_text(ROWS, stamps=stamps), encoding="utf-8")
            paths.append(str(file))
        kind = "ISO stamps" if stamps else "seconds"
        ours = per_file_us(read_logs, paths)
        bare = per_file_us(lambda names: [bare_csv(name) for name in names], paths)
        print(f"{FILES} logs of {ROWS} rows, {kind}: {ours:.0f} us each, bare csv {bare:.0f}")


def million_rows(path: str) -> None:
    """Read one long log in this process and print time and peak memory."""
    from thermlog.reading.read import read_log

    before = peak_mb()
    wall, own = time.perf_counter(), time.process_time()
    found = read_log(path)
    wall, own = time.perf_counter() - wall, time.process_time() - own
    print(
        f"{found.record.rows_used} rows, {Path(path).stat().st_size / 1e6:.0f} MB: {wall:.1f} s "
        f"({own:.1f} s of processor), peak {peak_mb():.0f} MB (before reading {before:.0f} MB)"
    )


def walk_text(axles: int, rounds: int, chance: random.Random) -> str:
    """A sound vehicle read in so many rounds, every reading 12 s after the one before."""
    wheels = {f"{axle + 1}{side}": chance.gauss(90.0, 4.0) for axle in range(axles) for side in "LR"}
    lines = ["# ambient: 18 C", "# drive: normal", "since_parked_s,position,temp_c"]
    for turn in range(rounds):
        for place, (wheel, rise_k) in enumerate(wheels.items()):
            elapsed_s = 20 + 12 * (turn * len(wheels) + place)
            shown = 18.0 + rise_k * math.exp(-elapsed_s / 1500.0) + chance.gauss(0.0, 1.0)
            lines.append(f"{elapsed_s},{wheel},{shown:.1f}")
    return "\n".join(lines) + "\n"


def watched(what: str, *command: str) -> None:
    """Run thermlog and print what it took."""
    done = subprocess.run([sys.executable, "-c", WATCH, *command], capture_output=True, text=True, check=True)
    print(f"{what}: {done.stdout.strip()}")


def extremes(folder: Path) -> None:
    """The largest inputs that anyone is likely to bring, and some that nobody is."""
    chance = random.Random(1)  # noqa: S311 - invented readings
    for stamps in (False, True):
        long = folder / "long.csv"
        long.write_text(log_text(MILLION, stamps=stamps), encoding="utf-8")
        watched(f"{MILLION} rows, {'ISO stamps' if stamps else 'seconds'}, check", "check", str(long))
    for rounds in (2, 6):
        train = folder / "train.csv"
        train.write_text(walk_text(LONG_VEHICLE_AXLES, rounds, chance), encoding="utf-8")
        watched(f"{LONG_VEHICLE_AXLES} axles, {rounds} rounds, check", "check", str(train))
    depot = folder / "depot"
    depot.mkdir()
    for number in range(DEPOT):
        (depot / f"{number:06d}.csv").write_text(walk_text(2, 2, chance), encoding="utf-8")
    watched(f"{DEPOT} logs of two axles in two rounds, fleet", "fleet", str(depot))


def peak_mb() -> float:
    """Peak resident memory of this process alone [MB]."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024


def reading(folder: Path) -> None:
    small_logs(folder)
    for stamps in (False, True):
        long = folder / "long.csv"
        long.write_text(log_text(MILLION, stamps=stamps), encoding="utf-8")
        subprocess.run([sys.executable, __file__, str(long)], check=True)


PARTS = {"reading": reading, "extremes": extremes}


def main() -> None:
    wanted = sys.argv[1:] or list(PARTS)
    if wanted[0] not in PARTS:
        million_rows(wanted[0])
        return
    for part in wanted:
        random.seed(1)
        with tempfile.TemporaryDirectory() as folder:
            PARTS[part](Path(folder))


if __name__ == "__main__":
    main()
