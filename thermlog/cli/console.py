"""The streams and signals of a process, put in order before a command runs."""

from __future__ import annotations

import codecs
import errno
import io
import os
import signal
import sys
from contextlib import suppress
from typing import TYPE_CHECKING, Any, NoReturn, TextIO, cast

if TYPE_CHECKING:
    from types import FrameType

_PLAIN_ERRORS = "thermlog.plain"
_PLAIN = {
    "°": "", "±": "+/-", "×": "x", "·": ".", "µ": "u", "−": "-", "–": "-", "—": "-", "…": "...", "²": "2",
    "≥": ">=", "≤": "<=", "≈": "~", "→": "->", "α": "alpha", "ε": "e", "σ": "sigma", "τ": "tau", "Ω": "Ohm",
    "“": '"', "”": '"', "„": '"', "‘": "'", "’": "'", "ß": "ss", "æ": "ae", "ø": "o", "ł": "l",
}  # fmt: skip


class StoppedError(BaseException):
    """The system asked the process to end; `code` is what it leaves with."""

    def __init__(self, number: int) -> None:
        self.code = 128 + number
        super().__init__(number)


class _Closed(io.TextIOBase):
    """Standard output of a process that was started without one: whatever is written is refused."""

    encoding = "utf-8"

    def writable(self) -> bool:
        return True

    def write(self, text: str, /) -> int:  # noqa: ARG002 (the stream's signature)
        raise OSError(errno.EBADF, "it is closed")


def plainly(fault: UnicodeError) -> tuple[str, int]:
    """Stand-in for a letter that a console cannot show: ``80 °C`` becomes ``80 C``, ``±`` becomes ``+/-``.

    Examples
    --------
    >>> codecs.register_error("plain", plainly)
    >>> "80 ± 2 °C, Kühlung → 5 м".encode("ascii", "plain")
    b'80 +/- 2 C, Kuhlung -> 5 ?'
    """
    if not isinstance(fault, UnicodeEncodeError):
        raise fault
    return "".join(map(_plain, fault.object[fault.start : fault.end])), fault.end


def _plain(letter: str) -> str:
    from unicodedata import normalize  # needed by few consoles

    stand_in = _PLAIN.get(letter)
    if stand_in is not None:
        return stand_in
    return normalize("NFKD", letter).encode("ascii", "ignore").decode() or "?"


def set_streams() -> None:
    """Let no letter stop a text, and let a stream that is missing be told from one that works."""
    codecs.register_error(_PLAIN_ERRORS, plainly)
    if sys.stdout is None:
        sys.stdout = _Closed()
    for stream in (sys.stdout, sys.stderr):
        reconfigure: Any = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=_PLAIN_ERRORS)


def _buffered(stream: TextIO) -> TextIO:
    """The same stream with a buffer: an unbuffered one drops unsaid what a full disk did not take."""
    buffer = io.BufferedWriter(cast("io.RawIOBase", stream.buffer))
    return io.TextIOWrapper(buffer, encoding=stream.encoding, line_buffering=stream.isatty())


def as_utf8(stream: object) -> None:
    """What programs read is UTF-8 whatever the locale; a file name that is no text is escaped."""
    reconfigure: Any = getattr(stream, "reconfigure", None)
    if reconfigure is not None:
        reconfigure(encoding="utf-8", errors="backslashreplace")


def own_streams() -> None:
    """For a process of our own: closed standard streams are occupied, so that no file gets their number."""
    for number in (0, 1, 2):
        try:
            os.fstat(number)
        except OSError:
            os.open(os.devnull, os.O_RDWR)  # takes the lowest free number
    if sys.stdin is None:
        sys.stdin = open(os.devnull, encoding="utf-8")  # noqa: SIM115, PTH123 (open as long as the process)
    if sys.stdout is not None and isinstance(getattr(sys.stdout, "buffer", None), io.RawIOBase):
        sys.stdout = _buffered(sys.stdout)


def hush() -> None:
    """Let the interpreter end quietly after standard output failed: what is left is thrown away."""
    try:
        number = sys.stdout.fileno()
    except (OSError, ValueError):
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    os.dup2(nowhere, number)


def leave(code: int) -> NoReturn:
    """End the process at once: to free one by one what it holds would take a twentieth of a check.

    Who watches it writes at the end, hence a profiler or a tracer sees the usual one.
    """
    if sys.getprofile() is not None or sys.gettrace() is not None:
        raise SystemExit(code)
    for stream in (sys.stdout, sys.stderr):
        if stream is not None:
            with suppress(OSError, ValueError):  # who reads it is gone, as was told
                stream.flush()
    os._exit(code)


def stop_cleanly() -> None:
    """Turn the signals that end a process into an exception, so that drafts are removed on the way out."""
    owner = os.getpid()

    def stop(number: int, frame: FrameType | None) -> NoReturn:  # noqa: ARG001 (the signature of a handler)
        if os.getpid() != owner:  # a helper of ours has nothing to tidy up
            os._exit(128 + number)
        raise StoppedError(number)

    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) == signal.SIG_DFL:
            signal.signal(number, stop)
    if signal.getsignal(signal.SIGINT) not in {signal.SIG_IGN, signal.SIG_DFL}:
        # from here on there may be something to tidy up, and something to tell (see `thermlog.__main__`)
        signal.signal(signal.SIGINT, signal.default_int_handler)
