"""What a tenth of a millimetre and a gram of each dimension buy."""

from __future__ import annotations

from functools import partial
from types import SimpleNamespace

import pytest

from rimfea.ask import worth as asked
from rimfea.ask.worth import WALLS, worth
from rimfea.errors import LoadError
from rimfea.study.setup import End, Setup
from rimfea.vary.datum import datum
from rimfea.vary.sensitivity import sensitivity
from rimfea.vary.trials import monte_carlo

pytestmark = pytest.mark.long

KEYS = ("sidewall_mm", "hook_lip_mm", "inner_width_mm")
BOG = Setup.from_values({"name": "bog", "tyre_width_mm": 45})


@pytest.fixture(scope="module")
def found(sheet_of):
    """A rim asked coarsely, by three of its dimensions."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(asked, "datum", partial(datum, coarseness=2.5))
        patch.setattr(asked, "sensitivity", partial(sensitivity, keys=KEYS))
        patch.setattr(asked, "monte_carlo", partial(monte_carlo, keys=KEYS))
        return worth(sheet_of(), BOG, End.FRONT, trials=3, processes=1)


def test_a_gram_goes_to_walls_only_the_best_first(found):
    gain = found.per_gram("set_N")
    assert set(gain) == {"sidewall_mm", "hook_lip_mm"}
    assert list(gain.values()) == sorted(gain.values(), reverse=True)
    assert set(gain) <= WALLS


def test_a_tenth_and_a_gram_are_the_slopes(found):
    tenth = found.per_tenth("sidewall_mm", "set_N")
    assert tenth == pytest.approx(0.1 * found.slopes.per_mm("sidewall_mm", "set_N"))
    grams = found.per_tenth("sidewall_mm", "mass_g")
    assert found.per_gram("set_N")["sidewall_mm"] == pytest.approx(tenth / grams)


def test_trials_are_drawn_only_where_they_are_asked_for(found, sheet_of, monkeypatch):
    assert len(found.trials.values) + found.trials.refused == 3
    around = SimpleNamespace(ride=SimpleNamespace(gives_way=""))
    monkeypatch.setattr(asked, "datum", lambda *_, **__: around)
    monkeypatch.setattr(asked, "sensitivity", lambda given: given)
    monkeypatch.delattr(asked, "monte_carlo")
    assert worth(sheet_of(), BOG, End.FRONT).trials is None


def test_a_dent_is_asked_only_where_it_is_wanted(sheet_of, monkeypatch):
    asked_of = []
    ride = SimpleNamespace(gives_way="")
    around = SimpleNamespace(ride=ride)
    monkeypatch.setattr(asked, "datum", lambda *_, **__: around)
    monkeypatch.setattr(asked, "sensitivity", lambda around: around)
    monkeypatch.setattr(asked, "ask_dents", asked_of.extend)
    worth(sheet_of(), BOG, End.FRONT)
    assert not asked_of
    worth(sheet_of(), BOG, End.FRONT, dents=True)
    assert asked_of == [ride]


def test_a_rim_that_gives_way_before_any_strike_has_no_wall_that_helps(sheet_of, monkeypatch):
    """As a builder asks who types the air of a road tyre for that of a wide one."""
    monkeypatch.setattr(asked, "datum", partial(datum, coarseness=2.5))
    hard = BOG.varied(rear_pressure_bar=12)
    with pytest.raises(LoadError, match=r"yields before any strike, .* less tension or less air"):
        worth(sheet_of(), hard, End.REAR)
