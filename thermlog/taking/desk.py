"""Entry at the bench: a typed line and the moment of its first key become an entry, an answer, a question."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import count

from msgspec import Struct, field
from msgspec.structs import replace

from thermlog.taking.doubts import ReadingDoubt, doubt_words, reading_doubt
from thermlog.taking.entries import Entry, EntryKind
from thermlog.taking.journal import Journal
from thermlog.taking.live import LiveFinding
from thermlog.taking.stopwatch import Stopwatch, on_stopwatch
from thermlog.taking.typed import ORDERS, TypedLine, named_wheel, typed_line
from thermlog.taking.wheelorder import NextWheel, next_wheel
from thermlog.words.errors import WalkError
from thermlog.words.vehicle import corner_words

Looking = Callable[[], LiveFinding]


class Desk(Struct, kw_only=True):
    """A walk that is typed in.

    Attributes
    ----------
    journal : Journal
    watch : Stopwatch
    looking : callable
        Judges the journal as it stands.
    by : str
        Who types.
    finding : LiveFinding
        What the log said after the last entry.
    doubt : ReadingDoubt or None
        A question that waits for its answer.
    chosen : str
        Wheel that was named after a question; empty: as proposed.
    """

    journal: Journal
    watch: Stopwatch
    looking: Looking
    by: str = ""
    finding: LiveFinding = field(default_factory=LiveFinding)
    doubt: ReadingDoubt | None = None
    chosen: str = ""

    @property
    def next(self) -> NextWheel | None:
        """The wheel to read next; None where another reading would not decide anything."""
        if self.chosen:
            return NextWheel(corner=self.chosen, why="round")
        return next_wheel(self.journal.walk, self.finding.answers)

    def look(self) -> None:
        """Judge what stands in the journal."""
        self.finding = self.looking()

    def take(self, line: str, first_key_s: float) -> str:
        """Act on a typed line.

        Parameters
        ----------
        line : str
        first_key_s : float
            When its first key was pressed, on the steady clock [s].

        Returns
        -------
        str
            What became of it, for people; "" to stop.

        Raises
        ------
        WalkError
            It says nothing known, or cannot be of this walk.
        """
        head = self.journal.walk.head
        if self.doubt is not None:
            return self._answered(self.doubt, line, first_key_s)
        said = typed_line(line, corners=head.corners, unit=head.unit)
        match said.kind:
            case "done":
                return ""
            case "help":
                return HELP
            case "parked":
                return self.park(0.0)
            case "undo":
                return self._take_back(self.journal.walk.last_standing(), first_key_s)
            case _:
                return self._keep(said, first_key_s)

    def park(self, ago_s: float) -> str:
        """The wheels stopped now, or a while ago."""
        if self.journal.walk.parked is not None:
            return "parked already; for another drive begin another file"
        mark = self.watch.park(ago_s=ago_s)
        entry = Entry(key=self._key(), kind="parked", by=self.by, wall=_moment(mark.wall))
        self.journal.append(entry, mark=mark)
        return f"parked at {entry.wall[11:19]}; walk"

    def _keep(self, said: TypedLine, first_key_s: float) -> str:
        proposed = self.next
        corner = said.corner or ("" if proposed is None else proposed.corner)
        kinds: dict[str, EntryKind] = {"reading": "reading", "air": "air", "note": "note", "seen": "seen"}
        entry = self._entry(
            kinds[said.kind], first_key_s, corner=corner if said.kind == "reading" else "",
            spot=said.spot, cell=said.cell, text=said.text,
        )  # fmt: skip
        if said.kind == "reading" and not corner:
            msg = "no wheel is proposed now; name it, as in LF 177"
            raise WalkError(msg)
        expected = self.finding.expected(corner, said.spot, entry.elapsed_s) if corner else None
        self.journal.append(entry)
        self.chosen = ""
        self.look()
        if said.kind == "reading":
            self.doubt = reading_doubt(entry, self.journal.walk, expected)
        return self._told(entry)

    def _told(self, entry: Entry) -> str:
        head = self.journal.walk.head
        kept = f"{on_stopwatch(entry.elapsed_s)}  {self._named(entry)}"
        if self.doubt is None:
            return kept
        typed = self.journal.walk.entries[self.doubt.key].cell
        words = doubt_words(self.doubt, axle_count=head.axle_count, typed=typed, unit=head.unit)
        return f"{kept}\n{words}\n{CHOICES}"

    def _named(self, entry: Entry) -> str:
        head = self.journal.walk.head
        if not entry.measures:
            return f"{entry.kind}: {entry.text}"
        where = "air" if entry.kind == "air" else corner_words(entry.corner, head.axle_count)
        spot = "" if entry.spot == "brake" else f" {entry.spot.replace('_', ' ')}"
        return f"{where}{spot} {entry.cell} °{head.unit}"

    def _answered(self, doubt: ReadingDoubt, line: str, first_key_s: float) -> str:
        """Answer to a question back: keep, read again, a number read again, or the wheel it really was."""
        head, entry = self.journal.walk.head, self.journal.walk.entries[doubt.key]
        word = line.strip().lower()
        if word in _KEEP or ORDERS.get(word) == "done":
            self.doubt = None
            return "kept" if word in _KEEP else ""
        if word in _AGAIN or ORDERS.get(word) == "undo":
            return f"{self._again(entry, first_key_s)}; read it again"
        said = self._said(line, entry)
        if said is not None and said.kind != "reading":
            return self._keep(said, first_key_s)  # smoke waits for no answer; the question stays
        if said is not None and (said.corner, said.spot) == (entry.corner, entry.spot):
            told = self._again(entry, first_key_s)
            return f"{told}\n{self._keep(said, first_key_s)}"
        return self._moved(entry, named_wheel(line, corners=head.corners), first_key_s)

    def _said(self, line: str, asked: Entry) -> TypedLine | None:
        """A reading, of the wheel asked about where none is named, air, note or sight; else None."""
        head = self.journal.walk.head
        try:
            said = typed_line(line, corners=head.corners, unit=head.unit)
        except WalkError:
            return None
        if said.kind == "reading" and not said.corner:
            return replace(said, corner=asked.corner, spot=asked.spot)
        return said if said.kind in {"reading", "air", "note", "seen"} else None

    def _again(self, entry: Entry, first_key_s: float) -> str:
        self.doubt = None
        told = self._take_back(entry, first_key_s)
        self.chosen = entry.corner
        return told

    def _moved(self, entry: Entry, corner: str, first_key_s: float) -> str:
        """The same number at another wheel, at the same moment."""
        if not corner or corner == entry.corner:
            raise WalkError(CHOICES)
        self.doubt = None
        told = self._take_back(entry, first_key_s)
        moved = replace(entry, key=self._key(), corner=corner)
        self.journal.append(moved)
        self.look()
        return f"{told}; it is {self._named(moved)}"

    def _take_back(self, entry: Entry | None, first_key_s: float) -> str:
        if entry is None:
            msg = "there is no reading to take back"
            raise WalkError(msg)
        self.journal.append(self._entry("taken_back", first_key_s, target=entry.key))
        self.look()
        return f"taken back: {self._named(entry)}"

    def _entry(self, kind: EntryKind, first_key_s: float, **what: object) -> Entry:
        now_s = self.watch.clocks.steady()
        elapsed_s = 0.0 if self.watch.mark is None else max(first_key_s - self.watch.mark.steady_s, 0.0)
        wall = self.watch.clocks.wall() - timedelta(seconds=now_s - first_key_s)
        entry = Entry(key=self._key(), kind=kind, elapsed_s=round(elapsed_s, 1), by=self.by)
        return replace(entry, wall=_moment(wall), **what)

    def _key(self) -> str:
        taken = self.journal.walk.entries
        return next(key for n in count(len(taken) + 1) if (key := f"e{n}") not in taken)


def _moment(wall: datetime) -> str:
    return wall.isoformat(timespec="seconds")


_KEEP, _AGAIN = {"k", "keep", "y", "yes"}, {"r", "again", "read again"}
CHOICES = "k keep it; r, or the number that it shows now: read again; or the wheel it was, by letter or name"
HELP = (
    "a number for the wheel proposed, or a wheel and a number (a 177, LF 177, 2R hub 60, d OL); the time is "
    "that of the first key\nparked | air 18 | undo | note TEXT | seen smoke at RF | done"
)
