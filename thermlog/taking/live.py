"""What the log says while it is taken: the file itself, through the one pipeline, in one warm process."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from msgspec import Struct

from thermlog.fitting.fit import FITTED
from thermlog.fitting.predict import state_at
from thermlog.pipeline.run import run_one
from thermlog.taking.doubts import Expected
from thermlog.words.errors import LogRefusedError, ThermlogError
from thermlog.words.estimates import Estimate
from thermlog.words.reasons import DRIVES, Reason
from thermlog.words.vehicle import SIDES, SPOTS, Spot, split_corner

if TYPE_CHECKING:
    from thermlog.judging.settings import Settings
    from thermlog.pipeline.run import Run
    from thermlog.words.findings import Answers, Diagnosis


class LiveFinding(Struct, frozen=True, kw_only=True, eq=False):
    """What the log says so far.

    Attributes
    ----------
    done : Run or None
        None where nothing can be judged yet.
    told : Diagnosis or None
    refusal : str
        Why nothing can be judged, empty where something can.
    """

    done: Run | None = None
    told: Diagnosis | None = None
    refusal: str = ""

    @property
    def answers(self) -> Answers | None:
        """The answers so far."""
        return None if self.told is None else self.told.answers

    def expected(self, corner: str, spot: Spot, elapsed_s: float) -> Expected | None:
        """Where the curve of a wheel runs at a moment; None where it has none."""
        if self.done is None:
            return None
        (judged, _), (axle, side) = self.done.case(0), split_corner(corner)
        here = (judged.pairs.axle == axle) & (judged.pairs.spot == SPOTS.index(spot))
        row = SIDES.index(side)
        for pair in np.flatnonzero(here & (judged.fits.state[row] == FITTED)).tolist():
            state = state_at(judged.fits, judged.pairs, np.full(judged.pairs.count, elapsed_s))
            mean = float(state.temperature_degc[row, pair])
            spread = float(np.sqrt(np.maximum(state.temperature_variance[row, pair], 0.0)))
            half = float(judged.comparison.quantile[0]) * spread
            air = float(judged.fits.ambient_degc[0] + judged.fits.ambient_shift_k[0])
            return Expected(degc=Estimate(mean, mean - half, mean + half), ambient_degc=air)
        return None


def look(path: str, settings: Settings) -> LiveFinding:
    """Judge a log as it stands now.

    Parameters
    ----------
    path : str
        The journal: the very bytes that ``check`` would read.
    settings : Settings
    """
    try:
        done = run_one(path, settings)
    except LogRefusedError as refusal:  # whoever walks knows the file, and a phone need not know its folder
        return LiveFinding(refusal=refusal.problem)
    except ThermlogError as refusal:
        return LiveFinding(refusal=str(refusal))
    return LiveFinding(done=done, told=next(iter(done.findings(curves=True))))


def steps(answers: Answers, *, drives: bool) -> tuple[Reason, ...]:
    """What would decide the open questions: drives, or everything else; the best first, each once."""
    found: dict[str, Reason] = {}
    for one in (answers.drag, answers.idle):
        for step in one.decides:
            if (step.code in DRIVES) == drives:
                found.setdefault(step.code, step)
    return tuple(found.values())
