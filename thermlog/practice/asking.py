"""The questions before a commitment, one after another: each choice by its place in a short list."""

from __future__ import annotations

from typing import Literal, TypeAlias

from thermlog.practice.commitment import (
    FINDINGS,
    PLACED,
    STEPS,
    SURE,
    Commitment,
    SeenFault,
    Step,
    places_of_word,
)
from thermlog.words.vehicle import split_corner

AskedStage: TypeAlias = Literal["finding", "axle", "side", "diagonal", "sure", "step"]
_DIAGONALS = ("1L+2R", "1R+2L")


class Asking:
    """Where the questions about one vehicle stand."""

    def __init__(self, corners: tuple[str, ...]) -> None:
        self._corners = corners
        self._chosen: dict[AskedStage, str] = {}

    @property
    def finding(self) -> SeenFault | None:
        """The finding, once that is answered."""
        return next((one for one in FINDINGS if one == self._chosen.get("finding")), None)

    @property
    def p(self) -> float | None:
        """How sure, once that is answered."""
        return SURE.get(self._chosen.get("sure", ""))

    @property
    def stage(self) -> AskedStage | None:
        """What is asked now; None when all is answered."""
        return next((stage for stage in self._stages() if stage not in self._chosen), None)

    def _stages(self) -> tuple[AskedStage, ...]:
        placed = self._chosen.get("finding") in PLACED
        axle = self._chosen.get("axle", "")
        within: tuple[AskedStage, ...] = () if axle in {"", "all"} else ("side",)
        within = ("diagonal",) if axle == "diagonal" else within
        place: tuple[AskedStage, ...] = ("axle", *within) if placed else ()
        return ("finding", *place, "sure", "step")

    def choices(self) -> tuple[str, ...]:
        """What can be answered now; the first is key 1."""
        axles = tuple(dict.fromkeys(str(split_corner(corner)[0]) for corner in self._corners))
        by_stage: dict[AskedStage | None, tuple[str, ...]] = {
            "finding": FINDINGS,
            "axle": (*axles, "all", *(("diagonal",) if len(axles) == 2 else ())),
            "side": ("L", "R", "both"),
            "diagonal": _DIAGONALS,
            "sure": tuple(SURE),
            "step": STEPS,
        }
        return by_stage.get(self.stage, ())

    def place(self) -> tuple[str, ...]:
        """The corners named so far; none before that is answered."""
        asked = {"axle", "side", "diagonal"} & set(self._stages())
        return self._corners_named() if asked and asked <= set(self._chosen) else ()

    def take(self, key: str) -> bool:
        """Answer with a key; False where it is none of the choices, and nothing has changed."""
        choices, stage = self.choices(), self.stage
        if stage is None or not (key.isascii() and key.isdecimal()) or not 1 <= int(key) <= len(choices):
            return False
        self._chosen[stage] = choices[int(key) - 1]
        return True

    def back(self) -> None:
        """Take the last answer back."""
        if self._chosen:
            self._chosen.popitem()

    def commitment(self) -> Commitment:
        """What was answered, once nothing is asked any more."""
        step: Step = next(one for one in STEPS if one == self._chosen["step"])
        return Commitment(
            finding=self.finding or "cannot_tell", corners=self.place(), p=self.p or 0.0, next_step=step
        )

    def _corners_named(self) -> tuple[str, ...]:
        axle = self._chosen.get("axle")
        if axle is None:
            return ()
        side = self._chosen.get("side", "both")
        word = self._chosen.get("diagonal") or (axle if side == "both" else f"{axle}{side}")
        return places_of_word(word, self._corners)
