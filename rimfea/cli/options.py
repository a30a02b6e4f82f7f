"""The options that several commands share: each is one word with one help and one default."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar

import click
from click.shell_completion import CompletionItem

from rimfea.cli.encodable import echo
from rimfea.errors import FileError
from rimfea.files.demo import SETUPS, names
from rimfea.study.outcome_names import NAMES
from rimfea.units import from_unit, to_unit, units_of
from rimfea.words.numbers import AIR

if TYPE_CHECKING:
    from rimfea.elastic.spokes import Lacing
    from rimfea.profile.sheet import Sheet
    from rimfea.study.cases import Loading
    from rimfea.study.setup import End, Setup
    from rimfea.vary.results import Results

Command = TypeVar("Command", bound=Callable[..., object])
# What no rim meets: beyond, the arithmetic of the stresses would overflow or vanish.
FORCES_N = (1.0, 1e6)
LENGTHS_MM = (0.1, 1000.0)
# What a set-up allows.
TENSIONS_N = (100.0, 2500.0)
AIR_MPA = (0.03, 1.2)


class Quantity(click.ParamType[float]):
    """A number with its unit, such as 2000, 2000N or 200kgf; a ``bare`` one is in the unit that
    builders use.
    """

    def __init__(self, name: str, allowed: tuple[float, float], bare: str) -> None:
        self.name = name
        self.allowed = allowed
        self.bare = bare

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The quantity in the unit used inside."""
        if isinstance(value, float):
            return value
        found = re.fullmatch(r"\s*([-+0-9.eE]+)\s*([A-Za-z]*)\s*", str(value))
        units = {unit.lower(): unit for unit in units_of(self.name)}
        try:
            unit = units[(found[2] or self.bare).lower()] if found else self.bare
            size = from_unit(float(found[1]), unit) if found else 0.0
        except (ValueError, KeyError):
            size = 0.0
        low, high = self.allowed
        allowed = min(max(size, low), high)
        if not math.isclose(size, allowed, rel_tol=1e-9):  # 12 bar are a little more than 1.2 MPa
            told = f"give a number with {', '.join(units.values())}"
            least, most = (to_unit(each, self.bare) for each in self.allowed)
            told = f"{told}, from {least:.6g} to {most:.10g} {self.bare}"
            self.fail(f"{value!r}: {told}{_comma(value)}", param, ctx)
        return allowed


class Number(click.ParamType[float]):
    """A number of a ``unit`` that is within two others; ``whole`` where nothing lies in between."""

    def __init__(
        self, low: float = -math.inf, high: float = math.inf, unit: str = "", *, whole: bool = False
    ) -> None:
        self.name = unit or "number"
        self.allowed = (low, high)
        self.unit = unit
        self.whole = whole

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> float:
        """The number."""
        (low, high), number = self.allowed, math.nan
        with suppress(ValueError):
            number = (int if self.whole else float)(str(value))
        if not (low <= number <= high and math.isfinite(number)):
            told = "give a whole number" if self.whole else "give a number"
            if math.isfinite(low):
                told = f"{told} from {low:g} to {high:g} {self.unit}".rstrip()
            self.fail(f"{value!r}: {told}{_comma(value)}", param, ctx)
        return number


def _comma(value: object) -> str:
    """What to do about a comma that stands for a point."""
    found = re.search(r"(\d+),(\d{1,2})(?!\d)", str(value))
    return f"; use a point: {found[1]}.{found[2]}" if found else ""


class FileToWrite(click.ParamType[Path]):
    """A file for what is asked for; the ending says which kind, and is added where there is none
    and no choice.
    """

    name = "file"

    def __init__(self, *endings: str) -> None:
        self.endings = endings

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Whatever files the shell knows."""
        del ctx, param
        return [CompletionItem(incomplete, type="file")]

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Path:
        """The path, if its ending is one of those."""
        path = Path(str(value))
        if not path.suffix and path.name and len(self.endings) == 1:
            path = path.with_name(f"{path.name}{self.endings[0]}")
        if path.suffix.lower() not in self.endings:
            self.fail(f"{path}: end it in {' or '.join(self.endings)}", param, ctx)
        return path


length = Number(*LENGTHS_MM, unit="mm")


class Named(click.ParamType[Path]):
    """What comes with the program by its name, or a file or folder of one's own."""

    name = "path"

    def __init__(self, folder: str = "") -> None:
        self.folder = folder

    def convert(
        self, value: object, param: click.Parameter | None, ctx: click.Context | None
    ) -> Path:
        """The name as a path; what it stands for is found by whoever reads it."""
        del param, ctx
        return Path(str(value))

    def shell_complete(
        self, ctx: click.Context, param: click.Parameter, incomplete: str
    ) -> list[CompletionItem]:
        """Files as the shell knows them, and the names that begin as typed."""
        del ctx, param
        known: list[str] = []
        with suppress(FileError):  # the program came without them
            known = [name for name in names(self.folder) if name.startswith(incomplete)]
        return [CompletionItem(incomplete, type="file"), *map(CompletionItem, known)]


def _kept(ctx: click.Context, _param: click.Parameter, value: Path) -> Path:
    """Remember of which file a command is, for whatever is told of it."""
    ctx.meta[ABOUT] = value
    return value


EXPLAIN = "rimfea.explain"
ABOUT = "rimfea.about"
TABLE = "rimfea.table"
sheet = click.argument("sheet", type=Named(), callback=_kept)


def sheets(*, required: bool = False) -> Callable[[Any], Any]:
    """Any number of sheets and folders of sheets."""
    return click.argument("sheets", nargs=-1, required=required, type=Named())


def rims(named: Sequence[Path]) -> list[Sheet]:
    """The sheets named, those of a folder in it; without any, the invented rims. What is left out
    is told on the standard error.
    """
    from rimfea.files.demo import demo_folder
    from rimfea.files.sheet_folder import read_sheets

    return read_sheets(named or (demo_folder(),), lambda told: echo(told, err=True))


def loads(command: Command) -> Command:
    """How hard the strike, the spokes, the air and the rider press, and who rides over what."""
    force, tension = Quantity("force", FORCES_N, "N"), Quantity("force", TENSIONS_N, "N")
    return _all(
        command,
        ridden,
        _option("strike", force, "2000N", "Force of the strike, such as 2000N or 200kgf."),
        _option("patch", length, "20", "Length of rim that the strike touches."),
        _option("angle", Number(unit="deg"), "0", "Lean of the strike from straight inward."),
        _option("tension", tension, None, "Spoke tension of the tighter side; else the sheet's."),
        pressure(),
        tyre,
    )


def ridden(command: Command) -> Command:
    """Who rides over what."""
    return _all(
        command,
        click.option(
            "--setup",
            type=Named(SETUPS),
            default="gravel",
            show_default=True,
            metavar="NAME",
            help="Who rides what over what: a name or a file (.toml); other options override it.",
        ),
        click.option(
            "--with",
            "changes",
            multiple=True,
            metavar="KEY=VALUE",
            help="Another value for a key of the set-up, such as rider_kg=95; may be repeated.",
        ),
    )


def pressure(*, required: bool = False) -> Callable[[Any], Any]:
    """The air in the tyre; ``required`` where there is no set-up to say it."""
    return click.option(
        "--pressure",
        type=Quantity("pressure", AIR_MPA, "bar"),
        required=required,
        help="Air in the tyre, such as 2.5bar or 36psi.",
    )


def loading(given: Mapping[str, Any]) -> Loading:
    """The strike that the options of :func:`loads` describe; the rest is the set-up's."""
    from rimfea.study.cases import Loading

    return Loading(
        strike_N=given["strike"], patch_mm=given["patch"], angle=math.radians(given["angle"])
    )


def named_setup(given: Mapping[str, Any]) -> Setup:
    """The set-up that the options of :func:`ridden` name, with their changes."""
    from rimfea.files.setup_toml import changed, read_setup

    return changed(read_setup(given["setup"]), given["changes"])


def setup(given: Mapping[str, Any]) -> Setup:
    """The set-up that the options of :func:`loads` name, with their changes."""
    from rimfea.files.setup_toml import changed, read_setup

    bar = None if given["pressure"] is None else to_unit(given["pressure"], "bar")
    asked = {
        "front_tension_N": given["tension"],
        "rear_tension_N": given["tension"],
        "front_pressure_bar": bar,
        "rear_pressure_bar": bar,
        "tyre_width_mm": given["tyre"],
    }
    named = read_setup(given["setup"])
    own = {key: value for key, value in asked.items() if value is not None}
    return changed(named.varied(**own), given["changes"])


tyre = click.option("--tyre", type=length, help="Tyre width.")


def lacing(command: Command) -> Command:
    """How the wheel is built."""
    return _all(
        command,
        _option(
            "crossings", Number(whole=True), None, "Spokes that each one crosses; else as usual."
        ),
        _option("spoke-end", length, "2.0", "Diameter of a spoke's ends."),
        _option("spoke-middle", length, "1.8", "Diameter of a spoke's middle."),
        _option("flange", length, "56", "Diameter of the hub's circle of holes."),
        _option("right", length, None, "Right flange from the rim's middle; else as set up."),
        _option("left", length, None, "Left flange from the rim's middle; else as set up."),
    )


def laced(given: Mapping[str, Any], sheet: Sheet, ridden: Setup, end: End) -> Lacing:
    """The wheel that the options of :func:`lacing` describe for this rim and set-up."""
    from rimfea.study.setup import lacing as usual_for

    usual = usual_for(ridden, end, sheet)
    asked = {
        "crossings": given["crossings"],
        "end_mm": given["spoke_end"],
        "middle_mm": given["spoke_middle"],
        "flange_mm": given["flange"],
        "right_mm": given["right"],
        "left_mm": given["left"],
    }
    return replace(usual, **{key: value for key, value in asked.items() if value is not None})


def units(command: Command) -> Command:
    """In which units a reader wants forces and air; a command that tells of no air takes
    :data:`force_unit` alone.
    """
    return _all(
        command,
        force_unit,
        click.option(
            "--pressure-unit",
            type=click.Choice(AIR),
            default="bar",
            show_default=True,
            help="Unit of the air in tyres, in text and pictures; stresses are in MPa.",
        ),
    )


def outputs(command: Command) -> Command:
    """Where answers go besides the terminal."""
    return _all(command, as_json, picture, table, overwrite, explain)


def asked_table() -> Path | None:
    """The file that is asked for the tables of the answer."""
    context = click.get_current_context(silent=True)
    return context.meta.get(TABLE) if context else None


def _to_table(ctx: click.Context, _param: click.Parameter, path: Path | None) -> None:
    """Remember the file for whoever tells the answer, unless it is already there."""
    if path is None:
        return
    if ctx.params["as_data"]:
        raise click.UsageError("--table writes the tables of the text; leave --json or --table out")
    from rimfea.cli.printing import free

    free(path, overwrite=ctx.params["overwrite"])
    ctx.meta[TABLE] = path


force_unit = click.option(
    "--force-unit",
    type=click.Choice(units_of("force")),
    default="N",
    show_default=True,
    help="Unit of forces in text and pictures.",
)
as_json = click.option(
    "--json",
    "as_data",
    is_flag=True,
    is_eager=True,  # --table asks for it
    help="Print the answers as JSON (mm, N, MPa, g) instead of text.",
)
explain = click.option(
    "--explain",
    is_flag=True,
    expose_value=False,
    callback=lambda ctx, _param, asked: ctx.meta.update({EXPLAIN: asked}),
    help="Also say what every word and number in the answer means.",
)
details = click.option("--details", is_flag=True, help="Also what the short answer leaves out.")

picture = click.option(
    "--picture",
    type=FileToWrite(".png", ".pdf", ".svg"),
    metavar="FILE",
    help="Also draw a picture (.png, .pdf or .svg).",
)
table = click.option(
    "--table",
    type=FileToWrite(".csv"),
    metavar="FILE",
    expose_value=False,
    callback=_to_table,
    help="Also write the tables of the answer for a spreadsheet (.csv).",
)
write = click.option(
    "--write",
    type=FileToWrite(".toml"),
    metavar="FILE",
    help="Also write the changed sheet (.toml).",
)
base = click.option(
    "--base", metavar="NAME", help="The rim that the others are compared with; else the first."
)
results = click.option(
    "--results",
    type=click.Path(file_okay=False, path_type=Path),
    metavar="FOLDER",
    help="Keep what is found of each rim in this folder; begun before, it goes on where it "
    "stopped.",
)
quick = click.option(
    "--quick", is_flag=True, help="First yield only, without dents: in a third of the time."
)
overwrite = click.option(
    "--overwrite",
    is_flag=True,
    is_eager=True,  # --table asks for it
    help="Replace files that are there already.",
)


def kept(folder: Path | None) -> Results:
    """What the option :data:`results` names; without it, nothing is kept."""
    from rimfea.files.results_json import Folder
    from rimfea.vary.results import Nothing

    return Folder(folder) if folder else Nothing()


def complete_keys(_ctx: object, _param: object, typed: str) -> list[str]:
    """The lengths of a sheet that begin as typed."""
    from rimfea.profile.fields import FIELDS

    return [each.key for each in FIELDS if each.unit == "mm" and each.key.startswith(typed)]


def complete_outcomes(_ctx: object, _param: object, typed: str) -> list[str]:
    """The names of outcomes that begin as typed."""
    return [name for name in NAMES.values() if name.startswith(typed)]


def place(names: Sequence[str], base: str | None) -> int:
    """Where among the rims that of the base's name is, else the first."""
    if base is None:
        return 0
    if base not in names:
        raise click.BadParameter(f"{base}: no rim here is called so; there are {', '.join(names)}")
    return names.index(base)


def wheel(usual: str | None = None) -> Callable[[Any], Any]:
    """Which wheel of the set-up; ``usual`` where none is named and the question is about one."""
    return click.option(
        "--wheel",
        type=click.Choice(("front", "rear")),
        callback=lambda _ctx, _param, named: named or usual,
        help="Front or rear wheel of the set-up; else the rear one, or both where both are told.",
    )


one_wheel = wheel("rear")


def _option(
    name: str,
    kind: Quantity | Number,
    default: str | None,
    told: str,
) -> Callable[[Any], Any]:
    return click.option(
        f"--{name}",
        type=kind,
        default=default,
        show_default=default is not None,
        help=told,
    )


def _all(command: Command, *options: Callable[[Any], Any]) -> Command:
    for option in reversed(options):
        command = option(command)
    return command
