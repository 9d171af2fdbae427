"""How long reading takes: many small logs, and one of a million rows with its memory.

python bench/read_speed.py
"""

from __future__ import annotations

import csv
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


def peak_mb() -> float:
    """Peak resident memory of this process alone [MB]."""
    status = Path("/proc/self/status").read_text(encoding="ascii")
    return int(re.search(r"VmHWM:\s+(\d+)", status)[1]) / 1024


def main() -> None:
    if len(sys.argv) > 1:
        million_rows(sys.argv[1])
        return
    random.seed(1)
    with tempfile.TemporaryDirectory() as folder:
        small_logs(Path(folder))
        for stamps in (False, True):
            long = Path(folder) / "long.csv"
            long.write_text(log_text(MILLION, stamps=stamps), encoding="utf-8")
            subprocess.run([sys.executable, __file__, str(long)], check=True)


if __name__ == "__main__":
    main()
