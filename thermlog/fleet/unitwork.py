"""The drives of one unit in a list of work, put together: the worst, the newest, how many of each group."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.words.moments import moment_s

if TYPE_CHECKING:
    from thermlog.fleet.drives import Drives, WorkDrive
    from thermlog.fleet.workrow import WorkGroup

_PRESSING: tuple[WorkGroup, ...] = ("urgent", "called", "watch")


class UnitWork(Struct, frozen=True, kw_only=True):
    """All drives of one unit, the most pressing first; something is to be done on at least one.

    Attributes
    ----------
    rank : int
        1 for the most pressing of all units.
    drives : tuple of WorkDrive
    in_time : tuple of WorkDrive
        The same from the oldest to the newest, the less pressing first where the moment is one; empty where a
        log states no date.
    """

    rank: int
    drives: tuple[WorkDrive, ...]
    in_time: tuple[WorkDrive, ...]

    @property
    def group(self) -> WorkGroup:
        """That of its most pressing drive."""
        return self.drives[0].group

    @property
    def lead(self) -> WorkDrive:
        """The drive that is told: the most pressing; of those that could not be told the newest."""
        if self.group in _PRESSING or not self.in_time:
            return self.drives[0]
        return next(drive for drive in reversed(self.in_time) if drive.group == self.group)

    @property
    def newest(self) -> WorkDrive | None:
        """The last drive; None where a log states no date."""
        return self.in_time[-1] if self.in_time else None

    def of(self, group: WorkGroup) -> tuple[WorkDrive, ...]:
        """Drives of one group, from the oldest to the newest where the logs say."""
        return tuple(drive for drive in self.in_time or self.drives if drive.group == group)

    def quiet_since(self) -> tuple[WorkDrive, ...]:
        """The newest drives on which nothing was found, one after another; empty where there are none."""
        loud = [place for place, drive in enumerate(self.in_time) if drive.group != "nothing"]
        return self.in_time[loud[-1] + 1 :] if loud else ()


def units_of(drives: Drives) -> tuple[UnitWork, ...]:
    """Units on which something is to be done, the most pressing first; numbers alone are kept of the others.

    Parameters
    ----------
    drives : Drives
    """
    asking = {drive.unit_rank for drive in drives.beside_quiet() if drive.group != "nothing"}
    places: dict[int, list[int]] = {}
    for place, unit_rank in enumerate(drives.unit_ranks):
        if unit_rank in asking:
            places.setdefault(unit_rank, []).append(place)
    return tuple(_unit(rank, tuple(drives[place] for place in own)) for rank, own in places.items())


def _unit(rank: int, drives: tuple[WorkDrive, ...]) -> UnitWork:
    moments = {drive.rank: moment_s(drive.first.taken) for drive in drives}
    dated = [
        (moment, -own, drives[k]) for k, (own, moment) in enumerate(moments.items()) if moment is not None
    ]
    in_time = sorted(dated, key=lambda one: one[:2]) if len(dated) == len(drives) else ()
    return UnitWork(rank=rank, drives=drives, in_time=tuple(drive for *_, drive in in_time))
