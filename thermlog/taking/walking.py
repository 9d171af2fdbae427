"""A walk in progress: what is known before it, what was entered, and what of it stands."""

from __future__ import annotations

from collections.abc import Iterator

from msgspec import Struct, field

from thermlog.taking.entries import Entry, checked
from thermlog.words.errors import WalkError
from thermlog.words.tables import Drive
from thermlog.words.units import Unit
from thermlog.words.vehicle import SIDES, Vehicle, corner_name

MOST_ENTRIES = 2000  # of a walk: twenty readings a wheel of fifty axles


class WalkHead(Struct, frozen=True, kw_only=True):
    """What is known before the first reading.

    Attributes
    ----------
    description : Vehicle
        Its axles are those that are walked round; ``stated`` False where nothing else is known.
    vehicle : str
        Name of it; empty if nobody said.
    drive : Drive or None
        Kind of drive before the walk.
    unit : Unit
        Of what the gun shows.
    by : str
        Who takes the readings.
    """

    description: Vehicle
    vehicle: str = ""
    drive: Drive | None = None
    unit: Unit = "C"
    by: str = ""

    @property
    def axle_count(self) -> int:
        """Axles of the vehicle."""
        return len(self.description.axles)

    @property
    def corners(self) -> tuple[str, ...]:
        """Corners from the front, left before right."""
        return tuple(corner_name(axle, side) for axle in range(1, self.axle_count + 1) for side in SIDES)


class WalkInProgress(Struct, kw_only=True):
    """A walk and everything entered so far, in the order in which it was entered."""

    head: WalkHead
    entries: dict[str, Entry] = field(default_factory=dict)

    def add(self, entry: Entry) -> bool:
        """Take up an entry; False where it is there already.

        Raises
        ------
        WalkError
            It cannot be of this walk, or another entry has its key.
        """
        known = self.entries.get(entry.key)
        if known is not None:
            if (known.kind, known.cell, known.corner) != (entry.kind, entry.cell, entry.corner):
                msg = f"two different entries have the key {entry.key}; enter the second one anew"
                raise WalkError(msg)
            return False
        self._refuse_unfit(checked(entry))
        self.entries[entry.key] = entry
        return True

    def _refuse_unfit(self, entry: Entry) -> None:
        if len(self.entries) >= MOST_ENTRIES:
            msg = f"a walk holds at most {MOST_ENTRIES} entries; begin another one"
            raise WalkError(msg)
        if entry.kind == "reading" and entry.corner not in self.head.corners:
            msg = f'no wheel "{entry.corner}" at this vehicle; it has {", ".join(self.head.corners)}'
            raise WalkError(msg)
        if entry.kind == "parked" and self.parked is not None:
            msg = "the wheels stopped already; begin another walk for another drive"
            raise WalkError(msg)
        if entry.measures and self.parked is None:
            msg = "no reading before the wheels have stopped: say when, then read"
            raise WalkError(msg)
        if entry.kind == "taken_back" and not self._stands(entry.target):
            msg = "there is nothing of that kind to take back, or it was taken back already"
            raise WalkError(msg)

    def _stands(self, key: str) -> bool:
        return key in self.entries and self.entries[key].measures and key not in self.gone

    @property
    def parked(self) -> Entry | None:
        """The moment the wheels stopped."""
        return next((one for one in self.entries.values() if one.kind == "parked"), None)

    @property
    def gone(self) -> frozenset[str]:
        """Keys of what was taken back."""
        return frozenset(one.target for one in self.entries.values() if one.kind == "taken_back")

    def standing(self) -> Iterator[Entry]:
        """Readings and airs that were not taken back, in the order of their entry."""
        gone = self.gone
        return (one for key, one in self.entries.items() if one.measures and key not in gone)

    def readings(self) -> list[Entry]:
        """Readings that stand, by time."""
        found = (one for one in self.standing() if one.kind == "reading")
        return sorted(found, key=lambda one: one.elapsed_s)

    def last_at(self, corner: str) -> Entry | None:
        """Last reading of a corner, of any spot."""
        mine = [one for one in self.readings() if one.corner == corner]
        return mine[-1] if mine else None

    def counts(self) -> dict[str, int]:
        """Readings that stand, by corner; every corner of the vehicle is there."""
        found = dict.fromkeys(self.head.corners, 0)
        for one in self.readings():
            found[one.corner] += 1
        return found

    def last_standing(self) -> Entry | None:
        """What "undo" is about: the reading or air entered last."""
        mine = list(self.standing())
        return mine[-1] if mine else None
