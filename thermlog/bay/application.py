"""The server's answers: one page, the walks, their sync, chart, checks and log; every one a function."""

from __future__ import annotations

import re
from threading import Lock
from typing import TYPE_CHECKING, TypeVar

import msgspec
from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from thermlog.bay.guard import COOKIE
from thermlog.bay.messages import Checks, Knock, NewWalk, Sync
from thermlog.bay.page import bay_page
from thermlog.bay.shelf import Shelf
from thermlog.words.errors import OutputError, ThermlogError

if TYPE_CHECKING:
    from collections.abc import Callable

    from thermlog.bay.door import Door
    from thermlog.reports.wording import Show

_Said = TypeVar("_Said")
_ENCODER = msgspec.json.Encoder()


class _NotSaidError(Exception):
    """A body that says nothing the server knows."""


class BayAnswers:
    """Answers of a server.

    Parameters
    ----------
    shelf : Shelf
    door : Door or None
    came_in : callable
        Told when somebody has used a code, so that the next one can be shown.
    log : callable
    """

    def __init__(
        self, shelf: Shelf, door: Door | None, came_in: Callable[[], None], log: Callable[[str], None]
    ) -> None:
        self.shelf, self.door, self.came_in, self.log = shelf, door, came_in, log
        self._drawing = Lock()

    def page(self, request: Request) -> Response:  # noqa: ARG002 - starlette's signature
        """The page; it holds no readings, so nobody needs a code to load it."""
        html, policy = bay_page()
        return Response(html, media_type="text/html", headers={"content-security-policy": policy})

    def healthy(self, request: Request) -> Response:  # noqa: ARG002 - starlette's signature
        """That it runs."""
        return _json({"thermlog": "bay"})

    async def knock(self, request: Request) -> Response:
        """Exchange the code of the address for a cookie."""
        address = request.client.host if request.client else "unknown"
        said = _read(await request.body(), Knock)
        token = None if self.door is None else self.door.knock(said.code, address)
        if token is None:
            self.log(f"refused {address}: a code that is wrong or was used")
            return _json({"error": "this code is wrong or was used; scan the one that is shown now"}, 403)
        self.came_in()
        answer = _json({})
        answer.set_cookie(COOKIE, token, httponly=True, samesite="strict", path="/")
        return answer

    def walks(self, request: Request) -> Response:  # noqa: ARG002 - starlette's signature
        """Walks that are open."""
        return _json(self.shelf.listed())

    async def begin(self, request: Request) -> Response:
        """Begin a walk."""
        new = _read(await request.body(), NewWalk)
        await run_in_threadpool(self.shelf.begin, new)
        return _json({})

    async def sync(self, request: Request) -> Response:
        """Take up what a page has, and tell it the rest."""
        said = _read(await request.body(), Sync)
        return _json(await run_in_threadpool(self.shelf.sync, request.path_params["walk"], said))

    async def checks(self, request: Request) -> Response:
        """The next check at the wheel."""
        said = _read(await request.body(), Checks)
        return _json(await run_in_threadpool(self.shelf.checks, request.path_params["walk"], said))

    def charts(self, request: Request) -> Response:
        """Cooling curves as they stand, drawn as in every other output, a drawing an axle."""
        told = self.shelf.finding(request.path_params["walk"]).told
        if told is None:
            return _json({"error": "no chart yet: read the wheels first"}, 404)
        from thermlog.charts.pictures import svg_of_each_axle

        show: Show = "F" if request.query_params.get("show") == "F" else "C"
        with self._drawing:
            return _json(svg_of_each_axle(told, show=show))

    def log_file(self, request: Request) -> Response:
        """The log, to be handed over."""
        name, content = self.shelf.log(request.path_params["walk"])
        plain = re.sub(r"[^a-z0-9.-]", "", name)
        handed = {"content-disposition": f'attachment; filename="{plain}"'}
        return Response(content, media_type="text/csv", headers=handed)


def application(desk: BayAnswers) -> Starlette:
    """The application; what it does not name is not there."""
    walk = "/walks/{walk:str}"
    return Starlette(
        routes=[
            Route("/", desk.page),
            Route("/healthy", desk.healthy),
            Route("/knock", desk.knock, methods=["POST"]),
            Route("/walks", desk.walks),
            Route("/walks", desk.begin, methods=["POST"]),
            Route(f"{walk}/sync", desk.sync, methods=["POST"]),
            Route(f"{walk}/checks", desk.checks, methods=["POST"]),
            Route(f"{walk}/charts", desk.charts),
            Route(f"{walk}/log.csv", desk.log_file),
        ],
        exception_handlers={ThermlogError: _refused, _NotSaidError: _not_said},
    )


def _read(body: bytes, kind: type[_Said]) -> _Said:
    try:
        return msgspec.json.decode(body, type=kind)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as fault:
        raise _NotSaidError(str(fault)) from fault


def _json(said: object, status: int = 200) -> Response:
    return Response(_ENCODER.encode(said), status_code=status, media_type="application/json")


def _refused(request: Request, fault: Exception) -> Response:  # noqa: ARG001 - starlette's signature
    return _json({"error": str(fault)}, 507 if isinstance(fault, OutputError) else 409)


def _not_said(request: Request, fault: Exception) -> Response:  # noqa: ARG001 - the same
    return _json({"error": f"not understood: {fault}"}, 400)
