"""One practice case: what is shown before the commitment, and what only afterwards."""

from __future__ import annotations

import hashlib
from functools import cached_property

from msgspec import Struct

from thermlog.judging.settings import Settings
from thermlog.pipeline.run import run
from thermlog.practice.topics import Level, Topic, drawn_topic, wanted_case
from thermlog.reading.gathered import LogReadings
from thermlog.reading.read import read_content
from thermlog.simulation.logtext import LogStyle
from thermlog.simulation.onelog import OneLog, simulated_log
from thermlog.words.findings import Diagnosis
from thermlog.words.vehicle import SPOTS, Spot

NEUTRAL_NAME = "practice case"
_SEED_BITS = 63


class CaseOrder(Struct, frozen=True, kw_only=True):
    """Which case: with this alone it can be made again.

    Attributes
    ----------
    seed : int
        Of this case, 0 to 2**63 - 1.
    level : {1, 2, 3}
    topic : Topic or None
        None: drawn by the seed.
    """

    seed: int
    level: Level
    topic: Topic | None = None


class ShownReading(Struct, frozen=True, kw_only=True):
    """One row of the log as somebody sees it: where, when [s], and what the gun showed [°C]."""

    line: int
    corner: str
    spot: Spot
    elapsed_s: float
    indicated_degc: float


class Missed(Struct, frozen=True, kw_only=True):
    """A shot that caught something else: the reading, and what the place aimed at had [°C]."""

    reading: ShownReading
    surface_degc: float


class PracticeCase:
    """A case with its log; judged only when somebody has committed to something.

    Attributes
    ----------
    order : CaseOrder
    topic : Topic
        The one drawn, where none was ordered; told with the truth.
    """

    def __init__(self, order: CaseOrder) -> None:
        self.order = order
        self.topic: Topic = order.topic or drawn_topic(order.seed)

    @cached_property
    def made(self) -> OneLog:
        """The log and all that is behind it."""
        wanted = wanted_case(self.order.seed, self.order.level, self.topic)
        return simulated_log(wanted, style=LogStyle(spots=len(wanted.spots) > 1), hidden=True)

    @property
    def log(self) -> str:
        """Text of the log: tells neither fault nor seed."""
        return self.made.log

    @cached_property
    def read(self) -> LogReadings:
        """The log, read back as any other."""
        return read_content(self.log.encode(), file=NEUTRAL_NAME)

    @property
    def corners(self) -> tuple[str, ...]:
        """Corners of the vehicle."""
        return self.made.fleet.vehicle_class.corners

    @cached_property
    def readings(self) -> tuple[ShownReading, ...]:
        """All readings in order of time."""
        table = self.read.readings
        return tuple(
            ShownReading(
                line=int(table.line[row]),
                corner=table.corner(row),
                spot=SPOTS[table.spot[row]],
                elapsed_s=float(table.elapsed_s[row]),
                indicated_degc=float(table.indicated_degc[row]),
            )
            for row in range(table.rows)
        )

    @cached_property
    def missed(self) -> tuple[Missed, ...]:
        """What only the simulator knows of the shots."""
        fleet = self.made.fleet
        return tuple(
            Missed(reading=one, surface_degc=float(degc))
            for one, degc, missed in zip(self.readings, fleet.true_surface_degc, fleet.missed, strict=True)
            if missed
        )

    @cached_property
    def told(self) -> Diagnosis:
        """What the tool says with its usual settings whatever the user has set, and what would decide."""
        done = run([NEUTRAL_NAME], Settings(), content_of=lambda _: self.log.encode())
        return next(done.findings(explain=True, curves=True))


def case_seed(series_seed: int, number: int) -> int:
    """Seed of the n-th case of a series, from which the next one cannot be guessed.

    Examples
    --------
    >>> case_seed(7, 1) == case_seed(7, 1) != case_seed(7, 2)
    True
    """
    digest = hashlib.sha256(f"thermlog practice {series_seed} {number}".encode()).digest()
    return int.from_bytes(digest[:8], "big") >> (64 - _SEED_BITS)
