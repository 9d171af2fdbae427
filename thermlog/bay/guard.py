"""What is refused before a request is looked at: host, origin, size, slowness, haste, strangers."""

from __future__ import annotations

import asyncio
import time
from collections.abc import Callable
from http.cookies import CookieError, SimpleCookie
from typing import TYPE_CHECKING

from msgspec import Struct

from thermlog.bay.door import Door, Pace
from thermlog.reports.wording import printable

if TYPE_CHECKING:
    from starlette.types import ASGIApp, Message, Receive, Scope, Send

MOST_BYTES = 65_536  # of a request: a walk of five axles and ten rounds sent whole is a third of it
BODY_WITHIN_S = 10.0
MOST_LINES = 10  # of the log in one second: whoever knocks often fills no disk
COOKIE = "thermlog"
_OPEN_PATHS = frozenset({"/", "/knock", "/healthy"})
_SAFE = frozenset({"GET", "HEAD"})
_HEADERS = (
    (b"x-content-type-options", b"nosniff"),
    (b"x-frame-options", b"DENY"),
    (b"referrer-policy", b"no-referrer"),
    (b"cross-origin-opener-policy", b"same-origin"),
    (b"cross-origin-resource-policy", b"same-origin"),
    (b"cache-control", b"no-store"),
    (b"content-security-policy", b"default-src 'none'; frame-ancestors 'none'"),
)


class TurnedAway(Struct, frozen=True):
    """Why a request is not answered: status, and words for the page and the log."""

    status: int
    words: str


_STRANGER = TurnedAway(401, "no code, or one of an earlier start")


class Guard:
    """Stands before the application.

    Parameters
    ----------
    app : ASGI application
    hosts : frozenset of str
        What a browser may call this server, ``192.168.1.5:8765``: anything else is another site's trick.
    door : Door or None
        None on loopback: then no code is needed.
    pace : Pace
    log : callable
        Takes a line about each request that was refused.
    """

    def __init__(
        self,
        app: ASGIApp,
        *,
        hosts: frozenset[str],
        door: Door | None,
        pace: Pace,
        log: Callable[[str], None],
    ) -> None:
        self.app, self.hosts, self.door, self.pace, self.log = app, hosts, door, pace, log
        self._second, self._told = 0, 0

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer, or refuse."""
        if scope["type"] != "http":
            if scope["type"] == "websocket":
                await send({"type": "websocket.close", "code": 1008})
            else:
                await self.app(scope, receive, send)
            return
        refusal = self._refusal(scope)
        body = b""
        if refusal is None:
            body, refusal = await _whole(receive)
        if refusal is not None:
            await self._refuse(scope, refusal, send)
            return
        sent = iter([{"type": "http.request", "body": body, "more_body": False}])

        async def ready() -> Message:
            return next(sent, None) or await receive()

        await self.app(scope, ready, _with_headers(send))

    def _refusal(self, scope: Scope) -> TurnedAway | None:
        headers = _headers(scope)
        address = (scope.get("client") or ("unknown", 0))[0]
        if not self.pace.allows(address):
            return TurnedAway(429, "too many requests")
        if headers.get("host", "") not in self.hosts:
            return TurnedAway(403, "not the address of this server")
        if not self._own_page(scope["method"], headers):
            return TurnedAway(403, "asked for by another page")
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > MOST_BYTES:
            return TurnedAway(413, "larger than any walk")
        if self.door is None or scope["path"] in _OPEN_PATHS:
            return None
        return None if self.door.knows(token_of(headers)) else _STRANGER

    def _own_page(self, method: str, headers: dict[str, str]) -> bool:
        """True for what the own page asks for, or a person who types the address."""
        if headers.get("sec-fetch-site", "none") not in {"same-origin", "none"}:
            # a link from elsewhere may open the page, and nothing else
            return method in _SAFE and headers.get("sec-fetch-mode") == "navigate"
        origin = headers.get("origin")
        own = origin is not None and origin.partition("://")[2] in self.hosts
        return own or (origin is None and method in _SAFE)

    async def _refuse(self, scope: Scope, refusal: TurnedAway, send: Send) -> None:
        address = (scope.get("client") or ("unknown", 0))[0]
        what = printable(f"{scope['method']} {scope['path']}")[:80]
        self._tell(f"refused {address}: {what}: {refusal.words}")
        text = refusal.words.encode()
        headers = [
            (b"content-type", b"text/plain; charset=utf-8"),
            (b"content-length", str(len(text)).encode()),
        ]
        headers += [*_HEADERS, (b"connection", b"close")]
        await send({"type": "http.response.start", "status": refusal.status, "headers": headers})
        await send({"type": "http.response.body", "body": text})

    def _tell(self, line: str) -> None:
        """A line of the log; of many in one second only some, and then how many more there were."""
        second = int(time.monotonic())
        if second != self._second:
            if self._told > MOST_LINES:
                self.log(f"refused {self._told - MOST_LINES} more in that second")
            self._second, self._told = second, 0
        self._told += 1
        if self._told <= MOST_LINES:
            self.log(line)


async def _whole(receive: Receive) -> tuple[bytes, TurnedAway | None]:
    """The body, unless it is too large or comes too slowly."""
    parts: list[bytes] = []
    try:
        async with asyncio.timeout(BODY_WITHIN_S):
            while True:
                message = await receive()
                parts.append(message.get("body", b""))
                if sum(map(len, parts)) > MOST_BYTES:
                    return b"", TurnedAway(413, "larger than any walk")
                if not message.get("more_body", False):
                    return b"".join(parts), None
    except TimeoutError:
        return b"", TurnedAway(408, "came too slowly")


def _headers(scope: Scope) -> dict[str, str]:
    """Headers by name; one that is sent twice is empty, so that it fits nothing."""
    found: dict[str, str] = {}
    for name, value in scope["headers"]:
        key = name.decode("latin-1").lower()
        found[key] = "" if key in found else value.decode("latin-1")
    return found


def token_of(headers: dict[str, str]) -> str:
    """Token of a request; empty without one, and where there is more than one."""
    text = headers.get("cookie", "")
    if text.count(f"{COOKIE}=") != 1:
        return ""
    try:
        cookie = SimpleCookie(text).get(COOKIE)
    except CookieError:
        return ""
    return "" if cookie is None else cookie.value


def _with_headers(send: Send) -> Send:
    """Security headers on every answer; one that the answer has itself stays."""

    async def adding(message: Message) -> None:
        if message["type"] == "http.response.start":
            own = {name for name, _ in message["headers"]}
            added = [(name, value) for name, value in _HEADERS if name not in own]
            message = {**message, "headers": [*message["headers"], *added]}
        await send(message)

    return adding
