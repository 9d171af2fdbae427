"""A scheduler of dask.distributed and its workers on this computer, each a process that a test may kill."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

from distributed import Client

_PATIENCE_S = 60.0


class Machines:
    """A scheduler; workers work in a folder where no log lies.

    Parameters
    ----------
    folder : Path
        An empty one.
    """

    def __init__(self, folder: Path) -> None:
        self.file = folder / "scheduler.json"
        self.folder = folder
        self.workers: list[subprocess.Popen[bytes]] = []
        where = ("--host", "127.0.0.1", "--port", "0", "--scheduler-file", str(self.file))
        self.scheduler = self._started("dask_scheduler", *where)
        until = time.monotonic() + _PATIENCE_S
        while not (self.file.is_file() and self.file.stat().st_size) and time.monotonic() < until:
            time.sleep(0.02)
        self.address = json.loads(self.file.read_text(encoding="utf-8"))["address"]

    def add(self, count: int) -> None:
        """Start workers and wait until the scheduler knows them."""
        for _ in range(count):
            how = (
                "--nthreads",
                "1",
                "--no-nanny",
                "--host",
                "127.0.0.1",
                "--local-directory",
                str(self.folder),
            )
            self.workers.append(self._started("dask_worker", self.address, *how))
        with Client(self.address, set_as_default=False) as client:
            client.wait_for_workers(len(self.workers), timeout=_PATIENCE_S)

    def _started(self, program: str, *arguments: str) -> subprocess.Popen[bytes]:
        command = [sys.executable, "-m", f"distributed.cli.{program}", "--no-dashboard", *arguments]
        alone = os.environ | {"OPENBLAS_NUM_THREADS": "1"}
        return subprocess.Popen(command, cwd=self.folder, env=alone, stderr=subprocess.DEVNULL)

    def kill_worker(self) -> None:
        """Take one away without a word."""
        self._kill(self.workers.pop())

    def kill_scheduler(self) -> None:
        """Take the scheduler away without a word."""
        self._kill(self.scheduler)

    def end(self) -> None:
        """End whatever is left."""
        for process in (*self.workers, self.scheduler):
            self._kill(process)

    def _kill(self, process: subprocess.Popen[bytes]) -> None:
        process.send_signal(signal.SIGKILL)
        process.wait()
