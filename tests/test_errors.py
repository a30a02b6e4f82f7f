from __future__ import annotations

import pytest

from rimfea.errors import LoadError, SheetError, SolveError, about


@pytest.mark.parametrize("kind", [LoadError, SolveError])
def test_one_of_several_rims_is_named_once(kind):
    for told in ("too narrow", "plover: too narrow"):
        with pytest.raises(kind) as raised, about("plover"):
            raise kind(told)
        assert str(raised.value) == "plover: too narrow"


def test_a_sheet_names_itself():
    with pytest.raises(SheetError) as raised, about("plover"):
        raise SheetError([], "plover.toml")
    assert "plover" not in str(raised.value)
