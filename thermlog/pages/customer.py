"""The sheet for the person who owns the vehicle: plain words, no percentages, no cause as a fact."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.customerwords import (
    AGAIN,
    LARGE,
    MEANS,
    NOT_MOVED,
    REFUSED,
    REFUSED_MOVING,
    SAME_AGAIN,
    SMALL,
    SURE,
    TELL_FIRST,
    UNTIL,
    WHY_OPEN,
    Gist,
    maybe_means,
    urgent_means,
    urgent_said,
)
from thermlog.pages.plan import PlanView, State, plan_of
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both, seen
from thermlog.pages.vehicle import about_air, name_of
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text
from thermlog.reports.summary import large_gap, moving
from thermlog.reports.wording import corners_in_words, moment
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, corner_name, corner_words, mate_of

if TYPE_CHECKING:
    from thermlog.pages.dossier import Dossier
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Answer, Diagnosis
    from thermlog.words.reasons import ReasonCode

_ONLY_OPEN: frozenset[Gist] = frozenset({"maybe", "unknown", "all_hot"})
_UNLIKE_AXLES: frozenset[ReasonCode] = frozenset({"axles_unlike", "both_sides_cold", "both_sides_hot"})
_FEW_AXLES = 2  # of a vehicle whose tiles have room for large letters on one sheet
WHEEL_WORDS: dict[State, str] = {
    "hot": "Too hot",
    "cold": "Too cool",
    "watch": "To be watched",
    "even": "Usual",
    "cannot_tell": "Cannot tell",
    "urgent": "Stop",
    "not_read": "Not measured",
}


class CustomerView(Struct, frozen=True, kw_only=True):
    """Everything on the sheet."""

    name: str
    state: State
    found: tuple[Dual, ...]
    facts: tuple[Dual, ...]
    plan: PlanView
    words: dict[State, str]
    means: tuple[str, ...]
    sure: tuple[str, ...]
    until: tuple[str, ...]
    steps: tuple[str, ...]
    asks: bool
    refusal: str
    many: bool
    measured: str
    air: Dual
    sha256: str


def customer_page(dossier: Dossier, *, show: Show = "C") -> str:
    """The sheet as HTML.

    Parameters
    ----------
    dossier : Dossier
    show : {"C", "F"}
        Unit that is chosen when the page is opened, and on paper.
    """
    view = customer_view(dossier.diagnosis)
    setup = PageSetup(title=f"{view.name}: your brakes", styles=("customer.css",), show=show)
    return render("customer.html", setup, view)


def customer_view(told: Diagnosis) -> CustomerView:
    """What the owner is told: everything from the answers, nothing from a cause.

    Parameters
    ----------
    told : Diagnosis
    """
    gist = gist_of(told)
    return CustomerView(
        name=name_of(told),
        state=_STATES[gist],
        found=_found(told, gist),
        facts=_facts(told),
        plan=plan_of(told),
        words=WHEEL_WORDS,
        means=_means(told, gist),
        sure=_sure(told, gist),
        until=_until(told, gist),
        steps=_steps(told, gist),
        asks=gist != "nothing",
        refusal=REFUSED.get(gist) or REFUSED_MOVING.get(moving(told), "I do not want this work."),
        many=told.axle_count > _FEW_AXLES,
        measured="at no common time" if told.common_time_s is None else moment(told),
        air=about_air(told),
        sha256=told.log.sha256,
    )


def gist_of(told: Diagnosis) -> Gist:
    """What the three answers come to for the owner; the gravest first.

    Parameters
    ----------
    told : Diagnosis
    """
    drag, idle, heat = (one.answer for one in told.answers.each)
    graver: tuple[tuple[bool, Gist], ...] = (
        (bool(told.urgent), "urgent"),
        (drag == idle == "yes", "both"),
        (drag == "yes", "drags"),
        (idle == "yes", "idles"),
        (heat == "yes", "all_hot"),
        ("watch" in (drag, idle, heat) or bool(_odd_spots(told)), "maybe"),
        ("cannot_tell" in (drag, idle, heat), "unknown"),
    )
    return next((gist for holds, gist in graver if holds), "nothing")


_STATES: dict[Gist, State] = {
    "urgent": "urgent", "drags": "hot", "both": "hot", "idles": "cold", "all_hot": "hot", "maybe": "watch",
    "unknown": "cannot_tell", "nothing": "even",
}  # fmt: skip


def _odd_spots(told: Diagnosis) -> list[str]:
    """What stands out though no answer names it, such as a hub, in words."""
    named = {corner for one in told.answers.each for corner in one.suspected}
    return [
        f"the {SPOT_WORDS[one.spot] or 'brake'} at {corner_words(one.corner, told.axle_count)}"
        for one in told.corners
        if one.verdict in ("hot", "cold", "watch") and one.corner not in named
    ]


def _found(told: Diagnosis, gist: Gist) -> tuple[Dual, ...]:
    drag, idle, heat = told.answers.each
    if gist == "urgent":
        return (
            in_both(lambda show: f"Please leave the vehicle where it is: {'; '.join(_urgent(told, show))}."),
        )
    lines = [
        _named(drag, told, ("seems not to let go", "seem not to let go", "may not let go fully")),
        _named(idle, told, ("seems to do too little", "seem to do too little", "may do too little")),
    ]
    if heat.answer == "yes":
        lines.append("All brakes are hotter than such a drive should leave them.")
    elif heat.answer == "watch":
        lines.append("All brakes are somewhat warmer than usual.")
    lines += [f"Something stands out: {what}." for what in _odd_spots(told)]
    said = [line for line in lines if line]
    if not said:
        said = ["We could not tell from this measurement." if gist == "unknown" else
                "We found nothing out of the ordinary in what we measured."]  # fmt: skip
    return tuple(Dual(seen(line), seen(line)) for line in said)


def _named(answer: Answer, told: Diagnosis, verbs: tuple[str, str, str]) -> str:
    if not answer.suspects or not answer.corners:
        return ""
    one, many, maybe = verbs
    what = "One brake" if len(answer.corners) == 1 else f"{len(answer.corners)} brakes"
    verb = maybe if answer.answer == "watch" else one if len(answer.corners) == 1 else many
    return f"{what} {verb}: {corners_in_words(answer.corners, told.axle_count)}."


def _facts(told: Diagnosis) -> tuple[Dual, ...]:
    """Temperatures of each brake that is named, beside its partner."""
    named = [
        corner for one in (told.answers.drag, told.answers.idle) if one.suspects for corner in one.corners
    ]
    lines = []
    for corner in dict.fromkeys(named):
        mate = mate_of(corner)
        if mate in named:
            continue
        heights = [found.at_common_degc for name in (corner, mate) if (found := told.corner(name))]
        if len(heights) == 2 and heights[0] is not None and heights[1] is not None:
            own, other = heights[0].value, heights[1].value
            place = corners_in_words((corner,), told.axle_count)
            lines.append(
                in_both(
                    lambda show, own=own, other=other, place=place: (  # type: ignore[misc]
                        f"After the drive {place} was at about {degrees_text(own, show)}. Its partner on the "
                        f"other side was at about {degrees_text(other, show)}. The two should be close."
                    )
                )
            )
    return tuple(lines[:3])


def _urgent(told: Diagnosis, show: Show) -> list[str]:
    """Everything that stops the vehicle, each once."""
    values = ((one, one.value_degc) for one in told.urgent)
    said = (
        urgent_said(one, told, "" if value is None else f"about {degrees_text(value, show)}")
        for one, value in values
    )
    return list(dict.fromkeys(said))


def _means(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    if gist == "urgent":
        return (*urgent_means(told.urgent), *MEANS[gist])
    return (
        maybe_means(told, harmless=moving(told) == "free" and not _is_large(told))
        if gist == "maybe"
        else MEANS[gist]
    )


def _until(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    """What to keep to; the first line is what the technician is told of driving, where that is more."""
    kept = NOT_MOVED.get(moving(told)) if gist in _ONLY_OPEN else None
    return UNTIL[gist] if kept is None else (kept, *UNTIL[gist][1:])


def _sure(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    least = min((one.readings for one in told.corners), default=0)
    rounds = "once" if least == 1 else "twice" if least == 2 else f"{least} times"
    unread = _unread(told)
    shown = "each wheel that gave a reading" if unread else "each wheel that is shown"
    said = [_sure_of(told, gist), f"We measured {shown} at least {rounds}." if least else "", unread]
    if gist not in ("unknown", "nothing"):
        said.append(WHY_OPEN)
    if gist == "drags" and told.answers.idle.answer == "no":
        said.append("We saw no sign of a brake that does nothing. A thermometer alone cannot promise that.")
    return tuple(filter(None, said))


def _sure_of(told: Diagnosis, gist: Gist) -> str:
    return SURE[gist] if gist != "maybe" else LARGE if _is_large(told) else SMALL


def _is_large(told: Diagnosis) -> bool:
    """True for a large gap, or axles unlike, whichever side it comes from."""
    reasons = (reason for one in told.answers.each if one.open for reason in one.reasons)
    return large_gap(told) or any(reason.code in _UNLIKE_AXLES for reason in reasons)


def _unread(told: Diagnosis) -> str:
    """Wheels that gave no reading of their brake."""
    read = {one.corner for one in told.corners if one.spot in BRAKE_SPOTS}
    each = (corner_name(axle, side) for axle in range(1, told.axle_count + 1) for side in SIDES)
    missing = tuple(corner for corner in each if corner not in read)
    if not missing:
        return ""
    where = corners_in_words(missing, told.axle_count)
    return f"No brake temperature of {where}: not measured, or not readable."


def _steps(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    if gist == "nothing":
        return ("Keep this sheet, and measure again at the next service.",)
    if gist == "unknown" and moving(told) == "free":
        return (AGAIN, "Tell you what it shows.")
    if gist == "urgent":
        return (
            "Let it cool where it stands, then look at what was so hot before it is used again.",
            TELL_FIRST,
            SAME_AGAIN,
        )
    corners = dict.fromkeys((*told.answers.drag.suspected, *told.answers.idle.suspected))
    where = corners_in_words(tuple(corners), told.axle_count)
    return (f"Look at {where or 'the brakes'}{_minutes(told)}.", TELL_FIRST, SAME_AGAIN)


def _minutes(told: Diagnosis) -> str:
    if told.next_check is None:
        return ""
    minutes = f"{told.next_check.minutes:.0f}"
    return f": about {minutes} minute{'' if minutes == '1' else 's'} for the first check"
