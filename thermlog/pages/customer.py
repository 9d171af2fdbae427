"""The sheet for the person who owns the vehicle: plain words, no percentages, no cause as a fact."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

from thermlog.pages.plan import PlanView, State, plan_of
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, in_both, seen
from thermlog.pages.vehicle import about_air, name_of
from thermlog.reports.chartwords import SPOT_WORDS, degrees_text
from thermlog.reports.summary import page_of, urgent_words
from thermlog.reports.wording import corners_in_words, moment
from thermlog.words.vehicle import corner_words, mate_of

if TYPE_CHECKING:
    from thermlog.pages.dossier import Dossier
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Answer, Diagnosis

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
Gist: TypeAlias = Literal["urgent", "drags", "idles", "both", "all_hot", "maybe", "unknown", "nothing"]

_MEANS: dict[Gist, tuple[str, ...]] = {
    "urgent": (
        "Something on this vehicle is so hot, or was seen to be so, that it can fail or catch fire.",
        "It stays where it stands until it has cooled by itself and a qualified person has looked at it.",
    ),
    "drags": (
        "A brake that does not let go slows the vehicle all the time. It uses more fuel, wears out early, "
        "and gets hotter the further you drive.",
    ),
    "idles": (
        "A brake that does too little leaves the work to the others. The vehicle may need longer to stop, or "
        "pull to one side.",
    ),
    "both": (
        "A brake that does not let go gets hotter the further you drive. A brake that does too little leaves "
        "the work to the others, and the vehicle may need longer to stop.",
    ),
    "all_hot": (
        "All brakes together are hotter than such a drive should leave them. They may all be holding on a "
        "little, or the drive was harder than we were told.",
    ),
    "maybe": (
        "One side may hold on a little, or another may do too little. It can also be harmless: shiny metal "
        "fools the thermometer.",
    ),
    "unknown": (
        "The measurement does not tell enough. That says nothing good and nothing bad of the brakes.",
    ),
    "nothing": (
        "The wheels we measured behave as sound brakes do after such a drive. That is no promise: a "
        "thermometer sees heat, not wear, and only what we measured.",
    ),
}
_SURE: dict[Gist, str] = {
    "urgent": "What we measured or saw leaves no doubt that the vehicle must not be driven now.",
    "drags": "The heat is clear.",
    "idles": "The missing heat is clear.",
    "both": "The differences are clear.",
    "all_hot": "The heat is there; how much of it comes from the drive we do not know.",
    "maybe": "The difference is there, but not large enough to be sure.",
    "unknown": "We cannot say yet. We would have to measure again.",
    "nothing": "As sure as one measurement can be.",
}
_WHY_OPEN = "Why it is so we do not know yet. That takes a look at the brake itself."
_NO_DRIVING = "Please do not drive on with it."
_IF_MOVED = (
    "If you smell or see smoke, or the vehicle pulls to one side: stop at once, keep away from the wheel, "
    "get help."
)
_NOT_TOUCHED = "Do not touch the wheels, and pour no water on them."
_UNTIL: dict[Gist, tuple[str, ...]] = {
    "urgent": (
        "Do not drive, and do not move the vehicle.",
        "Keep everybody away from the wheels. On smoke or flames: get away and call the fire service.",
        "Do not touch anything, let it cool by itself, never with water.",
    ),
    "drags": (_NO_DRIVING, _IF_MOVED, _NOT_TOUCHED),
    "idles": (
        "Please do not use it on the road until that brake has been checked and put right.",
        "If the pedal feels soft or sinks: leave the vehicle where it is.",
        _NOT_TOUCHED,
    ),
    "both": (
        "Please do not use it on the road until both have been checked and put right.",
        _IF_MOVED,
        _NOT_TOUCHED,
    ),
    "all_hot": ("Please do not drive further than needed before it is looked at.", _IF_MOVED, _NOT_TOUCHED),
    "maybe": ("Please have it looked at soon.", _IF_MOVED, _NOT_TOUCHED),
    "unknown": ("Please do not take this sheet for an all-clear.", _IF_MOVED, _NOT_TOUCHED),
    "nothing": (
        "If it pulls, smells or runs hot later, come back: things change.",
        _IF_MOVED,
        "Wheels stay hot for a long time after a drive: do not touch them.",
    ),
}
_TELL_FIRST = "Tell you what we found and what the work would be, before we do it."
_SAME_AGAIN = "After the work the same drive and the same measurement, so that you can see the difference."
_AGAIN = "Measure again after a drive of the right kind, every wheel, at least twice."
_REFUSED: dict[Gist, str] = {
    "urgent": "I do not want this work. I was told that the vehicle must not be driven.",
    "drags": "I do not want this work. I was told not to drive on.",
    "idles": "I do not want this work. I was told not to use it on the road.",
    "both": "I do not want this work. I was told not to use it on the road.",
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
    view = customer_view(dossier)
    setup = PageSetup(title=f"{view.name}: your brakes", styles=("customer.css",), show=show)
    return render("customer.html", setup, view)


def customer_view(dossier: Dossier) -> CustomerView:
    """What the owner is told: everything from the answers, nothing from a cause.

    Parameters
    ----------
    dossier : Dossier
    """
    told = dossier.diagnosis
    gist = gist_of(told)
    return CustomerView(
        name=name_of(told),
        state=_STATES[gist],
        found=_found(told, gist),
        facts=_facts(told),
        plan=plan_of(told),
        words=WHEEL_WORDS,
        means=_MEANS[gist],
        sure=_sure(told, gist),
        until=_UNTIL[gist],
        steps=_steps(told, gist),
        asks=gist != "nothing",
        refusal=_REFUSED.get(gist, "I do not want this work."),
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
            in_both(
                lambda show: (
                    f"Please leave the vehicle where it is: {urgent_words(told.urgent, page_of(told, show))}."
                )
            ),
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


def _sure(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    least = min((one.readings for one in told.corners), default=0)
    rounds = "once" if least == 1 else "twice" if least == 2 else f"{least} times"
    said = [_SURE[gist], f"We measured each wheel that is shown at least {rounds}." if least else ""]
    if gist not in ("unknown", "nothing"):
        said.append(_WHY_OPEN)
    if gist == "drags" and told.answers.idle.answer == "no":
        said.append("We saw no sign of a brake that does nothing. A thermometer alone cannot promise that.")
    return tuple(filter(None, said))


def _steps(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    if gist == "nothing":
        return ("Keep this sheet, and measure again at the next service.",)
    if gist == "unknown":
        return (_AGAIN, "Tell you what it shows.")
    if gist == "urgent":
        return (
            "Let it cool where it stands, then look at what was so hot before it is used again.",
            _TELL_FIRST,
            _SAME_AGAIN,
        )
    corners = dict.fromkeys((*told.answers.drag.suspected, *told.answers.idle.suspected))
    where = corners_in_words(tuple(corners), told.axle_count)
    minutes = f": about {told.next_check.minutes:.0f} minutes for the first check" if told.next_check else ""
    look = f"Look at {where or 'the brakes'}{minutes}."
    return (look, _TELL_FIRST, _SAME_AGAIN)
