"""Comments of a sheet come back with it."""

from __future__ import annotations

from pathlib import Path

from rimfea.files.blank_sheet import blank_sheet
from rimfea.files.sheet_toml import parse_sheet
from rimfea.profile.families import Family
from rimfea.web.form import entries_of, told_of_entries
from rimfea.web.remarks import remarks_of, with_remarks

CURLEW = (Path(__file__).parents[2] / "profiles" / "curlew.toml").read_text(encoding="utf-8")
NOTED = """\
# bought in autumn
name = "dunlin # 2"  # the second one
# flank_mm = 0.9, assumed
# two ends differ
inner_width_mm = { readings = [24.0,
  24.1,  # near the joint
] }
tyre_well_mm = 1.1  # typed: 0.0433 in
# weigh it again
"""


def saved(text):
    found = entries_of(text, "own.toml")
    entries = {"family": "hooked double wall", **found["entries"]}
    return told_of_entries(entries, found["guessed"], found["remarks"])["text"]


def test_comments_stand_at_their_keys():
    assert remarks_of(NOTED) == {
        "name": ["# bought in autumn", "# the second one"],
        "inner_width_mm": ["# two ends differ", "# near the joint"],
        "": ["# weigh it again"],
    }


def test_comments_of_a_key_that_is_gone_are_not_lost():
    text = with_remarks(
        'name = "dunlin"\n', {"name": ["# one"], "web_mm": ["# thin"], "": ["# end"]}
    )
    assert text == '# one\nname = "dunlin"\n# thin\n# end\n'


def test_a_sheet_that_is_opened_and_saved_keeps_its_comments():
    """As often as it is opened: nothing is lost, nothing doubled."""
    noted = CURLEW.replace("sidewall_mm", "# thin near the joint\nsidewall_mm").replace(
        "hook_lip_mm = 2.1", "hook_lip_mm = 2.1  # worn"
    )
    once = saved(noted)
    for told in (
        "# A rim of the fell workshop",
        "# thin near the joint\nsidewall_mm",
        "# worn\nhook",
    ):
        assert once.count(told) == 1
    assert saved(once) == once
    assert parse_sheet(once, "saved") == parse_sheet(CURLEW, "curlew")


def test_lines_that_wait_to_be_filled_in_are_no_comments():
    found = remarks_of(blank_sheet(Family("hooked double wall")))
    assert not [each for own in found.values() for each in own if each.startswith("# note =")]
    assert found["name"][-1] == "# what you call this rim"
