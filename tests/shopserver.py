"""A server of the bay for tests: in a thread, on loopback, with a clock that the test moves."""

from __future__ import annotations

import threading
import time
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from walkcases import HandClock

from thermlog.bay.serving import LOOPBACK, Speaking, listening, server_on
from thermlog.bay.shelf import Shelf
from thermlog.judging.settings import Settings

if TYPE_CHECKING:
    from collections.abc import Iterator

    import uvicorn


class Shop:
    """One server; stopped and started again it keeps its port and its folder."""

    def __init__(self, folder: Path, *, coded: bool = False) -> None:
        self.folder, self.coded, self.clock = folder, coded, HandClock()
        self.said: list[str] = []
        self.shown: list[str] = []
        self.port = 0
        self.address = ""
        self.shelf: Shelf
        self._server: uvicorn.Server
        self._thread: threading.Thread

    def start(self) -> None:
        opened = listening(LOOPBACK, self.port)
        self.shelf = Shelf(self.folder, Settings(), self.clock.clocks())
        speaking = Speaking(first=self.shown.append, show=self.shown.append, log=self.said.append)
        self._server, self.address = server_on(self.shelf, opened, coded=self.coded, speaking=speaking)
        self.port = opened.getsockname()[1]
        self._thread = threading.Thread(target=self._server.run, kwargs={"sockets": [opened]}, daemon=True)
        self._thread.start()
        end = time.monotonic() + 10
        while not self._server.started and time.monotonic() < end:
            time.sleep(0.01)
        assert self._server.started

    def stop(self) -> None:
        self._server.should_exit = True
        self._thread.join(10)
        self.shelf.close()

    def logs(self) -> list[Path]:
        return sorted(self.folder.glob("*.csv"))


@contextmanager
def shop(folder: Path, *, coded: bool = False) -> Iterator[Shop]:
    """A running server."""
    folder.mkdir(exist_ok=True)
    one = Shop(folder, coded=coded)
    one.start()
    try:
        yield one
    finally:
        one.stop()
