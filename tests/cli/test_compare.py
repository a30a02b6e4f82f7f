"""What `rimfea compare` says of dents; the rest is in `test_answers.py`."""

from __future__ import annotations

import re

import pytest


@pytest.mark.long
def test_the_first_line_says_which_rim_dents_sooner(rimfea, plover, ouzel):
    done = rimfea("compare", plover, ouzel, "--setup", "trail", "--details", dents=True)
    assert done.exit_code == 0
    told = " ".join(done.stdout.split())
    assert re.match(
        r"(plover dents sooner than ouzel|ouzel dents sooner than plover|"
        r"(plover|ouzel) and (plover|ouzel) dent alike as far as can be told): "
        r"0\.5 mm at a drop of \d+ mm against \d+ mm \(energy that the hook of ",
        told,
    )
    assert re.search(r"drop of a 0\.5 mm dent, mm \d+ \(\d\) \d+ .*?\(\d\) ", told)
    assert "Dents: the metal flows by von Mises" in told
