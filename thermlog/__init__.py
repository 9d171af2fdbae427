"""thermlog: find the dragging or dead brake from timed infrared readings.

The two functions here are the Python interface; they hand out pandas DataFrames. Everything is imported where
it is used, so that ``thermlog --help`` stays quick.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, TypeAlias

from thermlog.words.version import __version__

if TYPE_CHECKING:
    import os
    from collections.abc import Iterable

    import pandas as pd

    from thermlog.reading.paths import Expanded
    from thermlog.reading.read import Logs
    from thermlog.reading.readoptions import ReadOptions

    Path: TypeAlias = str | os.PathLike[str]
    Paths: TypeAlias = Path | Iterable[Path]

__all__ = ["__version__", "diagnose", "read_logs"]

_WHOLE = frozenset({"line", "axle", "readings", "readings_used"})
_FIGURES = ("_s", "_k", "_degc", "_ratio")  # how the names of columns with figures end


def read_logs(paths: Paths, **reading: Any) -> pd.DataFrame:
    """Readings of walk-round logs, one row a reading.

    Parameters
    ----------
    paths : str, Path, or iterable of them
        Files, folders or globs.
    **reading
        Fields of `thermlog.reading.readoptions.ReadOptions`, such as ``unit="F"`` or ``ambient_degc=18.0``.

    Returns
    -------
    pandas.DataFrame
        Columns file, vehicle, drive, line, axle, side, corner, spot, elapsed_s, indicated_degc, of the same
        types also when empty: whole numbers ``int64``, figures ``float64``, text ``string``.
        ``attrs["unreadable"]`` holds (path, reason) of every path that was refused, ``attrs["codes"]`` the
        reasons for programs (`thermlog.words.errors.TroubleCode`) in the same order, ``attrs["passed_over"]``
        (ending, count) of files in folders that are no logs by their ending.

    Raises
    ------
    thermlog.words.errors.OptionError
        A path is none, there is no such option, or its value has no meaning.
    thermlog.words.errors.LogRefusedError
        The file of a column map cannot be read. A log that cannot be read is listed, not raised.
        Every error of the package has a `code` for programs.
    """
    from thermlog.reading.read import read_logs as read_files

    options, found = _options(reading), _expanded(paths)
    read = read_files(list(found.files), options)
    return _typed(read.readings().frame().rename(columns={"log": "file"}), _attrs(found, read))


def diagnose(
    paths: Paths, *, policy: Path | None = None, vehicle_file: Path | None = None, **reading: Any
) -> pd.DataFrame:
    """Verdict on every corner of walk-round logs, one row a corner and spot.

    Parameters
    ----------
    paths : str, Path, or iterable of them
        Files, folders or globs.
    policy : str or Path, optional
        Bundled name or file; else it follows from the vehicle.
    vehicle_file : str or Path, optional
        Description of the vehicle (TOML), for all logs named, instead of what the logs say.
    **reading
        As for `read_logs`.

    Returns
    -------
    pandas.DataFrame
        Columns as in ``thermlog check --format csv``, typed as for `read_logs`; ``attrs`` as for `read_logs`.

    Raises
    ------
    thermlog.words.errors.OptionError, thermlog.words.errors.LogRefusedError
        As for `read_logs`.
    thermlog.words.errors.PolicyError
        The policy cannot be read.
    thermlog.words.errors.VehicleError
        The vehicle file cannot be read. A log with more axles than it describes is listed, not raised.
    """
    import pandas as pd

    from thermlog.pipeline.run import run
    from thermlog.pipeline.settings import gather_settings
    from thermlog.reports.report_csv import CORNER_COLUMNS, corner_cells

    settings = gather_settings(
        reading=_options(reading),
        policy=None if policy is None else _path(policy, "policy"),
        vehicle=None if vehicle_file is None else _path(vehicle_file, "vehicle_file"),
    )
    found = _expanded(paths)
    done = run(list(found.files), settings)
    rows = [corner_cells(one, corner) for one in done.findings() for corner in one.corners]
    frame = pd.DataFrame(rows, columns=list(CORNER_COLUMNS))
    return _typed(frame, _attrs(found, done.read))


def _options(reading: dict[str, Any]) -> ReadOptions:
    from thermlog.reading.optionchecks import checked_options

    return checked_options(reading)


def _expanded(paths: Paths) -> Expanded:
    from thermlog.reading.paths import expand_paths

    return expand_paths(_path_list(paths))


def _attrs(found: Expanded, read: Logs) -> dict[str, Any]:
    """What is told of the paths that gave no readings."""
    from thermlog.reading.read import unreadable_for

    unreadable = [*(unreadable_for(one, one.file) for one in found.refused), *read.unreadable()]
    return {
        "unreadable": [(one.file, one.reason) for one in unreadable],
        "codes": [one.code for one in unreadable],
        "passed_over": [(ending, kind.count) for ending, kind in found.passed.items()],
    }


def _path_list(paths: Any) -> list[str]:
    from os import PathLike

    from thermlog.words.errors import OptionError

    if isinstance(paths, (str, PathLike)):
        return [_path(paths, "paths")]
    try:
        each = list(paths)
    except TypeError:
        msg = f"paths={paths!r}: a path or several are wanted"
        raise OptionError(msg) from None
    return [_path(path, "paths") for path in each]


def _path(path: Any, name: str) -> str:
    from os import fspath

    from thermlog.words.errors import OptionError

    try:
        text = fspath(path)
    except TypeError:
        text = None
    if not isinstance(text, str) or not text:
        msg = f"{name}={path!r}: no path"
        raise OptionError(msg)
    return text


def _typed(frame: pd.DataFrame, attrs: dict[str, Any]) -> pd.DataFrame:
    """The same frame with the type that each name stands for, whatever its cells are."""
    typed = frame.astype({name: _kind(name) for name in frame.columns})
    typed.attrs.update(attrs)
    return typed


def _kind(name: str) -> str:
    if name in _WHOLE:
        return "int64"
    return "float64" if name.startswith("p_") or name.endswith(_FIGURES) else "string"
