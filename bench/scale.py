"""Processor time and memory of ``thermlog fleet`` over the number of logs, without and with a history.

python bench/scale.py 100 1000 10000
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np

_CORNERS = ("1L", "1R", "2L", "2R")
_RISES_K = (105.0, 103.0, 62.0, 61.0)
_ROUNDS = 3


def write_logs(folder: Path, count: int) -> None:
    """So many logs of vans that never were, each with readings of its own."""
    rng = np.random.default_rng(1)
    for number in range(count):
        rows = [
            f"# vehicle: van {number}",
            "# date: 2026-03-04",
            "# ambient: 18 C",
            "corner,since_parked_s,temp_c",
        ]
        rises = np.array(_RISES_K) * np.exp(0.05 * rng.standard_normal(4))
        for place in range(4 * _ROUNDS):
            elapsed_s = 30.0 + 20.0 * place
            shown = 18.0 + rises[place % 4] * np.exp(-elapsed_s / 1800.0) + 0.5 * rng.standard_normal()
            rows.append(f"{_CORNERS[place % 4]},{elapsed_s:g},{shown:.1f}")
        (folder / f"{number:06d}.csv").write_text("\n".join(rows) + "\n", encoding="utf-8")


def measured(folder: Path, *more: str) -> tuple[float, float, float]:
    """Wall and processor time [s] and the most memory of one process [MB] of a fleet's list."""
    command = [sys.executable, "-m", "thermlog", "fleet", str(folder), "--exit-zero", "--jobs", "1", *more]
    began = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    _, status, used = os.wait4(process.pid, 0)
    wall = time.perf_counter() - began
    if os.waitstatus_to_exitcode(status):
        sys.exit(f"{' '.join(command)} failed")
    return wall, used.ru_utime + used.ru_stime, used.ru_maxrss / 1024.0


def main() -> None:
    print("logs | list: s | ms a log | MB | into a new history: s | MB | its size MB | once more: s | MB")
    for count in map(int, sys.argv[1:] or ["100", "1000", "10000"]):
        with tempfile.TemporaryDirectory() as place:
            logs, history = Path(place) / "logs", str(Path(place) / "depot.db")
            logs.mkdir()
            write_logs(logs, count)
            _, plain, plain_mb = measured(logs)
            _, kept, kept_mb = measured(logs, "--history", history)
            size = Path(history).stat().st_size / 1e6
            _, again, again_mb = measured(logs, "--history", history)
            each_ms = 1000.0 * plain / count
            cells = (
                f"{count} | {plain:.1f} | {each_ms:.2f} | {plain_mb:.0f} | {kept:.1f} | {kept_mb:.0f}"
                f" | {size:.1f} | {again:.1f} | {again_mb:.0f}"
            )
            print(cells, flush=True)


if __name__ == "__main__":
    main()
