"""The walks of one folder, each with its journal, its clock and what its log says; no network in here."""

from __future__ import annotations

import os
import re
from pathlib import Path
from threading import RLock
from typing import TYPE_CHECKING

from msgspec import Struct, field

from thermlog.bay.messages import WALK, AskedBack, Checks, ListedWalk, NewWalk, Sync, Synced
from thermlog.bay.views import check_of_search, view_of
from thermlog.reports.wording import Show, printable
from thermlog.taking.doubts import ReadingDoubt, doubt_words, reading_doubt
from thermlog.taking.journal import Journal
from thermlog.taking.live import LiveFinding, look
from thermlog.taking.stopwatch import Clocks, Stopwatch
from thermlog.taking.vehicleform import described_vehicle
from thermlog.taking.walking import WalkHead
from thermlog.words.errors import ThermlogError, WalkError

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.bay.messages import BayView, CheckTile
    from thermlog.judging.settings import Settings
    from thermlog.taking.entries import Entry

MOST_WALKS = 60  # of one run of the server
_FILE = re.compile(r"(?:.*-)?(?P<walk>[a-z0-9]{8,24})\.csv")


class ShelvedWalk(Struct, kw_only=True):
    """A walk that is open."""

    journal: Journal
    watch: Stopwatch
    finding: LiveFinding = field(default_factory=LiveFinding)
    doubts: dict[str, ReadingDoubt] = field(default_factory=dict)
    views: dict[tuple[int, str], BayView] = field(default_factory=dict)


class Shelf:
    """All walks of a folder; calls from several threads wait for each other.

    Parameters
    ----------
    folder : Path
        Where the journals are; nothing is written anywhere else.
    settings : Settings
    clocks : Clocks
    """

    def __init__(self, folder: Path, settings: Settings, clocks: Clocks) -> None:
        self.folder, self.settings, self.clocks = folder, settings, clocks
        self._open: dict[str, ShelvedWalk] = {}
        self._lock = RLock()

    def listed(self) -> list[ListedWalk]:
        """Walks that are open, the last begun first."""
        with self._lock:
            return [
                ListedWalk(
                    walk=name,
                    vehicle=one.journal.walk.head.vehicle,
                    axles=one.journal.walk.head.axle_count,
                    drive=one.journal.walk.head.drive or "",
                    unit=one.journal.walk.head.unit,
                    readings=len(one.journal.walk.readings()),
                )
                for name, one in reversed(self._open.items())
            ]

    def begin(self, new: NewWalk) -> None:
        """Begin a walk; one of that name that is there goes on.

        Raises
        ------
        WalkError
            It cannot be kept, or there are too many.
        """
        with self._lock:
            if self._known(new.walk) is not None:
                return
            if len(self._open) >= MOST_WALKS:
                msg = f"more than {MOST_WALKS} walks since the server was started; start it again"
                raise WalkError(msg)
            head = WalkHead(
                description=described_vehicle(axles=new.axles, brakes=new.brakes, weight=new.weight),
                vehicle=printable(new.vehicle).strip(), drive=new.drive or None, unit=new.unit, by=new.by,
            )  # fmt: skip
            path = self.folder / f"{_plain(new.vehicle)}{new.walk}.csv"
            self._open[new.walk] = ShelvedWalk(
                journal=Journal.begin(str(path), head), watch=Stopwatch(clocks=self.clocks)
            )

    def sync(self, name: str, said: Sync) -> Synced:
        """Take up what a page has, and tell it what it does not know."""
        with self._lock:
            shelved = self._walk(name)
            refused = self._take(shelved, said)
            for key in said.kept:
                shelved.doubts.pop(key, None)
            entries = list(shelved.journal.walk.entries.values())
            elapsed_s = None if shelved.watch.mark is None else round(shelved.watch.elapsed_s(), 2)
            return Synced(
                elapsed_s=elapsed_s,
                count=len(entries),
                entries=entries[said.known :],
                refused=refused,
                questions=list(_questions(shelved)),
                view=_view(shelved, said.show),
            )

    def checks(self, name: str, said: Checks) -> CheckTile:
        """Where the search for the cause of one suspect stands after some answers.

        Raises
        ------
        WalkError
            Nothing can be judged yet.
        OptionError
            No such check or answer.
        """
        from thermlog.advice.narrowing import Found

        with self._lock:
            finding = self._walk(name).finding
            if finding.done is None or finding.told is None:
                msg = "nothing can be judged yet; read the wheels first"
                raise WalkError(msg)
            first = finding.done.narrowed(0, finding.told)
            places = {one.at for one in (first.about, *first.others) if one is not None}
            if said.at is not None and said.at not in places:
                said = Checks(show=said.show)  # read since: that is no suspect any more
            found = [Found(check=check, answer=answer) for check, answer in said.found]
            narrowed = finding.done.narrowed(0, finding.told, found, said.skipped, at=said.at)
            return check_of_search(narrowed, finding.told, said.show)

    def finding(self, name: str) -> LiveFinding:
        """What the log of a walk says."""
        with self._lock:
            return self._walk(name).finding

    def log(self, name: str) -> tuple[str, bytes]:
        """Name and bytes of the log as it stands on the disk."""
        with self._lock:
            path = Path(self._walk(name).journal.path)
            return path.name, path.read_bytes()

    def files(self) -> list[str]:
        """Files of the walks that are open."""
        with self._lock:
            return [one.journal.path for one in self._open.values()]

    def close(self) -> None:
        """Let others write to the files."""
        with self._lock:
            for one in self._open.values():
                one.journal.close()
            self._open.clear()

    # ---- inside -----------------------------------------------------------------------------------------

    def _walk(self, name: str) -> ShelvedWalk:
        found = self._known(name)
        if found is None:
            msg = "no such walk here; begin one"
            raise WalkError(msg)
        return found

    def _known(self, name: str) -> ShelvedWalk | None:
        """A walk that is open, or one that an earlier server left in the folder."""
        if name in self._open or re.fullmatch(WALK, name) is None:
            return self._open.get(name)
        for path in self.folder.glob("*.csv"):
            found = _FILE.fullmatch(path.name)
            if found is not None and found["walk"] == name and not path.is_symlink():
                self._open[name] = self._resumed(str(path))
        return self._open.get(name)

    def _resumed(self, path: str) -> ShelvedWalk:
        journal = Journal.go_on(path)
        watch = Stopwatch(clocks=self.clocks)
        last_s = max((one.elapsed_s for one in journal.walk.entries.values()), default=0.0)
        if journal.mark is not None:
            watch.resume(journal.mark, last_s=last_s)
        shelved = ShelvedWalk(journal=journal, watch=watch)
        shelved.finding = look(path, self.settings)
        return shelved

    def _take(self, shelved: ShelvedWalk, said: Sync) -> dict[str, str]:
        """Keep entries in their order; what cannot be kept is told with its reason."""
        refused: dict[str, str] = {}
        fresh: list[tuple[Entry, ReadingDoubt | None]] = []
        try:
            for entry in said.entries:
                try:
                    self._take_one(shelved, entry, said.elapsed_s, fresh)
                except WalkError as refusal:  # a full disk is no fault of the entry: the page keeps it
                    refused[entry.key] = str(refusal)
        finally:
            if fresh:
                shelved.finding = look(shelved.journal.path, self.settings)
        for entry, doubt in fresh:
            shelved.doubts.pop(entry.target, None)
            if doubt is not None and entry.key not in shelved.journal.walk.gone:
                shelved.doubts[entry.key] = doubt
        return refused

    def _take_one(
        self,
        shelved: ShelvedWalk,
        entry: Entry,
        page_s: float | None,
        fresh: list[tuple[Entry, ReadingDoubt | None]],
    ) -> None:
        """Keep one entry, and note it with what is odd about it if it is new."""
        walk, expected = shelved.journal.walk, None
        if entry.corner in walk.head.corners:
            expected = shelved.finding.expected(entry.corner, entry.spot, entry.elapsed_s)
        if self._append(shelved, entry, page_s):
            doubt = reading_doubt(entry, walk, expected) if entry.kind == "reading" else None
            fresh.append((entry, doubt))

    def _append(self, shelved: ShelvedWalk, entry: Entry, page_s: float | None) -> bool:
        walk, watch = shelved.journal.walk, shelved.watch
        if entry.kind != "parked" or entry.key in walk.entries or walk.parked is not None:
            return shelved.journal.append(entry)
        before, mark = watch.mark, watch.park(ago_s=page_s or 0.0)
        try:
            return shelved.journal.append(entry, mark=mark)
        except ThermlogError:
            watch.mark = before
            raise


def _plain(name: str) -> str:
    """Letters and digits of a name, for a file name; nothing else of it reaches the disk's names."""
    words = re.findall(r"[a-z0-9]+", name.lower())
    return f"{'-'.join(words)[:30].strip('-')}-" if words else ""


def _questions(shelved: ShelvedWalk) -> Iterator[AskedBack]:
    head, entries = shelved.journal.walk.head, shelved.journal.walk.entries
    for key, doubt in shelved.doubts.items():
        text = doubt_words(doubt, axle_count=head.axle_count, typed=entries[key].cell, unit=head.unit)
        yield AskedBack(key=key, corner=doubt.corner, text=text)


def _view(shelved: ShelvedWalk, show: Show) -> BayView:
    """Made once for each state of the walk and each unit."""
    state = (len(shelved.journal.walk.entries), show)
    if state not in shelved.views:
        shelved.views = {key: one for key, one in shelved.views.items() if key[0] == state[0]}
        shelved.views[state] = view_of(shelved.finding, shelved.journal.walk, show)
    return shelved.views[state]


def refuse_shelf(folder: Path) -> None:
    """Refuse, before anything is served, a folder that cannot be written to.

    Raises
    ------
    WalkError
    """
    if folder.is_dir() and os.access(folder, os.W_OK | os.X_OK):
        return
    msg = f"{folder}: no folder that can be written to; make it, or name another one"
    raise WalkError(msg)
