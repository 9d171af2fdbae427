"""A walk as the text of a log: one line an entry, appended, never rewritten; the reader reads it as it is."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator
from datetime import datetime, timedelta

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.reading.description import describe
from thermlog.reading.files.comments import Comment
from thermlog.reading.statements import read_statements
from thermlog.simulation.logtext import LogStyle, description_lines
from thermlog.taking.entries import Entry, EntryKind
from thermlog.taking.stopwatch import ParkedMark
from thermlog.taking.walking import WalkHead, WalkInProgress
from thermlog.words.errors import ThermlogError, WalkError
from thermlog.words.units import Unit
from thermlog.words.vehicle import SPOTS, default_vehicle

_SIGN = "log: thermlog walk 1"
_AIR = "ambient"
_COLUMNS = ("time", "position", "spot", "temp_{}", "by", "entry")
_ANNOUNCED = re.compile(
    r"# log: entry (?P<key>[\w.-]+)@(?P<wall>\S*) (?P<kind>parked|note|seen|taken_back)"
    r" at (?P<at>[\d.]+)(?: steady (?P<steady>[\d.]+) boot (?P<boot>\S*))?(?: of (?P<target>[\w.-]+))?"
    r"(?: by (?P<by>.*))?"
)
_FOREIGN = (
    "this line was not written by thermlog; check the log as it is, and take further readings in a new file"
)


class Resumed(Struct, kw_only=True):
    """A journal read back.

    Attributes
    ----------
    walk : WalkInProgress
    lines : dict
        Key of an entry -> its line.
    count : int
        Lines of the file.
    mark : ParkedMark or None
        The stop on all clocks.
    torn : str
        A last line without its end, as left by a fault of power or disk; it holds no entry.
    """

    walk: WalkInProgress
    lines: dict[str, int] = field(default_factory=dict)
    count: int = 0
    mark: ParkedMark | None = None
    torn: str = ""


# ---- writing --------------------------------------------------------------------------------------------


def head_text(head: WalkHead) -> str:
    """Everything above the first entry; ends in a line feed."""
    said = [_SIGN]
    if head.vehicle:
        said.append(f"vehicle: {head.vehicle}")
    described = list(description_lines(head.description, LogStyle()))
    said += described if head.description.stated else [one for one in described if one.startswith("axles:")]
    if head.drive:
        said.append(f"drive: {head.drive}")
    columns = ",".join(_COLUMNS).format(head.unit.lower())
    return "".join(f"# {line}\n" for line in said) + f"{columns}\n"


def stamp(mark: ParkedMark, elapsed_s: float) -> str:
    """Moment of a reading as a log has it: the wall clock at the stop, and seconds since on the steady one.

    Written in full, so that rows in any order, as of phones that were out of reach, are read in one way only.
    """
    moment = (mark.wall + timedelta(seconds=elapsed_s)).isoformat(timespec="milliseconds")
    return f"{moment[:21]}{moment[23:]}"


def entry_lines(entry: Entry, *, lines: dict[str, int], walk: WalkInProgress, mark: ParkedMark | None) -> str:
    """Lines of one entry; they end in a line feed.

    Parameters
    ----------
    entry : Entry
    lines : dict
        Key -> line of what stands already, for an entry that is taken back.
    walk : WalkInProgress
        With `entry` or without.
    mark : ParkedMark or None
        Of the stop; None before it, when there is neither that entry nor a reading.
    """
    if entry.measures and mark is not None:
        wheel = entry.corner if entry.kind == "reading" else _AIR
        spot = entry.spot if entry.kind == "reading" and entry.spot != "brake" else ""
        cells = (stamp(mark, entry.elapsed_s), wheel, spot, entry.cell, entry.by, f"{entry.key}@{entry.wall}")
        out = io.StringIO()
        csv.writer(out, lineterminator="\n").writerow(cells)
        return out.getvalue()
    return "".join(f"# {line}\n" for line in _comments(entry, lines, walk, mark))


def _comments(
    entry: Entry, lines: dict[str, int], walk: WalkInProgress, mark: ParkedMark | None
) -> Iterator[str]:
    steady = "" if mark is None or entry.kind != "parked" else f" steady {mark.steady_s:.3f} boot {mark.boot}"
    of = f" of {entry.target}" if entry.target else ""
    by = f" by {entry.by}" if entry.by else ""
    yield f"log: entry {entry.key}@{entry.wall} {entry.kind} at {entry.elapsed_s:.1f}{steady}{of}{by}"
    if entry.kind == "parked" and mark is not None:
        yield f"parked: {stamp(mark, 0.0)}"
    elif entry.kind == "taken_back":
        back = walk.entries[entry.target]
        wheel = back.corner if back.kind == "reading" else _AIR
        yield f"taken back: line {lines[entry.target]}, {wheel} {back.cell}"
    else:
        yield f"{entry.kind}: {entry.text}"


# ---- reading back ---------------------------------------------------------------------------------------


def read_journal(text: str, *, file: str) -> Resumed:
    """Read back what `head_text` and `entry_lines` wrote.

    Raises
    ------
    WalkError
        The file was not written by them, or was changed since; file and line are named.
    """
    whole, _, torn = text.rpartition("\n")
    rows = whole.split("\n") if whole else []
    top = next((k for k, row in enumerate(rows) if not row.startswith("#")), len(rows))
    if not rows or rows[0] != f"# {_SIGN}" or top == len(rows):
        msg = f"{file}: not a walk that thermlog kept; name a new file, or check this one as it is"
        raise WalkError(msg)
    found = Resumed(walk=WalkInProgress(head=_head(rows[:top], rows[top], file)), count=len(rows), torn=torn)
    at = top + 1
    while at < len(rows):
        at += _take(found, rows, at, file)
    return found


def _head(comments: list[str], columns: str, file: str) -> WalkHead:
    units: dict[str, Unit] = {",".join(_COLUMNS).format(unit.lower()): unit for unit in ("C", "F", "K")}
    if columns not in units:
        raise _foreign(file, len(comments) + 1)
    said = read_statements(
        (Comment(line=k, text=text[1:].strip()) for k, text in enumerate(comments, start=1)), file=file
    )
    vehicle = describe(said, axle_count=1, drum=False, file=file) or default_vehicle(2)
    if "weight" not in said.said:
        vehicle = replace(vehicle, stated=False)
    return WalkHead(description=vehicle, vehicle=said.vehicle or "", drive=said.drive, unit=units[columns])


def _take(found: Resumed, rows: list[str], at: int, file: str) -> int:
    """Take up the entry that begins in row `at` (first row 0); how many rows it has."""
    announced = _ANNOUNCED.fullmatch(rows[at])
    if announced is None and rows[at].startswith("# note: "):  # such as the one about a torn line
        return 1
    if announced is None:
        entry, used = _measured(rows[at], found.mark), 1
    else:
        entry, used = _said(announced, rows[at + 1 :]), 2
    if entry is None or at + used > len(rows):
        raise _foreign(file, at + 1)
    try:
        fresh = found.walk.add(entry)
    except ThermlogError as refusal:
        msg = f"{file}, line {at + 1}: {refusal}"
        raise WalkError(msg) from refusal
    if not fresh:
        raise _foreign(file, at + 1)
    if announced is not None and announced["steady"] is not None:
        found.mark = _mark(announced, rows[at + 1])
        if found.mark is None:
            raise _foreign(file, at + 2)
    found.lines[entry.key] = at + 1
    return used


def _mark(announced: re.Match[str], said: str) -> ParkedMark | None:
    wall = _moment(said.removeprefix("# parked: "))
    if wall is None:
        return None
    return ParkedMark(steady_s=float(announced["steady"]), boot=announced["boot"] or "", wall=wall)


def _moment(text: str) -> datetime | None:
    """A moment with its offset; None for anything else."""
    try:
        moment = datetime.fromisoformat(text)
    except ValueError:
        return None
    return moment if moment.tzinfo is not None else None


def _measured(row: str, mark: ParkedMark | None) -> Entry | None:
    cells = next(csv.reader([row]), [])
    moment = _moment(cells[0]) if len(cells) == len(_COLUMNS) else None
    if mark is None or moment is None or "@" not in cells[5] or (cells[2] or "brake") not in SPOTS:
        return None
    elapsed_s = round((moment - mark.wall).total_seconds(), 1)
    key, _, wall = cells[5].partition("@")
    kind: EntryKind = "air" if cells[1] == _AIR else "reading"
    spot = next((spot for spot in SPOTS if spot == cells[2]), SPOTS[0])
    wheel = "" if kind == "air" else cells[1]
    return Entry(
        key=key, kind=kind, elapsed_s=elapsed_s, corner=wheel, spot=spot, cell=cells[3], by=cells[4],
        wall=wall,
    )  # fmt: skip


def _said(announced: re.Match[str], below: list[str]) -> Entry:
    kind: EntryKind = announced["kind"]  # type: ignore[assignment]  # the pattern lets nothing else through
    text = below[0].partition(": ")[2] if below and kind in {"note", "seen"} else ""
    return Entry(
        key=announced["key"], kind=kind, elapsed_s=float(announced["at"]), text=text,
        target=announced["target"] or "", by=announced["by"] or "", wall=announced["wall"],
    )  # fmt: skip


def _foreign(file: str, line: int) -> WalkError:
    return WalkError(f"{file}, line {line}: {_FOREIGN}")
