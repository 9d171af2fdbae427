"""Files, folders and patterns a user names -> the list of files."""

from __future__ import annotations

import glob
import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from thermlog.reading.rawtext import STANDARD_INPUT
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

_LOG_ENDINGS = (".csv", ".tsv", ".txt", ".csv.gz", ".tsv.gz", ".txt.gz", ".xlsx")


def expand_paths(paths: Sequence[str]) -> list[str]:
    """Files named by files, folders and patterns, each once, folders and patterns in sorted order.

    Parameters
    ----------
    paths : sequence of str
        A file that does not exist stays in the list, so that it is reported as unreadable.

    Raises
    ------
    LogRefusedError
        A folder holds no log, or nothing matches a pattern.
    """
    files: dict[str, None] = {}
    for path in paths:
        files.update(dict.fromkeys(_expanded(path)))
    return list(files)


def _logs_below(folder: str) -> Iterator[str]:
    """Logs in a folder and all below it; the present folder is an empty text. Links to folders are left."""
    with suppress(PermissionError), os.scandir(folder or os.curdir) as entries:
        for entry in entries:
            path = os.path.join(folder, entry.name)  # noqa: PTH118 - a Path of each would take ten times as long
            if entry.is_dir(follow_symlinks=False):
                yield from _logs_below(path)
            elif entry.name.lower().endswith(_LOG_ENDINGS) and entry.is_file():
                yield path


def _expanded(path: str) -> list[str]:
    if path == STANDARD_INPUT:
        return [path]
    if Path(path).is_dir():
        folder = str(Path(path))
        found = sorted(_logs_below("" if folder == os.curdir else folder))
        if not found:
            problem = f"no log in this folder; logs end in {', '.join(_LOG_ENDINGS)}"
            raise LogRefusedError(problem, file=path)
        return found
    if glob.has_magic(path) and not Path(path).exists():
        found = sorted(glob.glob(path, recursive=True))  # noqa: PTH207 - absolute patterns and ** alike
        if not found:
            problem = "no file matches this pattern; check the folder and the ending"
            raise LogRefusedError(problem, file=path)
        return found
    return [path]
