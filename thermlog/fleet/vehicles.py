"""Which vehicles the logs of a fleet are of, so that no piece parts the drives of one vehicle.

Only a fleet with a history asks: what was driven on an earlier day then counts, whichever piece it lies in.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.pipeline.sources import vehicles_of
from thermlog.reading.files.addresses import is_address

if TYPE_CHECKING:
    from thermlog.fleet.batches import Batch
    from thermlog.judging.settings import Settings


class VehiclesRead(Struct, frozen=True, kw_only=True, eq=False):
    """Reads some logs and tells of which vehicles they are.

    Attributes
    ----------
    settings : Settings
        How they are read.
    """

    settings: Settings

    def __call__(self, batch: Batch) -> tuple[tuple[str, tuple[str, ...]], ...]:
        """Path of every log that names a vehicle, with the keys of those it names.

        What can be read but once, a pipe or standard input, is not read for this.
        """
        regular = [path for path in batch.paths if is_address(path) or Path(path).is_file()]
        return tuple(vehicles_of(regular, self.settings, batch.content_of))

    def settled(self, batch: Batch) -> VehiclesRead:  # noqa: ARG002 - the same for every batch
        """The same: no history is asked here."""
        return self
