"""What `rimfea page` shows first."""

from __future__ import annotations

from rimfea.files.setup_toml import setup_names


def test_the_set_up_that_is_named_comes_first_and_may_be_changed(rimfea, ouzel, monkeypatch):
    shown = []
    monkeypatch.setattr("rimfea.web.bench.bench", lambda rims, setups: (rims, setups))
    monkeypatch.setattr("rimfea.web.server.serve", lambda on, *_, **__: shown.append(on))
    assert rimfea("page", ouzel, "--setup", "trail", "--with", "rider_kg=95").exit_code == 0
    assert rimfea("page", ouzel).exit_code == 0
    (rims, first), (_, usual) = shown
    assert [rim.name for rim in rims] == ["ouzel"]
    assert (first[0].name, first[0].rider_kg) == ("trail", 95)
    assert {each.name for each in first} == {*setup_names()}
    assert usual[0].name == "gravel"
