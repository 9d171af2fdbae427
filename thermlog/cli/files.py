"""What leaves a command: complaints on standard error, results on standard output or in a whole file."""

from __future__ import annotations

import os
import sys
import tempfile
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING, TextIO

import click

from thermlog.errors import LogRefusedError, OutputError, ThermlogError
from thermlog.wording import printable

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator


def complain(refusal: ThermlogError) -> None:
    """Print a refusal as one line, and below it the help it carries, on standard error."""
    click.echo(f"thermlog: {printable(str(refusal))}", err=True)
    if isinstance(refusal, LogRefusedError) and refusal.hint:
        click.echo(refusal.hint, err=True)


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


def write_whole(path: str, write: Callable[[Path], None], *, force: bool) -> None:
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


@contextmanager
def result_stream(path: str | None, *, force: bool) -> Iterator[TextIO]:
    """Standard output, or a file that appears only when everything was written.

    Parameters
    ----------
    path : str or None
        None or ``-`` for standard output.
    force : bool
        Replace a file that exists.
    """
    if path is None or path == "-":
        yield sys.stdout
        return
    refuse_existing(path, force=force)
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="") as draft:
        yield draft
        draft.seek(0)
        write_whole(path, lambda place: _pour(draft, place), force=force)


def _pour(draft: TextIO, place: Path) -> None:
    with place.open("w", encoding="utf-8", newline="") as out:
        while piece := draft.read(1 << 20):
            out.write(piece)


def _settle(draft: Path, target: Path) -> None:
    """Make sure that the bytes are on the disk, then give them their name."""
    with draft.open("rb+") as written:
        os.fsync(written.fileno())
    mask = os.umask(0)
    os.umask(mask)
    draft.chmod(0o666 & ~mask)  # a temporary file is private; a result is like any other file
    draft.replace(target)
