"""The road test and the walk round as text for a terminal, and as Markdown."""

from __future__ import annotations

from textwrap import fill
from typing import TYPE_CHECKING

from thermlog.reports.wording import WIDEST

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.advice.guide import GuidePart


def guide_text(parts: Sequence[GuidePart], *, quiet: bool) -> str:
    """The guide as lines; quiet: before driving and when to stop, without sources.

    Parameters
    ----------
    parts : sequence of GuidePart
        Put on a page already.
    quiet : bool
    """
    lines: list[str] = []
    for number, part in enumerate(parts, start=1):
        if quiet and number > 1 and not part.stop:
            continue
        lines += ["", f"{number}  {part.title.upper() if part.stop else part.title}"]
        for point in part.point:
            words = point.text if quiet else f"{point.text} [{point.source}]"
            lines.append(fill(words, WIDEST, initial_indent="   - ", subsequent_indent="     "))
    return "\n".join(lines).lstrip("\n") + "\n"


def guide_markdown(parts: Sequence[GuidePart]) -> str:
    """The guide as a page of the documentation, below its own heading."""
    lines: list[str] = []
    for number, part in enumerate(parts, start=1):
        lines += ["", f"## {number}. {part.title}", ""]
        lines += [f"- {point.text} *({point.source})*" for point in part.point]
    return "\n".join(lines).lstrip("\n") + "\n"
