"""The logs of a depot on their way to a list of work: what the command and the Python interface both do."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.fleet.fleetlist import FleetList, in_pieces
from thermlog.fleet.vehicles import VehiclesRead
from thermlog.fleet.worklist import work_list
from thermlog.reading.read import unreadable_paths

if TYPE_CHECKING:
    from collections.abc import Iterator

    from thermlog.fleet.batches import Engine
    from thermlog.fleet.fleetlist import Piece
    from thermlog.fleet.lister import Lister
    from thermlog.fleet.worklist import WorkList
    from thermlog.reading.files.paths import Expanded


class DepotRun(Struct, frozen=True, kw_only=True, eq=False):
    """Files, what judges them, and what is kept of them.

    Attributes
    ----------
    found : Expanded
        The files, and what lies beside them.
    lister : Lister
        Makes a piece of some of them.
    kept : FleetList
        Takes in piece after piece.
    """

    found: Expanded
    lister: Lister
    kept: FleetList

    @classmethod
    def of(cls, found: Expanded, lister: Lister, *, learn: bool) -> DepotRun:
        """Nothing is judged yet; `learn` is True where the logs teach how often brakes look unlike."""
        return cls(
            found=found,
            lister=lister.with_skins_of(list(found.files)) if learn else lister,
            kept=FleetList(unreadable=unreadable_paths(found)),
        )

    def pieces(self, engine: Engine) -> Iterator[Piece]:
        """All files, read and judged; where a history is kept, those of a vehicle in one piece."""
        lister = self.lister
        whole = VehiclesRead(settings=lister.settings) if lister.keep else None
        return in_pieces(list(self.found.files), lister, engine=engine, in_full=lister.in_full, whole=whole)

    def work(self) -> WorkList:
        """The list of what was kept."""
        return work_list(self.kept, passed=self.found.passed_files(), depot=self.lister.settings.depot)
