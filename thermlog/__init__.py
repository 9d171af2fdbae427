"""thermlog: find the dragging or dead brake from timed infrared readings.

The functions here are the Python interface; `read_logs` and `diagnose` hand out pandas DataFrames. Everything
is imported where it is used, so that ``thermlog --help`` stays quick.
"""

from __future__ import annotations

from thermlog.words.version import __version__

TYPE_CHECKING = False  # without the module typing an interruption is heeded in half the time
if TYPE_CHECKING:
    import os
    from collections.abc import Iterable, Mapping
    from typing import Any, TypeAlias

    import pandas as pd

    from thermlog.reading.paths import Expanded
    from thermlog.reading.read import Logs
    from thermlog.reading.readoptions import ReadOptions

    Path: TypeAlias = str | os.PathLike[str]
    Paths: TypeAlias = Path | Iterable[Path]

__all__ = ["__version__", "diagnose", "narrow", "read_logs"]


def read_logs(paths: Paths, *, policy: Path | None = None, **reading: Any) -> pd.DataFrame:
    """Readings of walk-round logs, one row a reading.

    Parameters
    ----------
    paths : str, Path, or iterable of them
        Files, folders or globs.
    policy : str or Path, optional
        Bundled name or file whose limits of a reading and a walk hold; else the bundled ones.
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
    thermlog.words.errors.PolicyError
        The policy cannot be read. Every error of the package has a `code` for programs.
    """
    from thermlog.pipeline.settings import gather_settings
    from thermlog.reading.read import read_logs as read_files

    settings = gather_settings(reading=_options(reading), policy=_named(policy))
    found = _expanded(paths)
    read = read_files(list(found.files), settings.reading)
    frame = read.readings().frame()
    frame.attrs.update(_attrs(found, read))
    return frame


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
    from thermlog.reports.report_csv import CORNERS
    from thermlog.words.columns import FRAME_TYPES

    settings = gather_settings(
        reading=_options(reading),
        policy=_named(policy),
        vehicle=None if vehicle_file is None else _path(vehicle_file, "vehicle_file"),
    )
    found = _expanded(paths)
    done = run(list(found.files), settings)
    rows = [(one, corner) for one in done.findings() for corner in one.corners]
    frame = pd.DataFrame(
        {
            column.name: pd.Series([column.cell(*row) for row in rows], dtype=FRAME_TYPES[column.kind])
            for column in CORNERS
        }
    )
    frame.attrs.update(_attrs(found, done.read))
    return frame


def _named(policy: Path | None) -> str | None:
    return None if policy is None else _path(policy, "policy")


def narrow(
    path: Path,
    found: Mapping[str, str] | None = None,
    *,
    policy: Path | None = None,
    vehicle_file: Path | None = None,
    **reading: Any,
) -> dict[str, Any]:
    """Where the search for the cause stands after some answers found at the wheel.

    Parameters
    ----------
    path : str or Path
        One log with one flagged drive.
    found : mapping of str to str, optional
        Check -> answer, in the order they were found.
    policy, vehicle_file
        As for `diagnose`.
    **reading
        As for `read_logs`.

    Returns
    -------
    dict
        As ``thermlog narrow --format json`` prints it.

    Raises
    ------
    thermlog.words.errors.OptionError
        As for `read_logs`; or there is no such check, or no such answer to it.
    thermlog.words.errors.LogRefusedError
        The log cannot be read.
    thermlog.words.errors.PolicyError, thermlog.words.errors.VehicleError
        As for `diagnose`.
    """
    import msgspec

    from thermlog.advice.narrowing import Found
    from thermlog.pipeline.run import run_one
    from thermlog.pipeline.settings import gather_settings
    from thermlog.reports.report_narrow import narrow_json

    settings = gather_settings(
        reading=_options(reading),
        policy=None if policy is None else _path(policy, "policy"),
        vehicle=None if vehicle_file is None else _path(vehicle_file, "vehicle_file"),
    )
    done = run_one(_path(path, "path"), settings)
    k, told = done.flagged_case()
    answers = [Found(check=check, answer=answer) for check, answer in (found or {}).items()]
    decoded: dict[str, Any] = msgspec.json.decode(narrow_json(done.narrowed(k, told, answers), told))
    return decoded


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

    if isinstance(paths, (str, bytes, PathLike)):
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
