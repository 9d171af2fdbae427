"""Files that appear complete or not at all, and never replace another unasked."""

from __future__ import annotations

import os
import stat
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator

# Every file that stands whole since the command began: what a command that fails half way must tell.
finished: list[str] = []


def plain_stem(name: str) -> str:
    """Name for a file that every file system takes: all but letters, figures, - and _ of ASCII become _."""
    return "".join(one if one.isascii() and (one.isalnum() or one in "-_") else "_" for one in name)


def refuse_existing(path: str, *, force: bool, inputs: Iterable[str] = ()) -> None:
    """Refuse, before any work is done, a result file that cannot be written.

    Parameters
    ----------
    path : str
        File wanted.
    force : bool
        Replace a file that exists.
    inputs : iterable of str
        Files the result comes from; none of them is ever replaced. Looked at only if `path` exists.

    Raises
    ------
    OutputError
        The file exists and `force` is not given, it is an input, or it is no file but a folder, a link, a
        pipe or a device, or its folder does not exist.
    """
    target = Path(path)
    try:
        mode = _mode(target)
        problem = None if mode is None else _taken(target, mode, force=force, inputs=inputs)
        if problem is None and not target.parent.is_dir():
            problem = f"the folder {target.parent} does not exist; make it first"
    except (OSError, ValueError) as fault:
        problem = f"cannot be written: {getattr(fault, 'strerror', None) or fault}"
    if problem is not None:
        msg = f"{path}: {problem}"
        raise OutputError(msg)


def _mode(target: Path) -> int | None:
    """Kind of what stands there under this name, links not followed; None if nothing does."""
    try:
        return target.lstat().st_mode
    except FileNotFoundError:
        return None


def _taken(target: Path, mode: int, *, force: bool, inputs: Iterable[str]) -> str | None:
    """Why what stands there is not to be replaced."""
    if target.is_dir():
        return "is a folder; name a file"
    if stat.S_ISLNK(mode):
        return "is a link, which is never replaced; name the file it leads to"
    if not stat.S_ISREG(mode):
        return "is a pipe or a device, which is never replaced; leave out the option, or name a file"
    if any(_same(target, name) for name in inputs):
        return "is read by this command, and an input is never replaced; name another file"
    return None if force else "exists already; add --force to replace it, or name another file"


def _same(target: Path, other: str) -> bool:
    try:
        return target.samefile(other.removeprefix("file://"))
    except (OSError, ValueError):
        return False


def refuse_file(folder: str) -> None:
    """Refuse, before any work is done, a file where results want a folder."""
    if Path(folder).exists() and not Path(folder).is_dir():
        msg = f"{folder}: is a file; name a folder"
        raise OutputError(msg)


def make_folder(folder: str) -> None:
    """Make a folder for results, and those above it, unless they are there."""
    try:
        Path(folder).mkdir(parents=True, exist_ok=True)
    except OSError as fault:
        msg = f"{folder}: cannot be made: {fault.strerror}"
        raise OutputError(msg) from fault


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
    refuse_existing(path, force=force)
    target = Path(path)
    try:
        with _draft_beside(target) as draft:
            write(draft)
            _settle(draft, target, force=force)
    except FileExistsError:  # made by somebody else in the meantime
        msg = f"{path}: exists already; add --force to replace it, or name another file"
        raise OutputError(msg) from None
    except OSError as fault:
        msg = f"{path}: cannot be written: {fault.strerror or fault}; nothing new was left there"
        raise OutputError(msg) from fault
    if path not in finished:  # a record of a job is written after every answer
        finished.append(path)


def write_whole_text(path: str, text: str, *, force: bool) -> None:
    """Write a text, as UTF-8, completely or not at all; refuses as `write_whole` does."""
    write_whole(path, lambda place: place.write_text(text, encoding="utf-8"), force=force)


@contextmanager
def _draft_beside(target: Path) -> Iterator[Path]:
    """An empty file beside the one wanted, gone again whatever happens."""
    import tempfile  # costs a check more than its fit, and few checks write a file

    draft: Path | None = None
    try:
        handle, name = tempfile.mkstemp(
            prefix=f".{target.stem[:60]}-", suffix=target.suffix, dir=target.parent
        )
        draft = Path(name)
        os.close(handle)
        yield draft
    finally:
        if draft is not None:
            with suppress(OSError):
                draft.unlink()


def _settle(draft: Path, target: Path, *, force: bool) -> None:
    """Make sure that the bytes are on the disk, then give them their name."""
    with draft.open("rb+") as written:
        os.fsync(written.fileno())
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)  # a temporary file is private; a result is like any other file
    if not force and _linked(draft, target):
        return
    draft.replace(target)


def _linked(draft: Path, target: Path) -> bool:
    """Name the draft so that a file made in the meantime is not replaced; some file systems cannot."""
    try:
        target.hardlink_to(draft)
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        return False
    return True
