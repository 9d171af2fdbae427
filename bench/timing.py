"""What the benchmarks share: a wheel installed aside, and whole processes timed in turn."""

from __future__ import annotations

import os
import resource
import statistics
import subprocess
import sys
import time
from pathlib import Path

from msgspec import Struct

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


class Spent(Struct, frozen=True, kw_only=True):
    """Median wall time and processor time of a command [s]; the latter does not feel a busy machine."""

    wall_s: float
    cpu_s: float


def medians(
    commands: dict[str, list[str]], *, rounds: int, folder: Path, env: dict[str, str]
) -> dict[str, Spent]:
    """Times of whole processes, run in turn so that a busy spell of the machine meets all."""
    times: dict[str, list[tuple[float, float]]] = {name: [] for name in commands}
    for turn in range(rounds + 1):
        for name, command in commands.items():
            start, before_s = time.perf_counter(), _cpu_s()
            done = subprocess.run(
                [sys.executable, *command], cwd=folder, env=env, capture_output=True, check=False
            )
            spent = time.perf_counter() - start, _cpu_s() - before_s
            if done.returncode not in {0, 1}:
                msg = f"{name} failed: {done.stderr.decode()}"
                raise SystemExit(msg)
            if turn > 0:  # the first round warms the file cache
                times[name].append(spent)
    return {
        name: Spent(wall_s=statistics.median(wall), cpu_s=statistics.median(cpu))
        for name, (wall, cpu) in ((name, zip(*spent, strict=True)) for name, spent in times.items())
    }


def _cpu_s() -> float:
    """Processor time of all processes started and ended so far [s]."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def report_ratio(times: dict[str, Spent], command: str, against: str, aim: float) -> None:
    """Print the ratio of two commands, and whether that of the wall times meets the aim."""
    one, other = times[command], times[against]
    ratio, cpu = one.wall_s / other.wall_s, one.cpu_s / other.cpu_s
    met = "met" if ratio <= aim else "MISSED"
    print(f"{command} / {against}: {ratio:.2f} (processor time {cpu:.2f}), aim at most {aim:g}: {met}")


def report_times(times: dict[str, Spent], rounds: int) -> None:
    """Print the medians."""
    for name, spent in times.items():
        print(f"{name:<16}{spent.wall_s:8.3f} s, processor {spent.cpu_s:6.3f} s, median of {rounds}")
