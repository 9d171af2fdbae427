"""Moments as logs state them, made comparable."""

from __future__ import annotations

from datetime import UTC, datetime

DAY_S = 86400.0
_TO_LAST_SECOND_S = DAY_S - 1.0  # of a day that is stated alone
_ANY_ZONE_S = 14 * 3600.0  # the largest offset from UTC in use


def moment_s(start: str | None) -> float | None:
    """Moment of a log in seconds since 1970, so that visits can be put in order.

    Parameters
    ----------
    start : str or None
        As `tables.Taken.start`: ISO 8601, a date alone, or a time of day alone, which begins with "T".

    Returns
    -------
    float or None
        None where no date is stated. A time without an offset is taken as it stands, a date alone as its
        midnight.

    Examples
    --------
    >>> moment_s("1970-01-02"), moment_s("T14:03:00"), moment_s("1970-01-01T01:00:00+01:00")
    (86400.0, None, 0.0)
    """
    moment = _dated(start)
    return None if moment is None else (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def year_of(start: str | None) -> int | None:
    """Year in which a log was taken; None where no date is stated.

    Parameters
    ----------
    start : str or None
        As for `moment_s`.

    Examples
    --------
    >>> year_of("2031-05-04T14:03:00"), year_of("T14:03:00"), year_of(None)
    (2031, None, None)
    """
    moment = _dated(start)
    return None if moment is None else moment.year


def _dated(start: str | None) -> datetime | None:
    """A moment with a date; None where none is stated."""
    if start is None or start.startswith("T"):
        return None
    try:
        return datetime.fromisoformat(start)
    except ValueError:
        return None


def earlier(one: str | None, other: str | None) -> bool | None:
    """Whether a log was surely taken before another.

    Parameters
    ----------
    one, other : str or None
        As for `moment_s`. A date alone may be any moment of its day; beside a moment with an offset, one
        without may be of any zone.

    Returns
    -------
    bool or None
        None where a date is missing, or what is stated leaves it open.

    Examples
    --------
    >>> earlier("2026-01-05", "2026-02-16"), earlier("2026-01-05", "2026-01-05T14:00:00")
    (True, None)
    """
    spans = _span_s(one), _span_s(other)
    if spans[0] is None or spans[1] is None:
        return None
    (first, last, zoned), (other_first, other_last, other_zoned) = spans[0], spans[1]
    slack_s = 0.0 if zoned == other_zoned else _ANY_ZONE_S
    if last + slack_s < other_first:
        return True
    return False if other_last + slack_s < first else None


def _span_s(start: str | None) -> tuple[float, float, bool] | None:
    """First and last moment it may be, and whether its offset is stated."""
    moment = moment_s(start)
    if start is None or moment is None:
        return None
    alone = len(start) <= len("2026-01-05")
    last = moment + (_TO_LAST_SECOND_S if alone else 0.0)
    return moment, last, datetime.fromisoformat(start).tzinfo is not None


def moment_shown(stamp: str | None) -> str:
    """A date and time of ISO 8601 for people; a time of day alone stands without the letter before it.

    Examples
    --------
    >>> moment_shown("2031-05-04T14:03:00"), moment_shown("T14:03:00"), moment_shown(None)
    ('2031-05-04 14:03:00', '14:03:00', '')
    """
    return (stamp or "").replace("T", " ").strip()


def day_of(moment: float) -> str:
    """The date of a moment, as ISO 8601.

    Examples
    --------
    >>> day_of(86400.0)
    '1970-01-02'
    """
    return datetime.fromtimestamp(moment, UTC).date().isoformat()
