"""What a log would have shown, and the marks its gaps are held against, in words for tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thermlog.reports.wording import Show, degrees, difference, percent
from thermlog.words.vehicle import corner_words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from thermlog.words.findings import Answer, Detectable, Diagnosis
    from thermlog.words.policy import Policy
    from thermlog.words.sharpening import Sharper, SharperBy

_STEP_NAMES: Mapping[SharperBy, str] = {
    "round": "one more round",
    "hotter": "a drive half as hot again",
    "paint": "the same matt black mark on both sides, off the friction faces",
    "coast": "a drive without braking",
}


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
    return rise, _torque(drag.torque_nm)


def _torque(torque_nm: float | None) -> str:
    return "-" if torque_nm is None else f"{torque_nm:.0f}" if torque_nm >= 10 else f"{torque_nm:.1f}"


def _loss(loss: Detectable | None) -> str:
    if loss is None:
        return "-"
    return "none" if loss.lost_share is None else percent(loss.lost_share)


def sharper_words(answer: Answer, show: Show) -> str:
    """What would lower the limit beside a "no", and what would hardly; empty where nothing is told of it.

    Parameters
    ----------
    answer : Answer
    show : {"C", "F"}
    """
    helps = [f"{_STEP_NAMES[one.by]} ({_then(one, show)})" for one in answer.sharper if one.why_not is None]
    hardly = [_STEP_NAMES[one.by] for one in answer.sharper if one.why_not == "hardly_less"]
    told = ([f"sharper with {_or(helps)}"] if helps else []) + (
        [f"hardly with {_or(hardly)}"] if hardly else []
    )
    return "; ".join(told) if helps else f"hardly sharper with {_or(hardly)}" if hardly else ""


def _then(one: Sharper, show: Show) -> str:
    if one.lost_share is not None:
        return percent(one.lost_share)
    return f"{difference(one.rise_k, show)} {degrees(show)}, {_torque(one.torque_nm)} N·m"


def _or(names: list[str]) -> str:
    *first, last = names
    return f"{', '.join(first)} or {last}" if first else last


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
