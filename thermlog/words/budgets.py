"""Where the uncertainty of a difference comes from: what ``--explain`` adds."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct

from thermlog.words.bounds import AxleNumber, Share
from thermlog.words.vehicle import Spot


class Contribution(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """One source of uncertainty of a difference.

    Attributes
    ----------
    source : str
        In plain words.
    sigma_k : float
        Standard uncertainty it brings [K].
    share : float
        Part of the whole variance, 0 to 1.
    """

    source: str
    sigma_k: float
    share: Share


class Budget(Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """Uncertainty of left minus right on one axle, source by source.

    Attributes
    ----------
    axle : int
        From the front.
    spot : str
        What was aimed at.
    covers : {"indicated", "surface"}
        What an error-free gun of the same setting would show, or the metal itself.
    difference_k : float
        What the budget is of [K].
    sigma_k : float
        Its combined standard uncertainty [K].
    contributions : tuple of Contribution
        Largest first; their variances add up to ``sigma_k ** 2``.
    """

    axle: AxleNumber
    spot: Spot
    covers: Literal["indicated", "surface"]
    difference_k: float
    sigma_k: float
    contributions: tuple[Contribution, ...]
