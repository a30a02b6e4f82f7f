"""The public names: what a notebook does with `import rimfea` alone."""

from __future__ import annotations

import inspect
import subprocess
import sys
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from functools import partial
from html import unescape
from pathlib import Path

import pytest
from matplotlib.figure import Figure

import rimfea
from rimfea.errors import FileError, OutlineError, SheetError, UnknownError
from rimfea.files.outline_dxf import write_outline_dxf
from rimfea.mesh.build import mesh_outline
from rimfea.public import given
from rimfea.vary.datum import datum
from rimfea.vary.parallel import each
from rimfea.vary.sensitivity import sensitivity
from rimfea.vary.trials import monte_carlo
from rimfea.words.numbers import CAUTION
from rimfea.words.told import SENTENCES, TABLES

PACKAGE = Path(rimfea.__file__).parent
KEYS = ("sidewall_mm", "hook_lip_mm")
SHORT = 300
RIGHT = [(5, -15), (14, -2), (14, 6), (11, 6), (11, 4.4), (12.6, 3.8), (12.6, 0), (9, 0), (8, -3.5)]
HOLLOW = [(5.2, -12.6), (12.9, -1.4), (10.1, -1.4), (9, -4.7)]


def both(half):
    return [*half, *((-x, y) for x, y in reversed(half))]


@pytest.fixture(scope="module")
def own():
    """An outline of one's own, and what no outline shows."""
    numbers = {"name": "own", "bead_seat_diameter_mm": 559, "spoke_count": 36}
    return rimfea.from_coordinates(both(RIGHT), [both(HOLLOW)], **numbers)


@pytest.fixture(scope="module")
def answers(own):
    """Every question asked once, of coarse meshes and about two walls; that takes half a minute."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rimfea.study.analysis.mesh_outline", _coarse)
        for asking in ("vary.results", "ask.sweep"):
            patch.setattr(f"rimfea.{asking}.each", _here)
        for question in ("compare", "worth", "design"):
            module = f"rimfea.{'public.questions' if question == 'design' else f'ask.{question}'}"
            patch.setattr(f"{module}.datum", partial(datum, coarseness=2.5))
        for question in ("compare", "worth"):
            patch.setattr(f"rimfea.ask.{question}.sensitivity", partial(sensitivity, keys=KEYS))
        patch.setattr("rimfea.ask.worth.monte_carlo", partial(monte_carlo, keys=KEYS))
        patch.setattr("rimfea.ask.design.MOST_MESHES", 1)
        touring, curlew = rimfea.rides("curlew", "touring"), rimfea.read_sheet("curlew")
        thicker = rimfea.thicker(touring[1], "sidewall")
        return {
            "sheet": rimfea.read_sheet("curlew"),
            "inspect": rimfea.inspect("curlew"),
            "slice": rimfea.analyse_slice(own),
            "analyse": rimfea.analyse(own),
            "case": touring[0].analysis.governing,
            "rides": touring,
            "thicker": thicker,
            "compare": rimfea.compare("curlew", "ouzel", setup="trail", wheel="front", dents=False),
            "worth": rimfea.worth("curlew", trials=2, dents=False),
            "sweep": rimfea.sweep("curlew", {"sidewall": (1.1, 1.3, 2)}),
            "swaps": rimfea.swaps("curlew", curlew.varied(flank_mm=1.1), dents=False),
            "why": rimfea.why("curlew", "touring"),
            "wear": rimfea.wear("curlew", pressure_bar=4),
            "tap": rimfea.tap("curlew", [151, 128]),
            "reconcile": rimfea.reconcile("curlew"),
            "choose": rimfea.choose("curlew", "grouse", diameter_mm=622, dents=False),
            "design": rimfea.design(
                "curlew", only=["sidewall"], keep={"yield_N": 1000}, dents=False
            ),
        }


@pytest.fixture(autouse=True)
def one_wall_to_thicken(monkeypatch):
    """What is told of a rim matters here, not of which of its walls."""
    monkeypatch.setattr("rimfea.ask.thicker.dimensions", lambda _: ("sidewall_mm",))


def _here(function, items, start, **_):
    return each(function, items, start, processes=1)


def _coarse(*given, coarseness, **also):
    return mesh_outline(*given, coarseness=2.2 * coarseness, **also)


@pytest.mark.parametrize("name", rimfea.__all__)
def test_every_public_name_imports_and_says_what_it_is(name):
    told = inspect.getdoc(getattr(rimfea, name))
    assert told, f"rimfea.{name} has no docstring"
    assert not told.startswith(f"{name}("), f"rimfea.{name} has only the docstring made for it"


def test_public_names_are_few_enough_to_read():
    assert len(rimfea.__all__) <= 37


def test_dir_lists_the_public_names_and_no_others():
    assert dir(rimfea) == sorted(rimfea.__all__)


def test_no_package_takes_the_place_of_a_public_name():
    inner = {path.stem for path in PACKAGE.iterdir() if path.suffix in ("", ".py")}
    assert not inner & set(rimfea.__all__)


def test_a_name_that_is_not_public_is_an_attribute_error():
    with pytest.raises(AttributeError, match="wheel"):
        _ = rimfea.wheel


def test_names_are_imported_when_they_are_first_used():
    code = "import rimfea, sys; assert 'numpy' not in sys.modules; rimfea.Sheet, rimfea.Units"
    seen = f"{code}; print('numpy' in sys.modules, 'matplotlib' in sys.modules)"
    done = subprocess.run([sys.executable, "-c", seen], capture_output=True, text=True, check=True)
    assert done.stdout.split()[1] == "False"


@pytest.mark.long
def test_every_answer_has_its_tables_and_sentences(answers):
    for asked, answer in answers.items():
        shown = rimfea.table(answer)
        assert shown.rows, asked
        assert rimfea.tell(answer).removesuffix(CAUTION).strip(), asked
        for told in (rimfea.tell(answer), str(shown), shown._repr_html_()):
            assert CAUTION in unescape(told), asked
        kind = rimfea.Analysis if asked in ("slice", "inspect") else None
        assert kind is None or isinstance(answer, kind)
    for kind in TABLES:
        assert kind in SENTENCES
        assert any(isinstance(each, kind) for each in answers.values()) or kind.__name__ == "Ride"


@pytest.mark.long
def test_every_table_of_an_answer_is_found_by_its_name(answers):
    for asked in ("analyse", "compare", "rides", "worth"):
        answer = answers[asked]
        kind = type(answer[0]) if isinstance(answer, tuple) else type(answer)
        titles = [rimfea.table(answer, which).title for which in TABLES[kind]]
        assert len(set(titles)) == len(titles)


@pytest.mark.long
def test_every_answer_but_a_sentence_has_its_picture(answers):
    for asked in answers.keys() - {"case"}:
        figure = rimfea.draw(answers[asked])
        assert isinstance(figure, Figure)
        assert figure.axes, asked


@pytest.mark.long
def test_a_wheel_alone_is_shown_as_two_are(answers):
    alone = rimfea.table(answers["thicker"])
    assert {row[0] for row in alone.rows} == {"curlew, rear"}
    assert "Rear: " in rimfea.tell(answers["thicker"])


@pytest.mark.long
def test_units_and_outcomes_of_a_table_are_those_asked_for(answers):
    kilograms = rimfea.Units(force="kgf")
    assert "kgf" in str(rimfea.table(answers["analyse"], units=kilograms))
    assert "set" in rimfea.tell(answers["sweep"], of="set_N").splitlines()[0]


@pytest.mark.long
def test_answers_and_all_they_hold_are_short_to_print(answers):
    nouns = {}
    _walk(list(answers.values()), nouns)
    assert len({type(noun) for noun in nouns.values()}) > 40
    long = {type(noun).__name__ for noun in nouns.values() if len(repr(noun)) >= SHORT}
    assert not long
    assert all("\n" not in repr(noun) for noun in nouns.values())
    assert not [noun for noun in nouns.values() if "array([" in repr(noun)]


def _walk(value, nouns):
    """Every dataclass that a value holds, by its identity."""
    if is_dataclass(value) and not isinstance(value, type) and id(value) not in nouns:
        nouns[id(value)] = value
        value = [getattr(value, each.name) for each in fields(value)]
    if isinstance(value, list | tuple):
        for each in value:
            _walk(each, nouns)
    if isinstance(value, Mapping):
        _walk(list(value.values()), nouns)


@pytest.mark.long
def test_a_rim_is_a_sheet_a_file_or_a_name(tmp_path, answers):
    curlew = answers["sheet"]
    path = tmp_path / "other.toml"
    rimfea.write_sheet(path, curlew.varied(name="other"))
    for rim in (curlew, "curlew", PACKAGE.parent / "profiles" / "curlew.toml"):
        assert rimfea.reconcile(rim).before == curlew
    for rim in (path, str(path)):
        assert rimfea.inspect(rim).sheet.name == "other"


@pytest.mark.long
def test_a_set_up_is_one_a_file_or_a_name(answers):
    path = PACKAGE.parent / "profiles" / "set-ups" / "touring.toml"
    touring = rimfea.read_setup(path)
    assert answers["rides"][0].setup == touring == rimfea.read_setup("touring")


@pytest.mark.long
def test_a_wall_goes_by_its_word_its_key_or_itself(answers):
    ridden = answers["rides"][1]
    by = [
        rimfea.thicker(ridden, wall)
        for wall in ("bead hook", "bead_hook_mm", rimfea.Wall.BEAD_HOOK)
    ]
    sizes = {each.analysis.sheet.bead_hook_mm for each in by}
    assert sizes == {ridden.analysis.sheet.bead_hook_mm + 0.1}


def test_files_with_rims_of_one_name_are_told_apart(tmp_path):
    plover = (PACKAGE.parent / "profiles" / "plover.toml").read_text(encoding="utf-8")
    for file in ("mine", "yours"):
        (tmp_path / f"{file}.toml").write_text(plover, encoding="utf-8")
    files = [tmp_path / "mine.toml", str(tmp_path / "yours.toml"), "curlew"]
    assert [rim.name for rim in given.sheets(files)] == [
        "plover (mine)",
        "plover (yours)",
        "curlew",
    ]


def test_a_folder_is_all_its_sheets(monkeypatch):
    monkeypatch.setattr("rimfea.ask.compare.compare", lambda sheets, *_, **__: sheets)
    named = [sheet.name for sheet in rimfea.compare(PACKAGE.parent / "profiles").rims]
    assert named == [sheet.name for sheet in rimfea.compare().rims]
    assert len(named) == 6


REFUSED = {
    "set-up": (lambda: rimfea.rides("curlew", "gravle"), FileError, "gravel? there are: cargo, "),
    "rim": (lambda: rimfea.inspect("curlw"), FileError, "curlew? there are: curlew, grouse"),
    "wheel": (lambda: rimfea.worth("curlew", wheel="reer"), UnknownError, "rear? there are: front"),
    "key": (lambda: rimfea.sweep("curlew", {"sidewal": (1, 2, 3)}), SheetError, "mean sidewall_mm"),
    "span": (lambda: rimfea.sweep("curlew", {"flank": (1, 2)}), SheetError, r"cannot be read: \(1"),
    "wall": (lambda: rimfea.design("curlew", only=["spokes"]), SheetError, "not a wall that can"),
    "no rim": (lambda: rimfea.compare(7), UnknownError, "int is not a rim: give a sheet"),
    "rings": (lambda: rimfea.from_coordinates([1, 2]), OutlineError, "three"),
    "answer": (lambda: rimfea.table(7), UnknownError, "no table of int; there is one of: Sheet"),
    "picture": (lambda: rimfea.draw("curlew"), UnknownError, "no picture of str"),
}


@pytest.mark.parametrize(
    "asked",
    [pytest.param(each, marks=pytest.mark.long) if each == "wall" else each for each in REFUSED],
)
def test_what_is_not_known_is_refused_with_what_is(asked):
    question, error, told = REFUSED[asked]
    with pytest.raises(error, match=told.replace("?", r"\?")):
        question()


@pytest.mark.long
def test_a_wall_a_table_and_an_outcome_are_refused_with_those_there_are(answers):
    with pytest.raises(UnknownError, match=r"did you mean bead hook\? there are: bead hook, "):
        rimfea.thicker(answers["rides"][0], "bead hok")
    with pytest.raises(UnknownError, match=r"did you mean walls\? there are: walls, cases"):
        rimfea.table(answers["analyse"], "wals")
    with pytest.raises(UnknownError, match=r"did you mean drop\? there are: mass, "):
        rimfea.tell(answers["sweep"], of="drp")


@pytest.mark.long
def test_an_outline_of_ones_own_keeps_its_shape_and_gets_its_sheet(own, answers):
    assert own.hoop.mass_g == pytest.approx(590, abs=5)
    assert (own.sheet.sidewall_mm, own.sheet.spoke_count) == (pytest.approx(1.4), 36)
    solved = answers["analyse"]
    assert solved.outline is own.outline
    assert set(solved.outline.labels) == set(rimfea.Wall) - {rimfea.Wall.WEB}
    assert repr(answers["analyse"]).endswith("7 cases>")


@pytest.mark.long
def test_rides_take_an_outline_of_ones_own(own, monkeypatch):
    monkeypatch.setattr("rimfea.study.analysis.mesh_outline", _coarse)
    for wheel in rimfea.rides(own):
        assert wheel.analysis.outline is own.outline


@pytest.mark.long
def test_markup_in_a_name_is_shown_as_it_was_written(answers):
    sheet = answers["sheet"].varied(name="<script>rim & co</script>")
    html = rimfea.table((rimfea.inspect(sheet)), "section")._repr_html_()
    assert html.startswith("<table>")
    ladder = rimfea.table(answers["compare"])
    named = type(ladder)("<b>&", ("<i>",), (("<script>",),), frozenset({0}))
    shown = named._repr_html_()
    assert "&lt;script&gt;" in shown
    assert "&lt;b&gt;&amp;" in shown
    assert "<script>" not in shown + html


def test_a_section_from_a_file_is_looked_at_with_its_arcs(tmp_path):
    drawn = rimfea.inspect("wheatear")
    write_outline_dxf(tmp_path / "wheatear.dxf", drawn.outline)
    section = rimfea.read_section(tmp_path / "wheatear.dxf")
    found = rimfea.from_coordinates(section, name="read", bead_seat_diameter_mm=622, spoke_count=36)
    assert found.hoop.mass_g == pytest.approx(drawn.hoop.mass_g, rel=1e-3)
    assert found.outline.outer.bulge.any()
