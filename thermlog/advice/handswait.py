"""What brings somebody to a wheel, once every part to be touched has cooled."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.advice.doing import doing
from thermlog.advice.evidenceload import evidence_table
from thermlog.advice.information import cooling_min, places_named
from thermlog.advice.logevidence import LogEvidence
from thermlog.words.findings import Answer, NextCheck
from thermlog.words.sentences import degc, named, sentence

# Steps at a wheel that do not say themselves that it cools first.
_AT_A_WHEEL = frozenset({"secure_wheel"})
_GUN_THEN_COOL = (
    "Do not drive it. Read brake and hub of {} again by gun now: only heat tells that. Let it cool until the "
    "gun reads below {} at every part to be touched. Then: {}"
)
_ONCE_COOL = (
    "Do not drive it on the road. With the vehicle chocked, and every part to be touched below {} by the "
    "gun: {}"
)
_NOTHING_HOT = "{} Nothing of it is touched before the gun reads below {} there."
_COOL_AXLE = "{} If it is off, {} may do too little: check the brakes there standing, too."


def with_the_cool_axle(check: NextCheck, drag: Answer) -> NextCheck:
    """The check at the warm one of two axles that are unlike, with what is asked of the cool one.

    Parameters
    ----------
    check : NextCheck
    drag : Answer
    """
    cool = next((one.corners[2:] for one in drag.reasons if one.code == "axles_unlike"), ())
    return replace(check, question=sentence(_COOL_AXLE, check.question, named(*cool))) if cool else check


def once_cool(check: NextCheck, about: LogEvidence) -> NextCheck:
    """The check with how far it cools first, if it brings somebody to a wheel.

    At a brake that is cold itself hands find hot parts, too: of its mate, and of the axle.

    Parameters
    ----------
    check : NextCheck
    about : LogEvidence
        What it is asked about.
    """
    cool = degc(doing().rule["cool_degc"])
    asked = evidence_table().observations.get(check.id)
    if asked is None:
        near = check.id in _AT_A_WHEEL
        return replace(check, question=sentence(_NOTHING_HOT, check.question, cool)) if near else check
    if not asked.near:
        return check
    if about.fault.sign == "cold":
        return replace(check, question=sentence(_ONCE_COOL, cool, check.question))
    question = sentence(_GUN_THEN_COOL, places_named(about), cool, check.question)
    waits_min = 0.0 if "cold" in asked.needs else cooling_min(about)  # there it is counted already
    return replace(check, question=question, minutes=check.minutes + waits_min)
