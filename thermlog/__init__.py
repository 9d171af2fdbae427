"""thermlog: find the dragging or dead brake from timed infrared readings.

The two functions here are the Python interface; they hand out pandas DataFrames. Everything is imported where
it is used, so that ``thermlog --help`` stays quick.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from thermlog.words.version import __version__

if TYPE_CHECKING:
    from collections.abc import Sequence

    import pandas as pd

    from thermlog.words.tables import Readings

__all__ = ["__version__", "diagnose", "read_logs"]


def read_logs(paths: str | Sequence[str], **reading: Any) -> pd.DataFrame:
    """Readings of walk-round logs, one row a reading.

    Parameters
    ----------
    paths : str or sequence of str
        Files, folders or globs.
    **reading
        Fields of `thermlog.reading.readoptions.ReadOptions`, such as ``unit="F"`` or ``ambient_degc=18.0``.

    Returns
    -------
    pandas.DataFrame
        Columns log, vehicle, drive, line, axle, side, corner, spot, elapsed_s, indicated_degc;
        ``attrs["unreadable"]`` holds (file, reason) of every file that was refused.
    """
    readings, unreadable = _read(paths, reading)
    frame = readings.frame()
    frame.attrs["unreadable"] = unreadable
    return frame


def diagnose(paths: str | Sequence[str], *, policy: str | None = None, **reading: Any) -> pd.DataFrame:
    """Verdict on every corner of walk-round logs, one row a corner and spot.

    Parameters
    ----------
    paths : str or sequence of str
        Files, folders or globs.
    policy : str, optional
        Bundled name or file; else it follows from the vehicle.
    **reading
        As for `read_logs`.

    Returns
    -------
    pandas.DataFrame
        Columns as in ``thermlog check --format csv``; ``attrs["unreadable"]`` as for `read_logs`.

    Raises
    ------
    PolicyError
        The policy cannot be read.
    """
    import pandas as pd

    from thermlog.judging.diagnose import Settings, diagnoses, judge
    from thermlog.reports.report_csv import CORNER_COLUMNS, corner_cells

    readings, unreadable = _read(paths, reading)
    judged = judge(readings, Settings(policy=policy))
    rows = [corner_cells(one, corner) for one in diagnoses(judged) for corner in one.corners]
    frame = pd.DataFrame(rows, columns=list(CORNER_COLUMNS))
    frame.attrs["unreadable"] = unreadable
    return frame


def _read(paths: str | Sequence[str], reading: dict[str, Any]) -> tuple[Readings, list[tuple[str, str]]]:
    """Readings of all logs, and (file, reason) of every file that was refused."""
    from thermlog.reading.paths import expand_paths
    from thermlog.reading.read import read_logs
    from thermlog.reading.readoptions import ReadOptions

    names = expand_paths([paths] if isinstance(paths, str) else list(paths))
    readings, _, unreadable = read_logs(names, ReadOptions(**reading))
    return readings, [(item.file, item.reason) for item in unreadable]
