"""A vehicle read three times, its brakes cooling alike: logs of a shop's day, readings invented."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run_one
from thermlog.words.findings import Diagnosis

_FELL = (1.0, 0.84, 0.72)  # of the rise, round by round


def told(head: Sequence[str], **rises_k: float) -> Diagnosis:
    """A log of three rounds, 18 °C outside, with these rises at the start; L1=75 is axle 1 left."""
    lines, second = ["# ambient: 18 C", *(f"# {one}" for one in head), "time_s,position,temp_c"], 15
    for part in _FELL:
        for corner, rise_k in rises_k.items():
            lines.append(f"{second},{corner[1:]}{corner[0]},{18 + rise_k * part:.1f}")
            second += 16
        second += 160
    Path("log.csv").write_text("\n".join(lines) + "\n", encoding="utf-8")
    return next(iter(run_one("log.csv", Settings()).findings(curves=False)))
