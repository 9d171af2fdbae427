"""``thermlog fleet --reports FOLDER``: a page for every vehicle that asks for a look."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from thermlog.cli.files import numbered
from thermlog.cli.sheets import write_page
from thermlog.reports.wholefile import make_folder, plain_stem, refuse_existing
from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Sequence

    from thermlog.fleet.fleetlist import FlaggedDrive
    from thermlog.fleet.worklist import WorkList
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


def write_reports(
    folder: str, work: WorkList, flagged_drives: Sequence[FlaggedDrive], *, show: Show, force: bool
) -> None:
    """Write the report of every drive that asks for a look, named by its rank and its file.

    Parameters
    ----------
    folder : str
        Made if it is not there.
    work : WorkList
        What the list says; its order numbers the pages.
    flagged_drives : sequence of FlaggedDrive
        The drives as they were judged for this list.
    show : {"C", "F"}
    force : bool
        Replace pages that exist.

    Raises
    ------
    OutputError
        A page exists already and `force` is not given, or the disk refuses.
    """
    from thermlog.pages.report import report_page

    make_folder(folder)
    ranks = _ranks(work)
    pages = {_page_path(folder, ranks[one.file], one): one for one in flagged_drives if one.file in ranks}
    for path in pages:  # before the first is written
        refuse_existing(path, force=force)
    for path in sorted(pages):
        write_page(path, report_page(pages[path].dossier, show=show), force=force)


def _ranks(work: WorkList) -> dict[str, int]:
    """Every file with a drive that asks for a look, and the rank of the one that ranks first in it."""
    found: dict[str, int] = {}
    for drive in work.drives.beside_quiet():
        if drive.group != "nothing":
            found.setdefault(drive.first.file, drive.rank)
    return found


def _page_path(folder: str, rank: int, one: FlaggedDrive) -> str:
    return numbered(str(Path(folder) / page_name(rank, one.file)), one.number)


def page_name(rank: int, file: str) -> str:
    r"""Name that every file system takes, whatever the log is called.

    Examples
    --------
    >>> page_name(7, "depot/../CON: <van>\n12.csv")
    '007_CON___van__12.html'
    """
    safe = plain_stem(Path(file.replace("\\", "/")).stem)
    return f"{rank:03d}_{safe[:_MOST_STEM] or 'log'}.html"
