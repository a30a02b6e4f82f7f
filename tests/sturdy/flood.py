"""A flood of requests on the page's server, all on this machine, none without an end: so many, and
those that are not answered are given up.
"""

from __future__ import annotations

import asyncio
import json
import signal
import subprocess
import sys
from collections.abc import AsyncIterator, Coroutine, Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import asynccontextmanager, contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
SERVE = "from rimfea.cli.main import main; main()"
PAUSE_S = 0.5  # before the second part of a flood
SETUP, CURLEW = {"setup": "gravel", "wheel": "rear"}, {"rim": "curlew"}
GARBAGE = (b"", b"{", b"[]", b"null", b'{"rim": NaN}', b"\xff\xfe\x00", b"[" * 5000, b"1" * 5000)
BROKEN = (b"GET / HTTP/9.9\r\n\r\n", b"\x16\x03\x01\x00\xa5\x01\x00\x00", b"\r\n\r\n\r\n", b"POST")


def about(**changes: float) -> dict[str, Any]:
    """A request about the curlew with some walls other than on its sheet."""
    return {**CURLEW, **SETUP, "changes": changes}


def in_its_own_thread(asked: Coroutine[Any, Any, Any]) -> Any:
    """What comes of it: in this thread a browser may have a loop of events already."""
    with ThreadPoolExecutor(1) as pool:
        return pool.submit(asyncio.run, asked).result()


@dataclass
class Flood:
    """Requests sent to a port, and the statuses of what came back, in that order, with what was
    asked: 0 where nothing did.
    """

    port: int
    came: list[tuple[str, int]] = field(default_factory=list)
    sent: int = 0

    async def ask(self, what: str, body: bytes, client: str, number: int = 0) -> tuple[int, Any]:
        """One request as the page sends it: status and data of the answer."""
        text = self._head(what, body, client, number) + body
        status, content = await self._exchange(text, what)
        return status, json.loads(content) if content else None

    async def one(self, k: int) -> None:
        """The kth of a flood, of a kind by k, mostly of a client of its own."""
        wall = round(1.0 + 0.0005 * k, 4)
        kinds = (
            lambda: self.ask("fine", as_bytes(about(sidewall_mm=wall)), f"f{k}"),
            lambda: self.ask(
                "ready", as_bytes({**about(flank_mm=wall), "key": "sidewall_mm"}), f"r{k}"
            ),
            lambda: self.ask("dent", as_bytes(about(sidewall_mm=wall)), f"d{k}"),
            lambda: self.ask("fine", GARBAGE[k // 8 % len(GARBAGE)], f"g{k}"),
            lambda: self._exchange(BROKEN[k // 8 % len(BROKEN)], "broken"),
            lambda: self._exchange(self._head("fine", b" " * 99, f"s{k}", 0) + b"{", "half"),
            lambda: self.ask("fine", as_bytes(about(sidewall_mm=wall)), "one"),
            lambda: self._exchange(b"GET /choices HTTP/1.1\r\nhost: 127.", "half"),
        )
        await kinds[k % len(kinds)]()

    def _head(self, what: str, body: bytes, client: str, number: int) -> bytes:
        home = f"127.0.0.1:{self.port}"
        lines = (
            f"POST /{what} HTTP/1.1", f"host: {home}", f"origin: http://{home}",
            "content-type: application/json", f"content-length: {len(body)}",
            f"client: {client}", f"number: {number}", "connection: close",
        )  # fmt: skip
        return "\r\n".join((*lines, "", "")).encode()

    async def _exchange(self, text: bytes, what: str) -> tuple[int, bytes]:
        """What comes back until the server ends the connection."""
        status, content, writer = 0, b"", None
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", self.port)
            writer.write(text)
            self.sent += 1
            head, _, content = (await reader.read(-1)).partition(b"\r\n\r\n")
            status = int(head.split()[1]) if head else 0
        except OSError:
            content = b""
        finally:
            if writer:
                writer.close()
        self.came.append((what, status))
        return status, content


@asynccontextmanager
async def flood(port: int, *counts: int, slow: bool = False) -> AsyncIterator[Flood]:
    """So many requests at once, then so many more while something else goes on; ``slow`` ones are
    halves of requests.
    """
    crowd = Flood(port)
    kinds = (5, 7) if slow else range(8)
    places = [8 * (k // len(kinds)) + kinds[k % len(kinds)] for k in range(sum(counts))]
    coming = [asyncio.create_task(crowd.one(k)) for k in places[: counts[0]]]
    while crowd.sent < counts[0]:
        await asyncio.sleep(0.01)

    async def later() -> None:
        await asyncio.sleep(PAUSE_S)
        await asyncio.gather(*(crowd.one(k) for k in places[counts[0] :]))

    coming.append(asyncio.create_task(later()))
    try:
        yield crowd
    finally:
        for each in coming:
            each.cancel()
        await asyncio.gather(*coming, return_exceptions=True)


@contextmanager
def served() -> Iterator[tuple[int, subprocess.Popen[str]]]:
    """The command as a builder starts it, ended as with Ctrl-C, silent till its end: port and
    process.
    """
    command = [sys.executable, "-c", SERVE, "page", "curlew", "--no-browser", "--port", "0"]
    out, err = subprocess.PIPE, subprocess.PIPE
    with subprocess.Popen(command, cwd=ROOT, stdout=out, stderr=err, text=True) as server:
        try:
            yield int(server.stdout.readline().split("/")[2].partition(":")[2]), server
        finally:
            server.send_signal(signal.SIGINT)
        left = (server.wait(300), server.stdout.read(), server.stderr.read())
        assert left == (0, "ended\n", ""), left


def as_bytes(asked: object) -> bytes:
    """The body of a request."""
    return json.dumps(asked).encode()
