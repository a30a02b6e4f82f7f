from __future__ import annotations

import pytest

from rimfea.errors import FileError, SheetError
from rimfea.files.setup_toml import changed, read_setup, setup_names


@pytest.mark.parametrize("name", setup_names())
def test_every_named_set_up_reads_and_is_called_so(name):
    assert read_setup(name).name == name


def test_there_are_set_ups_for_what_the_workshop_builds():
    assert {"cargo", "gravel", "touring"} <= set(setup_names())


def test_a_file_of_ones_own_is_read(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('name = "mine"\nrider_kg = 95\n', encoding="utf-8")
    assert read_setup(path).rider_kg == 95


def test_faults_of_a_file_are_told_with_their_lines(tmp_path):
    path = tmp_path / "mine.toml"
    path.write_text('name = "mine"\nrider_kg = 95,5\nbike_kgs = 12\ndrop_mm = -1\n', "utf-8")
    with pytest.raises(SheetError) as caught:
        read_setup(path)
    told = str(caught.value).splitlines()
    assert [line.partition(": ")[0] for line in told] == [f"{path}, line {k}" for k in (2, 3, 4)]
    assert "use a point: 95.5" in told[0]
    assert "did you mean bike_kg" in told[1]


def test_an_unknown_name_is_told_with_those_that_there_are():
    with pytest.raises(FileError, match="did you mean gravel"):
        read_setup("gravle")
    with pytest.raises(FileError, match="there are: cargo, gravel"):
        read_setup("xyz")


def test_a_missing_file_is_told():
    with pytest.raises(FileError, match="there is no such file"):
        read_setup("nowhere.toml")


def test_changes_are_checked_as_a_file_is():
    assert changed(read_setup("gravel"), ["rider_kg = 95", "obstacle=kerb"]).obstacle == "kerb"
    with pytest.raises(SheetError) as caught:
        changed(read_setup("gravel"), ["rider_kg", "bike_kg=900", "speed=3"])
    assert {fault.field for fault in caught.value.faults} == {"rider_kg", "bike_kg", "speed"}
