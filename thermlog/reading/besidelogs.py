"""Small texts in folders that are no logs by their ending are looked into: what stops a vehicle is said."""

from __future__ import annotations

import os
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from thermlog.reading.files.addresses import is_address
from thermlog.reading.read import read_content
from thermlog.words.errors import LogRefusedError

if TYPE_CHECKING:
    from thermlog.reading.files.paths import Expanded
    from thermlog.reading.readoptions import ReadOptions

# By which people and guns save words and rows; results, settings and pages of thermlog have others.
_TEXTS = ("", ".asc", ".dat", ".log", ".md", ".prn", ".text")
_ABOUT_FILES = ("changelog", "licence", "license", "readme")  # of a folder or a program, not of a vehicle
_MOST_BYTES = 1 << 15  # judgement: a thousand readings
_TO_READ = "reads as a log, but its ending is none of a log; let it end in .csv, or name the file itself"
_TO_HEED = "no log, by its ending or by what it holds; if it is of no vehicle, keep it in a folder of its own"


def look_into_passed(found: Expanded, options: ReadOptions) -> None:
    """Refuse what was passed over by its ending but reads as a log, or says what stops a vehicle.

    Parameters
    ----------
    found : Expanded
        Is changed: such a file is refused there, and no more among those passed over.
    options : ReadOptions
        What was seen by option is of the logs that are read.
    """
    unseen = replace(options, seen=())
    for path in [path for ending in _TEXTS for path in found.passed_by(ending)]:
        content = _small_text(path)
        refusal = None if content is None else _refusal(content, path, unseen)
        if refusal is not None:
            found.refuse_passed(refusal)


def _small_text(path: str) -> bytes | None:
    """Content of a file that holds no more than people write, and no bytes that they do not."""
    file = Path(path)
    if is_address(path) or file.name.lower().startswith(_ABOUT_FILES):
        return None
    try:
        if not file.is_file() or not 0 < os.stat(path).st_size <= _MOST_BYTES:  # noqa: PTH116 - as in paths
            return None
        content = file.read_bytes()
    except OSError:  # what cannot be opened is passed over as what nobody opens
        return None
    return None if b"\0" in content else content


def _refusal(content: bytes, path: str, options: ReadOptions) -> LogRefusedError | None:
    """Why a file may not be passed over in silence; None where it may."""
    from thermlog.reading.lookedthrough import looked_through

    said = looked_through(content, file=path, options=options)
    try:
        read_content(content, file=path, options=options)
    except LogRefusedError:
        if not said.dangers:
            return None
        return LogRefusedError(_TO_HEED, code="no_log", file=path, unread=said)
    return LogRefusedError(_TO_READ, code="no_log", file=path, unread=said)
