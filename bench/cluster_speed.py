"""One list of work by one process, by two, and by two workers of a scheduler here, over each other.

python bench/cluster_speed.py 1000 10000

Wall times mean something on an idle machine only; processor times (of the command, its helpers and the
workers) nearly always. Needs the extra ``cluster``.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from distributed import Client
from scale import write_logs

_WORKERS = 2
_MOST_IN_FULL = 10_000  # logs; in full more would take many minutes
_TICKS_S = os.sysconf("SC_CLK_TCK")


class Times:
    """Wall time, processor time of all and of the command alone [s], and the command's memory [MB]."""

    def __init__(self, command: list[str], workers: list[int]) -> None:
        before = sum(map(_processor_s, workers))
        began = time.perf_counter()
        with subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL) as process:
            _, status, used = os.wait4(process.pid, 0)
            process.returncode = os.waitstatus_to_exitcode(status)
        if process.returncode:
            sys.exit(f"{' '.join(command)} failed")
        self.wall_s = time.perf_counter() - began
        self.memory_mb = used.ru_maxrss / 1024.0
        self.own_s = used.ru_utime + used.ru_stime
        self.all_s = self.own_s + sum(map(_processor_s, workers)) - before


def _processor_s(process: int) -> float:
    """Of a process and of what it started and has ended."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    return sum(map(int, fields[11:15])) / _TICKS_S


def started(folder: Path) -> tuple[str, list[subprocess.Popen[bytes]], list[int]]:
    """Address of a scheduler, all processes, and the process of each worker."""
    file = folder / "scheduler.json"
    quiet = {"stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL, "cwd": folder}
    dask = [sys.executable, "-m", "dask"]
    where = ["--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(file)]
    every = [subprocess.Popen([*dask, "scheduler", "--no-dashboard", *where], **quiet)]
    while not (file.is_file() and file.stat().st_size):
        time.sleep(0.1)
    worker = [
        "worker",
        "--scheduler-file",
        str(file),
        "--nthreads",
        "1",
        "--no-dashboard",
        "--host",
        "127.0.0.1",
    ]
    every += [subprocess.Popen([*dask, *worker], **quiet) for _ in range(_WORKERS)]
    with Client(scheduler_file=str(file), set_as_default=False) as client:
        client.wait_for_workers(_WORKERS, timeout=60)
        return str(file), every, list(client.run(os.getpid).values())


def main() -> None:
    print("logs, form | one process: wall, processor s | over it: two processes | two workers")
    print("           | the command alone over it | memory of the command and of one process, MB")
    with tempfile.TemporaryDirectory() as place:
        address, every, workers = started(Path(place))
        try:
            for count in map(int, sys.argv[1:] or ["1000", "10000"]):
                logs = Path(place) / str(count)
                logs.mkdir()
                write_logs(logs, count)
                for form in ("csv", "json") if count <= _MOST_IN_FULL else ("csv",):
                    print(_row(logs, form, address, workers), flush=True)
        finally:
            for process in every:
                process.terminate()
                process.wait()


def _row(logs: Path, form: str, address: str, workers: list[int]) -> str:
    command = [sys.executable, "-m", "thermlog", "fleet", str(logs), "--exit-zero", "--format", form]
    one = Times([*command, "--jobs", "1"], workers)
    two = Times([*command, "--jobs", "2"], workers)
    Times([*command, "--cluster", address], workers)  # which loads what the workers need
    many = Times([*command, "--cluster", address], workers)
    beside = [f"{other.wall_s / one.wall_s:.2f} ({other.all_s / one.all_s:.2f})" for other in (two, many)]
    megabytes = f"{many.memory_mb:.0f}, {one.memory_mb:.0f}"
    alone = f"{one.wall_s:.1f}, {one.all_s:.1f}"
    return (
        f"{logs.name}, {form} | {alone} | {' | '.join(beside)} | {many.own_s / one.all_s:.2f} | {megabytes}"
    )


if __name__ == "__main__":
    main()
