"""What healthy brakes would show, as a mixture over levels and nodes, and the ends it keeps within."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeAlias

import numpy as np
from msgspec import Struct

from thermlog.inference.edges import LogSteps, edges_of
from thermlog.inference.states import LEVELS_K
from thermlog.physics.distributions import normal_quantile, normal_share
from thermlog.words.tables import Floats, Ints

SHARE = 0.95
_TAIL = 0.5 * (1.0 - SHARE)
_TAIL_SIGMAS = normal_quantile(1.0 - _TAIL)
_SLOPE = 0.12  # of a logarithm of a tail from step to step, roughly: where to look, no more
_ZERO_K = -40.0  # where the steps count from: as exact for a brake 5 K above the air as for one 300 K above
# From where nothing is to where nothing is; between two steps straight: within a hundredth of the spread.
_ABOVE_ZERO = LogSteps(low=-30.0 - _ZERO_K, high=2.0 * float(LEVELS_K[-1]) - _ZERO_K, steps=512)
_LEAST = np.finfo(float).tiny
_NONE = 1e-10  # beside the largest weight of a corner: moves no end by a digit that is shown
# Sides and pairs of some corners, with the lower and the upper end of each.
RiseEnds: TypeAlias = tuple[tuple[Ints, Ints], tuple[Floats, Floats]]


class HealthyRises(Struct, frozen=True, kw_only=True, eq=False):
    """Healthy brakes in place of those that were read.

    Attributes
    ----------
    low_k, high_k : float array (2, pairs)
        Ends of the rise at the common time that 95 % of healthy brakes here would show [K]; NaN where no
        other brake was read, and for pairs that do not speak for their axle.
    """

    low_k: Floats
    high_k: Floats

    @classmethod
    def placed(cls, pairs: int, some: Iterable[RiseEnds]) -> HealthyRises:
        """Of so many pairs: those of some corners, NaN for the others."""
        low_k, high_k = np.full((2, 2, pairs), np.nan)
        for where, ends in some:
            low_k[where], high_k[where] = ends
        return cls(low_k=low_k, high_k=high_k)


class HealthyMixture(Struct, frozen=True, kw_only=True, eq=False):
    """What healthy brakes would show, corner by corner, in every node of what is summed over.

    In single precision, which is twice as fast: what it leaves of a share moves an end by less than a
    thousandth of a kelvin.

    Attributes
    ----------
    weight, inverse_sigma : float array (corners, nodes, levels)
        Of every level that such a brake may have, the largest of a corner 1; and one over the spread of
        readings about it [1/K].
    shift_k : float array (corners, nodes)
        How far the air is off [K].
    level_k : float array (levels,)
        The levels [K].
    """

    weight: Floats
    inverse_sigma: Floats
    shift_k: Floats
    level_k: Floats = LEVELS_K

    def ends(self) -> tuple[Floats, Floats]:
        """Both ends of what 95 % of healthy brakes show (corners,) [K]."""
        some = self._where_any_are()
        return _end(some, 1.0), _end(some, -1.0)

    def _where_any_are(self) -> HealthyMixture:
        """The same without levels that none of these has: a quarter of them where all are about as warm.

        What is next to nothing counts for nothing everywhere: no end hangs on what is asked together.
        """
        some = self.weight > _NONE
        known = np.flatnonzero(some.any((0, 1)))
        span = slice(int(known[0]), int(known[-1]) + 1) if known.size else slice(None)
        weight = self.weight[..., span] * some[..., span]
        inverse = np.ascontiguousarray(self.inverse_sigma[..., span])
        return HealthyMixture(
            weight=weight, inverse_sigma=inverse, shift_k=self.shift_k, level_k=self.level_k[span]
        )


def _end(shown: HealthyMixture, sign: float) -> Floats:
    """Rise that all but a tail of healthy brakes stay above, or below where `sign` is -1 (corners,) [K]."""
    total = shown.weight.sum((1, 2), dtype=np.float64)
    wanted = _TAIL * total

    def guide(step: Ints, at: Ints | slice) -> Floats:
        # the logarithm of a tail rises evenly, also far out
        tail = np.maximum(_tail(shown, _ABOVE_ZERO.at(step) + _ZERO_K, sign, at), _LEAST)
        return np.asarray(sign * np.log(tail / wanted[at]))

    edges = edges_of(guide, _near(shown, total, sign), _ABOVE_ZERO.steps, _SLOPE)
    at_low, at_high = (np.nan_to_num(wanted * np.exp(sign * one)) for one in (edges.below, edges.above))
    low, high = (_ABOVE_ZERO.at(step) + _ZERO_K for step in (edges.step - 1, edges.step))
    between = np.maximum(np.abs(at_high - at_low), _LEAST)
    part = sign * (wanted - at_low) / between
    return np.asarray(low + np.clip(part, 0.0, 1.0) * (high - low))


def _near(shown: HealthyMixture, total: Floats, sign: float) -> Ints:
    """Step near the end: that of a normal distribution of the same mean and spread."""
    level_k = shown.level_k.astype(np.float32) + shown.shift_k[..., None]
    mean = np.einsum("cnl,cnl->c", shown.weight, level_k) / total
    squares = np.square(level_k) + np.square(1.0 / shown.inverse_sigma)
    spread = np.sqrt(np.maximum(np.einsum("cnl,cnl->c", shown.weight, squares) / total - mean**2, 0.0))
    return _ABOVE_ZERO.of(mean - sign * _TAIL_SIGMAS * spread - _ZERO_K).astype(np.int64)


def _tail(shown: HealthyMixture, rise_k: Floats, sign: float, at: Ints | slice) -> Floats:
    """Weight of all that shows less than some rises, or more where `sign` is below 0, at some corners."""
    number = shown.weight.dtype
    off = (sign * (rise_k[:, None] - shown.shift_k[at])).astype(number)[..., None]
    off = (off - (sign * shown.level_k).astype(number)) * shown.inverse_sigma[at]
    below = shown.weight[at] * normal_share(off)
    return np.asarray(np.einsum("cnl->c", below, dtype=np.float64))  # a sum of it takes twice as long
