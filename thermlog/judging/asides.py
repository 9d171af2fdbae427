"""What was read or noted at a wheel beside the readings that vote: hotter, colder, or in words.

Set aside, thrown out, felt by a hand or stated in a unit of its own: it may be true, and then the readings
that vote do not clear the wheel.
"""

from __future__ import annotations

from collections.abc import Iterator

from thermlog.inference.thrownout import Stray
from thermlog.judging.axlenumbers import AxleNumbers, SideNumbers
from thermlog.words.policy import Policy
from thermlog.words.reasons import Reason, ReasonCode
from thermlog.words.tables import Blind, BlindCode
from thermlog.words.vehicle import mate_of

# Words without a reading, or beside one that votes: no attempt to read a wheel.
WORDS_ALONE: frozenset[BlindCode] = frozenset({"unread_sight", "doubted", "said_stuck", "said_idle"})
# Words at a wheel that may say how hot it was.
SAID_HOT: frozenset[BlindCode] = frozenset({"unread_cell", "felt_hot", "said_stuck", "doubted"})
_ASIDE = frozenset({"set_aside", "before_parked"})
DEAD_PART = 0.5  # of what its other readings say: a brake that lost much of its work; engineering judgement


def hotter_beside(
    corner: str, numbers: AxleNumbers | None, blind: list[Blind], policy: Policy
) -> Reason | None:
    """Why a wheel is not cleared of dragging though its readings make a curve; None if nothing says so."""
    return (
        _hotter_aside(corner, numbers, blind, policy)
        or _unread_cell(corner, blind)
        or _hotter_thrown_out(corner, numbers, policy)
        or _hotter_in_the_others_unit(corner, numbers, blind, policy)
    )


def colder_beside(
    corner: str, numbers: AxleNumbers | None, blind: list[Blind], policy: Policy, ambient_degc: float | None
) -> Iterator[Reason]:
    """Why a wheel is not cleared of doing nothing: it may be colder than its readings say."""
    said = next((one for one in blind if one.code == "said_idle"), None)
    if said is not None:
        yield of_blind(said, corner)
    if numbers is None:
        return
    found = (
        _colder_in_the_others_unit(corner, numbers, blind, policy)
        or _colder_thrown_out(numbers.side(corner), policy)
        or _colder_aside(numbers.side(corner), blind, policy, ambient_degc)
    )
    if found is not None:
        yield found


def _colder_thrown_out(side: SideNumbers, policy: Policy) -> Reason | None:
    """A reading off the curve that is that of a brake that does nothing, beside no more warm ones."""
    stray, own_k = side.cold_stray, side.rise_k
    if stray is None or own_k is None or side.single or stray.votes > stray.thrown:
        return None
    below_k = own_k - stray.rise_k
    if stray.rise_k >= DEAD_PART * own_k or below_k < policy.watch_difference_k:
        return None
    told = {"line": float(stray.line), "value_degc": stray.value_degc, "below_k": below_k}
    return Reason(code="stray_colder", corners=(side.corner,), numbers=told)


def _colder_aside(
    side: SideNumbers, blind: list[Blind], policy: Policy, ambient_degc: float | None
) -> Reason | None:
    """A reading set aside that is that of a brake that does nothing, beside no more warm ones."""
    values = _set_aside(blind)
    if not values or ambient_degc is None or side.coldest_degc is None:
        return None
    dead_degc = ambient_degc + DEAD_PART * (side.coldest_degc - ambient_degc)
    value_degc, coldest = min(values, key=lambda one: one[0])
    below_k, cold = side.coldest_degc - value_degc, sum(value < dead_degc for value, _ in values)
    if side.used > cold or not cold or below_k < policy.watch_difference_k:
        return None
    told = {"line": float(coldest.line), "value_degc": value_degc, "below_k": below_k}
    return Reason(code="aside_colder", corners=(side.corner,), numbers=told, quoted=coldest.quoted)


def _set_aside(blind: list[Blind]) -> list[tuple[float, Blind]]:
    """Readings set aside, by their temperatures."""
    return [(one.value_degc, one) for one in blind if one.code in _ASIDE and one.value_degc is not None]


def _hotter_aside(
    corner: str, numbers: AxleNumbers | None, blind: list[Blind], policy: Policy
) -> Reason | None:
    """A reading set aside that lies clearly above all that was used there."""
    used_degc = None if numbers is None else numbers.side(corner).hottest_degc
    values = _set_aside(blind)
    if used_degc is None or not values:
        return None
    value_degc, hottest = max(values, key=lambda one: one[0])
    above_k = value_degc - used_degc
    if above_k <= policy.watch_difference_k:
        return None
    told = {"line": float(hottest.line), "value_degc": value_degc, "above_k": above_k}
    code: ReasonCode = "before_parked" if hottest.code == "before_parked" else "aside_hotter"
    return Reason(code=code, corners=(corner,), numbers=told, quoted=hottest.quoted)


def _unread_cell(corner: str, blind: list[Blind]) -> Reason | None:
    """Words in place of a temperature, or in doubt of one, and what a hand felt or found: it may be hot."""
    unread = next((one for one in blind if one.code in SAID_HOT), None)
    return None if unread is None else of_blind(unread, corner)


def _hotter_thrown_out(corner: str, numbers: AxleNumbers | None, policy: Policy) -> Reason | None:
    """A reading off the curve of the others that would make a hot brake of it, and was not read again."""
    if numbers is None or (stray := numbers.far_stray(corner, policy)) is None or stray.contradicted:
        return None
    return of_stray(stray, numbers, corner)


def of_stray(stray: Stray, numbers: AxleNumbers, corner: str) -> Reason:
    """That a reading was thrown out, and whether the wheel was read again since."""
    told = {
        "line": float(stray.line), "value_degc": stray.value_degc,
        "above_k": stray.rise_k - (numbers.side(corner).rise_k or 0.0), "readings": float(stray.since),
    }  # fmt: skip
    code: ReasonCode = "stray_contradicted" if stray.contradicted else "stray_hotter"
    return Reason(code=code, corners=(corner,), numbers=told)


def of_blind(one: Blind, *corners: str) -> Reason:
    """What a reading that tells no temperature is, as a reason; of no wheel, where none is known."""
    code: ReasonCode = one.code
    stated = {} if code != "unread_cell" or one.value_degc is None else {"value_degc": one.value_degc}
    return Reason(code=code, corners=corners, numbers={"line": float(one.line)} | stated, quoted=one.quoted)


def _in_the_others_unit(blind: list[Blind]) -> tuple[Blind, float] | None:
    """A wheel that is stated in a unit of its own, and what it would be in that of the others [°C]."""
    one = next((one for one in blind if one.code == "other_unit"), None)
    return None if one is None or one.value_degc is None else (one, one.value_degc)


def _hotter_in_the_others_unit(
    corner: str, numbers: AxleNumbers | None, blind: list[Blind], policy: Policy
) -> Reason | None:
    """A wheel in a unit of its own that would be hotter than its mate, past the watch mark, in theirs."""
    found = _in_the_others_unit(blind)
    mate_degc = None if numbers is None else numbers.side(mate_of(corner)).hottest_degc
    if found is None or (mate_degc is not None and found[1] - mate_degc <= policy.watch_difference_k):
        return None
    return _of_unit(*found, corner)


def _colder_in_the_others_unit(
    corner: str, numbers: AxleNumbers, blind: list[Blind], policy: Policy
) -> Reason | None:
    """A wheel in a unit of its own that is colder than its mate, as stated or in the unit of the others."""
    found = _in_the_others_unit(blind)
    if found is None:
        return None
    own_degc, mate_degc = numbers.side(corner).hottest_degc, numbers.side(mate_of(corner)).hottest_degc
    if own_degc is None or mate_degc is None:
        return None
    below_k = mate_degc - min(own_degc, found[1])
    return _of_unit(*found, corner) if below_k > policy.watch_difference_k else None


def _of_unit(one: Blind, would_be_degc: float, corner: str) -> Reason:
    told = {"line": float(one.line), "would_be_degc": would_be_degc}
    return Reason(code="other_unit", corners=(corner,), numbers=told, quoted=one.quoted)
