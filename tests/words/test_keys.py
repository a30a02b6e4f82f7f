from __future__ import annotations

from rimfea.profile.fields import BY_KEY
from rimfea.words.keys import called, in_words


def test_no_key_is_called_by_its_underscores():
    """Each by words of its own, no two alike."""
    names = [called(key) for key in BY_KEY]
    assert len(set(names)) == len(names)
    assert not any("_" in name for name in names)
    assert called("overall_depth_mm") == "overall depth"
    assert called("erd_mm") == "ERD"


def test_a_message_is_told_without_keys():
    """Both that a clash names; plain words that happen to be keys stay."""
    told = in_words("bead_hook_mm = 6 mm and hook_height_mm = 5 mm clash: the joint is in the way")
    assert told == "bead hook = 6 mm and hook height = 5 mm clash: the joint is in the way"
