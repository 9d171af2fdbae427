"""What is kept of many logs: rows by urgency, refusals, copies; loads neither numpy nor the steps before."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

from msgspec import Struct, field

from thermlog.fleet.jobs import in_order, usual_jobs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from thermlog.reading.read import Unreadable
    from thermlog.words.findings import AnswerWord, AxleFinding, PatternKind, UrgentCode, Verdict
    from thermlog.words.reasons import Reason
    from thermlog.words.visits import Visit

LOGS_PER_PIECE = 500
_LOGS_PER_WRITTEN_PIECE = 100  # their full texts together about fill a pipe
_PIECES_A_PROCESS = 2  # at least, where several share: who is faster takes more
_LOGS_WORTH_A_PROCESS = 200  # measured: fewer take less time than a helper spends on loading what it needs
# What needs a look first stands first.
_URGENCY: dict[Verdict, int] = {"hot": 0, "cold": 0, "watch": 1, "cannot_tell": 2, "even": 3}
_OPEN: tuple[AnswerWord, ...] = ("yes", "watch", "cannot_tell")  # what asks for a look, the surest first
_Place: TypeAlias = tuple[int, int, float, float, str, str, str]
Standing: TypeAlias = "AnswerWord | Literal['urgent']"


class FleetRow(Struct, frozen=True, kw_only=True):
    """One line of the ranked list: an odd axle, or a vehicle without one.

    Attributes
    ----------
    unit : str
        Vehicle as stated, else the file.
    finding : AxleFinding
        The axle, or the hubs, that the line is about; where it is about the whole vehicle, its verdict, with
        the widest difference. Axle 0 where none could be compared.
    members : tuple of str
        Corners the pattern names, on this axle where the line is about an axle.
    pattern : PatternKind
    p_fault : float or None
        Of the whole vehicle.
    drag, idle, heat : AnswerWord
        The three answers about the whole vehicle.
    p_drag, p_idle : float or None
        Probability that a brake that was read drags; that one does not work.
    urgent : tuple of UrgentCode
        What stops the vehicle, the most dangerous first.
    cannot_tell : tuple of Reason
        Reasons why the vehicle cannot be told, or not wholly.
    decides : Reason or None
        What to do first about what cannot be told.
    """

    unit: str
    file: str
    drive: str | None
    finding: AxleFinding
    members: tuple[str, ...]
    pattern: PatternKind
    p_fault: float | None
    policy: str
    axle_count: int
    drag: AnswerWord
    idle: AnswerWord
    heat: AnswerWord
    p_drag: float | None
    p_idle: float | None
    urgent: tuple[UrgentCode, ...] = ()
    cannot_tell: tuple[Reason, ...] = ()
    decides: Reason | None = None

    @property
    def standing(self) -> Standing:
        """What the whole vehicle asks for: the most pressing of what was found, "no" if nothing."""
        if self.urgent:
            return "urgent"
        return next((word for word in _OPEN if word in {self.drag, self.idle, self.heat}), "no")


class Duplicate(Struct, frozen=True, kw_only=True):
    """A file with the same content as one already judged.

    Attributes
    ----------
    file : str
        Path as given.
    same_as : str
        The file that was judged.
    """

    file: str
    same_as: str


class LearnedSkins(Struct, frozen=True, kw_only=True):
    """What a fleet taught about the surfaces of its vehicles.

    Attributes
    ----------
    even_share : float
        Share of vehicles whose brakes look alike, 0 to 1.
    logs : int
        Logs it was learned from.
    """

    even_share: float
    logs: int


class Piece(Struct, frozen=True, kw_only=True):
    """What is kept of some logs of a fleet: rows and refusals, no curves.

    Attributes
    ----------
    rows : tuple of FleetRow
        Empty where cases are written in full.
    judged, flagged : tuple of str
        The file of every case judged; of every case that asks for a look.
    contents : tuple of (file, sha256)
        Every file that could be read.
    unreadable : tuple of Unreadable
        Files that were refused, each with its reason.
    files : int
        Number of files looked at.
    written : tuple of str
        Every case judged, in words of the caller; empty if none were asked for.
    skins : LearnedSkins or None
        What it was judged with; None: what the policy assumes.
    visits : tuple of Visit
        What a history keeps of every case; empty where there is none.
    """

    rows: tuple[FleetRow, ...]
    judged: tuple[str, ...]
    flagged: tuple[str, ...]
    contents: tuple[tuple[str, str], ...]
    unreadable: tuple[Unreadable, ...]
    files: int
    written: tuple[str, ...] = ()
    skins: LearnedSkins | None = None
    visits: tuple[Visit, ...] = ()


class FleetList(Struct, kw_only=True):
    """What is kept of a fleet while its pieces go by."""

    rows: list[FleetRow] = field(default_factory=list)
    unreadable: list[Unreadable] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)
    judged: int = 0
    flagged: int = 0
    first_with: dict[str, str] = field(default_factory=dict)
    skins: LearnedSkins | None = None

    def add(self, piece: Piece) -> list[str]:
        """Take in one piece without files whose content came before; gives what is written of the others."""
        copies = {
            file: first
            for file, content in piece.contents
            if (first := self.first_with.setdefault(content, file)) != file
        }
        self.rows += [row for row in piece.rows if row.file not in copies]
        self.judged += sum(file not in copies for file in piece.judged)
        self.flagged += sum(file not in copies for file in piece.flagged)
        self.unreadable += piece.unreadable
        self.skins = piece.skins  # the same in all
        self.duplicates += [Duplicate(file=file, same_as=first) for file, first in copies.items()]
        # nothing was asked to be written: there are fewer texts than cases
        return [text for file, text in zip(piece.judged, piece.written, strict=False) if file not in copies]

    def ranked(self) -> list[FleetRow]:
        """Rows, what needs a look first at the top; order of the files does not matter."""
        return sorted(self.rows, key=_place_in_rank)


def in_pieces(
    paths: Sequence[str],
    lister: Callable[[Sequence[str]], Piece],
    *,
    jobs: int | None = None,
    written: bool = False,
) -> Iterator[Piece]:
    """Read and judge many logs, some hundred at a time so that memory stays small.

    Parameters
    ----------
    paths : sequence of str
        Files, already expanded.
    lister : callable
        Makes a piece of some files.
    jobs : int, optional
        Processes that share the work; what follows from the number of logs and cores if not given. Changes
        speed, never a result.
    written : bool
        True if every case is written in full: pieces are smaller then.

    Yields
    ------
    Piece
        In the order of the files.
    """
    if jobs is None:
        jobs = usual_jobs(len(paths), fewest=_LOGS_WORTH_A_PROCESS)
    pieces = jobs * _PIECES_A_PROCESS if jobs > 1 else 1
    most = min(LOGS_PER_PIECE, _LOGS_PER_WRITTEN_PIECE) if written else LOGS_PER_PIECE
    size = max(1, min(most, -(-len(paths) // pieces)))
    return in_order(lister, [paths[start : start + size] for start in range(0, len(paths), size)], jobs=jobs)


def _place_in_rank(row: FleetRow) -> _Place:
    """Rank: danger, kind of finding, probability in whole per cent, then size of the difference."""
    gap_k = row.finding.difference_k
    return (
        _danger(row),
        _URGENCY[row.finding.verdict],
        -_probability(row),
        -abs(gap_k.value) if gap_k else 0.0,
        row.unit,
        row.file,
        f"{row.drive} {row.finding.axle or None}",
    )


def _danger(row: FleetRow) -> int:
    """Place of the worst that stops the vehicle; after all of them where nothing does."""
    from thermlog.advice.urgency import BY_DANGER

    return min(map(BY_DANGER.index, row.urgent), default=len(BY_DANGER))


def _probability(row: FleetRow) -> float:
    """Of what the line is about; finer steps than a per cent would only rank noise."""
    idle = row.finding.verdict == "cold" or (
        row.idle in {"yes", "watch"} and row.drag in {"no", "cannot_tell"}
    )
    return round((row.p_idle if idle else row.p_drag) or 0.0, 2)
