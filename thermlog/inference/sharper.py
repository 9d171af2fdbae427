"""What one more round, a hotter drive, marks or a drive without braking would make of what a log shows.

The brakes that were read are turned into those that it would have read after such a step, and the least
faults are worked out by the very function that gives those of the log. Steps that keep the kind of drive are
tried side by side, as if each were a vehicle of its own: that costs little more than one of them.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from msgspec import Struct
from msgspec.structs import replace

from thermlog.inference.explanations import COLD_KINDS, explanations
from thermlog.inference.gaps import Gaps
from thermlog.inference.likelihood import Brakes, Group
from thermlog.inference.limits import LeastFaults, Limits, Trial, least_faults, trials
from thermlog.inference.pattern import Evidence
from thermlog.inference.scales import Change
from thermlog.inference.states import states_of
from thermlog.words.sharpening import SharperBy
from thermlog.words.tables import Bools, Floats, Ints

SAME_DRIVE: tuple[SharperBy, ...] = ("round", "hotter", "paint")
_HOTTER = 1.5  # half as hot again: judgement, docs/method.md
# Matt black paint or tape known to a few hundredths: surfaces.toml, black_tape.
_MARKED_FRACTION = 0.02


def limits_after(
    evidence: Evidence, gaps: Gaps, corners: Bools, steps: Sequence[SharperBy]
) -> dict[SharperBy, Limits]:
    """The least faults at some corners after some steps.

    Parameters
    ----------
    evidence : Evidence
    gaps : Gaps
    corners : bool array (2, pairs)
    steps : sequence of SharperBy
        Of `SAME_DRIVE`, or ``("coast",)``.

    Returns
    -------
    dict of SharperBy to Limits
        As a log after that step alone would have them.
    """

    def rethought(group: Group) -> tuple[Group, Change]:
        beside = _side_by_side(group, len(steps))
        driven = _without_braking(beside) if "coast" in steps else beside
        return driven, _thought(evidence, driven, steps).of

    found: list[list[LeastFaults]] = [[] for _ in steps]
    cases = np.zeros(len(evidence.context.policies), dtype=bool)
    cases[evidence.pairs.case[corners.any(0)]] = True
    for trial in trials(evidence, gaps, cases, rethought, corners):
        each = _number_of_step(trial, len(steps))
        least = least_faults(trial)
        for number, some in enumerate(found):
            some.append(_at(least, each == number))
    pairs = evidence.pairs.count
    return {by: Limits.placed(pairs, some) for by, some in zip(steps, found, strict=True)}


def heat_after(evidence: Evidence, by: SharperBy) -> Floats:
    """Rise of every brake after a step in parts of the one that was read, (2, pairs); not of a coast drive.

    A mark shows the metal, of which a bare face shows a part.
    """
    metal: Floats = evidence.gap.metal_per_curve  # 1 where the surface is known already
    return metal if by == "paint" else np.full_like(metal, _HOTTER if by == "hotter" else 1.0)


class _Thought(Struct, frozen=True, kw_only=True, eq=False):
    """Brakes of a group as some steps leave them; one entry a brake.

    Attributes
    ----------
    heat : float array
        Rise in parts of the one that was read.
    more : int array
        Readings on top.
    anew : bool array
        True after another drive: readings that contradict each other are not taken again.
    marked : bool array
        True for surfaces that are known.
    sunk : bool
        True for healthy brakes as a drive without braking usually leaves them, whatever was read.
    """

    group: Group
    heat: Floats
    more: Ints
    anew: Bools
    marked: Bools
    sunk: bool

    def of(self, brakes: Brakes) -> Brakes:
        """From brakes as read to brakes as thought of."""
        before_k, variance = _beside_mates(brakes, self.anew & (brakes.doubt >= 0))
        used = brakes.used + self.more
        rise_k = self.heat * before_k
        if self.sunk:
            rise_k = np.where(np.isnan(before_k), np.nan, self.group.policy.coast_heat_median_k)
        scatter = self._shot_variance(rise_k) / self._shot_variance(before_k)
        return replace(
            brakes,
            rise_k=rise_k,
            variance=variance * scatter * brakes.used / np.maximum(used, 1),
            used=used,
            skin_fraction=np.where(self.marked, _MARKED_FRACTION, brakes.skin_fraction),
            known=brakes.known | self.marked,
            doubt=np.where(self.anew, -1, brakes.doubt),
        )

    def _shot_variance(self, rise_k: Floats) -> Floats:
        group = self.group
        return np.asarray(group.shot_sigma_k**2 + (group.policy.aim_fraction * rise_k) ** 2)


def _beside_mates(brakes: Brakes, unsure: Bools) -> tuple[Floats, Floats]:
    """Rise and variance; a brake whose readings contradict each other is thought to be as its mate."""
    both = brakes.rise_k.reshape(-1, 2)
    here = unsure.reshape(-1, 2)
    borrows = here & ~here[:, ::-1] & np.isfinite(both[:, ::-1])
    rise_k, variance = (
        np.where(borrows, one.reshape(-1, 2)[:, ::-1], one.reshape(-1, 2)).ravel()
        for one in (brakes.rise_k, brakes.variance)
    )
    return rise_k, variance


def _side_by_side(group: Group, times: int) -> Group:
    """The same cases so many times."""
    return replace(group, cases=np.tile(group.cases, times), columns=np.tile(group.columns, times))


def _without_braking(group: Group) -> Group:
    """The same vehicles after a drive without braking."""
    impossible = group.impossible | COLD_KINDS
    return replace(
        group,
        coast=True,
        states=states_of(group.policy, coast=True),
        impossible=impossible,
        table=explanations(len(group.axles), group.axle_count, group.policy, impossible, towed=group.towed),
    )


def _thought(evidence: Evidence, group: Group, steps: Sequence[SharperBy]) -> _Thought:
    """Of a group whose cases stand side by side, once a step."""
    number = np.repeat(np.arange(len(steps)), group.cases.size // len(steps))
    brake = np.repeat(np.tile(number, len(group.axles)), 2)  # as `pattern.brakes_of` has them
    heat = np.stack([heat_after(evidence, by) for by in steps])[number, :, group.columns]
    return _Thought(
        group=group,
        heat=heat.ravel(),
        more=np.array([by == "round" for by in steps], dtype=np.int64)[brake],
        anew=np.array([by != "round" for by in steps])[brake],
        marked=np.array([by == "paint" for by in steps])[brake],
        sunk="coast" in steps,
    )


def _number_of_step(trial: Trial, steps: int) -> Ints:
    """For every place of a trial of cases side by side which step it is of."""
    return np.asarray(trial.places.case // (trial.group.cases.size // steps))


def _at(least: LeastFaults, some: Bools) -> LeastFaults:
    loss = np.broadcast_to(np.asarray(least.loss_share), some.shape)
    return LeastFaults(
        side=least.side[some], pair=least.pair[some], extra_k=least.extra_k[some], loss_share=loss[some]
    )
