"""The report of one drive: what stands on the page, in the order in which it answers."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.aboutvehicle import (
    about,
    first_caution,
    in_words,
    named_vehicle,
    on_pages,
    reasons_in_both,
    told_parts,
)
from thermlog.pages.drawings import Drawing, Point, drawn, points_of
from thermlog.pages.planview import PlanView, State, plan_of
from thermlog.pages.quality import Quality, aside_of, quality_of
from thermlog.pages.rawlog import RawLog, rawlog_of
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, alike, in_both, lines_in_both, seen
from thermlog.reports.chartwords import axles_shown, panel_reasons
from thermlog.reports.limitwords import limit_rows, marks_words, sharper_words
from thermlog.reports.summary import (
    ANSWER_WORDS,
    QUESTIONS,
    answer_states,
    not_driven,
)
from thermlog.reports.surewords import chance_words
from thermlog.reports.wording import (
    STANDING_WORDS,
    corners_in_words,
    degrees,
    difference_with_range,
    moment,
    temperature_with_range,
    weighed_by_hand,
    with_range,
)
from thermlog.words.sentences import capital
from thermlog.words.vehicle import SIDES, axle_words, corner_name, corner_words, split_corner

if TYPE_CHECKING:
    from thermlog.pipeline.dossier import Dossier
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Answer, AxleFinding, Diagnosis

_MOST_REASONS = 3
_MOST_STEPS = 3
_FIRST_CAUTIONS = 3  # beside the next check; the others follow in small print
_ONE_SHEET_AXLES = 2  # of a vehicle whose report prints on one sheet; others get smaller tiles


class AnswerBox(Struct, frozen=True, kw_only=True):
    """One question with its answer.

    Attributes
    ----------
    question : str
    state : State
        Sign and border.
    word, corners, chance : str
        Answer, the brakes it names, and its probability.
    reasons, decides : tuple of Dual
    sharper : Dual or None
        Beside a "no", what would show less.
    """

    question: str
    state: State
    word: str
    corners: str
    chance: str
    reasons: tuple[Dual, ...]
    decides: tuple[Dual, ...]
    sharper: Dual | None


class Todo(Struct, frozen=True, kw_only=True):
    """The next check, with what it can show to be ticked.

    Attributes
    ----------
    question : Dual
    minutes : str
    how, why : Dual
    answers : tuple of str
    """

    question: Dual
    minutes: str
    how: Dual
    why: Dual
    answers: tuple[str, ...]


class AxleRow(Struct, frozen=True, kw_only=True):
    """Left against right on one axle."""

    name: str
    left: Dual
    right: Dual
    gap: Dual
    ratio: str
    state: State
    odd: str


class LimitRow(Struct, frozen=True, kw_only=True):
    """The smallest drag, and the smallest loss, that would have shown at one wheel."""

    name: str
    drag: Dual
    torque: str
    loss: str


class CauseRow(Struct, frozen=True, kw_only=True):
    """One cause to be seen or ruled out."""

    name: str
    place: str
    standing: str
    pro: tuple[Dual, ...]
    con: tuple[Dual, ...]


class ReportView(Struct, frozen=True, kw_only=True):
    """Everything on the report; texts in both units."""

    name: str
    about: tuple[Dual, ...]
    headline: tuple[tuple[str | None, Dual], ...]
    urgent: bool
    answers: tuple[AnswerBox, ...]
    todo: Todo | None
    first_caution: Dual
    safety: Dual
    cautions: tuple[Dual, ...]
    later: tuple[Dual, ...]
    plan: PlanView
    banded: bool
    cooling: tuple[Drawing, ...]
    whole: Drawing | None
    undrawn: tuple[Dual, ...]
    points: tuple[Point, ...]
    moment: str
    axles: tuple[AxleRow, ...]
    marks: Dual
    metal: tuple[Dual, ...]
    limits: tuple[LimitRow, ...]
    severity: tuple[Dual, ...]
    quality: tuple[Quality, ...]
    aside: tuple[str, ...]
    notes: tuple[Dual, ...]
    causes: tuple[CauseRow, ...]
    many: bool
    dense: bool
    raw: RawLog
    whole_name: str
    file: str
    sha256: str
    policy: str
    policy_sha256: str
    policy_note: str


def report_page(dossier: Dossier, *, show: Show = "C") -> str:
    """The report as HTML.

    Parameters
    ----------
    dossier : Dossier
    show : {"C", "F"}
        Unit that is chosen when the page is opened, and on paper.
    """
    view = report_view(dossier)
    return render(
        "report.html",
        PageSetup(
            title=f"{view.name}: brake report", styles=("report.css",), scripts=("readout.js",), show=show
        ),
        view,
    )


def report_view(dossier: Dossier) -> ReportView:
    """What the report of one drive says.

    Parameters
    ----------
    dossier : Dossier
    """
    plan = plan_of(dossier.diagnosis)
    timed = {split_corner(curve.corner)[0] for curve in dossier.diagnosis.curves if curve.elapsed_s.size}
    told, policy = dossier.diagnosis, dossier.policy
    warned = told.cautions[bool(told.urgent) :]  # the first then stands in the bar
    cautions = on_pages(told, filter(None, (not_driven(told), *warned)))
    return ReportView(
        name=named_vehicle(told.vehicle),
        about=about(told),
        headline=told_parts(told),
        urgent=bool(told.urgent),
        answers=answer_boxes(told),
        todo=_todo(dossier),
        first_caution=first_caution(told),
        safety=in_words(told, told.next_check.safety if told.next_check else ""),
        cautions=cautions[:_FIRST_CAUTIONS],
        later=cautions[_FIRST_CAUTIONS:],
        plan=plan,
        banded=any(wheel.expected for wheel in plan.wheels),
        cooling=tuple(drawn(told, "cooling", axles=(axle,)) for axle in axles_shown(told) if axle in timed),
        whole=drawn(told, "vehicle") if any(one.at_common_degc for one in told.corners) else None,
        undrawn=tuple(
            line for axle in axles_shown(told) if axle not in timed for line in _why_undrawn(told, axle)
        ),
        points=points_of(told),
        moment=moment(told),
        axles=tuple(_axle_row(one, told) for one in told.axles),
        marks=in_both(lambda show: marks_words(policy, show)),
        metal=tuple(_metal(one, told) for one in told.axles if one.surface_difference_k is not None),
        limits=_limit_rows(told),
        severity=tuple(
            in_words(told, f"{corner_words(one.corner, told.axle_count, told.called)}: {one.words}")
            for one in told.severity
        ),
        quality=quality_of(told),
        aside=aside_of(told),
        notes=(*map(alike, weighed_by_hand(told)), *on_pages(told, (*told.log.notes, *told.notes))),
        causes=_causes(told),
        many=told.axle_count > _ONE_SHEET_AXLES,
        dense=any(wheel.others for wheel in plan.wheels),
        raw=rawlog_of(dossier),
        whole_name=seen(told.vehicle or ""),
        file=seen(told.log.file, 400),
        sha256=told.log.sha256,
        policy=seen(told.policy.name, 60),
        policy_sha256=told.policy.sha256,
        policy_note=seen(told.policy_note),
    )


def answer_boxes(told: Diagnosis) -> tuple[AnswerBox, ...]:
    """The three questions."""
    return tuple(
        AnswerBox(
            question=question,
            state=state,
            word=ANSWER_WORDS[one.answer],
            corners=corners_in_words(one.corners, told.axle_count, told.called) if one.suspects else "",
            chance=chance_words(one, told.axle_count),
            reasons=reasons_in_both(told, one.reasons)[:_MOST_REASONS],
            decides=reasons_in_both(told, one.decides)[:_MOST_STEPS],
            sharper=_sharper(one),
        )
        for question, one, state in zip(QUESTIONS, told.answers.each, answer_states(told), strict=True)
    )


def _sharper(one: Answer) -> Dual | None:
    return in_both(lambda show: capital(sharper_words(one, show))) if one.sharper else None


def _why_undrawn(told: Diagnosis, axle: int) -> tuple[Dual, ...]:
    name = capital(axle_words(axle, told.axle_count))
    return lines_in_both(lambda show: [f"{name}: {line}" for line in panel_reasons(told, axle, show)])


def _todo(dossier: Dossier) -> Todo | None:
    told, narrowed = dossier.diagnosis, dossier.narrowed
    check = told.next_check
    if check is None:
        return None
    same = narrowed.check is not None and narrowed.check.id == check.id
    return Todo(
        question=in_words(told, check.question),
        minutes=f"{check.minutes:.0f} min",
        how=in_words(told, narrowed.how if same else ""),
        why=in_words(told, check.why),
        answers=tuple(one.words for one in narrowed.answers) if same else (),
    )


def _axle_row(axle: AxleFinding, told: Diagnosis) -> AxleRow:
    left, right = (_height(told, corner_name(axle.axle, side)) for side in SIDES)
    return AxleRow(
        name=axle_words(axle.axle, told.axle_count),
        left=left,
        right=right,
        gap=in_both(lambda show: difference_with_range(axle.difference_k, show)),
        ratio=with_range(axle.rise_ratio),
        state=axle.verdict,
        odd=corner_words(axle.suspect, told.axle_count, told.called) if axle.suspect else "",
    )


def _height(told: Diagnosis, corner: str) -> Dual:
    found = told.corner(corner)
    at = found.at_common_degc if found else None
    return in_both(lambda show: temperature_with_range(at, show))


def _metal(axle: AxleFinding, told: Diagnosis) -> Dual:
    name = axle_words(axle.axle, told.axle_count)
    return in_both(
        lambda show: f"{name} {difference_with_range(axle.surface_difference_k, show)} {degrees(show)}"
    )


def _limit_rows(told: Diagnosis) -> tuple[LimitRow, ...]:
    both = zip(limit_rows(told, "C"), limit_rows(told, "F"), strict=True)
    return tuple(
        LimitRow(name=name, drag=Dual(drag_c, drag_f), torque=torque, loss=loss)
        for (name, drag_c, torque, loss), (_, drag_f, _, _) in both
    )


def _causes(told: Diagnosis) -> tuple[CauseRow, ...]:
    return tuple(
        CauseRow(
            name=in_words(told, one.name).c,
            place=in_words(told, one.place).c,
            standing=STANDING_WORDS[one.standing],
            pro=on_pages(told, one.for_),
            con=on_pages(told, one.against),
        )
        for one in told.suspects
    )
