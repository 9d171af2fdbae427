"""Uncertainty budgets and what would decide, as text."""

from __future__ import annotations

from msgspec.structs import replace

from thermlog.reports.summary import first_page_of
from thermlog.reports.wording import VERDICT_WORDS, Show, degrees
from thermlog.words.budgets import Budget
from thermlog.words.findings import Diagnosis
from thermlog.words.sentences import on_page
from thermlog.words.units import difference_from_k
from thermlog.words.vehicle import axle_words

_SHOWN = "as the gun shows it"
_STATED = "of the metal, from the stated emissivities"
_BELIEVED = "of the metal itself, emissivities not known"


def budget_blocks(diagnosis: Diagnosis, show: Show) -> list[list[str]]:
    """Blocks of lines: one a budget, then what would decide; empty unless they were asked for.

    Parameters
    ----------
    diagnosis : Diagnosis
        As judged: its sentences are put on the page here.
    show : {"C", "F"}

    Returns
    -------
    list of list of str
    """
    count = diagnosis.axle_count
    stated = {axle.axle for axle in diagnosis.axles if axle.surface_known}
    blocks = []
    for budget in diagnosis.budgets:
        metal = _STATED if budget.axle in stated else _BELIEVED
        covers = _SHOWN if budget.covers == "indicated" else metal
        blocks.append(_budget(budget, f"{axle_words(budget.axle, count)}: left minus right {covers}", show))
    if diagnosis.budgets:
        blocks.append(_decisions(diagnosis, show))
    return blocks


def _budget(budget: Budget, what: str, show: Show) -> list[str]:
    size, sigma = (difference_from_k(value, show) for value in (budget.difference_k, budget.sigma_k))
    unit = degrees(show)
    lines = [
        f"Where the uncertainty comes from, {what}",
        f"  {size:+.1f} {unit}, standard uncertainty {sigma:.1f} {unit}",
    ]
    lines += [
        f"  {difference_from_k(part.sigma_k, show):6.2f} {unit}  {100 * part.share:4.0f} %  {part.source}"
        for part in budget.contributions
    ]
    return lines


def _decisions(diagnosis: Diagnosis, show: Show) -> list[str]:
    decisions = diagnosis.decisions
    if diagnosis.ambient_degc is None:
        return ["What would decide: the air temperature; state it with --ambient or in the log"]
    if not decisions:
        return ["What would decide: every axle that can be compared is settled"]
    lines = ["What would decide, if it confirms the present curves"]
    for one in decisions:
        axle, outcome = axle_words(one.axle, diagnosis.axle_count), VERDICT_WORDS[one.verdict]
        if one.half_width_k is not None:
            width = difference_from_k(one.half_width_k, show)
            outcome += f", difference then known to ± {width:.0f} {degrees(show)}"
        action = on_page(one.action, replace(first_page_of(diagnosis, show), below_axle=one.axle))
        if one.decides:
            lines.append(f"  {axle}: {action}: {outcome}")
        else:
            lines.append(f"  {axle}: further readings do not decide (best: {action}: {outcome});")
            lines.append("    a warmer drive, or a drive without braking, can")
    return lines
