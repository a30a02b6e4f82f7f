from __future__ import annotations

import inspect

import pytest

import rimfea


@pytest.mark.parametrize("name", rimfea.__all__)
def test_every_public_name_imports_and_says_what_it_is(name):
    told = inspect.getdoc(getattr(rimfea, name))
    assert told, f"rimfea.{name} has no docstring"
    assert not told.startswith(f"{name}("), f"rimfea.{name} has only the docstring made for it"


def test_public_names_are_few_enough_to_read():
    assert len(rimfea.__all__) <= 30


def test_dir_lists_the_public_names_and_no_others():
    assert dir(rimfea) == sorted(rimfea.__all__)


def test_a_name_that_is_not_public_is_an_attribute_error():
    with pytest.raises(AttributeError, match="rimfea has no wheel"):
        _ = rimfea.wheel
