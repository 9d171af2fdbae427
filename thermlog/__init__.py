"""thermlog: find the dragging or dead brake from timed infrared readings.

The functions here are the Python interface; `read_logs` and `diagnose` hand out pandas DataFrames. Everything
is imported where it is used, so that ``thermlog --help`` stays quick.
"""

from __future__ import annotations

from thermlog.words.version import __version__

TYPE_CHECKING = False  # without the module typing an interruption is heeded in half the time
if TYPE_CHECKING:
    import os
    from collections.abc import Iterable, Mapping, Sequence
    from typing import Any, Literal, TypeAlias

    import pandas as pd
    from matplotlib.figure import Figure

    from thermlog.judging.settings import Settings
    from thermlog.reading.files.paths import Expanded, PassedFiles
    from thermlog.reading.read import Unreadable
    from thermlog.reading.readoptions import ReadOptions
    from thermlog.reports.wording import Show

    Path: TypeAlias = str | os.PathLike[str]
    Paths: TypeAlias = Path | Iterable[Path]
    Policies: TypeAlias = Path | list[str] | tuple[str, ...]
    Skins: TypeAlias = Literal["learned", "assumed"]

__all__ = ["__version__", "chart", "diagnose", "fleet_table", "narrow", "read_logs"]


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
        (ending, count) of files in folders that are no logs by their ending, ``attrs["dangers"]`` (path,
        words, line) of what refused logs say that stops a vehicle.

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
    from thermlog.reading.read import unreadable_paths

    settings = gather_settings(reading=_options(reading), policy=_named(policy))
    found = _expanded(paths, settings.reading)
    read = read_files(list(found.files), settings.reading)
    frame = read.readings().frame()
    frame.attrs.update(_attrs([*unreadable_paths(found), *read.unreadable()], found.passed_files()))
    return frame


def diagnose(
    paths: Paths,
    *,
    policy: Policies | None = None,
    vehicle_file: Path | None = None,
    depot: Path | None = None,
    skins: Skins = "learned",
    sharper: bool = False,
    **reading: Any,
) -> pd.DataFrame:
    """Verdict on every corner of walk-round logs, one row a corner and spot.

    Parameters
    ----------
    paths : str, Path, or iterable of them
        Files, folders or globs. Of files with the same content only the first is judged.
    policy : str or Path, or several, optional
        Bundled name or file, or ``"light=FILE"`` and ``"heavy=FILE"``; else it follows from the vehicle.
    vehicle_file : str or Path, optional
        Description of the vehicle (TOML), for all logs named, instead of what the logs say.
    depot : str or Path, optional
        The units of a depot (TOML); see ``docs/depot.md``.
    skins : {"learned", "assumed"}
        How often the brakes of a vehicle look unlike: learned from the logs, of 60 or more, or as the policy
        assumes. As in ``thermlog fleet``.
    sharper : bool
        True to work out what would sharpen every "no", as ``thermlog check`` does; see ``attrs["sharper"]``.
    **reading
        As for `read_logs`.

    Returns
    -------
    pandas.DataFrame
        Columns as in ``thermlog check --format csv`` (``docs/python.md``), typed as for `read_logs`.
        ``attrs`` as for `read_logs`, and ``attrs["copies"]``: (path, path of the file of the same content).
        ``attrs["sharper"]``, if asked for: one dict a step, with file, vehicle, drive, question (drag, idle)
        and the keys of ``answers.drag.sharper`` in JSON.

    Raises
    ------
    thermlog.words.errors.OptionError, thermlog.words.errors.LogRefusedError
        As for `read_logs`.
    thermlog.words.errors.PolicyError
        The policy cannot be read.
    thermlog.words.errors.VehicleError
        The vehicle file cannot be read. A log with more axles than it describes is listed, not raised.
    thermlog.words.errors.DepotError
        The depot file cannot be read.
    """
    from msgspec.structs import asdict

    from thermlog.fleet.lister import Lister
    from thermlog.pipeline.run import run
    from thermlog.reading.optionchecks import learns_skins
    from thermlog.reading.read import unreadable_paths
    from thermlog.reports.frames import frame_of
    from thermlog.reports.report_csv import CORNERS

    settings = _settings(policy, vehicle_file, depot, reading)
    found = _expanded(paths, settings.reading)
    files = list(found.files)
    learned = Lister(settings=settings).with_skins_of(files if learns_skins(skins) else [])
    done = run(files, learned.settings, once=True)
    told = list(done.findings(sharper=sharper))
    frame = frame_of(CORNERS, [(one, corner) for one in told for corner in one.corners])
    unreadable = [*unreadable_paths(found), *done.read.unreadable()]
    frame.attrs.update(_attrs(unreadable, found.passed_files()))
    frame.attrs["copies"] = [(copy, first) for copy, first in done.read.copies().items()]
    if sharper:
        frame.attrs["sharper"] = [
            {"file": one.log.file, "vehicle": one.vehicle, "drive": one.drive, "question": question}
            | asdict(step)
            for one in told
            for question in ("drag", "idle")
            for step in getattr(one.answers, question).sharper
        ]
    return frame


def fleet_table(
    paths: Paths,
    *,
    policy: Policies | None = None,
    vehicle_file: Path | None = None,
    depot: Path | None = None,
    skins: Skins = "learned",
    jobs: int | None = None,
    cluster: str | None = None,
    **reading: Any,
) -> pd.DataFrame:
    """The list of work of a depot, one row a line of it, the most pressing drive first.

    Parameters
    ----------
    paths, policy, vehicle_file, depot, skins
        As for `diagnose`.
    jobs : int, optional
        Processes that share the work; else one a core, and a single one for few logs. Changes no result.
    cluster : str, optional
        Scheduler of dask.distributed whose workers share the work, in place of `jobs`: ``tcp://HOST:PORT`` or
        a scheduler file (``docs/machines.md``). Changes no result; what was done here instead is warned of.
    **reading
        As for `read_logs`.

    Returns
    -------
    pandas.DataFrame
        Columns as in ``thermlog fleet --format csv`` (``docs/fleet.md``), without rows for files that were
        not read and copies: these are in ``attrs``, as for `diagnose`. ``attrs["tally"]`` counts as the list
        does.

    Raises
    ------
    thermlog.words.errors.OptionError, thermlog.words.errors.LogRefusedError
        As for `diagnose`.
    thermlog.words.errors.PolicyError, thermlog.words.errors.VehicleError, thermlog.words.errors.DepotError
        As for `diagnose`.
    thermlog.words.errors.ClusterError
        No scheduler answers, it has no worker, or one of them would not judge alike.
    """
    from warnings import warn

    from msgspec.structs import asdict

    from thermlog.fleet.depotrun import DepotRun
    from thermlog.fleet.engines import engine
    from thermlog.fleet.lister import Lister
    from thermlog.reading.optionchecks import learns_skins
    from thermlog.reports.fleetcolumns import FLEET
    from thermlog.reports.frames import frame_of
    from thermlog.words.errors import OptionError

    if jobs is not None and cluster is not None:
        msg = "jobs and cluster both say who works; give one of them"
        raise OptionError(msg)
    lister = Lister(settings=_settings(policy, vehicle_file, depot, reading))
    fleet = DepotRun.of(_expanded(paths, lister.settings.reading), lister, learn=learns_skins(skins))
    with engine(jobs, cluster, tell=warn) as who:
        for piece in fleet.pieces(who):
            fleet.kept.add(piece)
    work = fleet.work()
    frame = frame_of(
        FLEET, [(drive, row) for drive in work.drives for row in drive.lines], gaps={"axle", "line"}
    )
    frame.attrs.update(_attrs(fleet.kept.unreadable, work.passed_over))
    frame.attrs.update(copies=[(one.file, one.same_as) for one in work.duplicates], tally=asdict(work.tally))
    return frame


def chart(
    path: Path,
    *,
    case: int | str | None = None,
    show: Show = "C",
    policy: Policies | None = None,
    vehicle_file: Path | None = None,
    depot: Path | None = None,
    **reading: Any,
) -> Figure:
    """Cooling curves of one drive, as ``thermlog check --chart`` draws them; a notebook shows it.

    Parameters
    ----------
    path : str or Path
        One log.
    case : int or str, optional
        Which drive of it, as for `narrow`; needed where it holds several.
    show : {"C", "F"}
        Unit on paper.
    policy, vehicle_file, depot
        As for `diagnose`.
    **reading
        As for `read_logs`.

    Returns
    -------
    matplotlib.figure.Figure

    Raises
    ------
    thermlog.words.errors.OptionError
        As for `diagnose`; or the log holds several drives and none is named, or no such drive.
    thermlog.words.errors.LogRefusedError
        The log cannot be read.
    thermlog.words.errors.PolicyError, thermlog.words.errors.VehicleError, thermlog.words.errors.DepotError
        As for `diagnose`.
    """
    from thermlog.charts.chart import figure_of
    from thermlog.charts.look import Look
    from thermlog.pipeline.casenames import the_case
    from thermlog.pipeline.run import run_one
    from thermlog.reading.optionchecks import path_text

    done = run_one(path_text(path, "path"), _settings(policy, vehicle_file, depot, reading))
    drives = list(done.findings(curves=True))
    drive = drives[the_case(None if case is None else str(case), drives)]
    return figure_of(drive, Look(show=show))


def _settings(
    policy: Policies | None, vehicle_file: Path | None, depot: Path | None, reading: dict[str, Any]
) -> Settings:
    from thermlog.pipeline.settings import gather_settings
    from thermlog.reading.optionchecks import path_text

    return gather_settings(
        reading=_options(reading),
        policy=_named(policy),
        vehicle=None if vehicle_file is None else path_text(vehicle_file, "vehicle_file"),
        depot=None if depot is None else path_text(depot, "depot"),
    )


def _named(policy: Policies | None) -> str | list[str] | None:
    from thermlog.reading.optionchecks import path_text

    if policy is None:
        return None
    if isinstance(policy, (list, tuple)):
        return [path_text(one, "policy") for one in policy]
    return path_text(policy, "policy")


def narrow(
    path: Path,
    found: Mapping[str, str] | None = None,
    *,
    skipped: Sequence[str] = (),
    case: int | str | None = None,
    at: str | None = None,
    job: Path | None = None,
    policy: Path | None = None,
    vehicle_file: Path | None = None,
    **reading: Any,
) -> dict[str, Any]:
    """Where the search for the cause stands after some answers found at the wheel.

    Parameters
    ----------
    path : str or Path
        One log.
    found : mapping of str to str, optional
        Check -> answer, in the order they were found.
    skipped : sequence of str
        Checks that cannot be made now.
    case : int or str, optional
        Which drive of the log: its number, first 1, or its vehicle, its drive, or "vehicle, drive". Needed
        where several are flagged.
    at : str, optional
        Which of several suspects: one of its brakes ("1L"), or its axle ("2"). Without it the severest.
    job : str or Path, optional
        Record of the job, as with ``--job``: its answers come before those of `found`, and it is written, a
        new one where there is none. It states what is given here beside the log, which may be `policy` and
        `vehicle_file`; a record that states anything else is gone on with on the command line.
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
        As for `read_logs`; or there is no such check, no such answer to it, or no such case.
    thermlog.words.errors.LogRefusedError
        The log cannot be read.
    thermlog.words.errors.PolicyError, thermlog.words.errors.VehicleError
        As for `diagnose`.
    thermlog.words.errors.JobRefusedError
        The record cannot be read, or is of another vehicle, log or drive.
    """
    import msgspec

    from thermlog.advice.narrowing import Found
    from thermlog.pipeline.run import run_one
    from thermlog.reading.optionchecks import path_text
    from thermlog.reports.jobwork import JobSearch, searched_with
    from thermlog.reports.report_narrow import narrow_json

    settings = _settings(policy, vehicle_file, None, reading)
    done = run_one(path_text(path, "path"), settings)
    k, told = done.flagged_case(None if case is None else str(case))
    answers = [Found(check=check, answer=answer) for check, answer in (found or {}).items()]
    if job is None:
        search = JobSearch(done, k, told, answers, skipped, at=at)
    else:
        stated = {"policy": _named(policy), "vehicle": vehicle_file, **reading}
        search = searched_with(
            path_text(job, "job"), done, k, told, found=answers, skipped=skipped, stated=stated, at=at
        )
    decoded: dict[str, Any] = msgspec.json.decode(narrow_json(search.state, told, search.record))
    return decoded


def _options(reading: dict[str, Any]) -> ReadOptions:
    from thermlog.reading.optionchecks import checked_options

    return checked_options(reading)


def _expanded(paths: Paths, options: ReadOptions) -> Expanded:
    from thermlog.reading.besidelogs import look_into_passed
    from thermlog.reading.files.paths import expand_paths
    from thermlog.reading.optionchecks import path_list

    found = expand_paths(path_list(paths))
    look_into_passed(found, options)
    return found


def _attrs(unreadable: Sequence[Unreadable], passed: Iterable[PassedFiles]) -> dict[str, Any]:
    """What is told of the paths that gave no readings."""
    return {
        "unreadable": [(one.file, one.reason) for one in unreadable],
        "codes": [one.code for one in unreadable],
        "dangers": [(one.file, said.said, said.line) for one in unreadable for said in one.dangers],
        "passed_over": [(one.kind, one.files) for one in passed],
    }
