"""Files that appear complete or not at all, and never replace another unasked."""

from __future__ import annotations

import os
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable


def refuse_existing(path: str, *, force: bool) -> None:
    """Refuse, before any work is done, a result file that cannot be written.

    Raises
    ------
    OutputError
        The file exists and `force` is not given, it is a folder, or its folder does not exist.
    """
    target = Path(path)
    if target.is_dir():
        msg = f"{path}: is a folder; name a file"
        raise OutputError(msg)
    if target.exists() and not force:
        msg = f"{path}: exists already; add --force to replace it, or name another file"
        raise OutputError(msg)
    if not target.parent.is_dir():
        msg = f"{path}: the folder {target.parent} does not exist; make it first"
        raise OutputError(msg)


def write_whole(path: str, write: Callable[[Path], object], *, force: bool) -> None:
    """Write a file completely or not at all.

    Parameters
    ----------
    path : str
        File wanted.
    write : callable
        Gets a temporary file with the same ending in the same folder, and fills it.
    force : bool
        Replace a file that exists.

    Raises
    ------
    OutputError
        The file exists, or the disk refuses.
    """
    import tempfile  # costs a check more than its fit, and few checks write a file

    refuse_existing(path, force=force)
    target = Path(path)
    try:
        handle, name = tempfile.mkstemp(prefix=f".{target.stem}-", suffix=target.suffix, dir=target.parent)
        os.close(handle)
        try:
            write(Path(name))
            _settle(Path(name), target)
        except BaseException:
            with suppress(OSError):
                Path(name).unlink()
            raise
    except OSError as fault:
        msg = f"{path}: cannot be written: {fault.strerror or fault}"
        raise OutputError(msg) from fault


def _settle(draft: Path, target: Path) -> None:
    """Make sure that the bytes are on the disk, then give them their name."""
    with draft.open("rb+") as written:
        os.fsync(written.fileno())
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)  # a temporary file is private; a result is like any other file
    draft.replace(target)
