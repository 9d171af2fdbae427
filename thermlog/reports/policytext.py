"""A policy file as text: what a depot taught, every number with how it was made."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.words.policy import policy_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.history.learning import Learned, Lesson
    from thermlog.words.policy import CausesFound


def policy_text(lesson: Lesson, base: str, made: str) -> str:
    """The policy as a file that `--policy` takes.

    Parameters
    ----------
    lesson : Lesson
    base : str
    made : str
        When and from what, in words.
    """
    days = "" if lesson.days is None else f" from {lesson.days[0]} to {lesson.days[1]}"
    logs = f"{lesson.drives} drives{days}, digest of their logs {lesson.logs[:16]}"
    lines = [
        f"# Learned from {lesson.units} vehicles of a depot believed healthy, {made}.",
        f"# {logs}.",
        "# Everything that is not stated here is as in the base. Screening limits: they certify nothing.",
        f'base = "{base}"',
        f'name = "{base}, learned"',
        'schema = "thermlog-policy-1"',
        "",
        *(_line(one, f"{made}; {logs}") for one in lesson.numbers),
    ]
    if lesson.causes is not None:
        counted = replace(lesson.causes, source=f"{lesson.causes.source}, {made}")
        lines += ["", *causes_lines(counted)]
    return "\n".join(lines) + "\n"


def _line(one: Learned, made: str) -> str:
    source = f"learned from {one.count} {one.of}, {made}: {'; '.join(_said(one))}"
    value = float(f"{one.seen.value:.4g}")
    unit = policy_unit(one.name)
    return f'{one.name} = {{ value = {value:g}, unit = "{unit}", source = {json.dumps(source)} }}'


def _said(one: Learned) -> Iterator[str]:
    yield one.how
    if one.seen.interval is not None:
        low, high = one.seen.interval
        yield f"95 % interval {low:.4g} to {high:.4g}"
    yield f"was {one.was:g}"


def causes_lines(found: CausesFound) -> Iterator[str]:
    """The table of causes that were found, for the end of a policy file."""
    yield "[causes_found]"
    yield f"table_worth = {found.table_worth:g}"
    yield f"source = {json.dumps(found.source)}"
    yield ""
    yield "[causes_found.counts]"
    yield from (f"{cause} = {count}" for cause, count in found.counts)
