"""Corners at which a log could hide a fault worth finding: there "no" is never said."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct

from thermlog.judging.gaps import Gaps
from thermlog.judging.limits import Trial, clears_drag, clears_idle, trials
from thermlog.judging.pattern import Evidence, Patterns
from thermlog.words.tables import Bools, Floats
from thermlog.words.vehicle import SIDES, corner_name

_Corners = dict[int, tuple[str, ...]]


class Hidden(Struct, frozen=True, kw_only=True):
    """Corners by case at which a drag, or a loss, as large as the policy's line might not have shown."""

    drag: _Corners
    idle: _Corners

    def of(self, k: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Of case `k`: for the drag, for the loss."""
        return self.drag.get(k, ()), self.idle.get(k, ())


def hidden_faults(evidence: Evidence, gaps: Gaps, patterns: Patterns) -> Hidden:
    """Find them for all cases whose probabilities alone would allow a "no".

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    patterns : Patterns

    Returns
    -------
    Hidden
    """
    doubt = np.array([policy.doubt_probability for policy in evidence.context.policies])
    drag: _Corners = {}
    idle: _Corners = {}
    quiet_drag, quiet_idle = _quiet(patterns.p_drag, doubt), _quiet(patterns.p_idle, doubt)
    quiet_idle &= ~evidence.context.coast
    for trial in trials(evidence, gaps, quiet_drag | quiet_idle):
        _collect(trial, quiet_drag, ~clears_drag(trial), drag)
        if not trial.group.coast:
            _collect(trial, quiet_idle, ~clears_idle(trial), idle)
    return Hidden(drag=drag, idle=idle)


def _quiet(p: Floats, doubt: Floats) -> Bools:
    with np.errstate(invalid="ignore"):
        quiet: Bools = p < doubt
    return quiet


def _collect(trial: Trial, quiet: Bools, hides: Sequence[bool] | Bools, found: _Corners) -> None:
    places = trial.places
    case = trial.group.cases[places.case]
    for k, row, side in zip(
        *(column[hides & quiet[case]].tolist() for column in (case, places.row, places.side)), strict=True
    ):
        found[k] = (*found.get(k, ()), corner_name(trial.group.axles[row], SIDES[side]))
