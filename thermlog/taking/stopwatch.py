"""Time since the wheels stopped: by a clock that nobody can set, beside the wall clock, across a restart."""

from __future__ import annotations

import time
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

from msgspec import Struct

from thermlog.words.errors import WalkError

_BOOT = Path("/proc/sys/kernel/random/boot_id")


def steady_s() -> float:
    """Seconds on a clock that runs on while the computer sleeps and that no setting of the time moves."""
    boottime = getattr(time, "CLOCK_BOOTTIME", None)
    return time.monotonic() if boottime is None else time.clock_gettime(boottime)


def boot_name() -> str:
    """Name of this start of the computer, within which `steady_s` counts on; empty where none is known."""
    try:
        return _BOOT.read_text(encoding="ascii").strip()[:8]
    except OSError:
        return ""


def local_now() -> datetime:
    """Wall clock with its offset."""
    return datetime.now().astimezone()


class Clocks(Struct, frozen=True, kw_only=True):
    """Where time comes from; tests put their own in."""

    steady: Callable[[], float] = steady_s
    wall: Callable[[], datetime] = local_now
    boot: str = ""

    @classmethod
    def of_this_computer(cls) -> Clocks:
        """The clocks of the computer."""
        return cls(boot=boot_name())


class ParkedMark(Struct, frozen=True, kw_only=True):
    """The moment of the stop on every clock there is.

    Attributes
    ----------
    steady_s : float
        On the steady clock of that start of the computer [s].
    boot : str
        Name of that start.
    wall : datetime
    """

    steady_s: float
    boot: str
    wall: datetime


class Stopwatch(Struct, kw_only=True):
    """Counts from the stop.

    Attributes
    ----------
    clocks : Clocks
    mark : ParkedMark or None
        None before the wheels stopped.
    """

    clocks: Clocks
    mark: ParkedMark | None = None

    def park(self, *, ago_s: float = 0.0) -> ParkedMark:
        """The wheels stop now, or stopped a while ago."""
        now = self.clocks.wall()
        wall = datetime.fromtimestamp(round(now.timestamp() - ago_s, 1), now.tzinfo)
        self.mark = ParkedMark(steady_s=self.clocks.steady() - ago_s, boot=self.clocks.boot, wall=wall)
        return self.mark

    def elapsed_s(self) -> float:
        """Seconds since the stop; 0 before it."""
        return 0.0 if self.mark is None else self.clocks.steady() - self.mark.steady_s

    def resume(self, mark: ParkedMark, *, last_s: float) -> bool:
        """Count on after a restart.

        Parameters
        ----------
        mark : ParkedMark
            As it was kept.
        last_s : float
            Last time known to have been counted [s].

        Returns
        -------
        bool
            True on the same steady clock; False where only the wall clock tells how long it was.

        Raises
        ------
        WalkError
            The wall clock was set back meanwhile, so that nothing tells.
        """
        same = bool(mark.boot) and mark.boot == self.clocks.boot
        gone_s = self.clocks.steady() - mark.steady_s
        if not same or gone_s < last_s:
            same = False
            gone_s = (self.clocks.wall() - mark.wall).total_seconds()
        if gone_s < last_s:
            msg = (
                "the clock of this computer was set back since the last reading, so that nobody knows how "
                "long the wheels have stood; state it, as in --parked-ago 12:30"
            )
            raise WalkError(msg)
        self.mark = ParkedMark(steady_s=self.clocks.steady() - gone_s, boot=self.clocks.boot, wall=mark.wall)
        return same


def on_stopwatch(elapsed_s: float) -> str:
    """Full minutes and seconds, as a stopwatch shows them.

    Examples
    --------
    >>> on_stopwatch(125.9)
    '2:05'
    """
    return f"{int(elapsed_s) // 60}:{int(elapsed_s) % 60:02d}"
