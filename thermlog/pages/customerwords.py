"""Words of the owner's sheet: plain, without percentages, and no cause as a fact."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from thermlog.reports.wording import corners_in_words
from thermlog.words.urgentwords import PART_WORDS, seen_words

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.advice.driving import Moving
    from thermlog.fleet.again import By
    from thermlog.words.findings import Diagnosis, Urgent, UrgentCode
    from thermlog.words.reasons import ReasonCode

Gist: TypeAlias = Literal["urgent", "drags", "idles", "both", "all_hot", "maybe", "unknown", "nothing"]

MEANS: dict[Gist, tuple[str, ...]] = {
    "urgent": ("It stays where it stands until it has cooled and a qualified person has looked at it.",),
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
    "maybe": ("Something stands out beside the other wheels. What it comes from takes a look.",),
    "unknown": (
        "The measurement does not tell enough. That says nothing good and nothing bad of the brakes.",
    ),
    "nothing": (
        "The wheels we measured behave as sound brakes do after such a drive. That is no promise: a "
        "thermometer sees heat, not wear, and only what we measured.",
    ),
}
SURE_BY_GIST: dict[Gist, str] = {
    "urgent": "What we measured or saw leaves no doubt that the vehicle must not be driven now.",
    "drags": "The heat is clear.",
    "idles": "The missing heat is clear.",
    "both": "The differences are clear.",
    "all_hot": "The heat is there; how much of it comes from the drive we do not know.",
    "maybe": "The difference is there, but not large enough to be sure.",
    "unknown": "We cannot say yet. We would have to measure again.",
    "nothing": "As sure as one measurement can be.",
}
# Beside what was found: whether a brake drags, whether one does not work.
UNTOLD = (
    "Whether every brake lets go fully we could not tell from this measurement.",
    "Whether every brake does its part we could not tell from this measurement.",
)
# What is known where the other of these two questions is open, or answered by a brake.
NONE_HOLDS = "We saw no sign of a brake that holds on."
NONE_IDLES = "We saw no sign of a brake that does nothing."
NO_PROMISE = "A thermometer alone cannot promise that."
PARTLY_MEANS = (
    "Of what we could not tell this says nothing good and nothing bad. The rest is no promise either."
)
WHY_OPEN = "Why it is so we do not know yet. That takes a look at the {} itself."
_IF_MOVED = (
    "If you smell or see smoke, or the vehicle pulls to one side: stop at once, keep away from the wheel, "
    "get help."
)
_NOT_TOUCHED = "Do not touch the wheels, and pour no water on them."
# What to keep to beside what is said of driving.
UNTIL: dict[Gist, tuple[str, ...]] = {
    "urgent": (
        "Keep everybody away from the wheels. On smoke or flames: get away and call the fire service.",
        "Do not touch anything, let it cool by itself, never with water.",
    ),
    "drags": (_IF_MOVED, _NOT_TOUCHED),
    "idles": (
        "If the pedal feels soft or sinks: leave the vehicle where it is.",
        _NOT_TOUCHED,
    ),
    "both": (_IF_MOVED, _NOT_TOUCHED),
    "all_hot": (_IF_MOVED, _NOT_TOUCHED),
    "maybe": (_IF_MOVED, _NOT_TOUCHED),
    "unknown": (_IF_MOVED, _NOT_TOUCHED),
    "nothing": (
        _IF_MOVED,
        "Wheels stay hot for a long time after a drive: do not touch them.",
    ),
}
TELL_FIRST = "Tell you what we found and what the work would be, before we do it."
SAME_AGAIN = "After the work the same drive and the same measurement, so that you can see the difference."
TELL_IT = "Tell you what it shows."
# What is left to do where nothing could be told, by what supplies it; by hand it is a look.
AGAIN_BY: dict[By, str] = {
    "drive": "Measure again after a drive of the right kind, every wheel, at least twice.",
    "gun": "Measure every wheel again, at least twice.",
    "log": "Settle what our notes leave open, and look where something was noticed; then measure again.",
}
# What was noticed beside the readings and leaves them open.
NOTICED: dict[ReasonCode, str] = {
    "pulls_unexplained": "We noted that the vehicle {}. Why is still open.",
    "abs_lamp_lit": "We noted that the lamp of the ABS is lit. Why is still open.",
    "unread_sight": "We wrote down: \u201c{}\u201d. What that was is still open.",
    "doubted": "We wrote down beside what we read: \u201c{}\u201d. So that is measured again.",
}
# What was written down and no rule understands: whoever reads "behave as sound brakes do" has to know of it.
REMARKED = "The technician noted{}: \u201c{}\u201d. This measurement does not judge that."
MORE_REMARKED = "The technician noted {} more, which this measurement does not judge."
_MOST_REMARKED = 3
HARMLESS = "It can also be harmless: shiny metal fools the thermometer."
# Whoever wrote the order and whoever owns the vehicle are told the same of driving.
DRIVING: dict[Moving, str] = {
    "stopped": "Do not drive, and do not move the vehicle.",
    "stands": "Please do not drive it, not even a short way, until it has been looked at.",
    "off_road": "Please do not use it on the road until it has been looked at and put right.",
}
FREE: dict[Gist, str] = {
    "all_hot": "Please do not drive further than needed before it is looked at.",
    "maybe": "Please have it looked at soon.",
    "unknown": "Please do not take this sheet for an all-clear.",
    "nothing": "If it pulls, smells or runs hot later, come back: things change.",
}
REFUSED = "I do not want this work."
TOLD: dict[Moving, str] = {
    "stopped": "I was told that the vehicle must not be driven.",
    "stands": "I was told not to drive it.",
    "off_road": "I was told not to use it on the road.",
}
LARGE = "The difference is clear. What is open is where it comes from."
MEASURED_ELSEWHERE = "What stands out showed on another drive of this vehicle, not on this one."
ALL_WARM = "The warmth is there; how much of it comes from the drive we do not know."
SMALL = "The difference is there, but not large enough to be sure."
_HOT_PART = "Something on this vehicle is so hot, or was seen to be so, that it can fail or catch fire."
_BEARING = (
    "A wheel hub is warmer than it should be. Its bearing may be failing, and a bearing that fails can lock "
    "or lose the wheel."
)
_BOIL = "A brake is so hot that its fluid can boil. The pedal then sinks and the brakes may not work."
_NOTICED = "What was noticed can come from a part that is failing. It must be found before the vehicle moves."
_PRESSURE = "The brakes may be losing what works them. They may fail at the next press."
_MEANS_OF: dict[UrgentCode, str] = {
    "hub_hot": _BEARING, "hub_over_mate": _BEARING, "hub_over_brake": _BEARING, "caliper_hot": _BOIL,
    "grease": _NOTICED, "steam": _NOTICED, "smell": _NOTICED, "sparks": _NOTICED, "burst": _NOTICED,
    "melted": _NOTICED,
    "leak": _NOTICED, "locked": _NOTICED, "loose": _NOTICED, "grind": _NOTICED,
    "pedal": _PRESSURE, "air_loss": _PRESSURE, "brake_lamp": _PRESSURE,
}  # fmt: skip
_HUBS: dict[UrgentCode, str] = {
    "hub_over_mate": "the wheel hub at {} is far warmer than the one on the other side",
    "hub_over_brake": "the wheel hub at {} is warmer than the brake beside it",
}


def urgent_means(urgent: Iterable[Urgent]) -> tuple[str, ...]:
    """What the things that stop a vehicle can lead to, each once."""
    return tuple(dict.fromkeys(_MEANS_OF.get(one.code, _HOT_PART) for one in urgent))


def urgent_said(one: Urgent, told: Diagnosis, degrees: str) -> str:
    """One thing that stops the vehicle, in an owner's words.

    Parameters
    ----------
    one : Urgent
    told : Diagnosis
    degrees : str
        What it reads, with its unit; empty where nothing was read.
    """
    place = "" if one.corner is None else corners_in_words((one.corner,), told.axle_count)
    if one.code in _HUBS:
        return _HUBS[one.code].format(place or "one wheel")
    if one.code == "over_range":
        return f"{place or 'one wheel'} was hotter than our thermometer can show"
    if one.code in PART_WORDS:
        return f"the {PART_WORDS[one.code]}{place and ' at '}{place} was at {degrees}"
    return f"{seen_words(one.code)}{place and ' at '}{place}"


def noticed(told: Diagnosis) -> list[str]:
    """What was noticed beside the readings and leaves an answer open, each once."""
    reasons = (reason for one in told.answers.each for reason in one.reasons)
    said = (NOTICED[one.code].format(one.quoted) for one in reasons if one.code in NOTICED)
    return list(dict.fromkeys(said))


def remarked(told: Diagnosis) -> list[str]:
    """What the technician noted and the measurement does not judge: the first, and how many more."""
    first, more = told.unweighed[:_MOST_REMARKED], len(told.unweighed) - _MOST_REMARKED
    corners = (one.corner for one in first)
    places = (f" at {corners_in_words((one,), told.axle_count)}" if one else "" for one in corners)
    said = [REMARKED.format(place, one.text) for one, place in zip(first, places, strict=True)]
    return [*said, MORE_REMARKED.format(more)] if more > 0 else said


def maybe_means(told: Diagnosis, *, harmless: bool, either: bool) -> tuple[str, ...]:
    """What brakes that are only watched would do.

    Parameters
    ----------
    told : Diagnosis
    harmless : bool
        True where it can also be nothing.
    either : bool
        True where one thing can be read in two ways.
    """
    drag, idle, heat = told.answers.each
    many = len(idle.suspected) > 1
    lines = []
    if either or (drag.suspects and idle.suspects):
        lines.append(
            "A brake may not let go, or another may do too little or nothing. Which of the two it is a look "
            "will tell; either can be dangerous."
        )
    elif drag.suspects:
        lines.append("A brake may not let go fully. It then gets hotter the further you drive.")
    elif idle.suspects:
        lines.append(
            f"{'These brakes' if many else 'This brake'} may do too little, or nothing. The vehicle may then "
            "need longer to stop, or pull to one side."
        )
    if heat.suspects:
        lines.append("All brakes may hold on a little, or the drive was harder than we were told.")
    lines = lines or list(MEANS["maybe"])
    return (*lines, HARMLESS) if harmless else tuple(lines)
