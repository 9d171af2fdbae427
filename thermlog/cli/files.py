"""What leaves a command: complaints on standard error, results on standard output or in a whole file."""

from __future__ import annotations

import sys
from contextlib import contextmanager
from typing import TYPE_CHECKING, TextIO

import click

from thermlog.words.errors import LogRefusedError, ThermlogError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path


def complain(refusal: ThermlogError) -> None:
    """Print a refusal as one line, and below it the help it carries, on standard error."""
    from thermlog.reports.wording import printable  # with all it imports not needed for --help

    click.echo(f"thermlog: {printable(str(refusal))}", err=True)
    if isinstance(refusal, LogRefusedError) and refusal.hint:
        click.echo(refusal.hint, err=True)


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
    import tempfile  # with what it imports a tenth of the time of --help

    from thermlog.reports.wholefile import refuse_existing, write_whole

    refuse_existing(path, force=force)
    with tempfile.TemporaryFile("w+", encoding="utf-8", newline="") as draft:
        yield draft
        draft.seek(0)
        write_whole(path, lambda place: _pour(draft, place), force=force)


def _pour(draft: TextIO, place: Path) -> None:
    with place.open("w", encoding="utf-8", newline="") as out:
        while piece := draft.read(1 << 20):
            out.write(piece)
