"""Corners at which a log could hide a fault worth finding: there "no" is never said.

Most corners of most vehicles need no trial: where a fault as large as the policy's line would make a plain
gap, and the mate is as warm as the rest of the vehicle leads to expect, it would show. The others are tried
out.
"""

from __future__ import annotations

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.edges import EVERYWHERE
from thermlog.inference.explanations import column_of
from thermlog.inference.gaps import Gaps, MarkColumns, is_plain
from thermlog.inference.likelihood import Group
from thermlog.inference.limits import (
    Z80,
    LeastFaults,
    Limits,
    Trial,
    clears_drag,
    clears_idle,
    drag_line_k,
    least_faults,
    trial_of,
)
from thermlog.inference.pattern import Evidence, Nodes, speaking, steady_of, weighed_groups
from thermlog.inference.support import Patterns, WeighedGroup, patterns_of
from thermlog.inference.tails import HealthyRises, RiseEnds
from thermlog.words.kinds import NONE
from thermlog.words.tables import Bools, Floats, Ints
from thermlog.words.vehicle import SIDES, corner_name

_Corners = dict[int, tuple[str, ...]]
# Margins beyond the rules, so that what passes here passes a trial, too; tested on simulated vehicles.
_CALM = 0.9  # probability of no fault at all; below it every corner is tried
_CLEARLY = 1.1  # times the watch difference and ratio
_AS_EXPECTED = 1.45  # the mate within this factor of what the other axles lead to expect
_COLD_RATIO = 1.8  # a brake that lost its share is this much cooler than its mate
_FEWEST = 2  # readings before a brake that does nothing can be told from a shot that missed


class Hidden(Struct, frozen=True, kw_only=True, eq=False):
    """What might not have shown.

    Attributes
    ----------
    drag, idle : dict of int to tuple of str
        Corners by case at which a drag, or a loss, as large as the policy's line might not have shown.
    limits : Limits or None
        Of all corners read, if they were asked for.
    healthy : HealthyRises or None
        What healthy brakes in their place would show, while nothing is suspected of any.
    """

    drag: _Corners
    idle: _Corners
    limits: Limits | None = None
    healthy: HealthyRises | None = None

    def of(self, k: int) -> tuple[tuple[str, ...], tuple[str, ...]]:
        """Of case `k`: for the drag, for the loss."""
        return self.drag.get(k, ()), self.idle.get(k, ())


def weighed_and_hidden(evidence: Evidence, gaps: Gaps, *, in_full: bool = False) -> tuple[Patterns, Hidden]:
    """The explanations of every case weighed, and the corners whose probabilities alone would allow a "no".

    Group by group, so that the likelihoods of a group serve all and are then forgotten.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
        Of the same cases.
    in_full : bool
        True to work out the limits of all corners as well.

    Returns
    -------
    Patterns, Hidden
    """
    hides_drag: _Corners = {}
    hides_idle: _Corners = {}
    clear, weighed = _plainly_clear(evidence, gaps, _Marks.of(evidence.context.policies)), []
    limits: list[LeastFaults] = []
    healthy: list[RiseEnds] = []
    for one, nodes in weighed_groups(evidence):
        weighed.append(one)
        steady = steady_of(evidence, one.group)
        asked: Bools = _asked(one, clear) & steady
        tried = steady if in_full else np.asarray(asked.any(0))
        if tried.any():
            trial, cases = _trial(evidence, gaps, (one.group, nodes), tried), np.asarray(tried.any(1))
            drag, idle = _at_places(asked, trial, cases)
            hides_drag |= _by_case(trial, drag[~clears_drag(trial, drag)])
            hides_idle |= _by_case(trial, idle[~clears_idle(trial, idle)])
            if in_full:
                limits.append(least_faults(trial))
                healthy += _if_quiet(trial, np.asarray(_quiet(one).all(0))[cases])
    pairs = evidence.pairs.count
    hidden = Hidden(
        drag=hides_drag,
        idle=hides_idle,
        limits=Limits.placed(pairs, limits) if in_full else None,
        healthy=HealthyRises.placed(pairs, healthy) if in_full else None,
    )
    return patterns_of(weighed, len(evidence.context.policies), pairs), hidden


def _trial(evidence: Evidence, gaps: Gaps, known: tuple[Group, Nodes], asked: Bools) -> Trial:
    """Corners of a group, ready to have faults planted: of the cases that are asked about at all."""
    some: Bools = np.asarray(asked.any(1))
    group, nodes = known
    if some.all():
        return trial_of(evidence, gaps, known, asked)
    few = replace(group, cases=group.cases[some], columns=group.columns[:, some])
    of_few = [(node, odds.some(some), separate.some(some)) for node, odds, separate in nodes]
    return trial_of(evidence, gaps, (few, of_few), asked[some])


def _at_places(asked: Bools, trial: Trial, cases: Bools) -> list[Ints]:
    """Places of a trial of some cases that each question is asked about."""
    column = trial.places.side * len(trial.group.axles) + trial.places.row
    return [np.flatnonzero(one[cases][trial.places.case, column]) for one in asked]


def _asked(one: WeighedGroup, clear: Bools) -> Bools:
    """Corners of quiet vehicles, without those where a fault would be plain.

    Parameters
    ----------
    one : WeighedGroup
    clear : bool array (questions, 2, pairs)
        From `_plainly_clear`.

    Returns
    -------
    bool array (questions, cases, 2 * axles)
        All left corners first.
    """
    group, found = one.group, one.posterior
    calm = found.p_kind[:, column_of(NONE)] >= _CALM
    quiet = _quiet(one)
    quiet[1] &= not group.coast
    plain = clear[:, :, group.columns].reshape(2, -1, group.cases.size).transpose(0, 2, 1) & calm[:, None]
    asked: Bools = quiet[..., None] & ~plain
    return asked


def _quiet(one: WeighedGroup) -> Bools:
    """Cases that neither a drag nor a loss is probable enough in to be asked about: (questions, cases)."""
    found = one.posterior
    return np.asarray(np.stack([found.p_drag, found.p_idle]) < one.group.policy.doubt_probability)


def _if_quiet(trial: Trial, quiet: Bools) -> list[RiseEnds]:
    """The rises of quiet cases, if any is; `bands` does where something suspected says nothing of them."""
    places = trial.places
    at = EVERYWHERE if quiet.all() else np.flatnonzero(quiet[places.case])
    shown = trial.scales.shown_if_healthy(at) if quiet.any() else None
    return [] if shown is None else [((places.side[at], places.pair[at]), shown.ends())]


def _by_case(trial: Trial, hides: Ints) -> _Corners:
    """Corners of the places `hides` by their case; no case is in two groups."""
    places, found = trial.places, dict[int, tuple[str, ...]]()
    columns = (trial.group.cases[places.case], places.row, places.side)
    for k, row, side in zip(*(column[hides].tolist() for column in columns), strict=True):
        found[k] = (*found.get(k, ()), corner_name(trial.group.axles[row], SIDES[side]))
    return found


class _Marks(MarkColumns, frozen=True, kw_only=True, eq=False):
    """With the lines that allow a "no"."""

    hidden_drag_k: Floats
    hidden_drag_part: Floats
    hidden_loss_share: Floats
    front_share: Floats


def _plainly_clear(evidence: Evidence, gaps: Gaps, marks: _Marks) -> Bools:
    """Corners at which a drag, or a loss, as large as the line is too plain to be missed: (2, 2, pairs)."""
    at = marks.at(evidence.pairs.case)
    state, used = evidence.comparison.state, evidence.fits.used
    rise = np.where(used > 0, state.rise_k, np.nan)
    mate = rise[::-1]
    scatter = Z80 * np.sqrt(2.0 * state.own_variance.sum(0))
    with np.errstate(invalid="ignore", divide="ignore"):
        off = mate / _expected_k(evidence, at)
        alone = (evidence.usual_part == 1.0).all(0)  # beside what is usual of a vehicle a gap is another
        sound = alone & (evidence.doubt.place < 0).all(0) & (off < _AS_EXPECTED) & (off > 1.0 / _AS_EXPECTED)
        hot = rise + drag_line_k(at, rise) - scatter
        drag = is_plain((hot - mate - gaps.half_k) / _CLEARLY, hot / _CLEARLY, mate, at)
        cold = rise * (1.0 - at.hidden_loss_share) + scatter
        idle = is_plain((mate - cold - gaps.half_k) / _CLEARLY, mate * at.watch_ratio / _COLD_RATIO, cold, at)
        idle &= (used >= _FEWEST).all(0)
    return np.stack([drag & sound, idle & sound])


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
