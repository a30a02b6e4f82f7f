"""The page as a web application: who may ask, in which order it is worked out, what is sent."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import AsyncIterator, Awaitable, Callable, Coroutine
from contextlib import asynccontextmanager
from functools import partial
from http import HTTPStatus
from importlib import resources
from threading import Condition
from typing import Any, TypeVar

from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from rimfea.allocator import give_back
from rimfea.web.ahead import Ahead
from rimfea.web.asked import LARGEST, LONGEST_TEXT
from rimfea.web.bench import Bench
from rimfea.web.line import ENDED, OVERTAKEN, Line, Waiting
from rimfea.web.payload import told_of_bench
from rimfea.web.requests import REQUESTS, Queue, Reply, answered
from rimfea.web.trying import next_drafts

HEADERS = {
    "content-security-policy": "default-src 'self'; img-src 'self' data:; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "cross-origin-resource-policy": "same-origin",
    "cache-control": "no-store",
}
MODULES = (
    *("page", "places", "bench", "rims", "told", "drawn", "drafts"),
    *("measure", "sliders", "section", "grab"),
    *("explain", "history", "kept", "ask", "elements", "words"),
    *("view", "asking", "others", "ridden", "ride", "around", "beside", "lessons"),
)
FILES = {
    "/": ("page.html", "text/html"),
    "/page.css": ("page.css", "text/css"),
    **{f"/{name}.js": (f"{name}.js", "text/javascript") for name in MODULES},
}
MOST_CLIENTS = 200
Kept = TypeVar("Kept")


class Desk:
    """Has requests worked out, each in its line, and sends those away that their client has
    overtaken. Whoever asked before in a quiet time, as a page does that is opened, has the line of
    its question; all others who ask for work while there is some wait in one line together, so
    that a crowd of them has one hand of the machine, while nobody else needs it.
    """

    def __init__(self, on: Bench) -> None:
        self._on = on
        self._latest: OrderedDict[str, int] = OrderedDict()
        self._known: OrderedDict[str, None] = OrderedDict()
        news = Condition()
        self._lines = {queue: Line(queue, news) for queue in Queue}
        first = [self._lines[queue] for queue in (Queue.QUICK, Queue.SLOW)]
        self._crowd = Line("crowd", news, after=first)
        self._ahead = Ahead(self._lines[Queue.QUICK].pool)

    async def answer(self, what: str, body: bytes, client: str, number: int) -> Reply:
        """The answer, or why there is none."""
        asked = REQUESTS.get(what)
        if asked is None:
            return answered(self._on, what, body)
        if asked.latest_only and not self._is_latest(client, number):
            return OVERTAKEN
        work = partial(self._work, what, body)
        waiting = Waiting(client, work, number if asked.latest_only else None)
        with self._ahead.waiting():
            self._line(asked.queue, client).join(waiting)
            try:
                return await asyncio.wrap_future(waiting.reply)
            except asyncio.CancelledError:  # the server is ending
                return ENDED

    def close(self) -> None:
        """Start nothing more."""
        self._ahead.close()
        for line in self._every:
            line.close()

    def _work(self, what: str, body: bytes) -> Reply:
        reply = answered(self._on, what, body)
        if what == "ready" and reply.status == HTTPStatus.OK:
            self._ahead.plan(next_drafts(self._on, body))
        if REQUESTS[what].queue in (Queue.SLOW, Queue.SLOWEST):
            give_back()
        return reply

    def _is_latest(self, client: str, number: int) -> bool:
        """Whether no later one came before it; if so, it overtakes those that wait."""
        latest = max(number, self._latest.get(client, number))
        _keep(self._latest, client, latest)
        for line in self._every:
            line.overtake(client, latest)
        return number == latest

    @property
    def _every(self) -> tuple[Line, ...]:
        return (*self._lines.values(), self._crowd)

    def _line(self, queue: Queue, client: str) -> Line:
        own = self._lines[queue]
        if queue is Queue.TYPED:
            return own
        if not any(line.is_busy for line in self._every):
            _keep(self._known, client, None)
        return own if client in self._known else self._crowd


def _keep(kept: OrderedDict[str, Kept], client: str, what: Kept) -> None:
    """Of the last clients only."""
    kept[client] = what
    kept.move_to_end(client)
    while len(kept) > MOST_CLIENTS:
        kept.popitem(last=False)


class Guard:
    """Lets in requests that name this address, and posts only from the page itself; every
    answer gets the headers that keep the page to itself.
    """

    def __init__(self, app: ASGIApp, port: int) -> None:
        self._app = app
        self._hosts = {f"127.0.0.1:{port}", f"localhost:{port}"}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return

        async def with_headers(message: Message) -> None:
            if message["type"] == "http.response.start":
                MutableHeaders(scope=message).update(HEADERS)
            await send(message)

        refusal = self._refusal(Headers(scope=scope), scope["method"])
        await (refusal or self._app)(scope, receive, with_headers)

    def _refusal(self, headers: Headers, method: str) -> Response | None:
        if headers.get("host", "") not in self._hosts:
            return _problem(400, "this address is not served here")
        if method != "POST":
            return None
        if headers.get("origin", "").removeprefix("http://") not in self._hosts:
            return _problem(403, "only the page itself may ask")
        if headers.get("content-type", "").partition(";")[0] != "application/json":
            return _problem(415, "a request is JSON (content-type: application/json)")
        return None


def app(on: Bench, port: int) -> ASGIApp:
    """The application for a server on that port of the loopback address."""
    desk = Desk(on)

    async def choices(request: Request) -> Response:
        del request
        return JSONResponse(told_of_bench(on))

    async def post(request: Request) -> Response:
        client, number = request.headers.get("client", ""), request.headers.get("number", "0")
        if len(client) > LONGEST_TEXT or not (number.isascii() and number.isdigit()):
            return _problem(400, "client: a short text; number: a whole one")
        try:
            body = await _body(request)
        except ClientDisconnect:  # a page that was closed in the middle of asking
            return Response(status_code=400)
        if body is None:
            return _problem(413, f"a request may have {LARGEST // 1024} kB")
        answer = desk.answer(request.path_params["what"], body, client, int(number[:15]))
        reply = await _while_there(request, answer)
        return JSONResponse(dict(reply.data), reply.status)

    @asynccontextmanager
    async def lifespan(running: Starlette) -> AsyncIterator[None]:
        del running
        yield
        desk.close()

    pages = [Route(path, _file(*told), methods=["GET"]) for path, told in FILES.items()]
    routes = [
        *pages,
        Route("/favicon.ico", _nothing, methods=["GET"]),
        Route("/choices", choices, methods=["GET"]),
        Route("/{what}", post, methods=["POST"]),
    ]
    return Guard(Starlette(routes=routes, lifespan=lifespan), port)


def _file(name: str, kind: str) -> Callable[[Request], Awaitable[Response]]:
    async def served(request: Request) -> Response:
        del request
        text = (resources.files("rimfea.web") / "static" / name).read_text(encoding="utf-8")
        return Response(text, media_type=kind)

    return served


async def _nothing(request: Request) -> Response:
    del request
    return Response(status_code=204)


async def _while_there(request: Request, answer: Coroutine[Any, Any, Reply]) -> Reply:
    """The answer, given up once nobody is there to hear it."""
    coming = asyncio.create_task(answer)
    gone = asyncio.ensure_future(request.receive())  # after the whole body nothing else can come
    try:
        await asyncio.wait({coming, gone}, return_when=asyncio.FIRST_COMPLETED)
        if not coming.done():
            coming.cancel()
        return await coming
    finally:
        gone.cancel()


async def _body(request: Request) -> bytes | None:
    """The body, or None as soon as it is too large."""
    body = bytearray()
    async for part in request.stream():
        body += part
        if len(body) > LARGEST:
            return None
    return bytes(body)


def _problem(status: int, told: str) -> Response:
    return JSONResponse({"problem": told}, status)
