"""The sheet for someone who learns: the same log in four steps, points, curve, band, verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.aboutvehicle import (
    about,
    brake_finding,
    first_caution,
    named_vehicle,
    reasons_in_both,
    told_parts,
)
from thermlog.pages.drawings import Drawing, drawn
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, alike, in_both
from thermlog.reports.chartwords import axles_shown, degrees_text, panel_head
from thermlog.reports.limitwords import marks_words
from thermlog.reports.wording import (
    clock,
    degrees,
    difference_with_range,
    minutes_with_range,
    moment,
    temperature,
)
from thermlog.words.estimates import Estimate
from thermlog.words.findings import widest_axle
from thermlog.words.vehicle import SIDES, axle_words, corner_name, corner_words, split_corner

if TYPE_CHECKING:
    from collections.abc import Callable

    from thermlog.charts.look import Stage
    from thermlog.pipeline.dossier import Dossier
    from thermlog.reports.wording import Show
    from thermlog.words.findings import AxleFinding, CornerFinding, Diagnosis
    from thermlog.words.fitted import Curve

_ODD = (("hot", "cold"), ("watch",))  # what is called before what is only watched


class SheetStep(Struct, frozen=True, kw_only=True):
    """One step: what it says, its drawing, and what the reader is asked to do."""

    title: str
    text: tuple[Dual, ...]
    drawing: Drawing | None
    task: Dual


class TraineeView(Struct, frozen=True, kw_only=True):
    """Everything on the sheet."""

    name: str
    about: tuple[Dual, ...]
    headline: tuple[tuple[str | None, Dual], ...]
    urgent: bool
    first_caution: Dual
    axle: str
    steps: tuple[SheetStep, ...]
    traps: tuple[tuple[str, Dual], ...]
    solution: Dual
    sha256: str


def trainee_page(dossier: Dossier, *, show: Show = "C") -> str:
    """The sheet as HTML.

    Parameters
    ----------
    dossier : Dossier
    show : {"C", "F"}
        Unit that is chosen when the page is opened, and on paper.
    """
    view = trainee_view(dossier)
    setup = PageSetup(title=f"{view.name}: from dots to a verdict", styles=("trainee.css",), show=show)
    return render("trainee.html", setup, view)


def trainee_view(dossier: Dossier) -> TraineeView:
    """What the learner is shown: the axle with what stops the vehicle, or that stands out, else the widest.

    Parameters
    ----------
    dossier : Dossier
    """
    told = dossier.diagnosis
    number = _axle_to_show(told)
    pair = _Pair(told, number)
    texts: tuple[tuple[str, Stage, tuple[Dual, ...], Dual], ...] = (
        (
            "Points",
            "points",
            (_points(pair),),
            alike("Which side was read first? What happened to it in between?"),
        ),
        ("Curve", "curve", (_curve(pair),), _read_off(pair)),
        (
            "Band",
            "band",
            _band(pair),
            alike("Is the left inside, at the edge, or outside of where it should be? And the right?"),
        ),
        (
            "Verdict",
            "verdict",
            (*_verdict(pair, dossier),),
            alike("What would you do next, before any tool? Why is a hot brake not yet a cause?"),
        ),
    )
    return TraineeView(
        name=named_vehicle(told.vehicle),
        about=about(told),
        headline=told_parts(told),
        urgent=bool(told.urgent),
        first_caution=first_caution(told),
        axle=axle_words(number, told.axle_count),
        steps=tuple(
            SheetStep(
                title=title,
                text=text,
                drawing=drawn(told, "cooling", stage=stage, axles=(number,)) if pair.curves else None,
                task=task,
            )
            for title, stage, text, task in texts
        ),
        traps=_traps(pair),
        solution=_solution(pair),
        sha256=told.log.sha256,
    )


class _Pair:
    """Both sides of the axle that is shown."""

    def __init__(self, told: Diagnosis, number: int) -> None:
        self.told, self.number = told, number
        self.axle: AxleFinding | None = told.axle(number)
        corners = [corner_name(number, side) for side in SIDES]
        self.found: list[CornerFinding] = [
            one for name in corners if (one := brake_finding(told, name)) is not None
        ]
        self.curves: list[Curve] = [
            curve
            for one in self.found
            for curve in told.curves
            if (curve.corner, curve.spot) == (one.corner, one.spot) and curve.elapsed_s.size
        ]

    def words(self, corner: str) -> str:
        """Corner for people."""
        return corner_words(corner, self.told.axle_count)


def _axle_to_show(told: Diagnosis) -> int:
    stopped = (split_corner(one.corner)[0] for one in told.urgent if one.corner is not None)
    odd = [axle.axle for verdicts in _ODD for axle in told.axles if axle.verdict in verdicts]
    first = next((number for number in (*stopped, *odd) if number in axles_shown(told)), None)
    if first is not None:
        return first
    widest = widest_axle(told.axles)
    return axles_shown(told)[0] if widest is None else widest.axle


def _points(pair: _Pair) -> Dual:
    first = "Each marker is one shot of the gun with its time: filled for the left side, open for the right. "
    shots = sorted((float(curve.elapsed_s.min()), curve.corner) for curve in pair.curves)
    if not shots:
        return alike(
            "No reading of this axle has a time, so nothing can be drawn: write the time of every shot down."
        )
    if len(shots) < 2:
        return alike(f"{first}Only one side of this axle was read, so nothing stands beside it.")
    (early, one), (late, other) = shots
    return alike(
        f"{first}Nobody reads both wheels at once: {pair.words(one)} was read at {clock(early)}, "
        f"{pair.words(other)} only at {clock(late)}. So two markers are never compared."
    )


def _curve(pair: _Pair) -> Dual:
    fitted = [one for one in pair.found if one.tau_s is not None]
    if not fitted or pair.told.common_time_s is None:
        return alike("There is no curve here: too few readings, or a corner that does not cool.")
    taus = "; ".join(f"{pair.words(one.corner)} {minutes_with_range(one.tau_s)}" for one in fitted)
    return alike(
        "A parked brake cools fast first, then slowly, towards the air. The curve is the one that fits the "
        f"markers best; its time constant: {taus}. Now both sides can be read off at one moment, "
        f"{moment(pair.told)}."
    )


def _read_off(pair: _Pair) -> Dual:
    at = pair.told.common_time_s
    if at is None:
        return alike("Which readings are missing?")
    return alike(f"Read both curves off at {clock(at)}: left ______ right ______ difference ______")


def _band(pair: _Pair) -> tuple[Dual, ...]:
    told = (
        "No two healthy brakes are quite alike. From the other wheels it follows where 95 of 100 healthy "
        "brakes here would lie"
    )
    banded = [
        (pair.words(one.corner), one.expected_degc) for one in pair.found if one.expected_degc is not None
    ]
    if not banded:
        return (alike(f"{told}; in this log the others do not tell enough for that."),)

    def words(show: Show) -> str:
        bands = "; ".join(
            f"{name} {temperature(band[0], show)} to {degrees_text(band[1], show)}" for name, band in banded
        )
        return f"{told}: {bands}. The hatched band is that of the side it names."

    return (in_both(words),)


def _verdict(pair: _Pair, dossier: Dossier) -> tuple[Dual, ...]:
    told, axle = pair.told, pair.axle
    head = in_both(lambda show: f"{panel_head(told, pair.number, show)}.")
    marks = in_both(lambda show: f"It is held against the {marks_words(dossier.policy, show)}.")
    why = reasons_in_both(told, axle.reasons[:1]) if axle is not None else ()
    return (head, *why, marks)


def _solution(pair: _Pair) -> Dual:
    def words(show: Show) -> str:
        read = [
            f"{'left' if one.side == 'L' else 'right'} {degrees_text(one.at_common_degc.value, show)}"
            for one in pair.found
            if one.at_common_degc is not None
        ]
        gap = pair.axle.difference_k if pair.axle else None
        apart = f", left minus right {difference_with_range(gap, show)} {degrees(show)}" if gap else ""
        return f"{', '.join(read) or 'nothing can be read off'}{apart}"

    return in_both(words)


def _traps(pair: _Pair) -> tuple[tuple[str, Dual], ...]:
    firsts = {curve.corner: float(curve.indicated_degc[curve.elapsed_s.argmin()]) for curve in pair.curves}
    left, right = (firsts.get(corner_name(pair.number, side)) for side in SIDES)
    gap = pair.axle.difference_k if pair.axle else None
    if left is None or right is None or gap is None:
        time = alike("Two shots are taken at two times; the later one has cooled longer.")
    else:
        time = in_both(_luck(left - right, gap))
    return (
        ("Time", time),
        (
            "Shine",
            alike("Bright metal shows too low. Aim at the same spot and the same surface on both sides."),
        ),
        ("Cool is not cleared", alike("A brake that does nothing is cool, too.")),
    )


def _luck(first_k: float, gap: Estimate) -> Callable[[Show], str]:
    def words(show: Show) -> str:
        unit, first = degrees(show), difference_with_range(Estimate(first_k), show)
        return (
            f"The first two markers differ by {first} {unit}; at one "
            f"moment it is {difference_with_range(gap, show)} {unit}. How near the two are is luck: read the "
            "hotter side later, and the first number shrinks."
        )

    return words
