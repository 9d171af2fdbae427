"""What a refused log says that stops a vehicle: not being read is no all-clear."""

from __future__ import annotations

from msgspec import Struct

_MOST_QUOTED = 3
UNREAD_CARE = (
    "It is not driven; keep clear, nobody works at a wheel before it has cooled by itself and a qualified "
    "person has found what it was. A log that is mended clears nothing by itself."
)


class UnreadDanger(Struct, frozen=True, kw_only=True):
    """Words, or a figure, of a log that was not read.

    Attributes
    ----------
    said : str
        As written.
    line : int or None
        Where it stands in the file; None for an option.
    """

    said: str
    line: int | None = None


class UnreadLog(Struct, frozen=True, kw_only=True):
    """What was found in a log that was refused.

    Attributes
    ----------
    vehicle : str or None
        As stated.
    dangers : tuple of UnreadDanger
        What stops the vehicle, in the order of the lines; empty if nothing was found.
    no_readings : bool
        True if no figure of a reading stands in it: it may be a case without a drive.
    """

    vehicle: str | None = None
    dangers: tuple[UnreadDanger, ...] = ()
    no_readings: bool = False


def unread_said(dangers: tuple[UnreadDanger, ...]) -> str:
    """What a log says, each with its line.

    Examples
    --------
    >>> unread_said((UnreadDanger(said="smoke at LR", line=3),))
    'not read, but it says "smoke at LR" (line 3)'
    """
    some = [
        f'"{one.said}" ({"--seen" if one.line is None else f"line {one.line}"})'
        for one in dangers[:_MOST_QUOTED]
    ]
    more = len(dangers) - len(some)
    return f"not read, but it says {', '.join(some)}{f' and {more} more' if more else ''}"


def unread_stop(log: UnreadLog) -> str:
    """What to do where a refused log says what stops a vehicle, in one line."""
    kind = "A case without a drive needs no readings. " if log.no_readings else ""
    named = f" {log.vehicle}" if log.vehicle else ""
    return f"STOP{named}: {unread_said(log.dangers)}. {kind}{UNREAD_CARE}"
