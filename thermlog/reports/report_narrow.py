"""Where the search for a cause stands -> text, one screen of it, and JSON."""

from __future__ import annotations

from textwrap import wrap
from typing import TYPE_CHECKING

from thermlog.reports.contract.writing import json_text
from thermlog.reports.summary import headline, page_of
from thermlog.reports.wording import Show, printable
from thermlog.words.sentences import on_page

if TYPE_CHECKING:
    from thermlog.advice.choosing import Ending
    from thermlog.advice.narrowing import Narrowed
    from thermlog.words.findings import Diagnosis

ENDINGS: dict[Ending, str] = {
    "settled": "One cause is left. Confirm it before parts are fitted; then drive again and compare.",
    "inseparable": "No check tells these causes apart further; look first where looking costs least.",
    "contradiction": "The answers fit no single cause: two faults, or a reading or an answer that is off.",
    "no_check": "No further check can be made now.",
    "wait": "Nobody works at the wheel and nobody drives before it has cooled.",
    "no_cause": "No fault is established, so there is no cause to look for yet.",
}
_WIDEST = 96
_ON_SCREEN = 3  # causes
_SCREEN_LINES = 23  # of the 24 that every terminal has; the last is for the key


def narrow_json(narrowed: Narrowed, diagnosis: Diagnosis) -> str:
    """JSON text of where the search stands; places are corner codes."""
    from thermlog.reports.contract.narrow import NarrowObject

    return json_text(NarrowObject.of(narrowed, diagnosis))


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
    lines = [f"FINDING   {headline(on_page(diagnosis, page), show=show)}"]
    lines += [""] if narrowed.suspects else []
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
        lines += ["", f"RESULT    {ENDINGS[narrowed.ending]}"]
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
    above = _cut(headline(on_page(diagnosis, page), show=show), wide, 2)
    for one in narrowed.suspects[:_ON_SCREEN]:
        above += _cut(f"- {one.name} ({one.standing})", wide, 1)
    if narrowed.ending:
        above += _cut(ENDINGS[narrowed.ending], wide, 2)
    check = narrowed.check
    if check is None:
        return "\n".join(above)
    above += ["", *_cut(f"{check.question} (about {check.minutes:.0f} min)", wide, 3)]
    below = _cut(f"Caution: {check.safety}", wide, 3)
    for key, choice in enumerate(narrowed.answers, start=1):
        below += _cut(f"  {key}  {choice.words}: {choice.means}", wide, 1)
    below.append("  s  cannot do it now   b  back   q  stop here")
    how = _cut(narrowed.how, wide, max(_SCREEN_LINES - len(above) - len(below), 0))
    return "\n".join([*above, *how, *below])


def _cut(text: str, wide: int, most: int) -> list[str]:
    """The text in so many lines at most; what does not fit ends in dots, and stands in full in the record."""
    lines = wrap(printable(text), wide) if text and most else []
    if len(lines) <= most:
        return lines
    return [*lines[: most - 1], lines[most - 1][: wide - 4] + " ..."]
