"""The server on its socket: address first, code as a picture, slow callers sent away, a clean end."""

from __future__ import annotations

import signal
import socket
import time
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

import uvicorn
from msgspec import Struct
from uvicorn.protocols.http.h11_impl import H11Protocol, RequestResponseCycle

from thermlog.bay.application import BayAnswers, application
from thermlog.bay.door import Door, Pace
from thermlog.bay.guard import Guard
from thermlog.words.errors import OutputError

if TYPE_CHECKING:
    import asyncio
    from collections.abc import Callable, Iterator

    from thermlog.bay.shelf import Shelf

LOOPBACK = "127.0.0.1"
HEADERS_WITHIN_S = 10.0  # of a connection, or of the answer before
_MOST_AT_ONCE = 200
_ENDING_S = 3


class Speaking(Struct, frozen=True, kw_only=True):
    """Where lines go: the address, what is shown beside it, and what was refused."""

    first: Callable[[str], None]
    show: Callable[[str], None]
    log: Callable[[str], None]


class PatientProtocol(H11Protocol):
    """HTTP that hangs up on who does not say within some seconds what is wanted."""

    _waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: Any) -> None:
        """Somebody calls."""
        super().connection_made(transport)
        self._wait()

    def data_received(self, data: bytes) -> None:
        """Some of a request came."""
        super().data_received(data)
        if self._asked():
            self._cease()
        elif self._waiting is None:
            self._wait()

    def connection_lost(self, exc: Exception | None) -> None:
        """They hung up."""
        self._cease()
        super().connection_lost(exc)

    def _asked(self) -> bool:
        cycle: RequestResponseCycle | None = self.cycle  # None before the first request
        return cycle is not None and not cycle.response_complete

    def _wait(self) -> None:
        self._waiting = self.loop.call_later(HEADERS_WITHIN_S, self._hang_up)

    def _cease(self) -> None:
        if self._waiting is not None:
            self._waiting.cancel()
            self._waiting = None

    def _hang_up(self) -> None:
        self._waiting = None
        if not self._asked():
            self.transport.close()


def listening(host: str, port: int) -> socket.socket:
    """A socket that listens there.

    Raises
    ------
    OutputError
        The port is taken, or the address is not of this computer.
    """
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    opened = socket.socket(family, socket.SOCK_STREAM)
    opened.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        opened.bind((host, port))
        opened.listen(_MOST_AT_ONCE)  # who calls before the server runs waits
    except OSError as fault:
        opened.close()
        why = fault.strerror or fault
        msg = f"{host} port {port}: cannot be served on: {why}; end what uses it, or name another with --port"
        raise OutputError(msg) from fault
    return opened


def own_address() -> str:
    """Address of this computer on the shop's network; nothing is sent to find it.

    Raises
    ------
    OutputError
        There is no network.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
        try:
            asked.connect(
                ("192.0.2.1", 9)
            )  # an address for documents (RFC 5737): only the route is looked up
            return str(asked.getsockname()[0])
        except OSError as fault:
            msg = "this computer is on no network; join the shop's, or name its address with --address"
            raise OutputError(msg) from fault


def hosts_of(host: str, port: int) -> frozenset[str]:
    """What a browser may call the server."""
    name = f"[{host}]" if ":" in host else host
    local = (f"localhost:{port}",) if host == LOOPBACK else ()
    return frozenset({f"{name}:{port}", *local})


def server_on(
    shelf: Shelf, opened: socket.socket, *, coded: bool, speaking: Speaking
) -> tuple[uvicorn.Server, str]:
    """A server that is ready to run, and its address.

    Parameters
    ----------
    shelf : Shelf
    opened : socket
        As `listening` opens it.
    coded : bool
        True where a code is wanted; the address then holds the first one.
    speaking : Speaking
    """
    host, port = opened.getsockname()[:2]
    hosts = hosts_of(host, port)
    door = Door(now=time.monotonic) if coded else None
    plain = f"http://{sorted(hosts)[0]}/"

    def invite() -> None:
        if door is not None:
            speaking.show(f"{square(f'{plain}#{door.code}')}\nfor the next phone: {plain}#{door.code}")

    answers = BayAnswers(shelf, door, invite, speaking.log)
    pace = Pace(now=time.monotonic)
    guard = Guard(application(answers), hosts=hosts, door=door, pace=pace, log=speaking.log)
    config = uvicorn.Config(
        guard, http=PatientProtocol, ws="none", lifespan="off", log_config=None, access_log=False,
        server_header=False, limit_concurrency=_MOST_AT_ONCE, timeout_keep_alive=5,
        timeout_graceful_shutdown=_ENDING_S, h11_max_incomplete_event_size=16_384,
    )  # fmt: skip
    return uvicorn.Server(config), plain if door is None else f"{plain}#{door.code}"


def serve(shelf: Shelf, opened: socket.socket, *, coded: bool, speaking: Speaking) -> None:
    """Say the address, then serve until the process is told to stop; arguments as of `server_on`."""
    server, address = server_on(shelf, opened, coded=coded, speaking=speaking)
    with opened, _ended_by_hand(server):
        speaking.first(address)
        if coded:
            speaking.show(square(address))
        server.run(sockets=[opened])


@contextmanager
def _ended_by_hand(server: uvicorn.Server) -> Iterator[None]:
    """An interruption asks the server to end; as an exception it might be lost where Python discards them."""

    def end(*_: object) -> None:
        server.should_exit = True

    before = signal.getsignal(signal.SIGINT)
    if before is not signal.default_int_handler:  # nobody is to interrupt this
        yield
        return
    signal.signal(signal.SIGINT, end)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def square(address: str) -> str:
    """The address as a square that phones read."""
    import io

    import segno

    out = io.StringIO()
    segno.make(address, error="m").terminal(out=out, compact=True)
    return out.getvalue().rstrip("\n")
