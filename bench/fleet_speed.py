"""Wall time of ``thermlog fleet`` on many five-axle logs against a bare pandas.read_csv loop over them.

    python bench/fleet_speed.py [LOGS [ROUNDS]]

All are whole processes. Aims: at most half the time of the loop, which only opens the files, for the list; at
most 0.7 of it for JSON, which holds every finding.
"""

from __future__ import annotations

import math
import random
import sys
import tempfile
from pathlib import Path

from timing import install_aside, medians, report_ratio, report_times

AIMS = {"thermlog fleet": 0.5, "fleet as JSON": 0.7}
AIR_DEGC, TAU_S = 18.0, 2400.0
READ_LOOP = (
    'import glob, pandas as pd\nfor file in sorted(glob.glob("depot/*.csv")): pd.read_csv(file, comment="#")'
)


def write_logs(folder: Path, count: int) -> None:
    """Five axles, six rounds, 60 readings a log; every twentieth has a brake of twice its rise."""
    chance = random.Random(1)  # noqa: S311 (invented readings, no secrets)
    folder.mkdir()
    for unit in range(count):
        (folder / f"unit-{unit:05d}.csv").write_text(log_text(unit, chance))


def log_text(unit: int, chance: random.Random) -> str:
    axle_rise_k = [chance.gauss(90.0, 12.0) for _ in range(5)]
    rise_k = {
        f"{axle + 1}{side}": axle_rise_k[axle] * chance.gauss(1.0, 0.04) for axle in range(5) for side in "LR"
    }
    if unit % 20 == 0:
        rise_k["3R"] *= 2.0
    lines = [
        f"# ambient: {AIR_DEGC} C",
        f"# vehicle: unit {unit}",
        "# drive: normal",
        "since_parked_s,position,temp_c",
    ]
    for turn in range(6):
        for place, (corner, rise) in enumerate(rise_k.items()):
            elapsed_s = 20.0 + 180.0 * turn + 18.0 * place
            reading = AIR_DEGC + rise * math.exp(-elapsed_s / TAU_S) + chance.gauss(0.0, 1.0)
            lines.append(f"{elapsed_s:.0f},{corner},{reading:.1f}")
    return "\n".join(lines) + "\n"


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    rounds = int(sys.argv[2]) if len(sys.argv) > 2 else 5
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        write_logs(folder / "depot", count)
        commands = {
            "thermlog fleet": ["-m", "thermlog", "fleet", "depot"],
            "fleet as JSON": ["-m", "thermlog", "fleet", "depot", "--format", "json"],
            "read_csv loop": ["-c", READ_LOOP],
        }
        times = medians(commands, rounds=rounds, folder=folder, env=install_aside(folder))
    print(f"{count} logs")
    report_times(times, rounds)
    for command, aim in AIMS.items():
        report_ratio(times, command, "read_csv loop", aim)


if __name__ == "__main__":
    main()
