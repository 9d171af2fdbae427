"""What the benchmarks share: a wheel installed aside, and whole processes timed in turn."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

PROJECT = Path(__file__).parent.parent


def install_aside(folder: Path) -> dict[str, str]:
    """Environment in which ``python -m thermlog`` is an installed wheel with byte code, not the checkout."""
    place = folder / "installed"
    command = [
        "-m",
        "pip",
        "install",
        "--quiet",
        "--no-deps",
        "--no-build-isolation",
        "--target",
        str(place),
        ".",
    ]
    subprocess.run([sys.executable, *command], cwd=PROJECT, check=True)
    environment = os.environ | {"PYTHONPATH": str(place)}
    where = [sys.executable, "-c", "import thermlog; print(thermlog.__file__)"]
    found = subprocess.run(
        where, cwd=folder, env=environment, capture_output=True, text=True, check=True
    ).stdout
    if not Path(found.strip()).is_relative_to(place):
        msg = f"the wheel is not what runs: {found}"
        raise SystemExit(msg)
    return environment


def medians_s(
    commands: dict[str, list[str]], *, rounds: int, folder: Path, env: dict[str, str]
) -> dict[str, float]:
    """Median wall time of whole processes, run in turn so that a busy spell of the machine meets all."""
    times: dict[str, list[float]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            start = time.perf_counter()
            done = subprocess.run(
                [sys.executable, *command], cwd=folder, env=env, capture_output=True, check=False
            )
            spent_s = time.perf_counter() - start
            if done.returncode not in {0, 1}:
                msg = f"{name} failed: {done.stderr.decode()}"
                raise SystemExit(msg)
            if turn > 0:  # the first round warms the file cache
                times[name].append(spent_s)
    return {name: statistics.median(spent) for name, spent in times.items()}
