"""How right a depot's answers were, in words."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.wording import columned

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.history.outcomes import Counted, Outcomes

_NAMES = {"yes": "yes", "watch": "watch", "cannot_tell": "cannot tell", "no": "no"}
_NOTE = (
    "Only drives somebody looked into count. Where mostly called vehicles were opened, the share behind "
    'a "no" is a guess: see docs/field-study.md.'
)


def outcomes_text(outcomes: Outcomes, causes: Sequence[tuple[str, float, int, float]], weight: float) -> str:
    """Text of what was found.

    Parameters
    ----------
    outcomes : Outcomes
    causes : sequence of (cause, prior share, count, posterior share)
    weight : float
        Findings that the prior counts as.
    """
    lines = [
        f"{outcomes.known} of {outcomes.checked} drives have an outcome (thermlog narrow --job --cause)",
        "",
    ]
    head = ("answer", "drives", "faulty", "share (95 %)")
    lines += columned([head, *(_row(one, _NAMES[one.name]) for one in outcomes.answers)])
    lines += ["", "Probability of a drag, held against drags that were found"]
    said = ("said", "drives", "dragged", "share (95 %)", "mean said")
    means = ("-" if one.said is None else f"{one.said:.2f}" for one in outcomes.drags)
    bins = ((*_row(one, one.name), mean) for one, mean in zip(outcomes.drags, means, strict=True))
    lines += columned([said, *bins])
    if causes:
        lines += ["", f"Causes found; the table's share counts as {weight:g} findings (Dirichlet)"]
        rows = [(cause, f"{prior:.3f}", str(count), f"{share:.3f}") for cause, prior, count, share in causes]
        lines += columned([("cause", "table", "found", "together"), *rows])
    return "\n".join([*lines, "", _NOTE]) + "\n"


def _row(one: Counted, name: str) -> tuple[str, ...]:
    share, ends = one.share, None if one.share is None else one.share.interval
    said = "-" if share is None or ends is None else f"{share.value:.2f} ({ends[0]:.2f} to {ends[1]:.2f})"
    return name, str(one.drives), str(one.faulty), said
