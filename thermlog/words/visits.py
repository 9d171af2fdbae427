"""One check as it is remembered: what was read, and what was worked out of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, TypeAlias

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.words.estimates import Estimate
from thermlog.words.parts import PartAbove
from thermlog.words.tables import Case, Readings
from thermlog.words.vehicle import unit_key

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.words.findings import AnswerWord, PolicyMark

Two: TypeAlias = tuple[float | None, float | None]
LEAST_RATIO_RISE_K = 3.0  # below it a kelvin of the air makes any ratio
_FIRST = (-math.inf, 0)  # place before every visit


class AxleVisit(Struct, frozen=True, kw_only=True):
    """One axle on one visit; pairs are left and right.

    Attributes
    ----------
    axle : int
    rise_k : pair of float or None
        At the common time, as the gun showed it [K].
    variance_k2 : pair of float or None
        What the fit leaves open in each rise, for a given air [K^2].
    difference_k : Estimate or None
        Left minus right [K].
    rise_ratio : Estimate or None
        Hotter over cooler rise; None where the cooler is not clearly above zero.
    p_hot, p_cold : pair of float or None
        Probability that the brake drags; that it does not work.
    of_metal : bool
        True where the emissivities of both sides were stated: the rises are of the metal.
    """

    axle: int
    rise_k: Two
    variance_k2: Two
    difference_k: Estimate | None = None
    rise_ratio: Estimate | None = None
    p_hot: Two = (None, None)
    p_cold: Two = (None, None)
    of_metal: bool = False


class AnswerThen(Struct, frozen=True, kw_only=True):
    """One answer: its word, its probability, the corners it is about."""

    answer: AnswerWord
    p: float | None = None
    corners: tuple[str, ...] = ()


class SaidThen(Struct, frozen=True, kw_only=True):
    """What was said at one check.

    Attributes
    ----------
    axles : tuple of AxleVisit
        Brakes that speak for their axles.
    drag, idle, heat : AnswerThen
    urgent : tuple of str
        Codes of what stops the vehicle.
    parts_above : tuple of PartAbove
        Parts beside the brakes that are watched.
    """

    axles: tuple[AxleVisit, ...] = ()
    drag: AnswerThen
    idle: AnswerThen
    heat: AnswerThen
    urgent: tuple[str, ...] = ()
    parts_above: tuple[PartAbove, ...] = ()

    @property
    def flagged(self) -> bool:
        """True unless every answer is a plain "no", nothing is urgent and no part is watched."""
        plain = all(one.answer == "no" for one in (self.drag, self.idle, self.heat))
        return bool(self.urgent or self.parts_above) or not plain


class Visit(SaidThen, frozen=True, kw_only=True, eq=False):
    """One check of one case.

    Attributes
    ----------
    case : Case
    number : int
        Which case of its log, first 0.
    readings : Readings
        Of this case alone, as read, so that it can be judged again.
    policy : PolicyMark
    settings_key : str
        Digest of everything else that the answers hang on: law, gun, surfaces, vehicle.
    common_time_s : float or None
    """

    case: Case
    number: int
    readings: Readings
    policy: PolicyMark
    settings_key: str
    common_time_s: float | None


class PastVisit(Struct, frozen=True, kw_only=True):
    """One earlier visit of a vehicle.

    Attributes
    ----------
    when : (float, int)
        Place among its visits: when it was driven, else when it was stored, since 1970 [s]; and a number.
    log_sha256 : str
    axles : tuple of AxleVisit
    urgent : tuple of str
        Codes of what stopped the vehicle.
    idle : AnswerThen
        Whether every brake worked.
    """

    when: tuple[float, int]
    log_sha256: str
    axles: tuple[AxleVisit, ...]
    urgent: tuple[str, ...] = ()
    idle: AnswerThen = AnswerThen(answer="cannot_tell")

    def axle(self, number: int) -> AxleVisit | None:
        """One axle; None if it was not read."""
        return next((one for one in self.axles if one.axle == number), None)


class Driven(Struct, frozen=True, kw_only=True):
    """A visit that is judged now, as it will be remembered.

    Attributes
    ----------
    unit : str
        Key of the vehicle.
    visit : PastVisit
    braked : bool
        False for a drive without braking.
    """

    unit: str
    visit: PastVisit
    braked: bool

    @property
    def stopped(self) -> bool:
        """True if it stopped the vehicle."""
        return bool(self.visit.urgent)


class Past(Struct, frozen=True, kw_only=True):
    """Earlier visits of many vehicles, those before a change of parts left out.

    Attributes
    ----------
    units : dict of str to tuple of PastVisit
        In order, by the key of the vehicle; drives without braking are not among them.
    stops : dict of str to tuple of PastVisit
        Those that stopped it, drives without braking among them.
    repaired : frozenset of str
        Logs after which parts were changed, of those that were asked for.
    mended : dict of str to (float, int)
        Place of the last visit of a vehicle after which parts were changed.
    """

    units: dict[str, tuple[PastVisit, ...]]
    stops: dict[str, tuple[PastVisit, ...]] = field(default_factory=dict)
    repaired: frozenset[str] = frozenset()
    mended: dict[str, tuple[float, int]] = field(default_factory=dict)

    def beside(self, driven: Sequence[Driven]) -> Past:
        """The same with visits that are judged now, as if each had been stored on the day it was driven.

        Parameters
        ----------
        driven : sequence of Driven
            They replace what is known of the same logs of their vehicles.
        """
        units, stops, mended = dict(self.units), dict(self.stops), dict(self.mended)
        by_unit: dict[str, list[Driven]] = {}
        for one in driven:
            by_unit.setdefault(one.unit, []).append(one)
        for unit, mine in by_unit.items():
            logs = {one.visit.log_sha256 for one in mine}
            changed = [one.visit.when for one in mine if one.visit.log_sha256 in self.repaired]
            since = max([mended.get(unit, _FIRST), *changed])
            if changed:
                mended[unit] = since
            for known, counts in ((units, "braked"), (stops, "stopped")):
                kept = [one for one in known.get(unit, ()) if one.log_sha256 not in logs]
                kept += [one.visit for one in mine if getattr(one, counts)]
                known[unit] = tuple(sorted((one for one in kept if one.when > since), key=_place))
        return replace(self, units=units, stops=stops, mended=mended)

    def before(self, case: Case) -> tuple[PastVisit, ...]:
        """Visits of the vehicle of a case that were driven before it.

        Parameters
        ----------
        case : Case
            One that was stored itself has the place it was stored with, so that judging it again says the
            same; one without a date comes last.
        """
        return self._earlier(case, self.units)

    def stop_before(self, case: Case) -> PastVisit | None:
        """The last visit before a case, as `before` has it, that stopped its vehicle; None where none did."""
        return next(reversed(self._earlier(case, self.stops)), None)

    def _earlier(self, case: Case, units: dict[str, tuple[PastVisit, ...]]) -> tuple[PastVisit, ...]:
        key = None if case.vehicle is None else unit_key(case.vehicle)
        if key not in units:
            return ()
        known = (*self.units.get(key, ()), *self.stops.get(key, ()))
        last = math.inf if case.taken_s is None else case.taken_s
        own = next((one.when[0] for one in known if one.log_sha256 == case.log.sha256), last)
        earlier = (one for one in units[key] if one.log_sha256 != case.log.sha256)
        return tuple(one for one in earlier if one.when[0] < own)  # at one moment neither came first


def _place(visit: PastVisit) -> tuple[float, int]:
    return visit.when
