from __future__ import annotations

import asyncio
import threading
from concurrent.futures import ThreadPoolExecutor
from importlib import resources

import pytest

from rimfea.web.app import FILES, Desk, _while_there, app
from rimfea.web.asked import LARGEST
from rimfea.web.line import ENDED, MOST_WAITING
from rimfea.web.requests import Reply

PORT = 8123
HOME = f"http://127.0.0.1:{PORT}"


@pytest.mark.parametrize(
    "host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "localhost.evil:8123"]
)
def test_another_host_is_not_served(client, host):
    """Neither the page nor an answer goes to whoever reached the port by another name."""
    assert client.get("/", headers={"host": host}).status_code == 400


@pytest.mark.parametrize("origin", ["http://evil.example", "null", "", "https://127.0.0.1:8123"])
def test_only_the_page_itself_may_ask(client, asked, origin):
    """A post from another origin is refused."""
    found = client.post("/open", json=asked(), headers={"origin": origin})
    assert found.status_code == 403


def test_a_form_of_another_page_cannot_post(client):
    """What a form can send without asking first is not JSON."""
    assert client.post("/open", data={"rim": "curlew"}).status_code == 415


@pytest.mark.parametrize("path", ["/", "/page.js", "/page.css", "/choices", "/nothing"])
def test_every_answer_keeps_the_page_to_itself(client, path):
    """Scripts, styles and requests may only go to the page's own address."""
    headers = client.get(path).headers
    assert headers["content-security-policy"].startswith("default-src 'self'")
    assert headers["x-content-type-options"] == "nosniff"


def test_the_page_names_no_other_address(client):
    """Nothing in page, style or script comes from elsewhere."""
    for path in FILES:
        assert "//" not in client.get(path).text.replace("// ", "").replace("http://www.w3.org", "")


def test_a_body_that_never_ends_is_cut_off(client):
    """Larger than allowed: 413, however it is sent."""
    sent = client.post(
        "/open",
        content=(b" " * 65536 for _ in range(LARGEST // 65536 + 2)),
        headers={"content-type": "application/json"},
    )
    assert sent.status_code == 413


def test_fifty_at_a_time_are_all_answered(client, asked):
    """Fifty requests at once, half of them nonsense, each get their own answer."""

    def ask(k):
        rim = "curlew" if k % 2 else "dodo"
        return client.post("/open", json=asked(rim=rim), headers={"client": str(k)}).status_code

    with ThreadPoolExecutor(50) as pool:
        assert list(pool.map(ask, range(50))) == [404, 200] * 25


def test_the_latest_request_of_a_client_wins(monkeypatch):
    """Of three that wait behind a solve only the last is worked out, and another client's."""
    worked, go = [], threading.Event()

    def slowly(_, what, body):
        del what
        worked.append(body)
        go.wait(10)
        return Reply(200, {})

    monkeypatch.setattr("rimfea.web.app.answered", slowly)
    desk = Desk(None)

    async def ask_all():
        first = asyncio.create_task(desk.answer("draft", b"0", "one", 0))
        while not worked:
            await asyncio.sleep(0.001)
        later = [
            asyncio.create_task(desk.answer("draft", str(k).encode(), "one", k)) for k in (1, 2, 3)
        ]
        other = asyncio.create_task(desk.answer("draft", b"other", "two", 1))
        await asyncio.sleep(0.01)
        go.set()
        return [reply.status for reply in await asyncio.gather(first, *later, other)]

    assert asyncio.run(ask_all()) == [200, 409, 409, 200, 200]
    assert worked == [b"0", b"3", b"other"]
    desk.close()


def test_a_crowd_of_strangers_waits_until_a_page_that_was_there_before_has_its_answers(monkeypatch):
    """One at a time of theirs is worked out; of too many most are refused."""
    worked, go = [], threading.Event()

    def slowly(_, what, body):
        worked.append((what, body))
        if body == b"held":
            go.wait(10)
        return Reply(200, {})

    monkeypatch.setattr("rimfea.web.app.answered", slowly)
    desk = Desk(None)

    async def flooded():
        await desk.answer("fine", b"opened", "page", 1)
        held = asyncio.create_task(desk.answer("fine", b"held", "page", 2))
        while len(worked) < 2:
            await asyncio.sleep(0.001)
        kinds = ("fine", "dent", "draft", "open")
        crowd = [
            asyncio.create_task(desk.answer(kinds[k % 4], b"", f"stranger {k}", 1))
            for k in range(MOST_WAITING + 40)
        ]
        mine = [
            asyncio.create_task(desk.answer(what, b"mine", "page", 3)) for what in ("fine", "open")
        ]
        await asyncio.wait(crowd[:40])
        go.set()
        replies = await asyncio.gather(held, *mine, *crowd)
        return [reply.status for reply in replies]

    statuses = asyncio.run(flooded())
    assert statuses == [200] * 3 + [429] * 40 + [200] * MOST_WAITING
    assert {*worked[2:4]} == {("fine", b"mine"), ("open", b"mine")}
    desk.close()


def test_every_file_of_the_page_is_served_and_no_other(client):
    """The modules that lie there, by a fixed list."""
    static = resources.files("rimfea.web") / "static"
    assert {name for name, _ in FILES.values()} == {each.name for each in static.iterdir()}
    for path, (_, kind) in FILES.items():
        assert client.get(path).headers["content-type"].startswith(kind)
    for path in ("/../app.py", "/%2e%2e/app.py", "/app.py", "/static/page.js"):
        assert client.get(path).status_code in (404, 405)


def test_after_a_wheel_its_memory_is_given_back_and_a_drag_does_not_wait_for_that(monkeypatch):
    given, desk = [], Desk(None)
    monkeypatch.setattr("rimfea.web.app.answered", lambda *_: Reply(200, {}))
    monkeypatch.setattr("rimfea.web.app.give_back", lambda: given.append(1))
    for what, times in (("draft", 0), ("fine", 1), ("dent", 2)):
        asyncio.run(desk.answer(what, b"", "one", 1))
        assert len(given) == times
    desk.close()


def test_what_a_page_asked_that_was_closed_is_given_up():
    async def asked():
        try:
            await asyncio.sleep(60)
        except asyncio.CancelledError:
            return ENDED

    class Closed:
        async def receive(self):
            return {"type": "http.disconnect"}

    assert asyncio.run(_while_there(Closed(), asked())) is ENDED


@pytest.mark.parametrize("more", [True, False])
def test_a_page_that_is_closed_while_it_asks_is_no_error(on, more):
    """Half a body, or a whole one, then nobody is there."""
    sent = iter(
        [
            {"type": "http.request", "body": b'{"rim":', "more_body": more},
            {"type": "http.disconnect"},
        ]
    )

    async def receive():
        return next(sent)

    async def send(message):
        del message

    headers = {"host": f"127.0.0.1:{PORT}", "origin": HOME, "content-type": "application/json"}
    scope = {
        "type": "http",
        "method": "POST",
        "path": "/open",
        "headers": [(name.encode(), value.encode()) for name, value in headers.items()],
        "query_string": b"",
    }
    asyncio.run(app(on, PORT)(scope, receive, send))
