"""Corners at which a log could hide a fault worth finding: there "no" is never said.

Most corners of most vehicles need no trial: where a fault as large as the policy's line would make a plain
gap, and the mate is as warm as the rest of the vehicle leads to expect, it would show. The others are tried
out.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct

from thermlog.judging.explanations import column_of
from thermlog.judging.gaps import Gaps, is_plain
from thermlog.judging.likelihood import Group
from thermlog.judging.limits import (
    Z80,
    Trial,
    clears_drag,
    clears_idle,
    drag_line_k,
    places_of,
    unchanged,
)
from thermlog.judging.pattern import Evidence, Node, read_of, speaking
from thermlog.judging.posterior import Posterior
from thermlog.judging.scales import BrakeQuestion, Weighing
from thermlog.words.kinds import NONE
from thermlog.words.tables import Bools, Floats, Ints
from thermlog.words.vehicle import SIDES, corner_name

_Corners = dict[int, tuple[str, ...]]
# Margins beyond the rules, so that what passes here passes a trial, too; tested on simulated vehicles.
_CALM = 0.9  # probability of no fault at all; below it every corner is tried
_CLEARLY = 1.1  # times the watch difference and ratio
_AS_EXPECTED = 1.5  # the mate within this factor of what the other axles lead to expect
_COLD_RATIO = 1.8  # a brake that lost its share is this much cooler than its mate
_FEWEST = 2  # readings before a brake that does nothing can be told from a shot that missed


class Hidden(Struct, frozen=True, kw_only=True):
    """Corners by case at which a drag, or a loss, as large as the policy's line might not have shown."""

    drag: _Corners
    idle: _Corners

    def of(self, k: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Of case `k`: for the drag, for the loss."""
        return self.drag.get(k, ()), self.idle.get(k, ())


class Hiding:
    """Finds hidden faults while `pattern.find_patterns` weighs, group by group: its work serves twice.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    """

    def __init__(self, evidence: Evidence, gaps: Gaps) -> None:
        self._evidence, self._gaps = evidence, gaps
        self._clear = _plainly_clear(evidence, gaps, _Marks.of(evidence))
        self._drag: _Corners = {}
        self._idle: _Corners = {}

    @property
    def found(self) -> Hidden:
        """What was found in the groups taken so far."""
        return Hidden(drag=self._drag, idle=self._idle)

    def take(self, group: Group, nodes: list[tuple[Node, Floats]], posterior: Posterior) -> None:
        """One group: cases whose probabilities alone would allow a "no"."""
        doubt = group.policy.doubt_probability
        calm = posterior.p_kind[:, column_of(NONE)] >= _CALM
        self._try(group, nodes, (posterior.p_drag < doubt, calm), "drag")
        if not group.coast:
            self._try(group, nodes, (posterior.p_idle < doubt, calm), "idle")

    def _try(
        self,
        group: Group,
        nodes: list[tuple[Node, Floats]],
        cases: tuple[Bools, Bools],
        question: BrakeQuestion,
    ) -> None:
        """Corners of quiet vehicles, without those where a fault would be plain."""
        quiet, calm = cases
        which, clears = (0, clears_drag) if question == "drag" else (1, clears_idle)
        plain = self._clear[which][:, group.columns] & calm
        wanted = quiet & ~plain
        read = read_of(self._evidence, group)
        asked = read & wanted.reshape(-1, group.cases.size).T
        if not asked.any():
            return
        weighing = Weighing(evidence=self._evidence, group=group, read=read, change=unchanged, nodes=nodes)
        places = places_of(self._evidence, group, asked, unchanged)
        trial = Trial(gaps=self._gaps, group=group, places=places, weighing=weighing)
        _collect(trial, ~clears(trial), self._drag if question == "drag" else self._idle)


def _collect(trial: Trial, hides: Bools, found: _Corners) -> None:
    places = trial.places
    columns = (trial.group.cases[places.case], places.row, places.side)
    for k, row, side in zip(*(column[hides].tolist() for column in columns), strict=True):
        found[k] = (*found.get(k, ()), corner_name(trial.group.axles[row], SIDES[side]))


class _Marks(Struct, frozen=True, kw_only=True, eq=False):
    """Policy numbers of every case, an array (cases,) each."""

    doubt_probability: Floats
    watch_difference_k: Floats
    watch_ratio: Floats
    hidden_drag_k: Floats
    hidden_drag_part: Floats
    hidden_loss_share: Floats
    front_share: Floats

    @classmethod
    def of(cls, evidence: Evidence) -> _Marks:
        policies = evidence.context.policies
        kinds: dict[int, list[float]] = {}
        for policy in policies:
            kinds.setdefault(id(policy), [getattr(policy, name) for name in cls.__struct_fields__])
        table = np.array([kinds[id(policy)] for policy in policies]).reshape(-1, len(cls.__struct_fields__))
        return cls(**dict(zip(cls.__struct_fields__, table.T, strict=True)))

    def at(self, case: Ints) -> _Marks:
        """The same for every pair."""
        return _Marks(**{name: getattr(self, name)[case] for name in self.__struct_fields__})


def _plainly_clear(evidence: Evidence, gaps: Gaps, marks: _Marks) -> tuple[Bools, Bools]:
    """Corners at which a drag, or a loss, as large as the line is too plain to be missed: (2, pairs) each."""
    at = marks.at(evidence.pairs.case)
    state, used = evidence.comparison.state, evidence.fits.used
    rise = np.where(used > 0, state.rise_k, np.nan)
    mate = rise[::-1]
    scatter = Z80 * np.sqrt(2.0 * state.own_variance.sum(0))
    with np.errstate(invalid="ignore", divide="ignore"):
        off = mate / _expected_k(evidence, at)
        sound = (evidence.doubt.place < 0).all(0) & (off < _AS_EXPECTED) & (off > 1.0 / _AS_EXPECTED)
        hot = rise + drag_line_k(at, rise) - scatter
        drag = is_plain((hot - mate - gaps.half_k) / _CLEARLY, hot / _CLEARLY, mate, at)
        cold = rise * (1.0 - at.hidden_loss_share) + scatter
        idle = is_plain((mate - cold - gaps.half_k) / _CLEARLY, mate * at.watch_ratio / _COLD_RATIO, cold, at)
        idle &= (used >= _FEWEST).all(0)
    return drag & sound, idle & sound


def _expected_k(evidence: Evidence, at: _Marks) -> Floats:
    """Rise of one brake of every pair as the other axles lead to expect [K]; NaN without others."""
    pairs, context = evidence.pairs, evidence.context
    chosen = speaking(evidence)
    share = _usual_share(evidence, at)
    rise = evidence.comparison.state.rise_k
    known = np.isfinite(rise)
    level = np.where(known, rise, 0.0).sum(0) / np.maximum(known.sum(0), 1) / share
    level = np.where(chosen, level, 0.0)
    cases = len(context.policies)
    total = np.bincount(pairs.case, weights=level, minlength=cases)[pairs.case] - level
    others = np.bincount(pairs.case, weights=chosen, minlength=cases)[pairs.case] - chosen
    expected: Floats = share * total / others
    return expected


def _usual_share(evidence: Evidence, at: _Marks) -> Floats:
    """Usual rise of an axle over the others'; without braking all are alike."""
    context, case = evidence.context, evidence.pairs.case
    steered = context.steered_front[case] & ~context.coast[case] & (evidence.pairs.axle == 1)
    return np.where(steered, at.front_share, 1.0)
