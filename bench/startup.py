"""Seconds until help and until a verdict, against the bare interpreter and against importing heavy libraries.

    python bench/startup.py [ROUNDS]

Aims: ``--help`` at most 6 times ``python -c pass``; one text check at most 0.25 times importing pandas and
scipy.optimize where no answer states what its log would have shown, at most 0.30 times where one does. All
are whole processes.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from timing import PROJECT, install_aside, medians, report_ratio, report_times

WITHOUT_LIMITS, WITH_LIMITS = "lorry_rear_axle_cold.csv", "van_front_left_hot.csv"
COMMANDS = {
    "python -c pass": ["-c", "pass"],
    "--help": ["-m", "thermlog", "--help"],
    "check without limits": ["-m", "thermlog", "check", WITHOUT_LIMITS],
    "check with limits": ["-m", "thermlog", "check", WITH_LIMITS],
    "heavy imports": ["-c", "import pandas, scipy.optimize"],
}
AIMS = (
    ("--help", "python -c pass", 6.0),
    ("check without limits", "heavy imports", 0.25),
    ("check with limits", "heavy imports", 0.30),
)


def main() -> None:
    rounds = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for sample in (WITHOUT_LIMITS, WITH_LIMITS):
            shutil.copy(PROJECT / "sample_logs" / sample, folder)
        times = medians(COMMANDS, rounds=rounds, folder=folder, env=install_aside(folder))
    report_times(times, rounds)
    for command, against, aim in AIMS:
        report_ratio(times, command, against, aim)


if __name__ == "__main__":
    main()
