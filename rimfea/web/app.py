"""The page as a web application: who may ask, in which order it is worked out, what is sent."""

from __future__ import annotations

import asyncio
from collections import OrderedDict
from collections.abc import AsyncIterator, Awaitable, Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager
from functools import partial
from http import HTTPStatus
from importlib import resources
from threading import Lock

from starlette.applications import Starlette
from starlette.datastructures import Headers, MutableHeaders
from starlette.requests import ClientDisconnect, Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from rimfea.web.ahead import Ahead
from rimfea.web.asked import LARGEST, LONGEST_TEXT
from rimfea.web.bench import Bench
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
ENDED = Reply(503, {"problem": "the server is ending"})
OVERTAKEN = Reply(409, {"problem": "a later request has overtaken this one"})


class Desk:
    """Works requests out, those of each queue one after the other, and passes over those that their
    client has overtaken.
    """

    def __init__(self, on: Bench) -> None:
        self._on = on
        self._latest: OrderedDict[str, int] = OrderedDict()
        self._lock = Lock()
        self._pools = {queue: ThreadPoolExecutor(1, queue) for queue in Queue}
        self._ahead = Ahead(self._pools[Queue.QUICK])

    async def answer(self, what: str, body: bytes, client: str, number: int) -> Reply:
        """The answer, or that it was overtaken."""
        asked = REQUESTS.get(what)
        if asked is None:
            return answered(self._on, what, body)
        if asked.latest_only:
            self._arrived(client, number)
        pool = self._pools[asked.queue]
        work = partial(self._work, what, body, client, number)
        try:
            with self._ahead.waiting():
                return await asyncio.get_running_loop().run_in_executor(pool, work)
        except (asyncio.CancelledError, RuntimeError):  # the server is ending
            return ENDED

    def close(self) -> None:
        """Start nothing more."""
        self._ahead.close()
        for pool in self._pools.values():
            pool.shutdown(wait=False, cancel_futures=True)

    def _work(self, what: str, body: bytes, client: str, number: int) -> Reply:
        if REQUESTS[what].latest_only and self._is_overtaken(client, number):
            return OVERTAKEN
        reply = answered(self._on, what, body)
        if what == "ready" and reply.status == HTTPStatus.OK:
            self._ahead.plan(next_drafts(self._on, body))
        return reply

    def _arrived(self, client: str, number: int) -> None:
        with self._lock:
            self._latest[client] = max(number, self._latest.get(client, number))
            self._latest.move_to_end(client)
            while len(self._latest) > MOST_CLIENTS:
                self._latest.popitem(last=False)

    def _is_overtaken(self, client: str, number: int) -> bool:
        with self._lock:
            return self._latest.get(client, number) > number


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
        reply = await desk.answer(request.path_params["what"], body, client, int(number[:15]))
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
