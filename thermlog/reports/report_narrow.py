"""Where the search for a cause stands -> text, one screen of it, and JSON."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

import msgspec
from msgspec import Struct

from thermlog.reports.summary import headline, page_of
from thermlog.reports.wording import Show, printable
from thermlog.words.sentences import on_page

if TYPE_CHECKING:
    from thermlog.advice.narrowing import Ending, Narrowed
    from thermlog.words.findings import Diagnosis

_ENDINGS: dict[Ending, str] = {
    "settled": "One cause is left. Confirm it before parts are fitted; then drive again and compare.",
    "inseparable": "No check tells these causes apart further; look first where looking costs least.",
    "contradiction": "The answers fit no single cause: two faults, or a reading or an answer that is off.",
    "no_check": "No further check can be made now.",
    "wait": "Nobody works at the wheel and nobody drives before it has cooled.",
    "no_cause": "No fault is established, so there is no cause to look for yet.",
}
_WIDEST = 96
_ON_SCREEN = 3  # causes


class AnswerChoice(Struct, frozen=True, kw_only=True):
    """One answer of the next check, and what it means."""

    id: str
    means: str


class CheckObject(Struct, frozen=True, kw_only=True):
    """The next check."""

    id: str
    question: str
    minutes: float
    safety: str
    why: str
    how: str
    answers: tuple[AnswerChoice, ...]


class CauseObject(Struct, frozen=True, kw_only=True, rename={"for_": "for"}):
    """One cause with what speaks for and against it."""

    cause: str
    name: str
    place: str
    standing: str
    for_: tuple[str, ...]
    against: tuple[str, ...]


class AskedObject(Struct, frozen=True, kw_only=True):
    """One check that was answered."""

    id: str
    answer: str


class LogObject(Struct, frozen=True, kw_only=True):
    """The log the search began with."""

    file: str
    sha256: str


class NarrowObject(Struct, frozen=True, kw_only=True):
    """Where the search for a cause stands."""

    schema_version: int = 1
    log: LogObject
    causes: tuple[CauseObject, ...]
    asked: tuple[AskedObject, ...]
    skipped: tuple[str, ...]
    minutes: float
    ending: str | None
    next_check: CheckObject | None


def narrow_object(narrowed: Narrowed, diagnosis: Diagnosis) -> NarrowObject:
    """The same as an object for programs; places are corner codes."""
    check = narrowed.check
    return NarrowObject(
        log=LogObject(file=diagnosis.log.file, sha256=diagnosis.log.sha256),
        causes=tuple(
            CauseObject(
                cause=one.cause,
                name=one.name,
                place=one.place,
                standing=one.standing,
                for_=one.for_,
                against=one.against,
            )
            for one in narrowed.suspects
        ),
        asked=tuple(AskedObject(id=one.check, answer=one.answer) for one in narrowed.found),
        skipped=narrowed.skipped,
        minutes=narrowed.minutes,
        ending=narrowed.ending,
        next_check=None
        if check is None
        else CheckObject(
            id=check.id,
            question=check.question,
            minutes=check.minutes,
            safety=check.safety,
            why=check.why,
            how=narrowed.how,
            answers=tuple(
                AnswerChoice(id=one.id, means=f"{one.words}: {one.means}") for one in narrowed.answers
            ),
        ),
    )


def narrow_json(narrowed: Narrowed, diagnosis: Diagnosis) -> str:
    """JSON text."""
    made = msgspec.json.encode(narrow_object(narrowed, diagnosis), enc_hook=str)
    return msgspec.json.format(made, indent=2).decode() + "\n"


def narrow_text(narrowed: Narrowed, diagnosis: Diagnosis, *, show: Show = "C") -> str:
    """Text of where the search stands: finding, causes with their reasons, what was asked, what is next.

    Parameters
    ----------
    narrowed : Narrowed
    diagnosis : Diagnosis
        Of the log.
    show : {"C", "F"}
    """
    page = page_of(diagnosis, show)
    narrowed = on_page(narrowed, page)
    lines = [f"FINDING   {headline(on_page(diagnosis, page), show=show)}", ""]
    for rank, one in enumerate(narrowed.suspects, start=1):
        lines.append(f"  {rank}  {one.name} | {one.place} | {one.standing}")
        lines += [f"       for: {reason}" for reason in one.for_]
        lines += [f"       against: {reason}" for reason in one.against]
    if narrowed.found:
        asked = ", ".join(f"{one.check}={one.answer}" for one in narrowed.found)
        lines += ["", f"ANSWERED  {asked} (about {narrowed.minutes:.0f} min)"]
    if narrowed.skipped:
        lines.append(f"SKIPPED   {', '.join(narrowed.skipped)}")
    if narrowed.ending:
        lines += ["", f"RESULT    {_ENDINGS[narrowed.ending]}"]
    if narrowed.check is not None:
        lines += ["", *_next(narrowed)]
    return "\n".join(map(printable, lines)) + "\n"


def _next(narrowed: Narrowed) -> list[str]:
    check = narrowed.check
    if check is None:
        return []
    lines = [f"NEXT      {check.question} (about {check.minutes:.0f} min)"]
    lines += [f"          {narrowed.how}"] if narrowed.how else []
    lines += [f"          {check.id}={one.id}: {one.words}; {one.means}" for one in narrowed.answers]
    return [*lines, f"CAUTION   {check.safety}"]


def screen(narrowed: Narrowed, diagnosis: Diagnosis, *, show: Show, width: int) -> str:
    """One screen of at most 24 lines: the causes, the question, a key for each answer.

    Parameters
    ----------
    narrowed : Narrowed
        With a check.
    diagnosis : Diagnosis
    show : {"C", "F"}
    width : int
        Columns of the terminal.
    """
    page = page_of(diagnosis, show)
    narrowed, wide = on_page(narrowed, page), min(width - 1, _WIDEST)
    lines = _cut(headline(on_page(diagnosis, page), show=show), wide, 2)
    for one in narrowed.suspects[:_ON_SCREEN]:
        lines += _cut(f"- {one.name} ({one.standing})", wide, 1)
    if narrowed.ending:
        lines += _cut(_ENDINGS[narrowed.ending], wide, 2)
    check = narrowed.check
    if check is None:
        return "\n".join(lines)
    lines += ["", *_cut(f"{check.question} (about {check.minutes:.0f} min)", wide, 3)]
    lines += _cut(narrowed.how, wide, 4)
    lines += _cut(f"Caution: {check.safety}", wide, 3)
    lines += [
        _cut(f"  {key}  {one.words}: {one.means}", wide, 1)[0]
        for key, one in enumerate(narrowed.answers, start=1)
    ]
    return "\n".join([*lines, "  s  cannot do it now   b  back   q  stop here"])


def _cut(text: str, wide: int, most: int) -> list[str]:
    """The text in so many lines at most; what does not fit ends in dots, and stands in full in the record."""
    lines = wrap(printable(text), wide) if text else []
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], lines[most - 1][: wide - 4] + " ..."]
