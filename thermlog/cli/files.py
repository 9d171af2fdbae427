"""What leaves a command: complaints on standard error, results on standard output or in a whole file."""

from __future__ import annotations

import os
import sys
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, TextIO

import click

from thermlog.cli.console import as_utf8
from thermlog.words.errors import LogRefusedError, OutputError, ThermlogError

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping
    from pathlib import Path


class StandardOutputError(OutputError):
    """Standard output takes no more: the disk is full, or it is closed."""


def complain(refusal: ThermlogError) -> None:
    """Print a refusal as one line, and below it the help it carries, on standard error."""
    from thermlog.reports.wording import printable  # with all it imports not needed for --help

    if refusal.unread is not None and refusal.unread.dangers:
        from thermlog.words.unread import unread_stop  # the records behind it are a tenth of --help

        tell(printable(unread_stop(refusal.unread)))
    tell(printable(str(refusal)))
    if isinstance(refusal, LogRefusedError) and refusal.hint:
        with suppress(OSError):
            click.echo(refusal.hint, err=True)


def tell(line: str) -> None:
    """Print one line on standard error; where even that cannot be written the exit code must do."""
    with suppress(OSError):
        click.echo(f"thermlog: {line}", err=True)


def tell_written() -> None:
    """Say which files stand whole, if any do: a command that ends early must not leave that open."""
    from thermlog.reports.wholefile import finished
    from thermlog.reports.wording import printable
    from thermlog.words.sentences import few_of

    if finished:
        tell(f"written whole: {printable(few_of(finished, 5))}; nothing else")


def refuse_same_file(first: str | None, second: str | None, names: str) -> None:
    """Refuse two results under one file name; `names` are the options, as in ``--chart and --output``."""
    if first is None or second is None:
        return
    if os.path.realpath(first) == os.path.realpath(second):
        msg = f"{names} name the same file; name two"
        raise click.UsageError(msg)


def numbered(path: str, k: int) -> str:
    """File of the k-th result of one name: from the second on it carries a number, as in ``page-2.html``."""
    from pathlib import Path

    return path if k == 0 else str(Path(path).with_stem(f"{Path(path).stem}-{k + 1}"))


def refuse_alike(wanted: Mapping[str, str | None]) -> None:
    """Refuse several results under one file name; the keys are their options."""
    named = [(option, path) for option, path in wanted.items() if path is not None]
    for place, (option, path) in enumerate(named):
        for other, same in named[:place]:
            refuse_same_file(same, path, f"{other} and {option}")


@contextmanager
def result_stream(
    path: str | None, *, force: bool, exact: bool = False, inputs: Iterable[str] = ()
) -> Iterator[TextIO]:
    """Standard output, or a file that appears only when everything was written.

    Parameters
    ----------
    path : str or None
        None or ``-`` for standard output.
    force : bool
        Replace a file that exists.
    exact : bool
        True for a result that programs read: UTF-8 also on standard output. Files always are.
    inputs : iterable of str
        Files that are read; none of them is replaced.

    Raises
    ------
    OutputError
        The disk is full, the stream closed, or the file may not be written.
    """
    if path is None or path == "-":
        with _standard_output(exact=exact) as out:
            yield out
        return
    from thermlog.reports.wholefile import refuse_existing, write_whole

    refuse_existing(path, force=force, inputs=inputs)
    with _draft(path) as draft:
        yield draft
        draft.seek(0)
        write_whole(path, lambda place: _pour(draft, place), force=force)


@contextmanager
def _standard_output(*, exact: bool) -> Iterator[TextIO]:
    if exact:
        as_utf8(sys.stdout)
    try:
        yield sys.stdout
        sys.stdout.flush()
    except BrokenPipeError:
        raise
    except OSError as fault:
        if fault.filename is not None:  # another file than this stream, and it is told by its name
            raise
        raise cut_short(fault) from fault


def cut_short(fault: OSError) -> StandardOutputError:
    """Refusal of a standard output that takes no more."""
    why = fault.strerror or fault
    msg = f"standard output: cannot be written: {why}; what arrived there is not the whole result"
    return StandardOutputError(msg)


@contextmanager
def _draft(path: str) -> Iterator[TextIO]:
    import tempfile  # with what it imports a tenth of the time of --help

    try:
        with tempfile.TemporaryFile("w+", encoding="utf-8", errors="backslashreplace", newline="") as draft:
            yield draft
    except OSError as fault:
        why = fault.strerror or fault
        msg = f"{path}: cannot be written: {why} in {tempfile.gettempdir()}, the folder for drafts"
        raise OutputError(msg) from fault


def _pour(draft: TextIO, place: Path) -> None:
    """As bytes: a fleet as JSON is ten kilobytes a log."""
    import shutil  # as for `_draft`, which has it anyway

    with place.open("wb") as out:
        shutil.copyfileobj(draft.buffer, out)
