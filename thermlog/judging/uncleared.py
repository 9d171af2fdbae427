"""What stands between a log and an all-clear: wheels not read, or not so that they can be judged."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence

from msgspec import Struct

from thermlog.judging.asides import DEAD_PART, WORDS_ALONE, colder_beside, hotter_beside, of_blind
from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.judging.clock_moved import clock_moved
from thermlog.judging.faded import faded_gaps
from thermlog.judging.slips import Walked, slips
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Blind, Case
from thermlog.words.vehicle import SIDES, Vehicle, corner_name, mate_of, split_corner

_BELOW_ANY_AIR = 3.0  # standard uncertainties of the air
_FEWEST_ALIKE = 4  # brakes with the same reading before "all the same" means a gun on hold
_WARM_K = 10.0  # brakes this far above the air differ by tenths
_NO_SOAK_K = 60.0  # heat that soaks out of a parked brake lifts a spot by less; engineering judgement
_OF_ENDS = frozenset({"contradicting_readings", "heats_standing"})
_BY_TIMES = _OF_ENDS | {"rising", "standing", "cools_too_fast"}
_FAST_SPREADS = 2.5  # of what is believed of time constants: quicker than any brake; engineering judgement
_TWICE = 2
_NO_HEAT = 0.6  # of the least known rise: a brake that does nothing keeps so much at most; judgement


class ShownTogether(Struct, frozen=True, kw_only=True):
    """All readings of one case together.

    Attributes
    ----------
    hottest_degc : float
    all_alike : bool
        True if readings of several warm brakes are the same to the last digit: a gun on hold.
    coldest_degc : float
    elsewhere : frozenset of str
        Corners whose brake was read at another spot than the one that speaks for its axle.
    common_time_s : float or None
        At which left and right stand beside each other.
    walked : sequence of (int, str)
        Lines with the corners that were read there, in order; empty where every word for a wheel is known.
    """

    hottest_degc: float
    all_alike: bool
    coldest_degc: float = -math.inf
    elsewhere: frozenset[str] = frozenset()
    common_time_s: float | None = None
    walked: Walked = ()


def shown_by(sides: Sequence[SideNumbers], ambient_degc: float | None) -> ShownTogether:
    """What all readings of a case have in common.

    Parameters
    ----------
    sides : sequence of SideNumbers
        Both sides of every axle.
    ambient_degc : float or None
    """
    low = min((one.coldest_degc for one in sides if one.coldest_degc is not None), default=math.inf)
    high = max((one.hottest_degc for one in sides if one.hottest_degc is not None), default=-math.inf)
    warm = ambient_degc is not None and high - ambient_degc > _WARM_K
    brakes = sum(one.readings > 0 for one in sides)
    alike = low == high and brakes >= _FEWEST_ALIKE and warm
    return ShownTogether(hottest_degc=high, all_alike=alike, coldest_degc=low)


class Uncleared(Struct, frozen=True, kw_only=True):
    """Reasons why something cannot be cleared.

    Attributes
    ----------
    corners : dict of str to Reason
        Corners that the log, the description or the other axles imply, and that cannot be judged.
    whole : tuple of Reason
        What keeps the whole vehicle from being judged, or from being cleared.
    blocks_all : bool
        True if nothing can be judged at all.
    cold : tuple of Reason
        Readings as cold as a brake that does nothing, without a wheel or thrown out: none is cleared of that.
    """

    corners: dict[str, Reason]
    whole: tuple[Reason, ...]
    blocks_all: bool
    cold: tuple[Reason, ...] = ()

    @property
    def late(self) -> frozenset[str]:
        """Corners read so late, or so quick to lose their heat, that a fault may no longer show."""
        spoilt = {"read_too_late", "cools_too_fast"}
        return frozenset(c for c, reason in self.corners.items() if reason.code in spoilt)

    @property
    def reasons(self) -> tuple[Reason, ...]:
        """All of them: first what concerns everything, then corners with the same reason together."""
        return (*self.whole, *_joined(self.corners))


def uncleared_of(
    case: Case, vehicle: Vehicle, axles: Mapping[int, AxleNumbers], policy: Policy, reading: ShownTogether
) -> Uncleared:
    """What cannot be cleared, and why.

    Parameters
    ----------
    case : Case
    vehicle : Vehicle
        As judged with: stated, or from the positions alone.
    axles : mapping of int to AxleNumbers
        Axles with a brake that was read.
    policy : Policy
    reading : ShownTogether
        Of all readings of the case.

    Returns
    -------
    Uncleared
    """
    moved = clock_moved(case, policy)
    corners = faded_gaps(case, axles, policy, reading.common_time_s)
    corners |= _unjudged_corners(case, vehicle, axles, policy, reading)
    barring = (*_without_air_or_brake(case, axles), *moved, *_not_as_read(case, reading))
    no_wheel = [one for one in case.blind if one.corner is None]
    unknown = [one for one in no_wheel if one.code not in WORDS_ALONE]
    known = slips(unknown, axles, reading.walked)
    strange = [one for one in unknown if corners or _strange(one, known) or not _among(one, reading)]
    cold = [one for one in unknown if one not in strange and _without_heat(one, reading, case)]
    idle = (of_blind(one) for one in no_wheel if one.code == "said_idle")
    if moved:  # what a curve says by such times is nothing by itself
        corners = {corner: reason for corner, reason in corners.items() if reason.code not in _BY_TIMES}
    return Uncleared(
        corners=corners,
        whole=(*barring, *_unread(case), *_no_wheels(strange)),
        blocks_all=bool(barring),
        cold=(*_no_wheels(cold), *_dead_aside(axles), *_colder_aside(case, vehicle, axles, policy), *idle),
    )


def _wheels(case: Case, vehicle: Vehicle, axles: Mapping[int, AxleNumbers]) -> Iterator[tuple[int, str]]:
    """Axle and corner of every wheel that has work, as far as vehicle, readings and words tell."""
    blind = (split_corner(one.corner)[0] for one in case.blind if one.corner is not None)
    highest = max(len(vehicle.axles), *axles, *blind, spoken_of(case, vehicle))
    for number in range(1, highest + 1):
        if not vehicle.has_no_work(number):
            yield from ((number, corner_name(number, side)) for side in SIDES)


def _unjudged_corners(
    case: Case, vehicle: Vehicle, axles: Mapping[int, AxleNumbers], policy: Policy, reading: ShownTogether
) -> dict[str, Reason]:
    """Why each corner that cannot be judged, or is hotter than what votes, is not cleared."""
    blind, corners = _by_corner(case.blind), {}
    spoils = _Spoils(
        below_k=_air_k(case, policy),
        late_s=policy.latest_reading_s if case.parked_known else math.inf,
        fast=_all_fast(axles, policy),
        apart_k=policy.watch_difference_k,
    )
    for number, corner in _wheels(case, vehicle, axles):
        mine = blind.get(corner, [])
        reason = _unjudged(corner, axles.get(number), mine, spoils)
        if reason is not None and reason.code == "not_read" and corner in reading.elsewhere:
            reason = Reason(code="spots_differ", corners=(corner, mate_of(corner)))
        if reason := reason or hotter_beside(corner, axles.get(number), mine, policy):
            corners[corner] = reason
    return corners


def _colder_aside(
    case: Case, vehicle: Vehicle, axles: Mapping[int, AxleNumbers], policy: Policy
) -> Iterator[Reason]:
    """Readings beside those that vote, of a brake that may do nothing."""
    blind = _by_corner(case.blind)
    for number, corner in _wheels(case, vehicle, axles):
        yield from colder_beside(corner, axles.get(number), blind.get(corner, []), policy, case.ambient_degc)


def _without_air_or_brake(case: Case, axles: Mapping[int, AxleNumbers]) -> Iterator[Reason]:
    """What lacks altogether."""
    if case.ambient_degc is None:
        yield Reason(code="no_ambient")
    if not axles:
        yield Reason(code="no_brake_read")


def _not_as_read(case: Case, reading: ShownTogether) -> Iterator[Reason]:
    """Why the readings cannot be what a gun showed at their times."""
    for first, later in case.impossible_pace[:1]:
        yield Reason(code="impossible_pace", numbers=_lines(first, later))
    if reading.all_alike:
        yield Reason(code="held", numbers={"value_degc": reading.hottest_degc})


def _no_wheels(found: Sequence[Blind]) -> Iterator[Reason]:
    """One reason for each word nobody knows, with the first and the last line it stands in, and how often."""
    lines: dict[str, list[int]] = {}
    for one in found:
        lines.setdefault(one.quoted, []).append(one.line)
    for quoted, mine in lines.items():
        numbers = {"line": float(mine[0])}
        if mine[-1] > mine[0]:
            numbers["next_line" if len(mine) == _TWICE else "last_line"] = float(mine[-1])
            numbers |= {"readings": float(len(mine))} if len(mine) > _TWICE else {}
        yield Reason(code="unknown_wheel", numbers=numbers, quoted=quoted)


def _lines(first: int, later: int) -> dict[str, float]:
    """Two lines, or the one line of a table with a column a wheel in which both stand."""
    return {"line": float(first)} | ({} if later == first else {"next_line": float(later)})


def _unread(case: Case) -> tuple[Reason, ...]:
    """What was seen in words nobody knows: it may be smoke; and a doubt of no one wheel."""
    return tuple(
        of_blind(one)
        for one in case.blind
        if one.code == "unread_sight" or (one.code in {"doubted", "said_stuck"} and one.corner is None)
    )


def spoken_of(case: Case, vehicle: Vehicle) -> int:
    """Axles that the log's words speak of; a description says it better."""
    return 0 if vehicle.stated else case.axles_least


class _Spoils(Struct, frozen=True, kw_only=True):
    """When readings that vote tell nothing of their brake.

    Those further below the stated air than `below_k` are no brake's, or the air is wrong, however often
    taken. Those first taken later than `late_s` show no brake that dragged and has cooled since. `fast`: all
    lose their heat as no brake does. Two readings nearer than `apart_k` at one time leave no fault between
    them.
    """

    below_k: float
    late_s: float
    fast: bool
    apart_k: float

    def below_air(self, side: SideNumbers) -> bool:
        """True if nothing can be made of this side: it is colder than the air."""
        return side.rise_k is not None and side.rise_k < -self.below_k

    def late(self, side: SideNumbers) -> bool:
        """True if the first reading came too long after the wheels stopped."""
        return side.first_s is not None and side.first_s > self.late_s


def fastest_tau_s(policy: Policy) -> float:
    """Time constant below which no brake cools by itself [s]: wet, not a brake, or another air."""
    discs = policy.tau_disc_s * math.exp(-_FAST_SPREADS * policy.tau_disc_spread)
    return min(discs, policy.tau_drum_s * math.exp(-_FAST_SPREADS * policy.tau_drum_spread))


def _all_fast(axles: Mapping[int, AxleNumbers], policy: Policy) -> bool:
    """True where two brakes and more were read, and all lose their heat as no brake does."""
    taus = [
        side.tau_s
        for numbers in axles.values()
        for side in numbers.sides
        if side.used and side.tau_s is not None
    ]
    return len(taus) > 1 and max(taus) < fastest_tau_s(policy)


def _air_k(case: Case, policy: Policy) -> float:
    """How far below the stated air a reading is no brake's any more [K]."""
    return _BELOW_ANY_AIR * (case.ambient_sigma_k or policy.ambient_sigma_k)


def _strange(one: Blind, known: Sequence[Blind]) -> bool:
    """True where a wheel of its own may stand: a trailer's brake drags or is dead at any temperature.

    A row that names a known wheel with a question mark, or none in a line of another shape, is not one.
    """
    return one.code == "unknown_wheel" and one not in known


def _among(one: Blind, reading: ShownTogether) -> bool:
    """True for a reading no hotter than those of the known wheels: one of theirs, set aside."""
    return one.code != "over_range" and one.value_degc is not None and one.value_degc <= reading.hottest_degc


def _without_heat(one: Blind, reading: ShownTogether, case: Case) -> bool:
    """True for a reading far colder than any known wheel's: it may be of a brake that does nothing."""
    if one.value_degc is None or case.ambient_degc is None:
        return False
    return one.value_degc - case.ambient_degc < _NO_HEAT * (reading.coldest_degc - case.ambient_degc)


def _by_corner(blind: tuple[Blind, ...]) -> dict[str, list[Blind]]:
    found: dict[str, list[Blind]] = {}
    for one in blind:
        if one.corner is not None:
            found.setdefault(one.corner, []).append(one)
    return found


def _unjudged(corner: str, numbers: AxleNumbers | None, blind: list[Blind], spoils: _Spoils) -> Reason | None:
    """Why a corner cannot be judged; a reading above the gun's range counts whatever else was read there."""
    over = next((one for one in blind if one.code == "over_range"), None)
    if over is not None:
        return of_blind(over, corner)
    side = None if numbers is None else numbers.side(corner)
    if side is not None and side.used and spoils.late(side):
        return _too_late(side, spoils)
    mate = None if numbers is None else numbers.side(mate_of(corner))
    if side is not None and side.readings and (code := _unfitted(side, mate)):
        return _contradicting(side, code) if code in _OF_ENDS else Reason(code=code, corners=(corner,))
    if side is None or side.used == 0:
        tried = [one for one in blind if one.code not in WORDS_ALONE]
        return of_blind(tried[0], corner) if tried else Reason(code="not_read", corners=(corner,))
    return _of_fitted(side, spoils)


def _of_fitted(side: SideNumbers, spoils: _Spoils) -> Reason | None:
    """Why a side with a curve cannot be judged by it."""
    corners = (side.corner,)
    if spoils.below_air(side):
        return Reason(code="below_air", corners=corners, numbers={"below_k": -(side.rise_k or 0.0)})
    if _contradicts(side) and (side.most_k or 0.0) - (side.rise_k or 0.0) >= spoils.apart_k:
        return _contradicting(side)  # the hotter one was thrown out, and may be the right one
    return Reason(code="cools_too_fast", corners=corners, numbers=_minutes(side)) if spoils.fast else None


def _contradicts(side: SideNumbers) -> bool:
    """True where one of two readings was thrown out: either may be the odd one."""
    return side.single and side.in_doubt


def _dead_aside(axles: Mapping[int, AxleNumbers]) -> tuple[Reason, ...]:
    """Brakes of whose two readings the one that was thrown out is that of a brake that does nothing.

    They drag no less for that: only whether they work stays open.
    """
    sides = (side for numbers in axles.values() for side in numbers.sides if _contradicts(side))
    return tuple(
        _contradicting(side) for side in sides if (side.least_k or 0.0) < DEAD_PART * (side.rise_k or 0.0)
    )


def _contradicting(side: SideNumbers, code: ReasonCode = "contradicting_readings") -> Reason:
    """A reason that tells the coldest and the hottest reading."""
    ends = {"low_degc": side.coldest_degc, "high_degc": side.hottest_degc}
    told = {name: value for name, value in ends.items() if value is not None}
    return Reason(code=code, corners=(side.corner,), numbers=told)


def _minutes(side: SideNumbers) -> dict[str, float]:
    """Time constant, in which two thirds of the heat go."""
    return {} if side.tau_s is None else {"minutes": side.tau_s / 60.0}


def _too_late(side: SideNumbers, spoils: _Spoils) -> Reason:
    numbers = {"minutes": (side.first_s or 0.0) / 60.0, "latest": spoils.late_s / 60.0}
    return Reason(code="read_too_late", corners=(side.corner,), numbers=numbers)


def _unfitted(side: SideNumbers, mate: SideNumbers | None) -> ReasonCode | None:
    """Why a corner with readings has no curve to be judged by."""
    if side.rising:
        if side.readings == _TWICE and mate is not None and mate.readings and not mate.rising:
            return "contradicting_readings"  # one that missed, as likely as heat that comes out
        climb_k = (side.hottest_degc or 0.0) - (side.coldest_degc or 0.0)
        odd: ReasonCode = "heats_standing" if side.climbing else "contradicting_readings"
        return odd if climb_k > _NO_SOAK_K else "rising"
    if side.unchanged or (side.standing and side.hottest_degc == side.coldest_degc):
        return "held"
    if side.standing:
        return "standing"
    return "no_times" if side.used == 0 else None


_TOGETHER = frozenset(
    {"not_read", "rising", "held", "standing", "no_times", "read_too_late", "cools_too_fast"}
)


def _joined(corners: dict[str, Reason]) -> list[Reason]:
    """Corners with one and the same reason in one, with the least of each of its numbers."""
    found: list[Reason] = []
    for reason in corners.values():
        same = next((k for k, one in enumerate(found) if one.code == reason.code), None)
        if same is None or reason.code not in _TOGETHER:
            found.append(reason)
        else:
            both = (*found[same].corners, *reason.corners)
            least = {name: min(value, reason.numbers[name]) for name, value in found[same].numbers.items()}
            found[same] = Reason(code=reason.code, corners=both, numbers=least)
    return found
