"""Small logs written by tests: two axles, newtonian cooling without noise, all numbers invented."""

from __future__ import annotations

import math
from pathlib import Path

AIR_DEGC = 18.0
TAU_S = 1800.0
HEALTHY_K = {"1L": 105.0, "1R": 103.0, "2L": 62.0, "2R": 61.0}
DRAGGING_K = {**HEALTHY_K, "2R": 140.0}
COLD_K = {
    "1L": 4.3,
    "1R": 4.1,
    "2L": 3.9,
    "2R": 3.7,
}  # of no two wheels the same figures, which would be copied


def log_text(rises_k: dict[str, float], *, rounds: int = 4, vehicle: str = "van 7") -> str:
    """CSV of a walk round the vehicle: the corners 20 s apart, a round every 4 min."""
    lines = [f"# ambient: {AIR_DEGC:g} C", f"# vehicle: {vehicle}", "# drive: normal"]
    lines.append("corner,since_parked_s,temp_c")
    for turn in range(rounds):
        for place, (corner, rise_k) in enumerate(rises_k.items()):
            elapsed_s = 30.0 + 240.0 * turn + 20.0 * place
            reading = AIR_DEGC + rise_k * math.exp(-elapsed_s / TAU_S)
            lines.append(f"{corner},{elapsed_s:g},{reading:.1f}")
    return "\n".join(lines) + "\n"


def with_spots(text: str, spot: str, degc: dict[str, float]) -> str:
    """Such a log with two readings of another spot of every corner, all as hot both times."""
    brakes = (f"{line}," if line[0].isdigit() else line for line in text.splitlines())
    others = [f"{corner},{at},{value:g},{spot}" for at in (900, 1100) for corner, value in degc.items()]
    return "\n".join([*brakes, *others, ""]).replace("temp_c\n", "temp_c,spot\n")


def write_log(folder: Path, name: str, rises_k: dict[str, float], **how) -> str:
    """Write such a log and return its path."""
    file = folder / name
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_text(log_text(rises_k, **how), encoding="utf-8")
    return str(file)


def depot() -> list[str]:
    """Logs of a small depot: one dragging, two healthy, one cold, two files nobody can read."""
    logs = [
        write_log(Path(), "depot/a_healthy.csv", HEALTHY_K, vehicle="A"),
        write_log(Path(), "depot/b_dragging.csv", DRAGGING_K, vehicle="B"),
        write_log(Path(), "depot/c_cold.csv", COLD_K, vehicle="C"),
        write_log(Path(), "depot/deep/d_healthy.csv", {k: v + 1 for k, v in HEALTHY_K.items()}),
    ]
    for name, content in {"e_empty.csv": b"", "f_binary.csv": bytes(range(256))}.items():
        (Path("depot") / name).write_bytes(content)
        logs.append(f"depot/{name}")
    return logs
