"""The sheet for the person who owns the vehicle: plain words, no percentages, no cause as a fact."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from thermlog.advice.driving import moving
from thermlog.fleet.again import supplied_by
from thermlog.pages.aboutvehicle import about_air, brake_finding, named_vehicle
from thermlog.pages.customersure import is_small, named_corners, odd_spots, part, partly, sure, untold_corners
from thermlog.pages.customerwords import (
    AGAIN_BY,
    DRIVING,
    FREE,
    MEANS,
    MEASURED_ELSEWHERE,
    PARTLY_MEANS,
    REFUSED,
    SAME_AGAIN,
    TELL_FIRST,
    TELL_IT,
    TOLD,
    UNTIL,
    Gist,
    maybe_means,
    noticed,
    remarked,
    urgent_means,
    urgent_said,
)
from thermlog.pages.planview import PlanView, State, Wheel, plan_of
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, alike, in_both
from thermlog.reports.chartwords import degrees_text
from thermlog.reports.summary import either_way, rests_on_other_drive
from thermlog.reports.wording import corners_in_words, moment
from thermlog.words.reasons import DRIVES
from thermlog.words.vehicle import BRAKE_SPOTS, SIDES, corner_name, mate_of, split_corner

if TYPE_CHECKING:
    from thermlog.pipeline.dossier import Dossier
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Answer, Diagnosis

_CLOSE_K = 5.0  # what sound partners differ by, and a gun (judgement, no source)
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
        name=named_vehicle(told.vehicle),
        state=_STATES[gist],
        found=_found(told, gist),
        facts=_facts(told),
        plan=_plan(told),
        words=WHEEL_WORDS,
        means=_means(told, gist),
        sure=sure(told, gist),
        until=_until(told, gist),
        steps=_steps(told, gist),
        asks=gist != "nothing",
        refusal=" ".join(filter(None, (REFUSED, TOLD.get(moving(told), "")))),
        many=told.axle_count > _FEW_AXLES,
        measured=moment(told) if told.parked_known and told.common_time_s is not None else "on one walk",
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
        ("watch" in (drag, idle, heat) or bool(odd_spots(told)), "maybe"),
        ("cannot_tell" in (drag, idle, heat), "unknown"),
    )
    return next((gist for holds, gist in graver if holds), "nothing")


_STATES: dict[Gist, State] = {
    "urgent": "urgent", "drags": "hot", "both": "hot", "idles": "cold", "all_hot": "hot", "maybe": "watch",
    "unknown": "cannot_tell", "nothing": "even",
}  # fmt: skip


def _plan(told: Diagnosis) -> PlanView:
    """The plan, on which no brake reads as usual that a sentence names, or of which something is open."""
    named, untold = named_corners(told), untold_corners(told)

    def marked(wheel: Wheel) -> Wheel:
        if wheel.state != "even" or wheel.corner not in {*named, *untold}:
            return wheel
        return replace(wheel, state="watch" if wheel.corner in named else "cannot_tell")

    axles = plan_of(told).axles
    return PlanView(
        axles=tuple(replace(one, left=marked(one.left), right=marked(one.right)) for one in axles)
    )


def _found(told: Diagnosis, gist: Gist) -> tuple[Dual, ...]:
    heat = told.answers.heat
    if gist == "urgent":
        return (
            in_both(lambda show: f"Please leave the vehicle where it is: {'; '.join(_urgent(told, show))}."),
        )
    lines = _of_brakes(told)
    if heat.answer == "yes":
        lines.append("All brakes are hotter than such a drive should leave them.")
    elif heat.answer == "watch":
        lines.append("All brakes are somewhat warmer than usual.")
    lines += [f"Something stands out: {part(told, place)}." for place in odd_spots(told)]
    said = [line for line in lines if line]
    if not said:
        said = [partly(told) or "We could not tell from this measurement." if gist == "unknown" else
                "We found nothing out of the ordinary in what we measured."]  # fmt: skip
    return tuple(map(alike, (*said, *noticed(told), *remarked(told))))


def _of_brakes(told: Diagnosis) -> list[str]:
    drag, idle, _ = told.answers.each
    if either_way(told):
        holds = _counted(drag.corners, told, "may not let go fully")
        fails = _counted(idle.corners, told, "may do too little")
        return [f"Either {holds}; or {fails}."]
    return [
        _named(drag, told, ("seems not to let go", "seem not to let go", "may not let go fully")),
        _named(idle, told, ("seems to do too little", "seem to do too little", "may do too little")),
    ]


def _named(answer: Answer, told: Diagnosis, verbs: tuple[str, str, str]) -> str:
    """What is called, and what may be so beside it."""
    if not answer.suspects or not answer.corners:
        return ""
    one, many, maybe = verbs
    verb = maybe if answer.answer == "watch" else one if len(answer.corners) == 1 else many
    beside = f"; {_counted(answer.beside, told, maybe)}" if answer.beside else ""
    said = f"{_counted(answer.corners, told, verb)}{beside}."
    return f"{said[0].upper()}{said[1:]}"


def _counted(corners: tuple[str, ...], told: Diagnosis, verb: str) -> str:
    what = "one brake" if len(corners) == 1 else f"{len(corners)} brakes"
    return f"{what} {verb}: {corners_in_words(corners, told.axle_count)}"


def _facts(told: Diagnosis) -> tuple[Dual, ...]:
    """Temperatures of each brake that is named, beside its partner, or of both where both are."""
    named, whole = named_corners(told), whole_axles(told)
    if rests_on_other_drive(told):
        return (alike(MEASURED_ELSEWHERE),)
    lines, once = list(_of_axles(told, whole)), set(whole)
    for corner in named:
        axle = split_corner(corner)[0]
        if axle in once:
            continue
        once.add(axle)
        line = _of_pair(corner, told, both=mate_of(corner) in named)
        lines += [] if line is None else [line]
    return tuple(lines[:3])


def whole_axles(told: Diagnosis) -> tuple[int, ...]:
    """Axles of which both brakes are named for the same: they stand out from other axles, not one another."""
    drag, idle, _ = told.answers.each
    named = set(named_corners(told))
    doubled = [
        split_corner(corner)[0]
        for one in (drag, idle)
        for corner in one.corners
        if {corner, mate_of(corner)} <= named & set(one.corners)
    ]
    return tuple(sorted(dict.fromkeys(doubled)))


def _of_axles(told: Diagnosis, whole: tuple[int, ...]) -> tuple[Dual, ...]:
    """Temperatures of axles that stand out as a whole, beside the brakes of all others."""
    pairs = [(axle, tuple(corner_name(axle, side) for side in SIDES)) for axle in whole]
    read = {
        one.corner: one.at_common_degc.value
        for one in told.corners
        if one.spot in BRAKE_SPOTS and one.at_common_degc is not None
    }
    told_of = [pair for _, pair in pairs if set(pair) <= set(read)]
    rest = [value for corner, value in read.items() if split_corner(corner)[0] not in whole]
    if not told_of:
        return ()

    def said(show: Show) -> str:
        each = [
            f"{corners_in_words(pair, told.axle_count)} were at about "
            f"{' and '.join(degrees_text(read[corner], show) for corner in pair)}"
            for pair in told_of
        ]
        low, high = (degrees_text(end, show) for end in (min(rest, default=0.0), max(rest, default=0.0)))
        others = [f"the other brakes at about {low}" + (f" to {high}" if low != high else "")] if rest else []
        return f"After the drive {'; '.join([*each, *others])}."

    return (in_both(said),)


def _of_pair(corner: str, told: Diagnosis, *, both: bool) -> Dual | None:
    pair = (corner, mate_of(corner))
    found = [brake_finding(told, name) for name in pair]
    heights = [None if one is None else one.at_common_degc for one in found]
    if heights[0] is None or heights[1] is None:
        return None
    own, other = (one.value for one in heights if one is not None)
    here, there = (corners_in_words((name,), told.axle_count) for name in pair)
    if both and abs(own - other) < _CLOSE_K:
        return in_both(
            lambda show: (
                f"After the drive {here} was at about {degrees_text(own, show)}, {there} at about "
                f"{degrees_text(other, show)}."
            )
        )
    close = " The two should be close." if abs(own - other) >= _CLOSE_K else ""
    return in_both(
        lambda show: (
            f"After the drive {here} was at about {degrees_text(own, show)}. Its partner on the other "
            f"side was at about {degrees_text(other, show)}.{close}"
        )
    )


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
    if gist == "unknown" and partly(told):
        return (PARTLY_MEANS,)
    return (
        maybe_means(told, harmless=moving(told) == "free" and is_small(told), either=either_way(told))
        if gist == "maybe"
        else MEANS[gist]
    )


def _until(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    """What to keep to; the first line is what the technician is told of driving, where that is anything."""
    return (DRIVING.get(moving(told)) or FREE.get(gist, FREE["maybe"]), *UNTIL[gist])


def _steps(told: Diagnosis, gist: Gist) -> tuple[str, ...]:
    if gist == "nothing":
        return ("Keep this sheet, and measure again at the next service.",)
    again = AGAIN_BY.get(supplied_by(told.next_check.id if told.next_check else ""))
    if gist == "unknown" and moving(told) == "free" and again is not None:
        return (again, TELL_IT)
    if gist == "urgent":
        return (
            "Let it cool where it stands, then look at what was so hot before it is used again.",
            TELL_FIRST,
            SAME_AGAIN,
        )
    if told.next_check is not None and told.next_check.id in DRIVES and moving(told) == "free":
        return (f"Make one more drive with it ourselves and measure again{_minutes(told, '')}.",
                TELL_FIRST, SAME_AGAIN)  # fmt: skip
    corners = corners_in_words(named_corners(told), told.axle_count)
    parts = " and ".join(part(told, place) for place in odd_spots(told))
    where = " and ".join(filter(None, (corners, parts)))
    return (
        f"Look at {where or 'the brakes'}{_minutes(told, ' for the first check')}.",
        TELL_FIRST,
        SAME_AGAIN,
    )


def _minutes(told: Diagnosis, purpose: str) -> str:
    if told.next_check is None:
        return ""
    minutes = f"{told.next_check.minutes:.0f}"
    return f": about {minutes} minute{'' if minutes == '1' else 's'}{purpose}"
