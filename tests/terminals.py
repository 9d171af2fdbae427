"""Commands that ask for keys, on a real pseudo-terminal."""

from __future__ import annotations

import os
import pty
import select
import signal
import sys
import termios
import time
from contextlib import suppress


def on_terminal(keys: str, *arguments: str) -> str:
    """What a terminal of 80 columns and 24 lines shows while these keys are pressed, one a screen.

    It ends where the command does, or asks for another key than these.
    """
    child, terminal = pty.fork()
    if child == 0:
        os.environ |= {"TERM": "xterm", "COLUMNS": "80", "LINES": "24"}
        os.execv(sys.executable, [sys.executable, "-m", "thermlog", *arguments])  # noqa: S606 - our own
    shown, waiting = b"", list(keys)
    while part := _read(terminal):
        shown += part
        if not shown.endswith(b"stop here\r\n"):
            continue
        if not waiting:
            break
        while termios.tcgetattr(terminal)[3] & termios.ICANON:  # it does not listen yet
            time.sleep(0.005)
        os.write(terminal, waiting.pop(0).encode())
    with suppress(ProcessLookupError):
        os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    os.close(terminal)
    return shown.decode()


def _read(terminal: int) -> bytes:
    """What is shown next; nothing where the command ended, or says nothing for half a minute."""
    ready, _, _ = select.select([terminal], [], [], 30)
    if not ready:
        return b""
    try:
        return os.read(terminal, 65536)
    except OSError:
        return b""
