"""Recipes of DEVELOPERS.md, followed in a copy of the program, in the files they name."""

from __future__ import annotations

import json
import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
RECIPES = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition("## Recipes")[2]


def files_of(recipe):
    """The files that a recipe names before its first full stop or colon outside brackets."""
    text = re.search(rf"\*\*{recipe}\.\*\*(.*?)\n\n", RECIPES, flags=re.S)[1]
    plain = re.sub(r"\([^()]*\)", "", text)
    return set(re.findall(r"`(rimfea/[\w/]+\.py)`", re.split(r"\.\s|:", plain)[0]))


COARSELY = """
import rimfea.study.analysis as analysis
fine = analysis.mesh_outline
analysis.mesh_outline = lambda shape, *, coarseness, finer: fine(
    shape, coarseness=2.5 * coarseness, finer=finer
)
import rimfea.ask.thicker as thicker
thicker.dimensions = lambda _: ("sidewall_mm",)
"""


TWO_WALLS = """
from functools import partial
import rimfea.ask.worth as worth
worth.sensitivity = partial(worth.sensitivity, keys=("sidewall_mm", "flank_mm"))
"""


IN_ONE_PROCESS = """
import rimfea.ask.sweep as sweep
every = sweep.each
sweep.each = lambda *given, processes: every(*given, processes=1)  # others mesh finely
"""


class Copy:
    """A copy of the program, its changes counted."""

    def __init__(self, folder):
        self.folder = folder
        self.touched = set()
        for name in ("rimfea", "profiles"):
            shutil.copytree(
                ROOT / name, folder / name, ignore=shutil.ignore_patterns("__pycache__")
            )

    def change(self, file, old, new):
        path = self.folder / file
        text = path.read_text(encoding="utf-8")
        assert text.count(old) == 1, (file, old)
        path.write_text(text.replace(old, new), encoding="utf-8")
        self.touched.add(file)

    def python(self, code, *words):
        """What a program in the copy prints."""
        done = subprocess.run(
            [sys.executable, "-c", code, *map(str, words)],
            cwd=self.folder,
            env={**os.environ, "PYTHONPATH": str(self.folder), "OPENBLAS_NUM_THREADS": "1"},
            capture_output=True,
            text=True,
            check=False,
        )
        assert done.returncode == 0, done.stderr
        return done.stdout

    def data(self, code):
        """The same, read as JSON."""
        return json.loads(self.python(code))

    def rimfea(self, *words, first=""):
        """What a command of the copy prints, on coarse triangles: it is about words."""
        return self.python(COARSELY + first + "from rimfea.cli.main import main; main()", *words)


@pytest.fixture
def copy(tmp_path):
    return Copy(tmp_path)


SOLVED = """
import json, jsonschema
from rimfea.files.sheet_toml import read_sheet
from rimfea.study.analysis import analyse
from rimfea.words.data import answers, schema
sheet = read_sheet({path!r}).varied(**{changes!r})
analysis = analyse(sheet, coarseness=2.0)
told = answers([analysis])
jsonschema.validate(told, schema())
rim, = told["rims"]
"""


def solved(path, **changes):
    return SOLVED.format(path=str(ROOT / "profiles" / path), changes=changes)


@pytest.mark.long
def test_a_wall_is_added(copy):
    copy.change(
        "rimfea/profile/walls.py",
        "    def __new__(",
        '    TIE = ("tie", "#999999", (0.5, 5), "thickness between the two chambers", "no tie")\n\n'
        "    def __new__(",
    )
    copy.change(
        "rimfea/profile/bodies.py",
        "    if sheet.web_mm is None:\n",
        """    tie = sheet.known.numbers.get(Wall.TIE.key_mm)
    if tie is not None:
        low, high = (bed + well - tie) / 2, (bed + well + tie) / 2
        lower = [*below, Corner(flank_inside(known, low), low, Wall.TIE, fillet)]
        upper = [Corner(flank_inside(known, high), high, Wall.FLANK, fillet), *above]
        return [(lower, Wall.NIPPLE_SEAT), (upper, Wall.TIE)]
    if sheet.web_mm is None:
""",
    )
    copy.change("rimfea/profile/bodies.py", '"web_height_mm")', '"web_height_mm", "tie_mm")')
    assert copy.touched <= files_of("A wall")
    told = copy.data(
        solved("curlew.toml", tie_mm=1.3)
        + """
from rimfea.picture.palette import wall_colour
from rimfea.profile.moved import dimensions, moved
from rimfea.profile.uncertainty import uncertainties
from rimfea.traced.measure import measure
print(json.dumps({
    "walls": {w["wall"]: w["thickness_mm"] for w in rim["cases"][0]["walls"]},
    "measured": measure(analysis.outline)["tie_mm"],
    "moves": "tie_mm" in dimensions(sheet) and moved(sheet, {"tie_mm": 0.1}).tie_mm,
    "standard": uncertainties(sheet)["tie_mm"].standard,
    "colour": wall_colour("tie"),
    "same": sheet == sheet.varied(tie_mm=1.4),
    "without": [str(wall) for wall in sheet.varied(tie_mm=None).walls],
}))
"""
    )
    assert told["walls"]["tie"] == pytest.approx(1.3, abs=0.01)
    assert told["measured"] == pytest.approx(1.3)
    assert told["moves"] == 1.4
    assert 0 < told["standard"] < 0.1
    assert told["colour"] == "#999999"
    assert not told["same"]
    assert "tie" not in told["without"]
    copy.rimfea("new", "rim.toml")
    assert "# web_mm =" in (copy.folder / "rim.toml").read_text()
    copy.rimfea("new", "single.toml", "--family", "single wall")
    assert "web_mm" not in (copy.folder / "single.toml").read_text()


@pytest.mark.long
def test_a_family_is_added(copy):
    copy.change(
        "rimfea/profile/families.py",
        '    SINGLE = "single wall"',
        '    PLAIN = "hookless single wall", heads.HOOKLESS, bodies.SINGLE\n'
        '    SINGLE = "single wall"',
    )
    assert copy.touched <= files_of("A family")
    name = "hookless single wall"
    told = copy.data(solved("wheatear.toml", family=name) + "print(json.dumps(rim))")
    assert told["family"] == name
    walls = {each["wall"] for each in told["cases"][0]["walls"]}
    assert walls >= {"hook lip", "sidewall", "tyre well", "spoke bed"}
    assert "flank" not in walls
    copy.rimfea("new", "rim.toml", "--family", name)
    text = (copy.folder / "rim.toml").read_text()
    assert f'family = "{name}"' in text
    assert "# bead_hook_mm =" in text
    assert "flank_mm =" not in text


@pytest.mark.long
def test_an_alloy_is_added(copy):
    copy.change(
        "rimfea/alloys.py",
        "_REMEMBERED: tuple[_Row, ...] = (\n",
        '_REMEMBERED: tuple[_Row, ...] = (\n    ("6182-T6", "made up", 270, 310, 130, 190),\n',
    )
    assert copy.touched == files_of("An alloy")
    told = copy.data(solved("curlew.toml", alloy="6182 T6") + "print(json.dumps(rim['alloy']))")
    assert (told["name"], told["proof_MPa"]) == ("6182-T6", 270)
    assert "made up, not checked against the standard" in told["source"]


def test_a_set_up_key_is_added(copy):
    file = "rimfea/study/setup.py"
    copy.change(
        file,
        '    _number("front_share"',
        '    _number("child_kg", "kg", 0, 40, "a child in a seat", 0.0),\n'
        '    _number("front_share"',
    )
    copy.change(file, "    front_share: float\n", "    child_kg: float\n    front_share: float\n")
    copy.change(
        file,
        "(self.rider_kg + self.bike_kg + self.luggage_kg) * STANDARD",
        "(self.rider_kg + self.child_kg + self.bike_kg + self.luggage_kg) * STANDARD",
    )
    assert copy.touched == files_of("A set-up key")
    told = copy.data(
        """
import json
from rimfea.files.setup_toml import changed, read_setup
from rimfea.study.setup import End
from rimfea.words.data import schema
plain = read_setup("touring")
loaded = changed(plain, ["child_kg=15"])
key = schema()["$defs"]["ride"]["properties"]["setup"]["properties"]["child_kg"]
print(json.dumps([plain.child_kg, loaded.wheel_N(End.REAR) - plain.wheel_N(End.REAR),
                  plain.share(End.REAR), key]))
"""
    )
    assert told[0] == 0
    assert told[1] == pytest.approx(15 * 9.80665 * told[2])
    assert told[3] == {"description": "a child in a seat, kg", "type": "number"}


def test_a_command_is_added(copy):
    copy.change(
        "rimfea/cli/main.py",
        '    "inspect": "Say',
        '    "weigh": "The mass of a rim.",\n    "inspect": "Say',
    )
    copy.change(
        "rimfea/cli/examples.py",
        '        "inspect": (\n',
        '        "weigh": ("rimfea weigh curlew", "rimfea weigh dotterel.toml"),\n'
        '        "inspect": (\n',
    )
    (copy.folder / "rimfea/cli/weigh.py").write_text(
        """
import click


@click.command("weigh")
@click.argument("sheet")
def command(sheet):
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.study.analysis import inspect

    click.echo(f"{inspect(read_sheet(sheet)).hoop.mass_g:.0f} g")
""",
        encoding="utf-8",
    )
    assert copy.touched == files_of("A command")
    assert "weigh" in copy.rimfea("--help")
    grams = copy.rimfea("weigh", ROOT / "profiles" / "curlew.toml")
    assert re.fullmatch(r"[3-9]\d\d g\n", grams)


@pytest.mark.long
def test_a_load_is_added(copy):
    copy.change(
        "rimfea/elastic/loads.py",
        "@dataclass(frozen=True)\nclass WheelLoad(Load):",
        '''@dataclass(frozen=True)
class Clamp(Load):
    """Two jaws that push the hooks towards each other."""

    force_N: float
    patch_mm: float

    @property
    def size(self) -> float:
        """The force of each jaw, N."""
        return self.force_N

    def spread(self, factor: float) -> Self:
        """Over so many times its patch."""
        return replace(self, patch_mm=factor * self.patch_mm)

    def pushes(self, inner_width_mm: float, /) -> tuple[Push, ...]:
        """Both jaws."""
        jaws = (("right crown", -self.force_N), ("left crown", self.force_N))
        return tuple(Push(place, 0, force, self.patch_mm) for place, force in jaws)


@dataclass(frozen=True)
class WheelLoad(Load):''',
    )
    file = "rimfea/study/cases.py"
    copy.change(file, "import Case, Load, Pressure", "import Case, Clamp, Load, Pressure")
    copy.change(
        file,
        "        *own,\n",
        '        Case("clamp", (Clamp(800.0, 20.0),), built),\n        *own,\n',
    )
    assert copy.touched == files_of("A load")
    told = copy.data(
        solved("curlew.toml")
        + """
clamp = next(answer for answer in analysis.answers if answer.name == "clamp")
print(json.dumps([rim["cases"], clamp.evidence.reaction, clamp.evidence.truncation]))
"""
    )
    cases, unbalanced, truncation = told
    case = next(each for each in cases if each["name"] == "clamp")
    assert case["walls"][0]["wall"] in {"sidewall", "bead hook", "hook lip", "bead seat"}
    assert max(abs(unbalanced), truncation) < 0.01
    words = ("analyse", ROOT / "profiles" / "curlew.toml", "--wheel", "rear", "--details")
    assert "clamp" in copy.rimfea(*words, "--quick")


@pytest.mark.long
def test_an_outcome_is_added(copy):
    copy.change(
        "rimfea/study/outcome.py",
        ')\n"""In the order of tables',
        "    Outcome(\n"
        '        "twist_N_m", "torsional stiffness", "N m/rad", 1,\n'
        '        _built("torsional_N_m_rad"), told=True, short="twist",\n'
        "    ),\n"
        ')\n"""In the order of tables',
    )
    copy.change(
        "rimfea/study/outcome_names.py",
        '        "mass_g": "mass",\n',
        '        "mass_g": "mass",\n        "twist_N_m": "twist-stiffness",\n',
    )
    assert copy.touched == files_of("An outcome")
    curlew = ROOT / "profiles" / "curlew.toml"
    worth = copy.rimfea("worth", curlew, "--quick", "--details", first=TWO_WALLS)
    assert "twist" in worth
    words = ("sweep", curlew, "flank_mm=1.2:1.4:2", "--of", "twist-stiffness")
    swept = copy.rimfea(*words, first=IN_ONE_PROCESS)
    assert re.search(
        r"adds .* N m/rad.* to torsional stiffness|torsional stiffness as it is", swept
    )


@pytest.mark.long
def test_an_obstacle_is_added(copy):
    copy.change(
        "rimfea/strike/tyre.py",
        "OBSTACLES: Mapping",
        "def log(radius_mm: float) -> Obstacle:\n"
        '    """A log across the way, met a little aslant."""\n'
        '    return Obstacle("log", radius_mm, np.inf, 0.75)\n\n\n'
        "OBSTACLES: Mapping",
    )
    copy.change("rimfea/strike/tyre.py", '"rock": rock}', '"rock": rock, "log": log}')
    assert copy.touched == files_of("An obstacle")
    sheet = ROOT / "profiles" / "curlew.toml"
    words = ("analyse", sheet, "--wheel", "rear", "--quick", "--details")
    told = copy.rimfea(*words, "--with", "obstacle=log", "--with", "radius_mm=90")
    assert "strikes a log 90 mm round" in told


@pytest.mark.long
def test_a_bound_of_the_window_is_added(copy):
    file = "rimfea/study/window.py"
    copy.change(file, "    MAKER = auto()\n", "    MAKER = auto()\n    SPOKE = auto()\n")
    copy.change(
        file,
        "    if makers_limit_N is not None:\n",
        "    upper.append(Bound(900.0, Limit.SPOKE, 900.0))\n    if makers_limit_N is not None:\n",
    )
    words = "rimfea/words/rides.py"
    copy.change(
        words,
        '    Limit.MAKER: "the maker\'s limit",\n',
        '    Limit.MAKER: "the maker\'s limit",\n'
        '    Limit.SPOKE: "{:g} N, all that the spoke bears",\n',
    )
    assert copy.touched == files_of("A bound of the window")
    words = ("analyse", ROOT / "profiles" / "curlew.toml", "--wheel", "rear", "--quick")
    told = copy.rimfea(*words, "--details")
    assert "not above: 900 N, all that the spoke bears" in " ".join(told.split())
