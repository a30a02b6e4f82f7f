"""The report: what stands in it, for one rim and for several, and as an HTML page."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from importlib import metadata

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup
from matplotlib.axes import Axes

from rimfea.ask.compare import UNTOLD, Measured, differences, ranks
from rimfea.ask.tap import tap
from rimfea.ask.thicker import best_gain
from rimfea.picture import charts, figures
from rimfea.picture import rides as ride_charts
from rimfea.picture.compare import draw_strength
from rimfea.picture.dent import draw_dent, draw_depth
from rimfea.picture.overlaid import draw_grams, draw_overlaid
from rimfea.picture.palette import DARK, LIGHT
from rimfea.picture.section import bare
from rimfea.picture.svg import inline_svg
from rimfea.picture.theme import Size, shown
from rimfea.picture.wheel import draw_moved, draw_wheel
from rimfea.study.analysis import Analysis
from rimfea.study.outcome import BY_KEY, OUTCOMES, Outcome
from rimfea.study.ride import Ride
from rimfea.words import compare as comparison
from rimfea.words import dents, numbers, rides
from rimfea.words import dimensions as walls
from rimfea.words import tables as rows
from rimfea.words.glossary import Term, headed_by, terms_in
from rimfea.words.numbers import CAUTION, Units
from rimfea.words.short import opening_lines
from rimfea.words.summary import summary
from rimfea.words.tables import Table
from rimfea.words.tap import tap_check
from rimfea.words.verdict import answer_lines, ladder_table, verdict_lines
from rimfea.words.wheel_tests import wheel_tests_table


@dataclass(frozen=True)
class Picture:
    """A picture in words, and how it is drawn on axes."""

    title: str
    draw: Callable[[Axes], None]


@dataclass(frozen=True)
class Report:
    """What a reader is told, in order: the verdict, what follows from it in ``short``, one picture
    and one table; then more in sentences, pictures and tables, and the evidence: tables,
    assumptions, sources. Without a ``day`` the same report is the same bytes on any.
    """

    name: str
    verdict: str
    short: tuple[str, ...]
    notes: tuple[str, ...]
    sentences: tuple[str, ...]
    picture: Picture
    table: Table
    pictures: tuple[Picture, ...]
    tables: tuple[Table, ...]
    evidence: tuple[Table, ...]
    assumptions: tuple[str, ...]
    sources: tuple[str, ...]
    day: date | None = None
    caution: str = CAUTION

    @property
    def terms(self) -> list[Term]:
        """What its words mean, as a reader meets them."""
        told = (self.verdict, *self.short, *self.sentences)
        return terms_in(told, (self.table, *self.tables, *self.evidence))

    @property
    def made(self) -> str:
        """By which version of the program, and on which day if that is to be told."""
        day = f"{self.day.isoformat()}, " if self.day else ""
        return f"{day}rimfea {metadata.version('rimfea')}"


def rim_report(
    analysis: Analysis, ridden: Sequence[Ride], units: Units, day: date | None = None
) -> Report:
    """One rim as the wheels of a set-up; ``analysis`` is that of the last of them."""
    lead, gain = analysis.governing, None if analysis.buckles else best_gain(ridden)
    first, *others = verdict_lines(analysis, ridden, units)
    if not analysis.buckles:
        others += answer_lines(analysis, ridden, units, gain)
    tables = [rides.ladder_table(ridden, units), rows.wall_table(lead, units)]
    if any(each.knows_dent for each in ridden):
        tables += [dents.dents_table(ridden, units), dents.last_dents_table(ridden, units)]
    tables.append(rides.wheels_table(ridden, units))
    return Report(
        name=analysis.sheet.name,
        verdict=first,
        short=tuple(others),
        notes=tuple(filter(None, [analysis.sheet.note])),
        sentences=() if analysis.buckles else tuple(summary(analysis, ridden, units, gain)),
        picture=Picture(_stressed(analysis), lambda axes: figures.draw_verdict(axes, analysis)),
        table=ladder_table(rides.weaker(ridden), units),
        pictures=tuple(_rim_pictures(analysis, ridden, units)),
        tables=(*tables, rows.wheel_table(analysis, units), rows.section_table(analysis)),
        evidence=(rows.evidence_table(analysis), rows.sheet_table(analysis.sheet)),
        assumptions=(
            tap_check(tap(analysis.sheet)),
            lead.field.assumes,
            *rides.assumptions(ridden),
        ),
        sources=_sources([analysis]),
        day=day,
    )


def comparison_report(
    rims: Sequence[Measured], base: Measured, units: Units, day: date | None = None
) -> Report:
    """Several rims as the same wheel of a set-up, compared with one of them."""
    ridden = [rim.ride for rim in rims]
    analyses = [each.analysis for each in ridden]
    first, *others = opening_lines(rims, base, units)
    own = [replace(rows.evidence_table(each), title=each.sheet.name) for each in analyses]
    return Report(
        name=", ".join(rim.name for rim in rims),
        verdict=first,
        short=tuple(others),
        notes=tuple(
            f"{each.sheet.name}: {each.sheet.note}" for each in analyses if each.sheet.note
        ),
        sentences=(
            rides.setup_words(ridden[0].setup),
            comparison_headline(rims),
            *comparison.comparison_lines(rims, base, units),
        ),
        picture=Picture(
            "Strength of the rims against their mass",
            lambda axes: draw_strength(axes, rims, units),
        ),
        table=comparison.rims_table(rims, base, units),
        pictures=tuple(_rims_pictures(analyses, units, rims.index(base))),
        tables=(
            comparison.outcomes_table(rims, base),
            walls.walls_table(analyses, rims.index(base)),
            *walls.details(analyses, rims.index(base)),
            rows.comparison_table(analyses, units),
            rides.ladders_table(ridden, units),
            wheel_tests_table({rim.name: rim.ride.known_tests for rim in rims}, units),
            rows.rims_table(analyses),
            rows.wheels_table(analyses, units),
        ),
        evidence=(*own, *(_sheet(each) for each in analyses)),
        assumptions=(analyses[0].governing.field.assumes, *rides.assumptions()),
        sources=_sources(analyses),
        day=day,
    )


def comparison_headline(rims: Sequence[Measured]) -> str:
    """Which rim is strongest and which is lightest, and whether that can be told."""
    full, first, light = (_best(rims, BY_KEY[key]) for key in ("set_N", "yield_N", "mass_g"))
    strong = (
        f"Strongest under a strike on one hook: {full}"
        if full == first
        else f"Under a strike on one hook, last to take a set: {full}; last to yield: {first}"
    )
    return f"{strong}. Lightest: {light}."


def as_html(report: Report) -> str:
    """One page that needs nothing else, readable on a phone, on paper, and in the dark."""
    own = Environment(
        loader=PackageLoader("rimfea.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    own.filters["svg"] = _svg
    own.filters["term"] = _term
    template = own.get_template("report.html")
    return template.render(report=report, light=LIGHT, dark=DARK)


def _term(label: str) -> Term | None:
    """What a heading means; None for the name of a rim."""
    return next(iter(headed_by(label)), None)


def _svg(picture: Picture, prefix: str) -> Markup:
    figure = shown(picture.draw, size=Size.SMALL)
    return Markup(inline_svg(figure, picture.title, prefix))  # noqa: S704 -- names are glyphs in it


def _rim_pictures(analysis: Analysis, ridden: Sequence[Ride], units: Units) -> Iterator[Picture]:
    lead = analysis.governing
    yield Picture("Drops that bring it", lambda axes: ride_charts.draw_ladders(axes, ridden))
    yield Picture("Tension windows", lambda axes: ride_charts.draw_windows(axes, ridden, units))
    for each in (ride for ride in ridden if ride.knows_dent):
        yield Picture(f"{each.name}: the section with a dent", _on(draw_dent, each))
        yield Picture(f"{each.name}: the dent along the rim", _on(draw_depth, each))
    yield Picture("The wheel under its rider", lambda axes: draw_wheel(axes, analysis, units))
    yield Picture(
        "The section, moved by the strike",
        lambda axes: draw_moved(bare(axes, analysis), analysis, lead),
    )
    yield Picture("Stress along the rim", lambda axes: charts.draw_around(axes, analysis, lead))
    yield Picture("Walls and dimensions", lambda axes: figures.draw_section(axes, analysis))


def _rims_pictures(analyses: Sequence[Analysis], units: Units, base: int) -> Iterator[Picture]:
    yield Picture(
        "Sections laid over each other, and by how many mm their walls differ",
        lambda axes: draw_overlaid(axes, analyses, base),
    )
    yield Picture("Grams by wall", lambda axes: draw_grams(axes, analyses))
    yield Picture("Loads at first yield", lambda axes: charts.draw_cases(axes, analyses, units))
    for each in analyses:
        yield Picture(_stressed(each), _governing(each, analyses, units))


def _on(draw: Callable[[Axes, Ride], None], ride: Ride) -> Callable[[Axes], None]:
    return lambda axes: draw(axes, ride)


def _governing(
    analysis: Analysis, together: Sequence[Analysis], units: Units
) -> Callable[[Axes], None]:
    return lambda axes: figures.draw_governing(axes, analysis, units, together)


def _stressed(analysis: Analysis) -> str:
    case, wall = analysis.governing.name, analysis.governing.verdict.governing.wall
    return f"{analysis.sheet.name}, {case}: stress when the {wall} first yields"


def _sheet(analysis: Analysis) -> Table:
    table = rows.sheet_table(analysis.sheet)
    return replace(table, title=f"{analysis.sheet.name}: what its sheet says")


def _sources(analyses: Sequence[Analysis]) -> tuple[str, ...]:
    """Where strengths, tests and conditions of use come from."""
    metals = (each.sheet.metal for each in analyses)
    told = [f"{each.name}, proof stress {each.proof_MPa:g} MPa: {each.source}" for each in metals]
    told += [answer.case.source for answer in analyses[0].answers if answer.case.source]
    return tuple(dict.fromkeys([*told, rides.USE_SOURCE]))


def _best(rims: Sequence[Measured], outcome: Outcome) -> str:
    """The best rim in an outcome, with its number, and which others may be as good."""
    place = OUTCOMES.index(outcome)
    order = sorted(zip(ranks(rims, outcome), range(len(rims)), strict=True))
    best = rims[order[0][1]]
    value = f"{numbers.figures(float(best.sensitivity.base[place]))} {outcome.unit}"
    near = [
        rims[k].name for _, k in order[1:] if differences(rims[k], best)[place].verdict == UNTOLD
    ]
    return f"{best.name}, {value}" + (f" ({UNTOLD} from {', '.join(near)})" if near else "")
