"""One line of a depot's list of work: the typed record that every format of the list is made from."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct

if TYPE_CHECKING:
    from collections.abc import Collection

    from thermlog.advice.errand import Errand
    from thermlog.words.findings import AnswerWord, AxleFinding, PatternKind, Urgent, Verdict
    from thermlog.words.noted import Unweighed
    from thermlog.words.parts import PartAbove
    from thermlog.words.reasons import Reason
    from thermlog.words.tables import Drive
    from thermlog.words.vehicle import OwnWords, Spot, WeightClass

WorkGroup: TypeAlias = Literal["urgent", "called", "watch", "again", "nothing"]
# The most pressing first: stop driving, check, watch, drive or read again, nothing found.
GROUPS: tuple[WorkGroup, ...] = ("urgent", "called", "watch", "again", "nothing")
_BY_ANSWER: dict[AnswerWord, WorkGroup] = {"yes": "called", "watch": "watch", "cannot_tell": "again"}


class Hottest(Struct, frozen=True, kw_only=True):
    """The hottest reading of a place, and where it stands.

    Attributes
    ----------
    degc : float or None
        As it was judged: indicated, of the metal where a surface was stated [°C]; None for a gun above its
        range.
    corner : str or None
        Axle number from the front and side; None where nobody says which wheel.
    spot : Spot
    line : int or None
        In the file; None where the line is of a whole vehicle that nothing was found on.
    """

    degc: float | None
    corner: str | None
    spot: Spot
    line: int | None


def group_by_answers(answers: Collection[AnswerWord], *, urgent: bool) -> WorkGroup:
    """Where a drive with these answers stands: the most pressing of them.

    Examples
    --------
    >>> group_by_answers({"no", "watch"}, urgent=False), group_by_answers({"no"}, urgent=True)
    ('watch', 'urgent')
    """
    if urgent:
        return "urgent"
    return next((group for word, group in _BY_ANSWER.items() if word in answers), "nothing")


class FleetRow(Struct, frozen=True, kw_only=True):
    """One line of the list: what stops a vehicle, an odd axle, or a vehicle without one.

    Attributes
    ----------
    unit : str
        Vehicle as stated, or as the depot calls it; else the file.
    file, sha256 : str
        The log, and the hash of its bytes.
    taken : str or None
        When, as the log states it: `tables.Taken.start`.
    repair : str or None
        What was mended before the drive, as the log says: `tables.Taken.repair`.
    finding : AxleFinding
        The axle, or the hubs, that the line is about; where it is about the whole vehicle, its verdict, with
        the widest difference. Axle 0 where none could be compared.
    members : tuple of str
        Corners the pattern names, on this axle where the line is about an axle.
    drags, idles : tuple of str
        Corners watched for a drag, and for lost braking, beside what the line calls, if it does. Where one
        thing is read in two ways both stand on every line of it.
    called : tuple of OwnWords
        What the log calls its corners, where a list may call them otherwise.
    pattern : PatternKind
    p_fault : float or None
        Of the whole vehicle.
    drag, idle, heat : AnswerWord
        The three answers about the whole vehicle.
    p_drag, p_idle : float or None
        Probability that a brake that was read drags; that one does not work.
    stops : bool
        True for the line that says what stops the vehicle.
    urgent : tuple of Urgent
        What stops the vehicle, the most dangerous first.
    cannot_tell : tuple of Reason
        Reasons why the vehicle cannot be told, or not wholly.
    decides : Reason or None
        What to do first about what cannot be told.
    hottest : Hottest or None
        Of the place of the line; None if nothing was read there.
    errand : Errand or None
        What to do next with the vehicle; None where nothing was found.
    part : PartAbove or None
        The part beside a brake that the line is about.
    watched : bool
        True if any part of the vehicle is watched.
    remarks : int
        Remarks of the drive for a person to weigh.
    of_brakes : tuple of Unweighed
        Those of them about a wheel or a brake.
    """

    unit: str
    file: str
    sha256: str
    drive: Drive | None
    finding: AxleFinding
    members: tuple[str, ...]
    pattern: PatternKind
    p_fault: float | None
    policy: str
    weight_class: WeightClass
    axle_count: int
    drag: AnswerWord
    idle: AnswerWord
    heat: AnswerWord
    p_drag: float | None
    p_idle: float | None
    stops: bool = False
    urgent: tuple[Urgent, ...] = ()
    cannot_tell: tuple[Reason, ...] = ()
    decides: Reason | None = None
    hottest: Hottest | None = None
    taken: str | None = None
    repair: str | None = None
    errand: Errand | None = None
    part: PartAbove | None = None
    watched: bool = False
    remarks: int = 0
    of_brakes: tuple[Unweighed, ...] = ()
    drags: tuple[str, ...] = ()
    idles: tuple[str, ...] = ()
    heats: tuple[str, ...] = ()
    p: float | None = None
    called: tuple[OwnWords, ...] = ()

    @property
    def group(self) -> WorkGroup:
        """Where the drive stands: the most pressing of what was found on it."""
        of_parts: set[AnswerWord] = {"watch"} if self.watched else set()
        return group_by_answers({self.drag, self.idle, self.heat} | of_parts, urgent=bool(self.urgent))

    @property
    def verdict(self) -> Verdict:
        """Of what the line is about: what stops the vehicle is never even, or left open."""
        if not self.stops or self.finding.verdict not in {"even", "cannot_tell"}:
            return self.finding.verdict
        return "watch" if self.urgent[0].value_degc is None else "hot"

    @property
    def corner(self) -> str | None:
        """The odd corner; where none is called, the one that is watched, if it is one."""
        watched = self.members[0] if len(self.members) == 1 and self.finding.verdict == "watch" else None
        return self.finding.suspect or watched

    @property
    def visit(self) -> tuple[str, str, str | None]:
        """The drive that the line is about: unit, file, drive."""
        return self.unit, self.file, self.drive
