"""``thermlog fleet --reports FOLDER``: a page for every vehicle that asks for a look."""

from __future__ import annotations

from collections import Counter
from pathlib import Path
from typing import TYPE_CHECKING

from thermlog.cli.files import numbered
from thermlog.cli.sheets import write_page
from thermlog.reports.wholefile import plain_stem, refuse_existing
from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    from thermlog.fleet.drives import WorkDrive
    from thermlog.fleet.worklist import WorkList
    from thermlog.judging.settings import Settings
    from thermlog.reports.wording import Show

_MOST_STEM = 60  # letters of a file name


def refuse_folder(folder: str | None) -> None:
    """Refuse, before any work is done, a folder for pages that is none, or that has no place.

    Raises
    ------
    OutputError
        There is a file of that name, or the folder above it does not exist.
    """
    if folder is None:
        return
    place = Path(folder)
    if place.exists() and not place.is_dir():
        msg = f"{folder}: is a file; name a folder for the pages"
        raise OutputError(msg)
    if not place.exists() and not place.parent.is_dir():
        msg = f"{folder}: the folder {place.parent} does not exist; make it first"
        raise OutputError(msg)


def write_reports(folder: str, work: WorkList, settings: Settings, *, show: Show, force: bool) -> None:
    """Write the report of every drive that is flagged, named by its rank and its file.

    Parameters
    ----------
    folder : str
        Made if it is not there.
    work : WorkList
        What the list says; its order numbers the pages.
    settings : Settings
        What the list was judged with, learned skins among them.
    show : {"C", "F"}
    force : bool
        Replace pages that exist.

    Raises
    ------
    OutputError
        A page exists already and `force` is not given, or the disk refuses.
    """
    from thermlog.pages.dossier import dossier_of
    from thermlog.pages.report import report_page
    from thermlog.pipeline.run import run_one

    try:
        Path(folder).mkdir(exist_ok=True)
    except OSError as fault:
        msg = f"{folder}: cannot be made: {fault.strerror}"
        raise OutputError(msg) from fault
    flagged = _flagged(work)
    drives = Counter(file for _, file in work.drives.names())
    for file, first in flagged.items():
        for number in range(drives[file]):  # before the first is written
            refuse_existing(_page_path(folder, first.rank, file, number), force=force)
    for file, first in flagged.items():
        done = run_one(file, settings)
        for number, told in enumerate(done.findings()):
            if told.flagged:
                page = report_page(dossier_of(done, number, told), show=show)
                write_page(_page_path(folder, first.rank, file, number), page, force=force)


def _flagged(work: WorkList) -> dict[str, WorkDrive]:
    """Every file with a drive that asks for a look, and the drive that ranks first in it."""
    found: dict[str, WorkDrive] = {}
    for drive in work.drives.beside_quiet():
        if drive.group != "nothing":
            found.setdefault(drive.first.file, drive)
    return found


def _page_path(folder: str, rank: int, file: str, number: int) -> str:
    return numbered(str(Path(folder) / page_name(rank, file)), number)


def page_name(rank: int, file: str) -> str:
    r"""Name that every file system takes, whatever the log is called.

    Examples
    --------
    >>> page_name(7, "depot/../CON: <van>\n12.csv")
    '007_CON___van__12.html'
    """
    safe = plain_stem(Path(file.replace("\\", "/")).stem)
    return f"{rank:03d}_{safe[:_MOST_STEM] or 'log'}.html"
