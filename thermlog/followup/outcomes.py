"""The last log against the first, axle by axle: what is new, and what became of what stood out before."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import PurePath
from typing import Literal, TypeAlias

from msgspec import Struct
from msgspec.structs import replace

from thermlog.followup.besideothers import beside_others
from thermlog.followup.readwell import too_thin
from thermlog.followup.sameness import unlike_vehicles
from thermlog.followup.troubles import Trouble, seen_well, told_at, troubles_of
from thermlog.followup.watchline import COLD, GENTLE, Weight, heat_share, watch_line_k, weigh_gap
from thermlog.words.estimates import Estimate, change
from thermlog.words.findings import Diagnosis
from thermlog.words.moments import moment_shown
from thermlog.words.policy import Policy
from thermlog.words.reasons import ChangeCode, Reason, ReasonCode
from thermlog.words.vehicle import BRAKE_SPOTS, HUB_SPOT, Spot, mate_of, split_corner

Outcome: TypeAlias = Literal[
    "new_fault", "new_watch", "not_repaired", "cannot_tell", "better", "repaired", "not_asked"
]
# The worst first; what is new comes before whatever was repaired.
BY_WEIGHT: tuple[Outcome, ...] = (
    "new_fault", "new_watch", "not_repaired", "cannot_tell", "better", "repaired", "not_asked",
)  # fmt: skip
_Said: TypeAlias = tuple[Outcome, tuple[Reason, ...]]
_STILL: dict[str, ChangeCode] = {"drag": "still_hot", "idle": "still_cold", "hub": "still_hub"}
# By whether the first log could tell, and whether it is called.
_NEW_HEAT: dict[tuple[bool, bool], ChangeCode] = {
    (True, True): "new_all_hot", (True, False): "new_all_warm",
    (False, True): "found_all_hot", (False, False): "found_all_warm",
}  # fmt: skip


class Beside(Struct, frozen=True, kw_only=True):
    """First and last log, and the marks.

    Attributes
    ----------
    before, after : Diagnosis
    policy : Policy
        Of the last log.
    braked_apart : bool
        True for drives without braking where those with braking are set against each other, too: whether a
        brake works is then told there.
    """

    before: Diagnosis
    after: Diagnosis
    policy: Policy
    braked_apart: bool = False

    def troubles(self, found: Diagnosis, number: int) -> tuple[Trouble, ...]:
        """What one of the logs holds against an axle, as far as this pair can tell what became of it."""
        return tuple(
            one for one in troubles_of(found, number) if not (self.braked_apart and one.kind == "idle")
        )

    @property
    def other_vehicle(self) -> Reason | None:
        """Why the two logs are not of one vehicle."""
        return unlike_vehicles((self.before, self.after))

    @property
    def unlike_drives(self) -> bool:
        """True for coasting beside braking; a verification drive repeats whatever came before."""
        kinds = {self.before.drive, self.after.drive} - {None, "verification"}
        return len(kinds) > 1

    @property
    def hot_before(self) -> frozenset[str]:
        """Corners whose brake was called hot in the first log."""
        drag = self.before.answers.drag
        return frozenset(drag.corners if drag.answer == "yes" else ())

    @property
    def odd(self) -> frozenset[str]:
        """Corners of brakes that were called or watched in the first log, or are called in the last one."""
        before, after = (
            [one for number in {c.axle for c in log.corners} for one in troubles_of(log, number)]
            for log in (self.before, self.after)
        )
        held = [*before, *(one for one in after if one.called)]
        return frozenset(one.corner for one in held if one.kind != "hub")


class _Axle(Struct, frozen=True, kw_only=True):
    """One axle of both logs."""

    beside: Beside
    number: int
    earlier: tuple[Trouble, ...]
    now: tuple[Trouble, ...]

    @property
    def fresh(self) -> tuple[Trouble, ...]:
        """What is held against a place that nothing was held against before.

        A gap of which it is open which side is odd is the old one as long as it points the way it did.
        """
        places = {one.place for one in self.earlier}
        ways = {_hotter(one) for one in self.earlier if one.kind != "hub"}
        new = (
            one
            for one in self.now
            if one.place not in places and not (one.open_side and _hotter(one) in ways)
        )
        return tuple(sorted(new, key=_unlikely))

    @property
    def still(self) -> tuple[Trouble, ...]:
        """What is held against this axle as before."""
        return tuple(one for one in self.now if one not in self.fresh)

    def brakes(self, troubles: tuple[Trouble, ...]) -> tuple[Trouble, ...]:
        """Without the hubs."""
        return tuple(one for one in troubles if one.kind != "hub")


def logs_in_order(first: Diagnosis, second: Diagnosis) -> str:
    """Two logs as they were given, each with its date."""
    told = (f"{PurePath(one.log.file).name} of {moment_shown(one.taken_at)}" for one in (first, second))
    return ", then ".join(told)


def outcome_of(beside: Beside, number: int) -> tuple[Outcome, tuple[Reason, ...]]:
    """What the last log says of one axle beside the first.

    Parameters
    ----------
    beside : Beside
    number : int
        Axle.

    Returns
    -------
    outcome, reasons
        ``"not_asked"`` where the first log held nothing against this axle and the last one does not, or
        where the logs are of two vehicles.
    """
    if (unlike := beside.other_vehicle) is not None:
        return "not_asked", (unlike,)
    axle = _Axle(
        beside=beside,
        number=number,
        earlier=beside.troubles(beside.before, number),
        now=beside.troubles(beside.after, number),
    )
    if number > beside.after.axle_count:  # the last log does not know of it
        return "cannot_tell", (Reason(code="not_read", corners=(f"{number}L", f"{number}R")),)
    outcome, reasons = _repair(axle)
    fresh = axle.fresh
    if not fresh:
        return outcome, reasons
    told = [reason for one in fresh for reason in _told_new(one, beside)]
    told += [] if outcome == "not_asked" else reasons
    once = tuple(reason for k, reason in enumerate(told) if reason not in told[:k])
    return ("new_fault" if any(one.called for one in fresh) else "new_watch"), once


def worst_of(said: Sequence[tuple[Outcome, tuple[Reason, ...]]]) -> int:
    """Place of the gravest of several outcomes of one axle, each of a pair of like drives.

    A pair in which the gap was small before, too, shows no change and counts only where no other shows one.
    """
    shown = any(outcome in {"repaired", "better"} for outcome, _ in said)
    places = range(len(said))
    telling = [k for k in places if not (shown and _never_apart(said[k]))] or list(places)
    return min(telling, key=lambda k: BY_WEIGHT.index(said[k][0]))


def _never_apart(said: tuple[Outcome, tuple[Reason, ...]]) -> bool:
    return said[0] == "cannot_tell" and {reason.code for reason in said[1]} == {"gap_change_unclear"}


# --- what is new --------------------------------------------------------------------------------------------


def _unlikely(one: Trouble) -> float:
    """Of a gap that two brakes explain the likelier one comes first; all else stays in its order."""
    shares = {name: share for reason in one.reasons for name, share in reason.numbers.items()}
    share = shares.get(f"share_{one.kind}")
    return 0.0 if one.called or not one.open_side or share is None else 1.0 - share


def _hotter(one: Trouble) -> str:
    """The side that is hotter if this is so."""
    return mate_of(one.corner) if one.kind == "idle" else one.corner


def _told_new(one: Trouble, beside: Beside) -> tuple[Reason, ...]:
    """That it is new, and what the log itself says of it."""
    if one.whole:
        return Reason(code=_NEW_HEAT[beside.before.answers.heat.answer == "no", one.called]), *one.reasons[:1]
    knew = told_at(beside.before, one.corner, one.kind, beside.policy)
    if one.kind == "idle":
        knew = knew or one.corner in beside.hot_before  # it made heat, more than it should have
    code: ReasonCode
    if one.kind == "hub":
        code = "new_hub" if knew else "found_hub"
    elif one.kind == "drag":
        code = ("new_fault" if knew else "found_hot") if one.called else "new_watch"
    else:
        code = ("now_idle" if knew else "found_cold") if one.called else "maybe_now_idle"
    return Reason(code=code, corners=(one.corner,)), *one.reasons[:1]


# --- what became of it --------------------------------------------------------------------------------------


def _repair(axle: _Axle) -> _Said:
    if not axle.earlier:
        return "not_asked", (Reason(code="nothing_flagged_before"),)
    beside = axle.beside
    still = axle.brakes(axle.still)
    if beside.unlike_drives and any(one.called and one.kind == "drag" for one in still):
        return "not_repaired", _still(still)  # a brake that drags does so on any drive
    if beside.unlike_drives:
        drives = f"{beside.before.drive}, then {beside.after.drive}"
        return "cannot_tell", (Reason(code="drives_unlike", quoted=drives), *_still(axle.still))
    parts: list[_Said] = [_hub(axle, one) for one in axle.earlier if one.kind == "hub"]
    if brakes := axle.brakes(axle.earlier):
        whole = len({_hotter(one) for one in brakes}) > 1
        parts.insert(0, _whole_axle(axle, brakes) if whole else _gap(axle, brakes[0]))
    outcome = min((part[0] for part in parts), key=BY_WEIGHT.index)
    return outcome, tuple(reason for _, reasons in parts for reason in reasons)


def _still(troubles: tuple[Trouble, ...]) -> tuple[Reason, ...]:
    """One reason a kind for what is still held against the same places."""
    heats = dict.fromkeys(one.called for one in troubles if one.whole)
    found = [Reason(code="still_all_hot" if called else "still_all_warm") for called in heats]
    alone = [one for one in troubles if not one.whole]
    for kind in ("drag", "idle", "hub"):
        for called in (True, False):
            corners = tuple(one.corner for one in alone if one.kind == kind and one.called == called)
            if corners:
                found.append(Reason(code=_STILL[kind] if called else "still_watched", corners=corners))
    return tuple(found)


def _gap(axle: _Axle, odd: Trouble) -> _Said:
    """One side stood out: left against right."""
    beside, hot = axle.beside, _hotter(odd)
    was, now = (_toward(one, hot) for one in (beside.before, beside.after))
    line_k = _line_k(axle)
    # beside a brake that drags its mate does its part on both drives
    mate = mate_of(odd.corner) if odd.kind == "drag" else None
    share = heat_share(beside.before, beside.after, axle.number, beside.odd, mate=mate)
    weighed = weigh_gap(now, was, line_k, share)
    pair = (hot, mate_of(hot))
    reasons = (Reason(code=weighed.code, corners=pair, numbers=weighed.numbers),)
    still = axle.brakes(axle.still)
    if any(one.called for one in still):
        return "not_repaired", (*_still(still), *reasons)
    outcome, held = _held_back(axle, odd, weighed.outcome, share)
    return outcome, (*reasons, *held)


def _held_back(axle: _Axle, odd: Trouble, outcome: Weight, share: float) -> _Said:
    """The gap's own outcome, less where the log is too thin, the drive gentle, or a question still open."""
    if outcome == "not_repaired":
        return outcome, _still(axle.brakes(axle.still))
    pair = (_hotter(odd), mate_of(_hotter(odd)))
    gentle = (Reason(code="less_heat", numbers={"share_heat": share}),) if share < GENTLE else ()
    if thin := too_thin(axle.beside.before, axle.beside.after, pair, _line_k(axle)):
        return "cannot_tell", (*thin, *gentle)
    held = (*_still(axle.brakes(axle.still)), *gentle)
    if outcome == "cannot_tell" or share < COLD:
        return "cannot_tell", held
    held = (*held, *_not_told(axle.beside, odd, pair))
    return ("better" if held else outcome), held


def _line_k(axle: _Axle) -> float:
    return watch_line_k(axle.beside.after, axle.number, axle.beside.policy)


def _not_told(beside: Beside, odd: Trouble, pair: tuple[str, ...]) -> tuple[Reason, ...]:
    """What the last log cannot tell of these brakes: whether they drag, and whether they work."""
    after, policy = beside.after, beside.policy
    found: list[Reason] = []
    if any(not told_at(after, corner, "drag", policy) for corner in pair):
        found += [reason for reason in after.answers.drag.reasons if reason not in found][:1]
    braked = after.drive != "coast" or odd.kind == "idle"
    if braked and any(not told_at(after, corner, "idle", policy) for corner in pair):
        found += [Reason(code="idle_not_told", corners=pair), *after.answers.idle.reasons[:1]]
    return tuple(found)


def _toward(found: Diagnosis, hot: str) -> Estimate | None:
    """Left against right, positive if the corner `hot` is the hotter one [K]."""
    number, side = split_corner(hot)
    axle = found.axle(number)
    gap = None if axle is None else axle.difference_k
    return gap if gap is None or side == "L" else gap.turned


def _whole_axle(axle: _Axle, brakes: tuple[Trouble, ...]) -> _Said:
    """Both sides stood out alike: their own heights, which the drive sets too, then the other axles."""
    corners = tuple(dict.fromkeys(one.corner for one in brakes))
    still = axle.brakes(axle.still)
    if any(one.called for one in still):
        return "not_repaired", _still(still)
    beside = axle.beside
    back = all(_came_back(beside, one) for one in brakes)
    if still and not back:
        return "not_repaired", _still(still)
    held = (*_still(still), *too_thin(beside.before, beside.after, corners, _line_k(axle)))
    told = all(told_at(beside.after, one.corner, one.kind, beside.policy) for one in brakes)
    if back and told and not held:
        return _whole_back(axle, brakes, corners)
    return "cannot_tell", (Reason(code="both_sides_before", corners=corners), *held)


def _whole_back(axle: _Axle, brakes: tuple[Trouble, ...], corners: tuple[str, ...]) -> _Said:
    """An axle whose both sides came back: even again where it did so beside the other axles, too."""
    beside, drags = axle.beside, brakes[0].kind == "drag"
    share = heat_share(beside.before, beside.after, axle.number, beside.odd)
    # where an axle works again the others have less to do, and a dead one is cold after any drive
    too_little = share < (GENTLE if drags else COLD)
    gentle = (Reason(code="less_heat", numbers={"share_heat": share}),) if too_little else ()
    line_k = _line_k(axle)
    shown = beside_others((beside.before, beside.after), axle.number, beside.odd, line_k)
    if shown is None or gentle:
        return "better", (
            Reason(code="both_sides_less" if drags else "both_sides_more", corners=corners),
            *gentle,
        )
    answer = beside.after.answers.drag if drags else beside.after.answers.idle
    even = shown.lies_even(hot=drags) and not (answer.open and beside.after.drive != "coast")
    return ("repaired" if even else "better"), (replace(shown.reason, corners=corners),)


def _came_back(beside: Beside, one: Trouble) -> bool:
    """True if a brake that was hot is clearly less so, or one that was cold is clearly warmer."""
    spots = [c.spot for c in beside.before.corners if c.corner == one.corner and c.spot in BRAKE_SPOTS]
    changes = [
        change(*(_rise_k(found, one.corner, spot) for found in (beside.before, beside.after)))
        for spot in spots
    ]
    ends = [found.interval for found in changes if found is not None and found.interval is not None]
    return bool(ends) and all(high < 0.0 if one.kind == "drag" else low > 0.0 for low, high in ends)


def _hub(axle: _Axle, odd: Trouble) -> _Said:
    """A hub beside what it stood out from before: its mate, or the brake beside it."""
    beside, corner = axle.beside, odd.corner
    still = tuple(one for one in axle.still if one.place == odd.place)
    if still:
        return "not_repaired", _still(still)
    if not seen_well(beside.after, corner, "hub"):
        return "cannot_tell", (Reason(code="hub_not_read", corners=(corner,)),)
    by_brake = bool(odd.reasons) and odd.reasons[0].code == "hub_over_brake"
    policy = beside.policy
    line_k = policy.hub_own_heat_k if by_brake else policy.watch_difference_k
    was, now = (_hub_gap(found, corner, by_brake=by_brake) for found in (beside.before, beside.after))
    return _hub_said(was, now, corner, line_k)


def _hub_gap(found: Diagnosis, corner: str, *, by_brake: bool) -> Estimate | None:
    hub = _level_degc(found, corner, HUB_SPOT)
    if not by_brake:
        return change(_level_degc(found, mate_of(corner), HUB_SPOT), hub)
    brakes = (_level_degc(found, corner, spot) for spot in BRAKE_SPOTS)
    return change(next((one for one in brakes if one is not None), None), hub)


def _level_degc(found: Diagnosis, corner: str, spot: Spot) -> Estimate | None:
    one = found.corner(corner, spot)
    return None if one is None else one.at_common_degc


def _rise_k(found: Diagnosis, corner: str, spot: Spot) -> Estimate | None:
    one = found.corner(corner, spot)
    return None if one is None else one.rise_k


def _hub_said(was: Estimate | None, now: Estimate | None, corner: str, line_k: float) -> _Said:
    """Below the line with its whole interval, and clearly less than before; a cool hub has no other line."""
    changed = change(was, now)
    if was is None or now is None or now.high is None or changed is None or changed.high is None:
        return "cannot_tell", (Reason(code="gap_not_comparable", corners=(corner, mate_of(corner))),)
    numbers = {
        "before_k": was.value, "difference_k": now.value, "high_k": now.high, "line_k": line_k,
    }  # fmt: skip
    below, less = now.high < line_k, changed.high < 0.0
    code: ChangeCode = "hub_below_line" if below else "hub_not_below_line"
    reasons = (Reason(code=code, corners=(corner,), numbers=numbers),)
    if below and less:
        return "repaired", reasons
    return ("better" if less else "cannot_tell"), reasons
