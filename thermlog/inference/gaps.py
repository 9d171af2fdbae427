"""Left minus right of every pair with its 95 % interval, and whether a gap is plain."""

from __future__ import annotations

from typing import Protocol, Self

import numpy as np
from msgspec import Struct

from thermlog.inference.left_right import SideComparison
from thermlog.inference.skingap import SkinGap
from thermlog.words.few import Few
from thermlog.words.policy import Policy
from thermlog.words.tables import Bools, Floats, Ints


class WatchMarks(Protocol):
    """Marks past which a gap is plain: of a policy, or of many as columns."""

    @property
    def watch_difference_k(self) -> float | Floats: ...  # noqa: D102
    @property
    def watch_ratio(self) -> float | Floats: ...  # noqa: D102


class MarkColumns(Struct, frozen=True, kw_only=True, eq=False):
    """Marks of many policies, an array each: (cases,), or (pairs,); a subclass holds further numbers."""

    watch_difference_k: Floats
    watch_ratio: Floats

    @classmethod
    def of(cls, policies: Few[Policy]) -> Self:
        """Those of every case."""
        names = cls.__struct_fields__
        table = policies.table(lambda policy: [getattr(policy, name) for name in names])
        return cls(**dict(zip(names, table.reshape(-1, len(names)).T, strict=True)))

    def at(self, case: Ints) -> Self:
        """The same for every pair."""
        return type(self)(**{name: getattr(self, name)[case] for name in self.__struct_fields__})


class Gaps(Struct, frozen=True, kw_only=True, eq=False):
    """Left minus right of the readings, an array (pairs,) each.

    Attributes
    ----------
    gap_k : float array
        [K]; NaN where one side has no curve.
    sigma_k, half_k : float array
        Standard uncertainty, and half of the 95 % interval [K].
    """

    gap_k: Floats
    sigma_k: Floats
    half_k: Floats


def gaps_of(comparison: SideComparison, gap: SkinGap, case: Ints) -> Gaps:
    """Gaps of all pairs; where an emissivity was stated its own spread belongs to the gap of the metal.

    Parameters
    ----------
    comparison : SideComparison
    gap : SkinGap
    case : int array (pairs,)

    Returns
    -------
    Gaps
    """
    read_sigma_k = np.hypot(comparison.difference_sigma_k, gap.shared_sigma_k)
    sigma_k = np.where(gap.known, gap.surface_sigma_k, read_sigma_k)
    return Gaps(gap_k=comparison.difference_k, sigma_k=sigma_k, half_k=comparison.quantile[case] * sigma_k)


def is_plain(least_k: Floats, hotter_k: Floats, cooler_k: Floats, marks: WatchMarks) -> Bools:
    """True where a gap is too clear to be called even.

    Parameters
    ----------
    least_k : float array
        Near end of the 95 % interval of the gap [K].
    hotter_k, cooler_k : float array
        Rises of the two sides [K].
    marks : WatchMarks

    Returns
    -------
    bool array
        The interval lies beyond the watch difference, and the rises are apart by the watch ratio or more.
    """
    apart = hotter_k >= marks.watch_ratio * np.maximum(cooler_k, 0.0)
    plain: Bools = (least_k >= marks.watch_difference_k) & apart
    return plain
