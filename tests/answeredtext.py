"""Answers to one log given as text, without files: what clears nothing, and what is innocent."""

from __future__ import annotations

from msgspec import Struct
from readcases import read

from thermlog.judging.diagnose import diagnoses, judge
from thermlog.judging.settings import Settings

HEAD = "# ambient: 18 C\n"
# A healthy car: even sides, rears at 0.72 of the fronts, cooling by 13 % in four minutes.
RISES_K = {"FL": 72.0, "FR": 70.0, "RL": 52.0, "RR": 50.5}
ROWS = [
    (f"{12 * place + 240 * turn}", wheel, f"{18 + rise * 0.87**turn:.1f}")
    for turn in range(2)
    for place, (wheel, rise) in enumerate(RISES_K.items())
]
TABLE = "time_s,position,temp_c\n" + "".join(f"{','.join(row)}\n" for row in ROWS)


class Answered(Struct, frozen=True):
    """Words of the answers to drag and idle, whether it is flagged (exit code 1), what stops the vehicle."""

    flagged: bool
    drag: str
    idle: str
    urgent: tuple[str, ...] = ()


CLEARED = Answered(flagged=False, drag="no", idle="no")
OPEN = Answered(flagged=True, drag="cannot_tell", idle="cannot_tell")


def answered(text: str) -> Answered:
    """Answers to a log of one vehicle."""
    (case,) = diagnoses(judge(read(text).readings, Settings()))
    return Answered(
        flagged=case.flagged,
        drag=case.answers.drag.answer,
        idle=case.answers.idle.answer,
        urgent=tuple(one.code for one in case.urgent),
    )


def with_column(heading: str, cells: dict[str, str], *, usual: str = "") -> str:
    """The healthy car with one more column: `cells` by wheel, `usual` at all others."""
    rows = [f"{','.join(row)},{cells.get(row[1], usual)}" for row in ROWS]
    return "\n".join([f"{HEAD}time_s,position,temp_c,{heading}", *rows, ""])
