"""The places beside the bench: how it rides, around the rim, side by side, lessons."""

from __future__ import annotations

import pytest
from playwright import sync_api

from rimfea.files.setup_toml import read_setup
from tests.browser.waiting import PATIENCE_MS

pytestmark = pytest.mark.long
SLOW_MS = 2 * PATIENCE_MS
expect = sync_api.expect


def went(page, place):
    page.locator(f'nav a[href="#{place}"]').click()
    return page.locator(f"#place-{place}")


def test_another_rider_changes_what_the_wheel_does_and_can_be_saved(opened, tmp_path):
    """Typed, told, marked beside the set-up, saved as a file that reads so, and taken back."""
    page = opened()
    place = went(page, "ride")
    expect(place.locator("table").first).to_be_visible(timeout=SLOW_MS)
    assert place.get_by_label("front tension").is_hidden()
    place.get_by_label("luggage").fill("30")
    expect(place.get_by_text("Set-up gravel: 121 kg in all")).to_be_visible(timeout=SLOW_MS)
    expect(page.locator("#ridden-told")).to_have_text("with luggage 30\u00a0kg")
    with page.expect_download() as saved:
        place.get_by_role("button", name="Save as a set-up").click()
    saved.value.save_as(tmp_path / "own.toml")
    assert read_setup(tmp_path / "own.toml").luggage_kg == 30
    place.get_by_label("luggage").fill("-3")
    expect(place.get_by_role("alert").filter(has_text="A number from 0 to 300 kg")).to_be_visible()
    place.get_by_role("button", name="As in the set-up").click()
    expect(page.locator("#ridden-told")).to_have_text("")
    expect(place.get_by_label("luggage")).to_have_value("4")


def test_tones_that_were_heard_are_judged(opened):
    page = opened()
    place = went(page, "around")
    expect(place.get_by_text("Hang curlew bare on a string")).to_be_visible(timeout=SLOW_MS)
    place.locator("#heard").fill("129 152")
    place.get_by_role("button", name="Is the sheet right?").click()
    expect(place.get_by_text("The sheet agrees with what you heard")).to_be_visible(timeout=SLOW_MS)
    assert place.locator("svg").count() == 5
    place.locator("#heard").fill("loud")
    place.get_by_role("button", name="Is the sheet right?").click()
    expect(place.get_by_role("alert")).to_have_text(
        "Tones in Hz with blanks in between, such as 129 151.5"
    )


def test_rims_are_laid_over_each_other(opened):
    page = opened()
    place = went(page, "beside")
    assert place.get_by_role("button", name="Which is stronger").is_disabled()
    place.get_by_label("plover", exact=True).check()
    expect(place.get_by_text("plover is heavier than curlew by")).to_be_visible(timeout=SLOW_MS)
    assert place.get_by_role("button", name="Which is stronger").is_enabled()
    went(page, "rim")
    against = page.locator("#against tbody tr")
    expect(against).to_contain_text("137\u00a0g lighter", timeout=SLOW_MS)
    page.locator("#number-nipple_seat_mm").fill("3.0")
    page.locator("#number-nipple_seat_mm").press("Enter")
    expect(against).not_to_contain_text("137\u00a0g lighter", timeout=SLOW_MS)
    assert "g lighter" in against.text_content()
    went(page, "beside")
    place.get_by_label("plover", exact=True).uncheck()
    expect(place.locator("#beside-answer")).to_be_empty()


def test_a_lesson_asks_before_it_shows_and_counts_hands(opened):
    """The place is out of sight while the class guesses; then the rim of the step is shown."""
    page = opened()
    went(page, "lessons").get_by_role("button", name="What does brake wear do?").click()
    lesson = page.locator("#lesson")
    expect(lesson.get_by_text("By how much does the force at first yield fall?")).to_be_visible()
    assert page.locator("#place-rim").is_hidden()
    for _ in range(3):
        lesson.get_by_role("button", name="One more for: by half").click()
    assert lesson.locator("meter").last.get_attribute("aria-label") == "3 guessed: by half"
    lesson.get_by_role("button", name="Show").click()
    expect(lesson.locator("li.right")).to_contain_text("by about a sixth")
    expect(page.locator("#number-sidewall_mm")).to_have_value("1.2", timeout=SLOW_MS)
    assert page.locator("#rim").input_value() == "lesson:wheatear"
    lesson.get_by_role("button", name="End the lesson").click()
    assert lesson.is_hidden()
    assert page.locator("#place-lessons").is_visible()


def test_every_place_fits_a_phone(opened):
    """No scrolling sideways, the caution in sight, every control with a name."""
    page = opened(viewport={"width": 360, "height": 740})
    for place in ("beside", "lessons", "around", "ride"):
        shown = went(page, place)
        if place in {"around", "ride"}:
            expect(shown.locator("svg").first).to_be_visible(timeout=SLOW_MS)
        assert page.evaluate("document.documentElement.scrollWidth") <= 360, place
        expect(page.locator("#caution")).to_be_in_viewport()
        for control in page.locator("input:visible, select:visible, button:visible").all():
            assert control.evaluate("e => e.labels?.length || e.ariaLabel || e.textContent.trim()")
