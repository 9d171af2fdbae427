"""What a depot taught, in words: each number beside the old one, and what it would have changed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.history.seen import WORDS
from thermlog.reports.wording import columned, printable
from thermlog.words.sentences import few_of

if TYPE_CHECKING:
    from thermlog.history.learning import Changes, Lesson
    from thermlog.words.estimates import Estimate

_MOST = 12


def lesson_text(lesson: Lesson, changes: Changes, output: str) -> str:
    """Text of a lesson.

    Parameters
    ----------
    lesson : Lesson
    changes : Changes
    output : str
        File that holds the policy.
    """
    head = ("number", "was", "learned", "seen (95 %)", "from")
    rows = [
        (one.name, f"{one.was:g}", f"{one.seen.value:.4g}", _ends(one.seen), f"{one.count} {one.of}")
        for one in lesson.numbers
    ]
    lines = [
        f"{lesson.units} vehicles, {lesson.drives} drives; {changes.left_out} drives left out as not healthy"
    ]
    lines += ["", *columned([head, *rows]), ""]
    if lesson.causes is not None:
        counts = ", ".join(f"{cause} {count}" for cause, count in lesson.causes.counts)
        lines.append(f"causes found: {counts} ({lesson.causes.source})")
    lines += [
        f"spread of left over right, {role} axles: {spread.value:.3f} in ln, {_ends(spread)} "
        f"({units} vehicles)"
        for role, spread, units in lesson.spreads
    ]
    lines += [f"not learned: {one}" for one in lesson.missing]
    lines += [
        "",
        f"On these {changes.drives} drives the new policy would have asked for a look at",
        *columned(_table(changes)),
    ]
    if changes.units:
        lines.append(f"other answers: {printable(few_of(changes.units, _MOST, joint='; '))}")
    lines += ["", f"policy: {output}; use it with --policy {output}"]
    return "\n".join(lines) + "\n"


def _ends(seen: Estimate) -> str:
    return "-" if seen.interval is None else "{:.4g} to {:.4g}".format(*seen.interval)


def _table(changes: Changes) -> list[tuple[str, ...]]:
    head = ("drags?", *(word.replace("_", " ") for word in WORDS))
    return [
        head,
        ("before", *(str(changes.before.get(word, 0)) for word in WORDS)),
        ("learned", *(str(changes.after.get(word, 0)) for word in WORDS)),
    ]
