"""What `rimfea choose` says, and what it refuses."""

from __future__ import annotations

import re

import pytest

from rimfea.words.numbers import CAUTION

EASY = ("--tension", "600N", "--with", "seat_margin=1", "--with", "rear_right_mm=35")


@pytest.fixture
def rims(sheet):
    """Two rims, the second thicker, and one of another diameter."""
    thick = {"tyre_well_mm": "1.3", "sidewall_mm": "1.5"}
    return (
        sheet("pipit.toml", name='"pipit"'),
        sheet("snipe.toml", name='"snipe"', **thick),
        sheet("twite.toml", name='"twite"', bead_seat_diameter_mm="406"),
    )


@pytest.mark.long
def test_the_first_line_is_the_answer_and_the_caution_comes_last(rimfea, rims):
    done = rimfea("choose", *reversed(rims), *EASY)
    assert done.exit_code == 0
    assert re.match(r"For gravel: pipit at both ends: \d+ g the pair\.\n", done.stdout)
    told = " ".join(done.stdout.split())
    assert "Left out: twite: another wheel size, bead seat 406 mm, not 622" in told
    assert re.search(r" 1 pipit \d+ g 1\.\d+ 1\.\d+ yes 2 snipe ", told)
    assert told.endswith(CAUTION)


@pytest.mark.long
def test_the_set_up_decides_and_says_why(rimfea, rims):
    done = rimfea("choose", *rims[:1], "--with", "drop_mm=120", *EASY)
    told = " ".join(done.stdout.split())
    assert told.startswith("For gravel: no rim holds; pipit at both ends comes nearest.")
    assert "too weak: the rear rim yields below" in told


@pytest.mark.long
def test_another_diameter_may_be_asked_for(rimfea, rims):
    done = rimfea("choose", *rims, "--diameter", "406", *EASY)
    assert "twite" in done.stdout.splitlines()[0]
    assert "Left out: pipit: another wheel size, bead seat 622 mm, not 406" in done.stdout


@pytest.mark.parametrize(
    ("asked", "told"),
    [
        (["--diameter", "584"], "no rim has a bead seat diameter of 584 mm; there are: 406, 622"),
        (["--setup", "gravle"], "no set-up is called gravle: did you mean gravel?"),
        pytest.param(
            ["--with", "tyre_height_mm=10", "--with", "casing_mm=3"],
            "does not stand above hooks",
            marks=pytest.mark.long,  # found out only once all rims are solved
        ),
        (["--diameter", "nan"], "nan"),
    ],
)
def test_bad_input_ends_with_status_2_and_what_to_do(rimfea, rims, asked, told):
    done = rimfea("choose", *rims, *asked)
    assert done.exit_code == 2
    assert told in " ".join(done.stderr.split())


@pytest.mark.long
def test_what_the_blow_leaves_is_told_beside_first_yield(rimfea, rims):
    done = rimfea("choose", *rims[:1], "--with", "drop_mm=90", *EASY, "--details", dents=True)
    told = " ".join(done.stdout.split())
    assert re.match(r"For gravel: no rim holds; .*?; the blow's dent: ", told)
    assert re.search(r"(leaves|no dent) .*? at the (front|rear), 0\.5 mm at a drop of \d+ mm", told)
    assert "A rim is dented where the set-up's own blow leaves more than 0.5 mm" in told
