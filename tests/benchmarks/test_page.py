"""How long a hand waits that drags a wall in the browser, and what many drags leave behind."""

from __future__ import annotations

import re
import time
from pathlib import Path

import numpy as np
import pytest
from playwright import sync_api

from tests.benchmarks.conftest import takes_minutes
from tests.browser.conftest import browser  # noqa: F401 -- the same browser
from tests.browser.waiting import PATIENCE_MS, served
from tests.sturdy import flood

pytestmark = pytest.mark.long

AHEAD_S = 15.0  # in which the page works out beforehand what is likely dragged next
DRAGS, MOST_MORE_MB = 1000, 60
FLOOD = (160, 80)  # at once, and soon after
# From the event of the slider to the next frame after the numbers were written anew.
DRAGGED = """
async (values) => {
  const slider = document.getElementById("range-sidewall_mm"), taken = [];
  for (const value of values) {
    const start = performance.now();
    slider.value = value;
    slider.dispatchEvent(new Event("input", { bubbles: true }));
    await new Promise((done) => {
      const seen = new MutationObserver(() => { seen.disconnect(); requestAnimationFrame(done); });
      seen.observe(document.querySelector("#numbers tbody"), { childList: true });
    });
    taken.push(performance.now() - start);
  }
  return taken;
}
"""

# From letting go of the slider to the fine answer.
LET_GO = """
async () => {
  const slider = document.getElementById("range-sidewall_mm");
  const state = document.getElementById("state"), rest = (done) => setTimeout(done, 10);
  const start = performance.now();
  slider.dispatchEvent(new Event("change", { bubbles: true }));
  while (!state.textContent.startsWith("fine mesh")) await new Promise(rest);
  return performance.now() - start;
}
"""


def resident_mb(process):
    status = Path(f"/proc/{process.pid}/status").read_text(encoding="utf-8")
    return int(re.search(r"VmRSS:\s+(\d+)", status)[1]) / 1024


@takes_minutes
@pytest.mark.skipif(not Path("/proc/self/status").exists(), reason="memory is read from /proc")
def test_a_wall_is_dragged(browser, request):  # noqa: F811
    start = time.perf_counter()
    with served() as (address, server):
        page = browser.new_page()
        page.set_default_timeout(PATIENCE_MS)
        page.goto(address)
        sync_api.expect(
            page.locator("#sliders details").first
        ).to_be_visible()  # beside the drawing
        picture_s = time.perf_counter() - start
        state = page.locator("#state")
        sync_api.expect(state).to_have_text(re.compile("^fine mesh"), timeout=PATIENCE_MS)
        first_s = time.perf_counter() - start
        page.locator("#range-sidewall_mm").hover()
        first = page.evaluate(DRAGGED, [1.27, 1.32, 1.37])
        time.sleep(AHEAD_S)
        values = [round(1.22 + 0.05 * k, 2) for k in (*range(-8, 9), *range(8, -9, -1))]
        taken = np.array(page.evaluate(DRAGGED, values))
        before = resident_mb(server)
        page.evaluate(DRAGGED, (values * DRAGS)[:DRAGS])
        more = resident_mb(server) - before
        fine_s = page.evaluate(LET_GO) / 1000
        page.close()
    told = (
        f"page: first picture {picture_s:.1f} s, first answer {first_s:.1f} s after the command; "
        f"let go, fine answer in {fine_s:.1f} s; dragged at once "
        f"{np.median(first):.0f} ms, after {AHEAD_S:.0f} s {np.median(taken):.0f} ms median, "
        f"{np.quantile(taken, 0.95):.0f} ms p95; {DRAGS} drags leave {more:.0f} MB"
    )
    capture = request.config.pluginmanager.getplugin("capturemanager")
    with capture.global_and_fixture_disabled():
        print(f"\n{told}", end="")
    assert more < MOST_MORE_MB


def test_a_fine_answer_amid_a_flood(measured):
    """Of requests of all kinds, most of which want as much work as this one."""

    async def asked(port):
        page, taken = flood.Flood(port), []

        async def ask(number, wall):
            start = time.perf_counter()
            body = flood.as_bytes(flood.about(sidewall_mm=wall))
            status, _ = await page.ask("fine", body, "page", number)
            assert status == 200
            taken.append(time.perf_counter() - start)

        await ask(1, 1.25)  # what a first answer loads
        await ask(2, 1.27)
        async with flood.flood(port, *FLOOD):
            await ask(3, 1.29)
        return taken[1:]

    with flood.served() as (port, _):
        calm_s, amid_s = flood.in_its_own_thread(asked(port))
    what = f"a fine answer of the page amid {sum(FLOOD)} other requests"
    measured(what, amid_s, "one with nobody else there", amid_s / calm_s)
