"""What is kept of many logs: rows, refusals, copies; loads neither numpy nor the steps before."""

from __future__ import annotations

from bisect import bisect_left
from itertools import accumulate, pairwise
from typing import TYPE_CHECKING

from msgspec import Struct, field

from thermlog.fleet.batches import Batch

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence
    from typing import TypeAlias

    from thermlog.fleet.batches import Engine, Work
    from thermlog.fleet.defects import Defect
    from thermlog.fleet.quietrows import QuietRows
    from thermlog.fleet.workrow import FleetRow
    from thermlog.pipeline.dossier import Dossier
    from thermlog.reading.read import Unreadable
    from thermlog.words.errors import HistoryError
    from thermlog.words.visits import Visit

    Named: TypeAlias = tuple[tuple[str, tuple[str, ...]], ...]  # files with the keys of their vehicles

LOGS_PER_PIECE = 500
_LOGS_PER_FULL_PIECE = 256  # their full texts take some megabytes
_LEAST_PART = 4  # of a piece: measured, smaller ones cost a fifth more a log


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


class FlaggedDrive(Struct, frozen=True, kw_only=True):
    """A drive that asks for a look, as it was judged for the list.

    Attributes
    ----------
    file : str
    number : int
        Of the drive in its file, the first 0.
    dossier : Dossier
        What its pages are made of.
    """

    file: str
    number: int
    dossier: Dossier


class Piece(Struct, frozen=True, kw_only=True):
    """What is kept of some logs of a fleet: rows and refusals, no curves.

    Attributes
    ----------
    rows : tuple of FleetRow
        Of drives on which something was found, or that could not be told, and a few others.
    judged, flagged : tuple of str
        The file of every case judged; of every case that asks for a look.
    contents : tuple of (file, sha256)
        Every file that could be read.
    unreadable : tuple of Unreadable
        Files that were refused, each with its reason.
    files : int
        Number of files looked at.
    quiet : tuple of QuietRows
        Of all other drives.
    written : tuple of str
        Every case judged, in words of the caller; empty if none were asked for.
    skins : LearnedSkins or None
        What it was judged with; None: what the policy assumes.
    visits : tuple of Visit
        What a history keeps of every case; empty where there is none.
    defects : tuple of Defect
        What is filed of every defect, if it was asked for.
    unremembered : HistoryError or None
        Why earlier visits did not count, where a history was named.
    flagged_drives : tuple of FlaggedDrive
        Every drive that asks for a look, if pages of them were asked for.
    """

    rows: tuple[FleetRow, ...]
    judged: tuple[str, ...]
    flagged: tuple[str, ...]
    contents: tuple[tuple[str, str], ...]
    unreadable: tuple[Unreadable, ...]
    files: int
    quiet: tuple[QuietRows, ...] = ()
    written: tuple[str, ...] = ()
    skins: LearnedSkins | None = None
    visits: tuple[Visit, ...] = ()
    defects: tuple[Defect, ...] = ()
    unremembered: HistoryError | None = None
    flagged_drives: tuple[FlaggedDrive, ...] = ()


class FleetList(Struct, kw_only=True):
    """What is kept of a fleet while its pieces go by."""

    rows: list[FleetRow] = field(default_factory=list)
    quiet: list[QuietRows] = field(default_factory=list)
    unreadable: list[Unreadable] = field(default_factory=list)
    duplicates: list[Duplicate] = field(default_factory=list)
    judged: int = 0
    flagged: int = 0
    defects: list[Defect] = field(default_factory=list)
    flagged_drives: list[FlaggedDrive] = field(default_factory=list)
    read: int = 0
    sheets: int = 0
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
        self.quiet += [table.without(copies) for table in piece.quiet]
        self.judged += sum(file not in copies for file in piece.judged)
        self.flagged += sum(file not in copies for file in piece.flagged)
        self.defects += [one for one in piece.defects if one.file not in copies]
        self.flagged_drives += [one for one in piece.flagged_drives if one.file not in copies]
        self.read += len(piece.contents)
        self.unreadable += piece.unreadable
        read = {file for file, _ in piece.contents}
        self.sheets += sum(one.file in read for one in piece.unreadable)
        self.skins = piece.skins  # the same in all
        self.duplicates += [Duplicate(file=file, same_as=first) for file, first in copies.items()]
        # nothing was asked to be written: there are fewer texts than cases
        return [text for file, text in zip(piece.judged, piece.written, strict=False) if file not in copies]

    @property
    def files(self) -> int:
        """Number of files named: those that were read, copies among them, and those that were not."""
        return self.read + self.unread

    @property
    def unread(self) -> int:
        """Number of files that were not read: a sheet of a workbook that was read is none."""
        return len(self.unreadable) - self.sheets


def in_pieces(
    paths: Sequence[str],
    lister: Work[Piece],
    *,
    engine: Engine,
    in_full: bool = False,
    whole: Work[Named] | None = None,
) -> Iterator[Piece]:
    """Read and judge many logs, some hundred at a time so that memory stays small.

    Parameters
    ----------
    paths : sequence of str
        Files, already expanded.
    lister : callable
        Makes a piece of some files.
    engine : Engine
        Who does the work. Changes speed, never a result.
    in_full : bool
        True if every case is told in full: pieces are smaller then.
    whole : callable, optional
        Tells the vehicles of some files: no piece then parts the files of a vehicle.

    Yields
    ------
    Piece
        In the order of the files; with `whole` the files of a vehicle follow the first of them.
    """
    most = min(LOGS_PER_PIECE, _LOGS_PER_FULL_PIECE) if in_full else LOGS_PER_PIECE
    ends = list(accumulate(_sizes(len(paths), engine.workers(len(paths)), most)))
    batches = _cut(paths, ends)
    if whole is not None and len(batches) > 1:
        together = _of_one_vehicle(paths, engine.in_order(whole, batches))
        paths = [path for group in together for path in group]
        last = list(accumulate(map(len, together)))
        batches = _cut(paths, sorted({last[bisect_left(last, end)] for end in ends}))
    return engine.in_order(lister, batches)


def _cut(paths: Sequence[str], ends: Sequence[int]) -> list[Batch]:
    return [Batch(paths=tuple(paths[begin:end])) for begin, end in pairwise([0, *ends])]


def _of_one_vehicle(paths: Sequence[str], told: Iterator[Named]) -> list[list[str]]:
    """Files in groups without a vehicle in common, in the order of the first file of each."""
    groups: dict[str, list[str]] = {path: [path] for path in paths}
    first_of: dict[str, str] = {}  # a file of every vehicle
    for path, vehicles in (one for some in told for one in some):
        for vehicle in vehicles:
            here, there = groups[path], groups[first_of.setdefault(vehicle, path)]
            if here is not there:
                there += here
                groups |= dict.fromkeys(here, there)
    order = {path: place for place, path in enumerate(paths)}
    unlike = {group[0]: group for group in groups.values()}
    return sorted(
        (sorted(group, key=order.__getitem__) for group in unlike.values()), key=lambda one: order[one[0]]
    )


def _sizes(logs: int, workers: int, most: int) -> Iterator[int]:
    """Sizes of pieces: where several share, ever smaller ones towards the end, so that all end together."""
    while logs > 0:
        fair = -(-logs // (2 * workers)) if workers > 1 else logs
        size = min(logs, most, max(fair, -(-most // _LEAST_PART)))
        yield size
        logs -= size
