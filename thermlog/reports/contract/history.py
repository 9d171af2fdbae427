"""The units of a history as JSON tells them."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.reports.contract.document import DocumentObject
from thermlog.reports.contract.jsonnumbers import at_six_digits, ends_of, taken_over, value_of
from thermlog.reports.wording import six_digits
from thermlog.words.bounds import AxleNumber, CornerName, Count, Share
from thermlog.words.estimates import Interval
from thermlog.words.findings import AnswerWord
from thermlog.words.parts import PartAbove

if TYPE_CHECKING:
    from thermlog.history.rows import KeptVisit
    from thermlog.history.unitstories import AxleTrend, UnitRow, UnitStory
    from thermlog.words.visits import AnswerThen


class SaidObject(Struct, frozen=True, kw_only=True):
    """One answer of a visit.

    Attributes
    ----------
    answer : {"no", "watch", "yes", "cannot_tell"}
        As it was given then.
    p : float or None
        Its probability.
    corners : tuple of str
        The brakes it is about.
    """

    answer: AnswerWord
    p: Share | None
    corners: tuple[CornerName, ...]

    @classmethod
    def of(cls, said: AnswerThen) -> SaidObject:
        """One answer."""
        return cls(answer=said.answer, p=six_digits(said.p), corners=said.corners)


class SaidAnswersObject(Struct, frozen=True, kw_only=True):
    """The three answers of a visit.

    Attributes
    ----------
    drag : SaidObject
        Does a brake drag?
    idle : SaidObject
        Does a brake not work?
    heat : SaidObject
        Is the whole vehicle hotter than such a drive leaves it?
    """

    drag: SaidObject
    idle: SaidObject
    heat: SaidObject

    @classmethod
    def of(cls, visit: KeptVisit) -> SaidAnswersObject:
        """Answers of one visit."""
        return cls(
            drag=SaidObject.of(visit.drag), idle=SaidObject.of(visit.idle), heat=SaidObject.of(visit.heat)
        )


class VisitObject(Struct, frozen=True, kw_only=True):
    """One check of the unit.

    Attributes
    ----------
    file : str
        The log.
    sha256 : str
        Of its content.
    taken_at : str or None
        When it was read, as the log states it.
    drive : str or None
        Kind of drive.
    policy : str
        Policy that judged.
    answers : SaidAnswersObject
        As they were given then.
    urgent : tuple of str
        Codes of what stopped the vehicle.
    parts_above : tuple of PartAbove
        Parts beside the brakes that were watched.
    """

    file: str
    sha256: str
    taken_at: str | None
    drive: str | None
    policy: str
    answers: SaidAnswersObject
    urgent: tuple[str, ...]
    parts_above: tuple[PartAbove, ...]

    @classmethod
    def of(cls, visit: KeptVisit) -> VisitObject:
        """One visit."""
        answers, parts_above = SaidAnswersObject.of(visit), at_six_digits(visit.parts_above)
        return taken_over(cls, visit, sha256=visit.log_sha256, answers=answers, parts_above=parts_above)


class TrendObject(Struct, frozen=True, kw_only=True):
    """Left against right of one axle over the visits.

    Attributes
    ----------
    axle : int
        From the front.
    days : tuple of float
        Of each visit with a ratio, since the first visit of the unit.
    ln_ratio : tuple of float
        Natural logarithm of the left rise over the right one.
    difference_k : tuple of float
        Left minus right [K].
    ln_ratio_per_week : float or None
        Theil-Sen slope; null for fewer than four dated visits.
    ln_ratio_per_week_interval : interval or None
        Within which it lies [low, high].
    k_per_week : float or None
        The same of the difference [K a week].
    k_per_week_interval : interval or None
        Within which it lies [low, high].
    limits : interval or None
        Control limits of the moving average of ln_ratio; null for fewer than five visits.
    first_outside : int or None
        Which of the days it was first outside, first 0; null if it never was.
    """

    axle: AxleNumber
    days: tuple[float, ...]
    ln_ratio: tuple[float, ...]
    difference_k: tuple[float, ...]
    ln_ratio_per_week: float | None
    ln_ratio_per_week_interval: Interval | None
    k_per_week: float | None
    k_per_week_interval: Interval | None
    limits: Interval | None
    first_outside: Count | None

    @classmethod
    def of(cls, trend: AxleTrend) -> TrendObject:
        """One axle."""
        chart = trend.chart
        return cls(
            axle=trend.axle,
            days=tuple(round(day, 3) for day in trend.days),
            ln_ratio=tuple(round(value, 5) for value in trend.ln_ratio),
            difference_k=tuple(round(value, 3) for value in trend.difference_k),
            ln_ratio_per_week=value_of(trend.per_week),
            ln_ratio_per_week_interval=ends_of(trend.per_week),
            k_per_week=value_of(trend.k_per_week),
            k_per_week_interval=ends_of(trend.k_per_week),
            limits=None if chart is None else (round(chart.low, 5), round(chart.high, 5)),
            first_outside=None if chart is None else chart.first_outside,
        )


class UnitObject(Struct, frozen=True, kw_only=True):
    """One unit.

    Attributes
    ----------
    unit : str
        Name of the vehicle, in small letters.
    visits : int
        Walks stored.
    last_at : str or None
        Date of the last drive; null where its log states none.
    days_since : float or None
        Days since then.
    first_flagged : str or None
        Date of the first visit at which anything was flagged.
    times_flagged : int
        Visits at which anything was flagged.
    k_per_week : float or None
        Growth of the gap on the axle that was furthest apart at the last visit [K a week]; null for fewer
        than four dated visits.
    k_per_week_interval : interval or None
        Within which it lies [low, high].
    axle : int or None
        That axle.
    offenders : tuple of str
        Corners called or watched at three visits or more.
    repairs_proven : int
        Repairs after which a drive proved that the sides are even again.
    repairs_open : int
        Repairs without such a proof.
    answers : SaidAnswersObject
        Of the last visit.
    """

    unit: str
    visits: Count
    last_at: str | None
    days_since: float | None
    first_flagged: str | None
    times_flagged: int
    k_per_week: float | None
    k_per_week_interval: Interval | None
    axle: AxleNumber | None
    offenders: tuple[CornerName, ...]
    repairs_proven: int
    repairs_open: int
    answers: SaidAnswersObject

    @classmethod
    def of(cls, row: UnitRow) -> UnitObject:
        """One unit."""
        return taken_over(
            cls,
            row,
            last_at=row.last_day,
            days_since=None if row.days_since is None else round(row.days_since, 1),
            k_per_week=value_of(row.k_per_week),
            k_per_week_interval=ends_of(row.k_per_week),
            answers=SaidAnswersObject.of(row.last),
        )


class StoryObject(Struct, frozen=True, kw_only=True):
    """What one unit's visits tell together.

    Attributes
    ----------
    visits : tuple of VisitObject
        In the order in which the vehicle was driven.
    trends : tuple of TrendObject
        Axle by axle.
    """

    visits: tuple[VisitObject, ...]
    trends: tuple[TrendObject, ...]

    @classmethod
    def of(cls, story: UnitStory) -> StoryObject:
        """One unit."""
        return cls(
            visits=tuple(map(VisitObject.of, story.visits)), trends=tuple(map(TrendObject.of, story.trends))
        )


class HistoryObject(DocumentObject, frozen=True, kw_only=True):
    """What a depot remembers.

    Attributes
    ----------
    units : tuple of UnitObject
        What asks for a look first.
    unnamed : int
        Walks whose log names no unit; they are in none of the above.
    story : StoryObject or None
        Where one unit was asked for.
    """

    units: tuple[UnitObject, ...]
    unnamed: int
    story: StoryObject | None = None
