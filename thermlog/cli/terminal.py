"""A walk at the terminal: the line being typed, the stamp of its first key, the screen below."""

from __future__ import annotations

import shutil
import sys
from typing import TYPE_CHECKING

import click

from thermlog.cli.files import complain
from thermlog.words.errors import OptionError, OutputError, WalkError

if TYPE_CHECKING:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.buffer import Buffer

    from thermlog.taking.desk import Desk

_REFRESH_S = 1.0


class FirstKey:
    """When the first key of the line was pressed; a line that was emptied begins anew."""

    def __init__(self, desk: Desk) -> None:
        self._desk = desk
        self.at_s: float | None = None

    def seen(self, buffer: Buffer) -> None:
        """The line has changed."""
        if not buffer.text:
            self.at_s = None
        elif self.at_s is None:
            self.at_s = self._desk.watch.clocks.steady()

    def taken(self) -> float:
        """The stamp of a line that is done."""
        stamp_s = self._desk.watch.clocks.steady() if self.at_s is None else self.at_s
        self.at_s = None
        return stamp_s


def need_library() -> None:
    """Refuse, before a file is made, a terminal without what reads its keys."""
    try:
        import prompt_toolkit  # noqa: F401 - only whether it is there
    except ImportError as fault:
        msg = 'entry at a terminal needs prompt_toolkit: python -m pip install ".[enter]"; or pipe lines in'
        raise OptionError(msg) from fault


def enter_lines(desk: Desk) -> None:
    """Ask for line after line until the walk ends."""
    first_key = FirstKey(desk)
    session = _session(desk, first_key)
    while True:
        try:
            line = session.prompt()
        except EOFError:
            return
        stamp_s = first_key.taken()
        if line.strip() and not _take(desk, line, stamp_s):
            return


def from_lines(desk: Desk) -> None:
    """The same from standard input; the time of a reading is that of its line."""
    for line in sys.stdin:
        if line.strip() and not _take(desk, line, desk.watch.clocks.steady()):
            return


def _take(desk: Desk, line: str, stamp_s: float) -> bool:
    """Act on a line; False to stop."""
    try:
        told = desk.take(line, stamp_s)
    except (WalkError, OutputError) as refusal:
        complain(refusal)
        return True
    if told:
        click.echo(fitted(told), err=True)
    return bool(told)


def fitted(text: str) -> str:
    """Lines broken between words where a terminal is narrower than they are."""
    if not sys.stderr.isatty():
        return text
    width = shutil.get_terminal_size().columns - 1
    return "\n".join(click.wrap_text(line, width) for line in text.splitlines())


def _session(desk: Desk, first_key: FirstKey) -> PromptSession[str]:
    from prompt_toolkit import PromptSession
    from prompt_toolkit.output import create_output

    from thermlog.taking.panel import panel, prompt_words

    session: PromptSession[str] = PromptSession(
        message=lambda: f"{fitted(panel(desk, desk.watch.clocks.steady()))}\n{prompt_words(desk)}",
        output=create_output(stdout=sys.stderr),
        refresh_interval=_REFRESH_S,
        erase_when_done=True,
    )
    session.default_buffer.on_text_changed += first_key.seen
    return session
