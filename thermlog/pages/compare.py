"""Before and after on one page: what became of the fault, axle by axle, with the curves of both drives."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pages.aboutvehicle import about, in_words, named_vehicle
from thermlog.pages.drawings import Drawing, drawn
from thermlog.pages.planview import State
from thermlog.pages.rendering import PageSetup, render
from thermlog.pages.shown import Dual, alike, in_both, lines_in_both, seen
from thermlog.reports.chartwords import axles_shown
from thermlog.reports.proofwords import (
    OUTCOME_WORDS,
    SCREENED,
    comparison_headline,
    lacking_lines,
    log_names,
    next_steps,
    now_lines,
    outcome_state,
    remark_lines,
    stopped_lines,
    urgent_cautions,
    why_lines,
)
from thermlog.reports.summary import answer_states
from thermlog.reports.wording import difference_with_range, with_range
from thermlog.words.sentences import capital
from thermlog.words.vehicle import axle_words

if TYPE_CHECKING:
    from thermlog.followup.proof import ComparedAxle, Comparison
    from thermlog.reports.wording import Show
    from thermlog.words.findings import Diagnosis

_GRAVEST_FIRST: tuple[State, ...] = ("hot", "cold", "watch", "cannot_tell", "even")


class DriveColumn(Struct, frozen=True, kw_only=True):
    """One drive: what it is called, what is said of it, its curves axle by axle (None: not read there)."""

    name: str
    about: tuple[Dual, ...]
    cooling: tuple[Drawing | None, ...]
    file: str
    sha256: str


class GapRow(Struct, frozen=True, kw_only=True):
    """Left minus right on one axle in every drive, and what became of it."""

    name: str
    gaps: tuple[Dual, ...]
    ratios: tuple[str, ...]
    states: tuple[State | None, ...]
    change: Dual
    outcome: str
    state: State
    why: tuple[Dual, ...]


class CompareView(Struct, frozen=True, kw_only=True):
    """Everything on the page.

    Attributes
    ----------
    heading : str
        With the vehicle, or each of several.
    beside : bool
        True for drives of one vehicle; else nothing changed, and nothing became of anything.
    """

    heading: str
    beside: bool
    headline: Dual
    state: State
    urgent: tuple[Dual, ...]
    stopped: tuple[Dual, ...]
    drives: tuple[DriveColumn, ...]
    rows: tuple[GapRow, ...]
    notes: tuple[Dual, ...]
    now: tuple[str, ...]
    steps: tuple[Dual, ...]
    safety: Dual
    caution: Dual
    screened: str


def compare_page(comparison: Comparison, *, show: Show = "C") -> str:
    """The page as HTML.

    Parameters
    ----------
    comparison : Comparison
        Of diagnoses with curves.
    show : {"C", "F"}
        Unit that is chosen when the page is opened, and on paper.
    """
    view = compare_view(comparison)
    setup = PageSetup(title=view.heading, styles=("compare.css",), show=show)
    return render("compare.html", setup, view)


def compare_view(comparison: Comparison) -> CompareView:
    """What the page says.

    Parameters
    ----------
    comparison : Comparison
    """
    last, names = comparison.last, log_names(comparison.diagnoses)
    check = comparison.next_check
    return CompareView(
        heading=_heading(comparison),
        beside=comparison.unlike is None,
        headline=in_both(lambda show: comparison_headline(comparison, names, show)),
        state=_state(comparison),
        urgent=lines_in_both(lambda show: urgent_cautions(comparison, show)),
        stopped=lines_in_both(lambda show: stopped_lines(comparison, show)),
        drives=tuple(
            _drive(one, name, comparison) for one, name in zip(comparison.diagnoses, names, strict=True)
        ),
        rows=tuple(_row(axle, comparison) for axle in comparison.axles),
        notes=(
            *map(alike, comparison.notes),
            *lines_in_both(lambda show: lacking_lines(comparison, show)),
            *map(alike, remark_lines(comparison)),
        ),
        now=tuple(seen(line) for line in now_lines(comparison, names)),
        steps=lines_in_both(lambda show: next_steps(comparison, show)),
        safety=in_words(last, check.safety if check else ""),
        caution=alike(comparison.caution),
        screened=SCREENED,
    )


def _heading(comparison: Comparison) -> str:
    if comparison.unlike is None:
        return f"{named_vehicle(comparison.last.vehicle)}: before and after"
    names = dict.fromkeys(named_vehicle(told.vehicle) for told in comparison.diagnoses)
    return f"{', '.join(names)}: each judged by itself"


def _state(comparison: Comparison) -> State:
    """The gravest outcome, or answer where there are several vehicles; what is urgent before all."""
    if comparison.urgent:
        return "urgent"
    states: set[State]
    if comparison.unlike is None:
        states = {outcome_state(axle) for axle in comparison.axles} or {"cannot_tell"}
        states |= {"watch"} if comparison.unexplained else set()
    else:
        states = {state for one in comparison.diagnoses for state in answer_states(one)}
    states |= {"watch"} if any(one.parts_above for one in comparison.counting) else set()
    return next(state for state in _GRAVEST_FIRST if state in states)


def _drive(one: Diagnosis, name: str, comparison: Comparison) -> DriveColumn:
    return DriveColumn(
        name=seen(name),
        about=about(one),
        cooling=tuple(_cooling(one, axle.axle, comparison) for axle in comparison.axles),
        file=seen(one.log.file, 200),
        sha256=one.log.sha256,
    )


def _cooling(one: Diagnosis, axle: int, comparison: Comparison) -> Drawing | None:
    """The curves of an axle, on the axes of all drives; None where the drive has no such axle."""
    if axle not in axles_shown(one):
        return None
    key = f"log{_place(one, comparison)}"
    return drawn(one, "cooling", axles=(axle,), beside=comparison.diagnoses, key=key)


def _place(one: Diagnosis, comparison: Comparison) -> int:
    return next(k for k, other in enumerate(comparison.diagnoses) if other is one)


def _row(axle: ComparedAxle, comparison: Comparison) -> GapRow:
    count = comparison.axle_count
    return GapRow(
        name=capital(axle_words(axle.axle, count)),
        gaps=tuple(_gap(axle, k) for k in range(len(axle.differences_k))),
        ratios=tuple(map(with_range, axle.ratios)),
        states=axle.verdicts,
        change=in_both(lambda show: difference_with_range(axle.changes_k[axle.pair[1]], show)),
        outcome=OUTCOME_WORDS[axle.outcome],
        state=outcome_state(axle),
        why=lines_in_both(lambda show: why_lines(axle, show, count)) if axle.asked else (),
    )


def _gap(axle: ComparedAxle, k: int) -> Dual:
    return in_both(lambda show: difference_with_range(axle.differences_k[k], show))
