"""The vehicle from above: one tile a wheel, front on top, left on the left whatever the writing direction."""

from __future__ import annotations

from typing import Literal, TypeAlias

from msgspec import Struct

from thermlog.pages.shown import Dual, in_both
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text
from thermlog.reports.wording import temperature
from thermlog.words.findings import CornerFinding, Diagnosis
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, axle_words, corner_name, corner_words

State: TypeAlias = Literal["hot", "cold", "watch", "even", "cannot_tell", "urgent", "not_read"]
STATE_WORDS: dict[State, str] = {
    "hot": "HOT",
    "cold": "COLD",
    "watch": "watch",
    "even": "even",
    "cannot_tell": "cannot tell",
    "urgent": "STOP",
    "not_read": "not read",
}


class OtherSpot(Struct, frozen=True, kw_only=True):
    """A hub, rim or tyre read beside the brake of a wheel."""

    name: str
    temp: Dual
    state: State


class Wheel(Struct, frozen=True, kw_only=True):
    """One tile.

    Attributes
    ----------
    corner, name : str
        Code and words.
    state : State
        What the tile says; "not_read" leaves it empty and dotted.
    temp : Dual or None
        Fitted temperature of the brake at the common time.
    expected : Dual or None
        Where 95 of 100 healthy brakes here would read, given the others; None where it cannot be worked out.
    others : tuple of OtherSpot
        What else was read at this wheel.
    """

    corner: str
    name: str
    state: State = "not_read"
    temp: Dual | None = None
    expected: Dual | None = None
    others: tuple[OtherSpot, ...] = ()


class PlanAxle(Struct, frozen=True, kw_only=True):
    """Both wheels of one axle."""

    name: str
    left: Wheel
    right: Wheel


class PlanView(Struct, frozen=True, kw_only=True):
    """All axles from the front."""

    axles: tuple[PlanAxle, ...]

    @property
    def wheels(self) -> tuple[Wheel, ...]:
        """All wheels, from the front, left before right."""
        return tuple(wheel for axle in self.axles for wheel in (axle.left, axle.right))


def plan_of(diagnosis: Diagnosis) -> PlanView:
    """Plan view of one drive.

    Parameters
    ----------
    diagnosis : Diagnosis
    """
    count = max(diagnosis.axle_count, 1)
    return PlanView(
        axles=tuple(
            PlanAxle(
                name=axle_words(number, count),
                left=_wheel(diagnosis, corner_name(number, SIDES[0]), count),
                right=_wheel(diagnosis, corner_name(number, SIDES[1]), count),
            )
            for number in range(1, count + 1)
        )
    )


def _wheel(diagnosis: Diagnosis, corner: str, axle_count: int) -> Wheel:
    name = corner_words(corner, axle_count, diagnosis.called)
    found = sorted(
        (one for one in diagnosis.corners if one.corner == corner),
        key=lambda one: one.spot not in BRAKE_SPOTS,
    )
    urgent = {one.spot for one in diagnosis.urgent if one.corner == corner}
    if not found:
        return Wheel(corner=corner, name=name, state="urgent" if urgent else "not_read")
    brake, others = (found[0], found[1:]) if found[0].spot in BRAKE_SPOTS else (None, found)
    state: State = "not_read" if brake is None else brake.verdict
    return Wheel(
        corner=corner,
        name=name,
        state="urgent" if urgent else state,
        temp=None if brake is None else _temp(brake),
        expected=None if brake is None else _expected(brake),
        others=tuple(_other(one, stops=one.spot in urgent) for one in others),
    )


def _temp(found: CornerFinding) -> Dual | None:
    at = found.at_common_degc
    return None if at is None else in_both(lambda show: degrees_text(at.value, show))


def _expected(found: CornerFinding) -> Dual | None:
    band = found.expected_degc
    if band is None:
        return None
    low, high = band
    return in_both(lambda show: f"{temperature(low, show)} to {degrees_text(high, show)}")


def _other(found: CornerFinding, *, stops: bool) -> OtherSpot:
    return OtherSpot(
        name=SPOT_WORDS.get(found.spot, found.spot) or "brake",
        temp=_temp(found) or Dual("no curve", "no curve"),
        state="urgent" if stops else found.verdict,
    )
