"""Answers, reasons, urgent lines and unread wheels -> objects of the output contract."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

from thermlog.reports.wording import six_digits
from thermlog.words.reasontexts import reason_sentence

if TYPE_CHECKING:
    from collections.abc import Iterable

    from thermlog.words.findings import Answer, Answers, Detectable, Urgent
    from thermlog.words.reasons import Reason
    from thermlog.words.tables import Blind, Seen

Json: TypeAlias = dict[str, Any]


def answers_object(answers: Answers) -> Json:
    """The three answers, by the question."""
    return {
        "drag": _answer(answers.drag),
        "idle": _answer(answers.idle),
        "heat": _answer(answers.heat),
    }


def urgent_object(one: Urgent) -> Json:
    """One thing for which the vehicle stops."""
    return {
        "code": one.code,
        "corner": one.corner,
        "spot": one.spot,
        "value_degc": six_digits(one.value_degc),
        "limit_degc": six_digits(one.limit_degc),
    }


def blind_object(one: Blind) -> Json:
    """One reading that tells no temperature."""
    return {
        "code": one.code,
        "line": one.line,
        "corner": one.corner,
        "quoted": one.quoted,
        "value_degc": six_digits(one.value_degc),
    }


def seen_object(one: Seen) -> Json:
    """Smoke, glow, flame or smell that was stated."""
    return {"code": one.code, "corner": one.corner}


def reason_texts(reasons: Iterable[Reason]) -> list[str]:
    """Reasons in words, in kelvin, degrees Celsius and codes of corners."""
    return [str(reason_sentence(reason)) for reason in reasons]


def _answer(answer: Answer) -> Json:
    return {
        "answer": answer.answer,
        "p": six_digits(answer.p),
        "corners": list(answer.corners),
        "reasons": [reason_object(reason) for reason in answer.reasons],
        "decides": [reason_object(reason) for reason in answer.decides],
        "detectable": [_detectable(one) for one in answer.detectable],
    }


def reason_object(reason: Reason) -> Json:
    """One reason with its sentence."""
    numbers = {name: six_digits(value) for name, value in reason.numbers.items()}
    return {
        "code": reason.code,
        "corners": list(reason.corners),
        # what is not finite counts as absent, here as in the text
        "numbers": {name: value for name, value in numbers.items() if value is not None},
        "text": str(reason_sentence(reason)),
    }


def _detectable(one: Detectable) -> Json:
    return {
        "corner": one.corner,
        "rise_k": six_digits(one.rise_k),
        "torque_nm": six_digits(one.torque_nm),
        "lost_share": six_digits(one.lost_share),
    }
