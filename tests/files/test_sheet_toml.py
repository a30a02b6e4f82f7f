from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from rimfea.errors import FileError, SheetError
from rimfea.files.section import write_section
from rimfea.files.sheet_toml import parse_sheet, read_sheet, sheet_text, write_sheet
from rimfea.geometry.outline import moments
from rimfea.profile.build import outline
from rimfea.profile.families import DRAWN, Family
from rimfea.profile.sheet import Sheet

PROFILES = sorted((Path(__file__).parents[2] / "profiles").glob("*.toml"))
PIPIT = {
    "name": "pipit",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": {"readings": [25.02, 24.98]},
    "overall_depth_mm": {"readings": [21.0, 21.03, 20.98], "tolerance_mm": 0.02},
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.4,
}
words = st.text(st.characters(codec="utf-8"), max_size=40).filter(str.isprintable)
lengths = st.floats(1.0, 2.0)
DUNLIN = """\
# from the fell
name = "Dunlin"
bead_seat_diameter_mm = 622
inner_width_mm = { readings = [25.02, 24.98], tolerance_mm = 0.02 }
overall_depth_mm = 21
bead_hook_mm = 1.6
"hook_lip_mm" = 2.6
sidewall_mm = 1.5
tyre_well_mm = 1.3
nipple_seat_mm = 2.4
"""


def faults_of(text: str) -> list[tuple[int | None, str, str]]:
    with pytest.raises(SheetError) as caught:
        parse_sheet(text, "dunlin.toml")
    return [(f.line, f.field, f"{f.problem}; {f.remedy}") for f in caught.value.faults]


def test_a_sheet_is_read(tmp_path):
    path = tmp_path / "dunlin.toml"
    path.write_bytes(b"\xef\xbb\xbf" + DUNLIN.replace("\n", "\r\n").encode())
    sheet = read_sheet(path)
    assert (sheet.name, sheet.inner_width_mm, sheet.hook_lip_mm) == ("Dunlin", 25.0, 2.6)
    assert sheet.readings["inner_width_mm"].values == (25.02, 24.98)


def test_faults_carry_the_name_of_the_file_and_the_line(tmp_path):
    path = tmp_path / "dunlin.toml"
    path.write_text(DUNLIN.replace("= 1.5", "= 0.06"))
    with pytest.raises(SheetError) as caught:
        read_sheet(path)
    assert str(caught.value).startswith(f"{path}, line 8: sidewall_mm = 0.06 mm: is out of range;")


@pytest.mark.parametrize(
    ("line", "field", "told"),
    [
        ("spoke_hole_mm = 4,5", "spoke_hole_mm", "use a point: 4.5"),
        ('spoke_hole_mm = "4,5"', "spoke_hole_mm", "with a point: 4.5"),
        ("flank_mm = .9", "flank_mm", "write 0.9"),
        ("flank_mm = 1.", "flank_mm", "write 1.0"),
        ("flank_mm = 01.2", "flank_mm", "leading zero"),
        ("flank_mm = 1.2 mm  # thin", "flank_mm", "write the number alone, 1.2"),
        ("flank_mm = 0.12 cm", "flank_mm", "alone, 1.2: 0.12 cm = 1.2 mm"),
        ("flank_mm = 0.05 in", "flank_mm", "alone, 1.27: 0.05 in = 1.27 mm"),
        ("weighed_mass_g = 0.55 kg", "weighed_mass_g", "alone, 550: 0.55 kg = 550 g"),
        ("weighed_mass_g = 0.55", "weighed_mass_g", "looks like kg: 0.55 kg = 550 g"),
        ("spoke_tension_N = 110 kgf", "spoke_tension_N", "110 kgf = 1078.7 N"),
        ("flank_mm = 1.2 stone", "flank_mm", "write the number alone, in mm"),
        ("note = “wet”", "note", '“ ” are curly quotes; write straight ones: "wet"'),
        ("note = ‘wet'", "note", "‘ is a curly quote; write straight ones: 'wet'"),
        (
            "erd_mm = { readings = [598,2, 598,4] }",
            "erd_mm",
            "if the commas are decimal points: { readings = [598.2, 598.4] }",
        ),
        (
            "flank_mm = { readings = [1,02, 1,03] }",
            "flank_mm",
            "if the commas are decimal points: { readings = [1.02, 1.03] }",
        ),
        ("alloy = 6061-T6", "alloy", "text stands in quotes"),
        ('note = "wet', "note", "two quotes of the same kind"),
        ("flank_mm = [1.2, 1.3", "flank_mm", "bracket is not closed"),
        ("flank_mm =   # later", "flank_mm", "not filled in yet"),
        ("flank_mm = true", "flank_mm", "must be a number"),
        ("flank_mm = nan", "flank_mm", "finite"),
        ("flank_mm = 2024-01-01", "flank_mm", "must be a number"),
        ("flank_mm = " + "9" * 5000, "flank_mm", "cannot be read"),
        ("flank_mm = " + "[" * 5000 + "]" * 5000, "flank_mm", "cannot be read"),
        ("sidewall_mm = 1.6", "sidewall_mm", "written twice, first on line 8"),
        ("flnak_mm = 1.2", "flnak_mm", "did you mean flank_mm?"),
        ("flnak_mm =", "flnak_mm", "did you mean flank_mm?"),
        ("rim.flank_mm = 1.2", "rim", "the sheet is flat"),
        ("[rim]", "", "the sheet is flat and has no table [rim]"),
        ("just words", "", "a line is: key = value"),
        ('alloy = "CFRP"', "alloy", "lay-up"),
    ],
)
def test_a_line_that_cannot_be_used_is_told_with_its_number_and_what_to_do(line, field, told):
    faults = faults_of(DUNLIN + line + "\n")
    assert [(number, key) for number, key, _ in faults] == [(11, field)]
    assert told in faults[0][2]


def test_every_bad_line_is_told_at_once_in_the_order_of_the_file():
    text = DUNLIN.replace("= 21", "= 21 mm").replace("= 1.3", "= 1,3").replace("= 2.4", "= -2.4")
    assert [number for number, _, _ in faults_of(text + "[more]\n")] == [5, 9, 10, 11]


def test_a_missing_number_is_told_with_how_to_measure_it():
    faults = faults_of(DUNLIN.replace("sidewall_mm", "# sidewall_mm"))
    assert [key for _, key, _ in faults] == ["sidewall_mm"]
    assert "half way between bead seat and hook" in faults[0][2]


def test_keys_under_a_heading_are_not_called_missing_too():
    text = DUNLIN.replace("sidewall_mm", "[walls]\nsidewall_mm")
    assert [(number, told[:17]) for number, _, told in faults_of(text)] == [
        (8, "the sheet is flat")
    ]


def test_lines_are_counted_through_values_of_several_lines():
    text = 'note = """x\n[no]\ny = \n"""\nflank_mm = { readings = [ # a ]\n 1.2,\n 9 ] }\n'
    lines = {key: number for number, key, _ in faults_of(text + DUNLIN)}
    assert lines == {"note": 1, "flank_mm": 5}


def test_a_clash_stands_on_the_line_of_the_number_that_was_given():
    faults = faults_of(DUNLIN + "bead_seat_mm = 5\n")
    assert {(number, key) for number, key, _ in faults} == {(11, "bead_seat_mm")}


@pytest.mark.parametrize("text", ["", " \n\n"])
def test_an_empty_sheet_is_told_so(text):
    assert "empty" in faults_of(text)[0][2]


@pytest.mark.parametrize(
    "text", ["\x00\x01", "=", "[", "]]", '"""', "a = '''", "\r", "{}", "a.b.c"]
)
def test_rubbish_is_a_list_of_faults(text):
    assert faults_of(text)


def test_a_text_of_endless_lines_is_refused():
    assert "more than 2000 lines" in faults_of("a = 1\n" * 3000)[0][2]


def test_other_bytes_than_utf_8_are_told_with_their_line(tmp_path):
    path = tmp_path / "dunlin.toml"
    path.write_bytes(DUNLIN.replace("Dunlin", "Mönchsgrasmücke").encode("latin-1"))
    with pytest.raises(SheetError, match="line 2: is not UTF-8 text"):
        read_sheet(path)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_named_with_what_to_do(tmp_path, encoding):
    path = tmp_path / "dunlin.toml"
    path.write_bytes(DUNLIN.encode(encoding))
    with pytest.raises(SheetError) as refused:
        read_sheet(path)
    assert str(refused.value) == (
        f"{path}: is UTF-16 text; save the sheet as UTF-8: the editor offers that under Save as, "
        "Encoding"
    )


def test_readings_that_are_right_keep_their_commas():
    text = DUNLIN + "flank_mm = { readings = [1.02,1.04] }\n"
    assert parse_sheet(text, "dunlin.toml").flank_mm == pytest.approx(1.03)


def test_what_is_no_readable_file_is_told_so(tmp_path):
    large = tmp_path / "large.toml"
    large.write_bytes(b"#" * (256 * 1024 + 1))
    for path, told in [
        (tmp_path / "none.toml", "no such file"),
        (tmp_path, "is a directory"),
        (large, "larger than 256 kB"),
        ("a\0b", "no such file"),
    ]:
        with pytest.raises(FileError, match=told):
            read_sheet(path)


@pytest.mark.parametrize("path", PROFILES, ids=lambda path: path.stem)
def test_a_sheet_that_is_written_is_read_as_the_same(path, tmp_path):
    sheet = read_sheet(path)
    written = tmp_path / path.name
    write_sheet(written, sheet)
    assert read_sheet(written) == sheet


@given(words.filter(str.strip), words, lengths, st.sampled_from(["welded", "sleeved", None]))
def test_any_text_and_number_is_read_as_it_was_written(name, note, flank, joint):
    sheet = Sheet(
        {**PIPIT, "name": name, "note": note, "flank_mm": flank, "joint": joint, "washer_mm": 9}
    )
    again = parse_sheet(sheet_text(sheet, f'of "{name}"'), "pipit.toml")
    assert again == sheet
    assert repr(again) == repr(sheet)


@pytest.mark.parametrize("family", DRAWN)
def test_every_family_and_an_alloy_of_ones_own_is_read_as_it_was_written(family):
    own = {"alloy": "fell 1", "proof_MPa": 210, "ultimate_MPa": 240.5}
    depth = {} if family is not Family.SINGLE else {"overall_depth_mm": 14}
    sheet = Sheet({**PIPIT, **own, **depth, "family": family, "tones_Hz": [128, 151.5]})
    assert parse_sheet(sheet_text(sheet), "pipit.toml") == sheet


def test_what_was_assumed_is_told_as_a_comment_and_the_heading_stands_above_all():
    lines = sheet_text(Sheet(PIPIT), "first\n\nthird").splitlines()
    assert lines[:4] == ["# first", "#", "# third", 'name = "pipit"']
    assert "# flank_mm = 1.3, assumed" in lines
    assert "overall_depth_mm = { readings = [21.0, 21.03, 20.98], tolerance_mm = 0.02 }" in lines


def test_a_sheet_is_not_written_over_unless_asked_to(tmp_path):
    path, sheet = tmp_path / "pipit.toml", Sheet(PIPIT)
    path.write_text("mine")
    with pytest.raises(FileError, match="is already there"):
        write_sheet(path, sheet)
    assert path.read_text() == "mine"
    write_sheet(path, sheet, overwrite=True)
    assert read_sheet(path) == sheet


@pytest.mark.parametrize("name", ["none/pipit.toml", "a\0b.toml"])
def test_what_cannot_be_written_is_told(tmp_path, name):
    with pytest.raises(FileError, match="cannot be written"):
        write_sheet(f"{tmp_path}/{name}", Sheet(PIPIT))


@pytest.fixture
def kept(sheet_of, tmp_path):
    """The file of a sheet that keeps a section, which stands beside it."""
    section = tmp_path / "dunlin-section.json"
    write_section(section, outline(sheet_of()))
    path = tmp_path / "dunlin.toml"
    path.write_text(
        'name = "dunlin"\nbead_seat_diameter_mm = 622\nsection = "dunlin-section.json"\n'
    )
    return path


def test_a_sheet_may_keep_a_traced_section_in_a_file_beside_it(kept, sheet_of):
    sheet = read_sheet(kept)
    assert sheet.family == "traced section"
    assert sheet.flank_mm == pytest.approx(sheet_of().flank_mm)
    assert moments(outline(sheet)) == pytest.approx(
        moments(outline(sheet_of())), rel=1e-8, abs=1e-6
    )


def test_it_is_written_beside_its_section_and_elsewhere(kept, tmp_path):
    thicker = read_sheet(kept).varied(flank_mm=1.75)
    elsewhere = tmp_path / "shelf"
    elsewhere.mkdir()
    write_sheet(elsewhere / "thicker.toml", thicker)
    assert 'section = "../dunlin-section.json"' in (elsewhere / "thicker.toml").read_text()
    again = read_sheet(elsewhere / "thicker.toml")
    assert again.flank_mm == 1.75
    assert again.section == thicker.section


def test_a_section_drawn_elsewhere_is_named_and_one_that_cannot_be_read_is_told_with_its_line(
    kept, sheet_of
):
    write_section(kept.with_name("dunlin.dxf"), outline(sheet_of()))
    kept.write_text(kept.read_text().replace("dunlin-section.json", "dunlin.dxf"))
    assert read_sheet(kept).sidewall_mm == pytest.approx(sheet_of().sidewall_mm, abs=1e-6)
    kept.write_text(kept.read_text().replace("dunlin.dxf", "gone.dxf"))
    with pytest.raises(SheetError, match=r"line 3: section: .*gone\.dxf.*no such file"):
        read_sheet(kept)
    kept.write_text(kept.read_text().replace("gone.dxf", "dunlin.toml"))
    with pytest.raises(SheetError, match="line 3: section"):
        read_sheet(kept)


def test_a_wall_of_a_section_may_be_as_thin_as_a_rim_can_have_it(kept, sheet_of):
    """0.5 mm is read back as that and what arithmetic leaves, here a hair less."""
    section = kept.with_name("dunlin-section.json")
    write_section(section, outline(sheet_of(flank_mm=0.5)), overwrite=True)
    assert read_sheet(kept).flank_mm == pytest.approx(0.5, abs=1e-6)


def test_a_section_that_is_in_no_file_cannot_be_written(kept, tmp_path):
    sheet = read_sheet(kept)
    loose = sheet.varied(section=replace(sheet.section, source=""))
    with pytest.raises(FileError, match="in no file yet"):
        write_sheet(tmp_path / "loose.toml", loose)
    assert not (tmp_path / "loose.toml").exists()


def test_a_text_alone_has_no_section(kept):
    with pytest.raises(SheetError, match="cannot be read here"):
        parse_sheet(kept.read_text(), "typed")


def test_a_file_of_something_else_is_told_once():
    letter = "\n".join(["Dear workshop,", "", *(f"hoop {k} is too soft" for k in range(9))])
    with pytest.raises(SheetError) as told:
        parse_sheet(letter, "letter.toml")
    assert str(told.value) == (
        "letter.toml: is not a sheet: no line of it has a key of one; start from a blank sheet"
    )
