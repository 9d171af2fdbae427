"""Walks that tests take: clocks that are set by hand, a desk over a journal in the test's folder."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone

from msgspec import Struct

from thermlog.judging.settings import Settings
from thermlog.taking.desk import Desk
from thermlog.taking.journal import Journal
from thermlog.taking.live import look
from thermlog.taking.stopwatch import Clocks, Stopwatch
from thermlog.taking.vehicleform import described_vehicle
from thermlog.taking.walking import WalkHead

NOON = datetime(2031, 5, 4, 12, 0, tzinfo=timezone(timedelta(hours=2)))


class HandClock(Struct):
    """Steady and wall clock, moved by the test; the wall clock may be set apart."""

    s: float = 1000.0
    set_by_s: float = 0.0

    def clocks(self, boot: str = "b1") -> Clocks:
        return Clocks(
            steady=lambda: self.s,
            wall=lambda: NOON + timedelta(seconds=self.s - 1000.0 + self.set_by_s),
            boot=boot,
        )


def head(axles: str = "2", **about: object) -> WalkHead:
    return WalkHead(description=described_vehicle(axles=axles), **about)


def desk_at(path: str, clock: HandClock, walk_head: WalkHead | None = None) -> Desk:
    journal = Journal.begin(path, walk_head or head())
    return Desk(
        journal=journal,
        watch=Stopwatch(clocks=clock.clocks()),
        looking=lambda: look(path, Settings()),
    )


# A van whose front left drags, two rounds: seconds since the stop, wheel, what the gun showed; air 18 °C.
# Levels and cooling as in the simplest log of the README; second round 4 to 5 minutes later, own figures.
VAN = [
    (20, "1L", "177"), (38, "1R", "96"), (56, "2R", "67"), (75, "2L", "69"),
    (290, "2L", "63"), (308, "2R", "61"), (326, "1R", "86"), (345, "1L", "157"),
]  # fmt: skip


def walked(desk: Desk, clock: HandClock, rows=VAN, *, air: str = "18") -> Desk:
    """Type a walk at its times; the first key of a line comes two seconds before its end."""
    start = clock.s
    desk.take("parked", clock.s)
    desk.take(f"air {air}", clock.s + 2)
    for at, wheel, shown in rows:
        clock.s = start + at + 2
        desk.take(f"{wheel} {shown}", start + at)
        if desk.doubt is not None:
            desk.take("k", clock.s)
    return desk
