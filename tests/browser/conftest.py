"""Real browsers and the command's own page. Without them these tests are skipped, but not in CI."""

from __future__ import annotations

import os
import shutil

import pytest
from playwright import sync_api

from tests.browser.waiting import PATIENCE_MS, fine, served

CHROMIUM = ("chromium", "chromium-browser", "google-chrome")
FIREFOX = ("firefox-esr", "firefox")
FLAGS = (
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
EXPECTED = ("status of 4", "ERR_CONNECTION_REFUSED", "status of 503")  # what a browser notes itself


@pytest.fixture(scope="module")
def browser(request):
    """Chromium, or Firefox where a test asks for it by an indirect parameter."""
    name = getattr(request, "param", "chromium")
    names = FIREFOX if name == "firefox" else CHROMIUM
    path = next(filter(None, map(shutil.which, names)), None)
    if path is None and os.environ.get("CI"):
        pytest.fail(f"no browser in CI: install {names[0]}")
    if path is None:
        pytest.skip(f"no browser on this machine: install {names[0]}")
    with sync_api.sync_playwright() as playwright:
        if name == "firefox":
            found = playwright.firefox.launch(executable_path=path, channel="moz-firefox")
        else:
            found = playwright.chromium.launch(executable_path=path, args=list(FLAGS))
        yield found
        found.close()


@pytest.fixture(scope="session")
def address():
    with served() as (found, _):
        yield found


@pytest.fixture
def opened(browser, address):
    """A fresh page with its first fine answer; complaints and other addresses fail the test."""
    complaints, asked, contexts = [], [], []

    def open_page(at=address, path="", context=None, **options):
        if context is None:
            context = browser.new_context(**options)
            contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda said: complaints.append(said.text))
        page.on("request", lambda request: asked.append(request.url))
        page.goto(at + path)
        if not path:
            fine(page)
        return page

    yield open_page
    for context in contexts:
        context.close()
    assert [s for s in complaints if not any(known in s for known in EXPECTED)] == []
    assert [
        u for u in asked if not u.startswith(("http://127.0.0.1:", "blob:http://127.0.0.1:"))
    ] == []
