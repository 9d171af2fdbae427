"""Answers and reasons as JSON tells them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from msgspec import Struct

from thermlog.reports.contract.figures import Figures, six_digits_of
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import CornerName, Share
from thermlog.words.findings import Answer, Answers, AnswerWord, Detectable
from thermlog.words.reasons import Reason
from thermlog.words.reasontexts import reason_text


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

    @classmethod
    def of(cls, reason: Reason) -> ReasonObject:
        """One reason with its sentence."""
        numbers = {name: six_digits(value) for name, value in reason.numbers.items()}
        return cls(
            code=reason.code,
            corners=reason.corners,
            numbers={name: value for name, value in numbers.items() if value is not None},
            text=reason_text(reason),
        )


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
    """

    answer: AnswerWord
    p: Share | None
    corners: tuple[CornerName, ...]
    beside: tuple[CornerName, ...]
    reasons: tuple[ReasonObject, ...]
    decides: tuple[ReasonObject, ...]
    detectable: tuple[Detectable, ...]


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
    """Answers of many checks; the limits of all are rounded at once."""
    limits = (limit for answers in checks for answer in answers.each for limit in answer.detectable)
    shown = iter(six_digits_of((one.rise_k, one.torque_nm, one.lost_share) for one in limits))
    for answers in checks:
        drag, idle, heat = (_answer_object(answer, shown) for answer in answers.each)
        yield AnswersObject(drag=drag, idle=idle, heat=heat)


def _answer_object(answer: Answer, shown: Iterator[Figures]) -> AnswerObject:
    """One answer with its reasons in words, and the next of the limits as shown."""
    return AnswerObject(
        answer=answer.answer,
        p=six_digits(answer.p),
        corners=answer.corners,
        beside=answer.beside,
        reasons=reason_objects(answer.reasons),
        decides=reason_objects(answer.decides),
        detectable=tuple(map(_limit, answer.detectable, shown)),
    )


def _limit(one: Detectable, shown: Figures) -> Detectable:
    rise_k, torque_nm, lost_share = shown
    return Detectable(corner=one.corner, rise_k=rise_k, torque_nm=torque_nm, lost_share=lost_share)


def reason_objects(reasons: Iterable[Reason]) -> tuple[ReasonObject, ...]:
    """Reasons with their sentences."""
    return tuple(map(ReasonObject.of, reasons))
