"""Logs of walks round a vehicle whose brakes cool alike, and what a check says of them by whole commands."""

from __future__ import annotations

import json
import math
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

AIR_DEGC, TAU_S = 18.0, 2000.0  # own choice: a mild day, a brake between a light disc and a drum


def readings(
    rises_k: Mapping[str, float], *, rounds: int = 4, lap_s: int = 180, wheel_s: int = 15
) -> Iterator[tuple[int, str, float]]:
    """Second, wheel and what the gun shows [°C], round by round; the rises are those at the stop."""
    for turn in range(rounds):
        for k, (wheel, rise_k) in enumerate(rises_k.items()):
            second = lap_s * turn + wheel_s * k
            yield second, wheel, AIR_DEGC + rise_k * math.exp(-second / TAU_S)


def cooling_log(rises_k: Mapping[str, float], *head: str, **walk: int) -> str:
    """A log of such a walk with these lines above its readings; `walk` as of `readings`."""
    lines = [f"# ambient: {AIR_DEGC:.0f} C", *(f"# {one}" for one in head), "time_s,position,temp_c"]
    lines += [f"{second},{wheel},{degc:.1f}" for second, wheel, degc in readings(rises_k, **walk)]
    return "\n".join(lines) + "\n"


def checked(thermlog: Callable[..., Any], folder: Path, text: str, *options: str) -> tuple[int, Any]:
    """Exit code and JSON of a check of this text."""
    (folder / "log.csv").write_text(text, encoding="utf-8")
    ran = thermlog("check", "log.csv", "--format", "json", *options)
    return ran.code, json.loads(ran.out)
