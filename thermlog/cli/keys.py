"""One screen, one key: what commands share that ask a person at a terminal."""

from __future__ import annotations

import shutil
import sys

import click

STOP = "q"
_LEAST_WIDTH = 60


def at_terminal() -> bool:
    """True if somebody can read a screen and press a key."""
    return sys.stdin.isatty() and sys.stderr.isatty()


def terminal_width() -> int:
    """Columns of the terminal; of a very narrow one as many as a screen needs."""
    return max(_LEAST_WIDTH, shutil.get_terminal_size().columns)


def asked_key(screen: str) -> str:
    """Show a screen in the place of the last one, and wait for a key.

    Parameters
    ----------
    screen : str
        All that is to be read before the key.

    Returns
    -------
    str
        In small letters; `STOP` where the keyboard has ended, too.
    """
    click.clear()
    click.echo(screen, err=True)
    try:
        key = click.getchar().lower()
    except EOFError:
        return STOP
    if "\x03" in key:  # pressed together with another key, it comes as text
        raise KeyboardInterrupt
    return STOP if key in {"", "\x04"} else key
