"""Measuring a rim in the page, in a real browser."""

from __future__ import annotations

import re

import pytest
from playwright import sync_api

from rimfea.files.sheet_toml import parse_sheet, read_sheet
from tests.browser.waiting import CURLEW, PATIENCE_MS, fine, served
from tests.numbers import TYPED

pytestmark = pytest.mark.long

MARKED = """() => { const c = document.getElementById('sketch'), rgb = [168, 72, 42],
  copy = document.createElement('canvas');
  Object.assign(copy, { width: c.width, height: c.height });
  const pen = copy.getContext('2d', { willReadFrequently: true }); pen.drawImage(c, 0, 0);
  const d = pen.getImageData(0, 0, c.width, c.height).data; let n = 0;
  for (let k = 0; k < d.length; k += 4)
    if (rgb.every((v, j) => Math.abs(d[k + j] - v) < 3)) n += 1;
  return n; }"""


def typed(page, **numbers):
    for key, text in numbers.items():
        page.locator(f"#in-{key}").fill(text)


def standing(page, pattern):
    sync_api.expect(page.locator("#standing")).to_have_text(
        re.compile(pattern), timeout=PATIENCE_MS
    )


def saved(page):
    with page.expect_download() as file:
        page.locator("#sheet-save").click()
    return file.value.path().read_text(encoding="utf-8")


def test_a_builder_measures_a_rim(opened):
    """The caliper is shown for the field in hand, faults stand at their fields, all at once; the
    whole sheet reads back as typed, and the rim is answered at once.
    """
    page = opened(path="#measure")
    standing(page, "^9 still to fill in: name, bead seat diameter")
    assert page.evaluate(MARKED) == 0
    page.locator("#in-bead_hook_mm").focus()
    marked = page.locator("#sketch")
    sync_api.expect(marked).to_have_attribute("aria-label", re.compile("bead hook.*outside jaws"))
    assert page.evaluate(MARKED) > 200
    sync_api.expect(page.locator("#hand")).to_contain_text("from crown to underside; jaw tips")
    typed(page, **(TYPED | {"tyre_well_mm": "11", "hook_lip_mm": "1.0"}))
    standing(page, "^2 to put right: hook lip, tyre well")
    sync_api.expect(page.locator("#wrong-tyre_well_mm")).to_contain_text("11 mm is out of range")
    sync_api.expect(page.locator("#wrong-hook_lip_mm")).to_contain_text("Hook lip = 1 mm and")
    assert page.locator("#in-hook_lip_mm").get_attribute("aria-invalid") == "true"
    typed(page, tyre_well_mm="1.1", hook_lip_mm="2.2")
    standing(page, "^Whole")
    sync_api.expect(page.locator("#mean-overall_depth_mm")).to_have_text("mean 21.033 mm")
    sheet = parse_sheet(saved(page), "saved")
    assert sheet.readings["overall_depth_mm"].values == (21.0, 21.1, 21.0)
    assert sheet.sidewall_mm == 1.0414
    assert "flank_mm" in sheet.assumed
    page.locator("#join").click()
    fine(page)
    assert page.locator("#rim option:checked").text_content() == "dotterel"
    assert float(page.locator("#number-tyre_well_mm").input_value()) == 1.1
    assert "dotterel" not in page.locator("#problem").text_content()


def test_what_was_typed_outlives_a_reload_and_is_seen_in_another_tab(opened, browser):
    """Until it is thrown away, a sheet stays in this browser, fault and all."""
    context = browser.new_context()
    page = opened(path="#measure", context=context)
    typed(page, name="ruff", bead_hook_mm="2,1 2,2", tyre_well_mm="thin")
    standing(page, "^1 to put right: tyre well")
    page.reload()
    standing(page, "^1 to put right: tyre well")
    assert page.locator("#in-bead_hook_mm").input_value() == "2,1 2,2"
    other = opened(path="#measure", context=context)
    sync_api.expect(other.locator("#in-name")).to_have_value("ruff")
    other.locator("#in-tyre_well_mm").fill("1.2")
    sync_api.expect(page.locator("#in-tyre_well_mm")).to_have_value("1.2")
    page.on("dialog", lambda dialog: dialog.accept())
    page.locator("#sheet-drop").click()
    sync_api.expect(page.locator("#in-name")).to_have_value("")
    context.close()


def test_a_sheet_opens_into_the_form(opened, tmp_path):
    """A file with a slip, then the demo rim from the bench, which is saved as it was."""
    page = opened()
    page.locator("#to-form").click()
    standing(page, "^Whole")
    assert parse_sheet(saved(page), "saved") == read_sheet(CURLEW)
    own = tmp_path / "own.toml"
    slips = CURLEW.read_text().replace("bead_hook_mm = 1.9", "bead_hook_mm = 19\nhook = 2")
    own.write_text(slips)
    page.locator("#sheet-open").set_input_files(own)
    standing(page, "^Left out of own.toml, .*: hook. 1 to put right: bead hook")
    assert page.locator("#in-inner_width_mm").input_value() == "24.02 23.97 24.05 23.99 ± 0.03"
    own.write_text("no sheet")
    page.locator("#sheet-open").set_input_files(own)
    standing(page, "own.toml: is no caliper sheet")


def test_the_form_goes_on_when_the_program_ends_and_comes_back(opened):
    """It is said, nothing typed is lost, and the answer comes by itself."""
    with served("--port", "0") as (address, _):
        port = address.rsplit(":", 1)[1].strip("/")
        page = opened(at=address, path="#measure")
        typed(page, **TYPED)
        standing(page, "^Whole")
    page.locator("#in-tyre_well_mm").fill("11")
    sync_api.expect(page.locator("#gone")).to_be_visible(timeout=PATIENCE_MS)
    with served("--port", port):
        sync_api.expect(page.locator("#gone")).to_be_hidden(timeout=PATIENCE_MS)
        standing(page, "^1 to put right: tyre well")
        assert page.locator("#in-sidewall_mm").input_value() == "0.041 in"
