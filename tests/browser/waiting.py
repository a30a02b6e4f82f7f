"""The page as a builder starts it, and waiting for what it says."""

from __future__ import annotations

import re
import signal
import subprocess
import sys
from contextlib import contextmanager
from pathlib import Path

from playwright import sync_api

ROOT = Path(__file__).parents[2]
CURLEW = ROOT / "profiles" / "curlew.toml"
SERVE = "from rimfea.cli.main import main; main()"
PATIENCE_MS = 60_000  # a slow machine that does other things, too
sync_api.expect.set_options(timeout=PATIENCE_MS)


@contextmanager
def served(*options):
    """The command itself, as a builder starts it, ended as with Ctrl-C: its address and process."""
    command = [sys.executable, "-c", SERVE, "page", str(CURLEW), "--no-browser", *options]
    pipes = {"stdout": subprocess.PIPE, "stderr": subprocess.PIPE, "text": True}
    with subprocess.Popen(command, cwd=ROOT, **pipes) as server:
        try:
            yield server.stdout.readline().split()[0], server
        finally:
            server.send_signal(signal.SIGINT)
        left = (server.wait(20), server.stdout.read(), server.stderr.read())
        assert left == (0, "ended\n", ""), left


def fine(page):
    """Wait for the fine answer."""
    state(page, r"^fine mesh")


def state(page, pattern):
    told = page.locator("#state")
    sync_api.expect(told).to_have_text(re.compile(pattern), timeout=PATIENCE_MS)
