"""Answers and reasons as JSON tells them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct
from msgspec.structs import replace

from thermlog.reports.contract.jsonnumbers import in_turn, records, six_digits_of, taken_over
from thermlog.reports.wording import STANDING_WORDS
from thermlog.words.bounds import CornerName, Share
from thermlog.words.findings import Answer, Answers, AnswerWord, Detectable, Suspect
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_text
from thermlog.words.sharpening import Sharper


class ReasonObject(Struct, frozen=True, kw_only=True):
    """Why an answer is what it is, or what would decide it.

    Attributes
    ----------
    code : str
        For programs: never changes its meaning; more may come.
    corners : tuple of str
        What it is about, the odd one first.
    numbers : dict of str to float
        Named with their unit: difference_k, limit_k, share_idle, minutes, line. What is not finite counts as
        absent, here as in the text.
    text : str
        The same for people, in K, °C and corner names; may change.
    """

    code: str
    corners: tuple[CornerName, ...]
    numbers: dict[str, float]
    text: str


class SuspectObject(Struct, frozen=True, kw_only=True, rename={"for_": "for"}):
    """One cause at one place, with what speaks for and against it.

    Attributes
    ----------
    cause : str
        For programs.
    name : str
        For people.
    place : str
        Where it would be, in words.
    standing : str
        How well it fits what was found, in words.
    for_, against : tuple of str
        What speaks for it, or against it; may change.
    """

    cause: str
    name: str
    place: str
    standing: str
    for_: tuple[str, ...] = ()
    against: tuple[str, ...] = ()

    @classmethod
    def of(cls, suspect: Suspect) -> SuspectObject:
        """One cause."""
        return taken_over(cls, suspect, standing=STANDING_WORDS[suspect.standing])


class AnswerObject(Struct, frozen=True, kw_only=True):
    """One question about the vehicle, answered from this log.

    Attributes
    ----------
    answer : {"no", "watch", "yes", "cannot_tell"}
        "no" is only said where every wheel was read and a fault worth finding would have shown.
    p : float or None
        Probability that some brake that was read is so; for "heat", that the whole vehicle is.
    corners : tuple of str
        The brakes a "yes" or a "watch" is about; for "cannot_tell" those that stand in the way.
    beside : tuple of str
        Brakes that are watched beside those of a "yes".
    reasons : tuple of ReasonObject
        Why, the strongest first.
    decides : tuple of ReasonObject
        What would make a "yes" or a "no" of it, the best first; empty where it is one.
    detectable : tuple of Detectable
        What this log would have shown in 4 of 5 cases; empty where that was not worked out.
    sharper : tuple of Sharper
        Beside a "no": what one more round, a hotter drive, marks and a drive without braking (this for "drag"
        alone) would make of the largest of these. Of a check; empty in a fleet's list.
    """

    answer: AnswerWord
    p: Share | None
    corners: tuple[CornerName, ...]
    beside: tuple[CornerName, ...]
    reasons: tuple[ReasonObject, ...]
    decides: tuple[ReasonObject, ...]
    detectable: tuple[Detectable, ...]
    sharper: tuple[Sharper, ...]


class AnswersObject(Struct, frozen=True, kw_only=True):
    """The one summary that text, chart, fleet and exit code are made of.

    Attributes
    ----------
    drag : AnswerObject
        Does a brake drag? Logs are ranked by its p: that some brake that was read carries extra heat.
    idle : AnswerObject
        Does a brake not work?
    heat : AnswerObject
        Is the whole vehicle hotter than such a drive leaves it?
    """

    drag: AnswerObject
    idle: AnswerObject
    heat: AnswerObject

    @classmethod
    def of(cls, answers: Answers) -> AnswersObject:
        """All three answers."""
        return next(answers_objects([answers]))


def answers_objects(checks: Sequence[Answers]) -> Iterator[AnswersObject]:
    """Answers of many checks, column by column."""
    every = [answer for answers in checks for answer in answers.each]
    (p,) = six_digits_of([[answer.p for answer in every]])
    reasons = reason_objects_of_each([answer.reasons for answer in every])
    decides = reason_objects_of_each([answer.decides for answer in every])
    limits = limits_objects([answer.detectable for answer in every])
    steps = sharper_objects([answer.sharper for answer in every])
    found = iter(map(_answer_object, every, p, reasons, decides, zip(limits, steps, strict=True)))
    return (
        AnswersObject(drag=drag, idle=idle, heat=heat)
        for drag, idle, heat in zip(found, found, found, strict=True)
    )


def _answer_object(
    answer: Answer,
    p: float | None,
    reasons: tuple[ReasonObject, ...],
    decides: tuple[ReasonObject, ...],
    limits: tuple[tuple[Detectable, ...], tuple[Sharper, ...]],
) -> AnswerObject:
    """One answer with its numbers as shown and its reasons in words."""
    return AnswerObject(
        answer=answer.answer,
        p=p,
        corners=answer.corners,
        beside=answer.beside,
        reasons=reasons,
        decides=decides,
        detectable=limits[0],
        sharper=limits[1],
    )


def limits_objects(some: Sequence[Sequence[Detectable]]) -> Iterator[tuple[Detectable, ...]]:
    """What several logs would have shown, at six digits."""
    every = [one for limits in some for one in limits]
    rise_k, torque_nm, lost_share = six_digits_of(
        [
            [one.rise_k for one in every],
            [one.torque_nm for one in every],
            [one.lost_share for one in every],
        ]
    )
    columns: dict[str, Iterable[object]] = {
        "corner": [one.corner for one in every],
        "rise_k": rise_k,
        "torque_nm": torque_nm,
        "lost_share": lost_share,
    }
    return in_turn(records(Detectable, columns), some)


def sharper_objects(some: Sequence[Sequence[Sharper]]) -> Iterator[tuple[Sharper, ...]]:
    """What steps would make of the limits of several logs, at six digits."""
    every = [one for steps in some for one in steps]
    figures = six_digits_of(
        [
            [one.rise_k for one in every],
            [one.torque_nm for one in every],
            [one.lost_share for one in every],
        ]
    )
    each = zip(every, *figures, strict=True)
    return in_turn(
        (replace(one, rise_k=k, torque_nm=nm, lost_share=share) for one, k, nm, share in each), some
    )


def reason_objects_of_each(some: Sequence[Sequence[Reason]]) -> Iterator[tuple[ReasonObject, ...]]:
    """Several lists of reasons with their sentences; all numbers are rounded at once."""
    every = [reason for reasons in some for reason in reasons]
    (shown,) = six_digits_of([[value for reason in every for value in reason.numbers.values()]])
    each = iter(shown)
    made = (
        ReasonObject(
            code=reason.code,
            corners=reason.corners,
            # names first: what stops at their end takes no number from the next reason
            numbers={
                name: value for name, value in zip(reason.numbers, each, strict=False) if value is not None
            },
            text=reason_text(reason),
        )
        for reason in every
    )
    return in_turn(made, some)


def reason_objects(reasons: Sequence[Reason]) -> tuple[ReasonObject, ...]:
    """Reasons with their sentences; most lines of a list have none."""
    return next(reason_objects_of_each([reasons])) if reasons else ()
