"""The page in a real browser."""

from __future__ import annotations

import json
import re

import pytest
from playwright import sync_api

from rimfea.files.setup_toml import read_setup
from rimfea.files.sheet_toml import parse_sheet, read_sheet
from rimfea.profile.build import outline
from rimfea.study.setup import End
from rimfea.web.bench import Tried, bench, ride_of
from rimfea.web.payload import rings
from rimfea.words.analyse import governs
from rimfea.words.numbers import Units
from tests.browser.waiting import CURLEW, PATIENCE_MS, fine, state

pytestmark = pytest.mark.long

SIDEWAYS = """() => Math.max(...[document.documentElement, document.querySelector('main')]
    .map(e => e.scrollWidth - e.clientWidth))"""
LINES = """cell => { const text = document.createRange(); text.selectNodeContents(cell);
    return new Set([...text.getClientRects()].map(r => r.top)).size; }"""


def thickness(page, wall="sidewall"):
    return float(page.locator(f"#number-{wall}_mm").input_value())


def verdict(page):
    """The sentence, without the sign that explains it."""
    return page.locator("#verdict").text_content().replace("\u00a0", " ").removesuffix(" ?")


def true_verdict(sidewall_mm):
    sheet, setup = read_sheet(CURLEW).varied(sidewall_mm=sidewall_mm), read_setup("gravel")
    on = bench([sheet], [setup])
    return governs(ride_of(on, Tried(sheet.name, setup.name, End.REAR)).answer, Units())


def test_a_wall_is_dragged_and_let_go(opened, tmp_path):
    """While it is dragged a draft follows with its error, let go a fine answer;
    the pinned rim stays for comparison, and undo brings the old one back.
    """
    page = opened(viewport={"width": 1600, "height": 950})
    before, mass = verdict(page), page.locator("#now-mass_g").inner_text()
    page.locator("#pin").click()
    box = page.locator("#range-sidewall_mm").bounding_box()
    middle, left = box["y"] + box["height"] / 2, box["x"]
    page.mouse.move(left + 0.345 * box["width"], middle)
    page.mouse.down()
    page.mouse.move(left + 0.4 * box["width"], middle, steps=4)
    state(page, r"^draft, ±\s\d+\s%$")
    assert page.locator("#now-mass_g").inner_text() != mass
    page.screenshot(path=tmp_path / "dragged.png")
    page.mouse.up()
    fine(page)
    assert thickness(page) > 1.25
    assert verdict(page) == true_verdict(thickness(page))
    assert verdict(page) != before
    assert page.locator("#numbers td.better, #numbers td.worse").count() >= 2
    page.locator("#undo").click()
    fine(page)
    assert verdict(page) == before
    assert thickness(page) == 1.22


def test_a_face_and_a_width_are_pulled_in_the_drawing(opened):
    """The sidewall by its inner face, then the depth by the end of its jaws; each one step back."""
    page = opened(viewport={"width": 1440, "height": 900})
    box = page.locator("#section").bounding_box()
    inner = grip(
        page,
        [
            (box["x"] + k * box["width"] / 300, box["y"] + 0.24 * box["height"])
            for k in range(150, 290)
        ],
    )
    assert page.locator("#section").get_attribute("class") == "across"
    pull(page, inner, (-6, 0))
    state(page, r"^draft")
    page.mouse.up()
    fine(page)
    thicker = thickness(page)
    assert 1.3 < thicker < 1.9
    sync_api.expect(page.locator("#in-hand")).to_contain_text("sidewall: thickness of the sidewall")
    page.route(re.compile("/(draft|ready|fine)$"), lambda asked: asked.fulfill(status=409))
    page.locator("#sliders summary").nth(1).click()
    page.locator("#range-overall_depth_mm").focus()
    down = box["y"] + box["height"]
    bed = grip(
        page,
        [
            (box["x"] + 0.08 * box["width"] + j, down - k)
            for k in range(10, 200, 6)
            for j in range(0, 80, 6)
        ],
        "up",
    )
    pull(page, bed, (0, 12))
    page.mouse.up()
    assert 21.2 < thickness(page, "overall_depth") < 22.5
    page.locator("#undo").click()
    assert thickness(page, "overall_depth") == pytest.approx(21.003, abs=1e-3)
    assert thickness(page) == thicker


def grip(page, places, way="across"):
    """The first place on the drawing that the hand can take hold of, that way."""
    for x, y in places:
        page.mouse.move(x, y)
        if page.locator("#section").get_attribute("class") == way:
            return x, y
    raise AssertionError("nothing to take hold of")


def pull(page, place, by):
    page.mouse.move(*place)
    page.mouse.down()
    page.mouse.move(place[0] + by[0], place[1] + by[1], steps=4)


def test_any_word_and_number_can_be_asked_about(opened):
    """By keyboard a heading, by touch a number and a sentence; Escape goes back to the word."""
    page = opened(viewport={"width": 1440, "height": 900}, has_touch=True)
    page.get_by_role("button", name="first yield", exact=True).focus()
    page.keyboard.press("Enter")
    dialog = page.get_by_role("dialog")
    sync_api.expect(dialog).to_contain_text("one of its faces reaches the proof stress")
    page.keyboard.press("Escape")
    sync_api.expect(dialog).to_be_hidden()
    assert page.evaluate("document.activeElement.textContent") == "first yield"
    page.locator("#now-mass_g").tap()
    sync_api.expect(dialog).to_contain_text("mass: ")
    page.locator("#meaning-close").tap()
    page.locator("#blow button.what").first.tap()
    sync_api.expect(dialog.locator("#meanings p").first).to_contain_text(": ")
    page.locator("#meaning-close").tap()
    page.locator("#verdict button.what").tap()
    drawn = dialog.get_by_role("img", name=re.compile("hook lip")).locator(".wall").first
    sync_api.expect(drawn).to_be_visible()


def test_the_keyboard_is_enough(opened):
    """Tab reaches a slider, an arrow is 0.05 mm, Control+Z takes it back, and a wall that cannot
    be is told beside its slider.
    """
    page = opened()
    page.locator("#wheel").focus()
    for _ in range(8):
        page.keyboard.press("Tab")
        if page.evaluate("document.activeElement.id") == "range-bead_hook_mm":
            break
    assert page.evaluate("document.activeElement.id") == "range-bead_hook_mm"
    page.keyboard.press("ArrowRight")
    assert thickness(page, "bead_hook") == 1.95
    sync_api.expect(page.locator("#undo")).to_be_enabled(timeout=PATIENCE_MS)
    fine(page)
    page.keyboard.press("Control+z")
    assert thickness(page, "bead_hook") == 1.9
    fine(page)
    page.locator("#number-sidewall_mm").focus()
    page.keyboard.press("Control+a")
    page.keyboard.type("99")
    page.keyboard.press("Enter")
    sync_api.expect(page.locator("#wrong-dim-sidewall_mm")).to_contain_text("out of range")


def test_a_class_guesses_before_it_is_told(opened):
    """With guessing on, neither sentence nor table names the wall until one was guessed."""
    page = opened()
    page.locator("#teaching").check()
    assert verdict(page) == ""
    assert not page.locator("#each").is_visible()
    page.locator("#guessed").select_option("flank")
    page.get_by_role("button", name="Show").click()
    assert verdict(page).startswith("You said the flank.")
    assert page.locator("#each").is_visible()


def test_a_sheet_is_saved_and_a_traced_section_read(opened, tmp_path):
    """What is saved reads back; a file of rings is asked for its unit, drawn and answered."""
    page = opened()
    with page.expect_download() as saved:
        page.locator("#save").click()
    text = saved.value.path().read_text(encoding="utf-8")
    assert parse_sheet(text, "saved").sidewall_mm == pytest.approx(1.22)
    traced = tmp_path / "traced.json"
    traced.write_text(json.dumps({"rings": rings(outline(read_sheet(CURLEW)))}))
    page.locator("#trace").set_input_files(traced)
    sync_api.expect(page.locator("#problem")).to_contain_text("in which unit")
    page.get_by_role("button", name="mm", exact=True).click()
    state(page, "^As a sheet it is a hooked double wall")
    traced.write_text('{"rings": [')
    page.locator("#trace").set_input_files(traced)
    sync_api.expect(page.locator("#problem")).to_contain_text("traced.json")


@pytest.mark.parametrize("width", [360, 1600])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_the_page_fits_and_can_be_read(opened, tmp_path, width, scheme):
    """No scrolling sideways, the caution in sight, every control with a name, and text that
    stands out from its ground by 4.5 or more (WCAG 2.2, 1.4.3).
    """
    page = opened(viewport={"width": width, "height": 800}, color_scheme=scheme)
    page.screenshot(path=tmp_path / f"{width}-{scheme}.png", full_page=True)
    assert page.evaluate(SIDEWAYS) <= 0
    sync_api.expect(page.locator("#caution")).to_be_in_viewport()
    main, caution = (page.locator(each).bounding_box() for each in ("main", "footer"))
    assert main["y"] + main["height"] <= caution["y"] + 0.5
    for cell in page.locator("td:not(:first-child):visible").all():
        assert cell.evaluate(LINES) == 1, cell.text_content()
    every_control_has_a_name(page)
    page.get_by_role("link", name="Measure a rim").click()
    page.locator("#fields summary").last.click()
    assert page.evaluate(SIDEWAYS) <= 0
    every_control_has_a_name(page)
    colours = page.evaluate(
        """() => { const s = getComputedStyle(document.documentElement);
        return Object.fromEntries(['ink', 'faint', 'paper', 'sheet', 'mark', 'better']
            .map(n => [n, s.getPropertyValue('--' + n).trim()])); }"""
    )
    for text in ("ink", "faint", "mark", "better"):
        for ground in ("paper", "sheet"):
            assert contrast(colours[text], colours[ground]) >= 4.5, (text, ground)


def every_control_has_a_name(page):
    nameless = page.evaluate(
        """() => [...document.querySelectorAll('input, select, button')]
        .filter(e => e.checkVisibility())
        .filter(e => !(e.labels?.length || e.ariaLabel || e.textContent.trim()))
        .map(e => e.id)"""
    )
    assert nameless == []


def contrast(one, other):
    """Ratio of the relative luminances of two colours (WCAG 2.2)."""
    low, high = sorted(luminance(each) for each in (one, other))
    return (high + 0.05) / (low + 0.05)


def luminance(colour):
    parts = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return sum(w * c for w, c in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_paper_has_the_answer_and_the_caution(opened):
    """Without what only a screen can use."""
    page = opened()
    page.emulate_media(media="print")
    for there in ("#verdict", "#section", "#ladder", "#caution"):
        sync_api.expect(page.locator(there)).to_be_visible()
    for gone in ("#walls", "nav", "#report"):
        sync_api.expect(page.locator(gone)).to_be_hidden()
