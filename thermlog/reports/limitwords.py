"""What a log would have shown, and the marks its gaps are held against, in words for tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.wording import Show, degrees, difference, percent
from thermlog.words.vehicle import corner_words

if TYPE_CHECKING:
    from thermlog.words.findings import Detectable, Diagnosis
    from thermlog.words.policy import Policy


def limit_rows(diagnosis: Diagnosis, show: Show) -> list[tuple[str, str, str, str]]:
    """The least fault that would have shown in four cases of five, corner by corner.

    Parameters
    ----------
    diagnosis : Diagnosis
    show : {"C", "F"}

    Returns
    -------
    list of (str, str, str, str)
        Corner, drag in degrees, drag in N·m, lost part of the work; ``-`` where it was not worked out, and
        ``none`` where even the largest looked for would be missed.
    """
    drags = {one.corner: one for one in diagnosis.answers.drag.detectable}
    losses = {one.corner: one for one in diagnosis.answers.idle.detectable}
    return [
        (
            corner_words(corner, diagnosis.axle_count),
            *_drag(drags.get(corner), show),
            _loss(losses.get(corner)),
        )
        for corner in dict.fromkeys((*drags, *losses))
    ]


def _drag(drag: Detectable | None, show: Show) -> tuple[str, str]:
    if drag is None:
        return "-", "-"
    rise = "none" if drag.rise_k is None else difference(drag.rise_k, show)
    torque = drag.torque_nm
    return rise, "-" if torque is None else f"{torque:.0f}" if torque >= 10 else f"{torque:.1f}"


def _loss(loss: Detectable | None) -> str:
    if loss is None:
        return "-"
    return "none" if loss.lost_share is None else percent(loss.lost_share)


def marks_words(policy: Policy, show: Show) -> str:
    """Differences and ratios of a policy from which a gap is watched, suspect or strong."""
    unit = degrees(show)
    steps = (
        f"{name} {difference(k, show)} {unit} and {ratio:.2f}"
        for name, k, ratio in (
            ("watch", policy.watch_difference_k, policy.watch_ratio),
            ("suspect", policy.suspect_difference_k, policy.suspect_ratio),
            ("strong", policy.strong_difference_k, policy.strong_ratio),
        )
    )
    return f"marks of policy {policy.name}: {', '.join(steps)}"
