"""What the page is for, from the first number to the mail, in both browsers."""

from __future__ import annotations

import re

import pytest
from playwright import sync_api

from rimfea.files.sheet_toml import parse_sheet
from tests.browser.waiting import PATIENCE_MS, fine
from tests.numbers import TYPED

pytestmark = pytest.mark.long
expect = sync_api.expect
OFFERED = """() => { window.offered = new Promise((told) => { URL.createObjectURL = (file) => {
  told(file.text()); return "#measure"; }; }); }"""


@pytest.mark.parametrize("browser", ["chromium", "firefox"], indirect=True)
def test_a_first_sheet_is_measured_tried_compared_and_mailed(opened):
    """With no text file in sight: typed in, tried thicker, asked about, laid beside a rim from the
    shelf, ranked, and told in a page that can be mailed.
    """
    page = opened(path="#measure")
    for key, text in TYPED.items():
        page.locator(f"#in-{key}").fill(text)
    expect(page.locator("#standing")).to_have_text(re.compile("^Whole"), timeout=PATIENCE_MS)
    page.locator("#join").click()
    fine(page)
    was = page.locator("#now-yield_N").text_content()

    page.locator("#range-sidewall_mm").press("ArrowRight")
    expect(page.locator("#now-yield_N")).not_to_have_text(was, timeout=PATIENCE_MS)
    page.locator("#state button").click()
    expect(page.locator("#meanings p")).not_to_be_empty()
    page.locator("#meaning-close").click()
    fine(page)

    page.locator('nav a[href="#beside"]').click()
    place = page.locator("#place-beside")
    place.get_by_label("curlew", exact=True).check()
    expect(place.locator("#beside-answer table").first).to_be_visible(timeout=PATIENCE_MS)
    place.get_by_role("button", name="Which is stronger").click()
    expect(place.locator("#ranks-answer table").first).to_be_visible(timeout=4 * PATIENCE_MS)
    report = offered(page, place.get_by_role("button", name="Report of these"))
    assert all(told in report for told in ("dotterel", "curlew", "Indicative only"))

    page.locator('nav a[href="#measure"]').click()
    sheet = parse_sheet(offered(page, page.locator("#sheet-save")), "saved")
    assert (sheet.name, sheet.tyre_well_mm) == ("dotterel", 1.1)


def offered(page, button):
    """The text of the file that a button offers; Firefox does not tell playwright of its files."""
    page.evaluate(OFFERED)
    button.click()
    return page.evaluate("() => window.offered")
