"""Moments as logs state them, made comparable."""

from __future__ import annotations

from datetime import UTC, datetime


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
    if start is None or start.startswith("T"):
        return None
    try:
        moment = datetime.fromisoformat(start)
    except ValueError:
        return None
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def day_of(moment: float) -> str:
    """The date of a moment, as ISO 8601.

    Examples
    --------
    >>> day_of(86400.0)
    '1970-01-02'
    """
    return datetime.fromtimestamp(moment, UTC).date().isoformat()
