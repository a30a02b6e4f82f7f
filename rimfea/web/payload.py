"""What the page is told of a rim: its picture and its numbers, as plain data."""

from __future__ import annotations

import math
import zlib
from collections.abc import Mapping, Sequence

import numpy as np

from rimfea.arrays import Floats
from rimfea.ask.dents import lighten
from rimfea.errors import Fault
from rimfea.fem.material import von_mises
from rimfea.geometry.outline import Outline
from rimfea.geometry.ring import Ring, cut_every, subdivided
from rimfea.picture.palette import STRESS, WALL_COLOURS
from rimfea.profile.families import DRAWN
from rimfea.profile.walls import Wall
from rimfea.stress.walls import WallStress
from rimfea.study.analysis import Analysis
from rimfea.study.answer import Answer
from rimfea.study.ride import Ride
from rimfea.traced.jaws import Jaws, jaws
from rimfea.vary.draft import Draft
from rimfea.web.bench import Bench, Slider
from rimfea.web.setups import told_of_lessons, told_of_setups
from rimfea.words.analyse import CLOSE_CALL, governs, mass_words
from rimfea.words.dents import dent_lines
from rimfea.words.glossary import meaning_of
from rimfea.words.keys import in_words
from rimfea.words.numbers import CAUTION, Units, figures
from rimfea.words.plain import plain
from rimfea.words.rides import air_words, blow_words, event_words, window_words
from rimfea.words.verdict import WARNING, verdict_lines

SHADES = 32
HEADINGS = (
    *("first yield", "permanent set", "stress at the strike", "mass"),
    *("draft", "fine mesh"),
    *("what happens", "on the hook", "drop", "air needed", "wall", "yields at", "set from"),
)
CHORD, RISE_MM = np.radians(8.0), 0.01


def told_of_bench(on: Bench) -> dict[str, object]:
    """What there is to choose from, and the colours."""
    return {
        "rims": list(on.sheets),
        "setups": list(on.setups),
        "ridden": told_of_setups(on),
        **told_of_lessons(on),
        "families": [str(family) for family in DRAWN],
        "walls": [str(wall) for wall in Wall],
        "wall_colours": dict(WALL_COLOURS),
        "shades": [_hex(STRESS(k / (SHADES - 1))) for k in range(SHADES)],
        "caution": CAUTION,
        "words": {heading: meaning_of(heading) for heading in HEADINGS},
    }


def told_of_slider(slider: Slider) -> dict[str, object]:
    """One slider."""
    return {
        "key": slider.key,
        "word": slider.word,
        "group": slider.group,
        "value": slider.value_mm,
        "low": slider.low_mm,
        "high": slider.high_mm,
        "doubt": slider.doubt_mm,
        "is_measured": slider.is_measured,
        "meaning": slider.meaning,
    }


def told_of_fault(fault: Fault) -> dict[str, str]:
    """What is wrong at which key, in the builder's words."""
    problem = in_words(fault.problem)
    if fault.value and not fault.problem.startswith(fault.field):
        problem = f"{fault.value} {fault.unit}".rstrip() + f" {problem}"
    allowed = f"allowed: {fault.allowed}" if fault.allowed else ""
    told = "; ".join(filter(None, [problem, allowed, in_words(fault.remedy)]))
    return {"key": fault.field, "told": told[:1].upper() + told[1:] + "."}


def told_of_draft(draft: Draft, key: str) -> dict[str, object]:
    """A draft along that dimension, with its error in per cent."""
    analysis = draft.analysis
    shared = _told(draft, jaws(analysis.sheet, analysis.outline, key))
    return {**shared, "error_percent": max(1, math.ceil(100 * draft.error))}


def told_of_ride(ride: Ride) -> dict[str, object]:
    """A ride, with what a draft leaves out: what to do and which of that is a warning, and the
    sentences about blow, tension and mass.
    """
    analysis = ride.analysis
    shared = _told(ride, jaws(analysis.sheet, analysis.outline))
    told = verdict_lines(analysis, [ride], Units())
    return {
        **shared,
        "error_percent": None,
        "warned": [line.startswith(WARNING) for line in told],
        "told": told,
        "sentences": [
            blow_words(ride, Units()),
            f"Spoke tension: {window_words(ride.window)}",
            mass_words(ride.analysis),
        ],
    }


def told_of_dent(ride: Ride) -> dict[str, object]:
    """The sentence about a wheel's dent, and its ladder with the dents on it."""
    ride.found_dent  # noqa: B018 -- known once it was asked for
    lighten(ride)  # here, where its factors were made, or they would stay for ever
    return {"sentences": list(dent_lines([ride], Units())), "ladder": _ladder(ride)}


def _ladder(struck: Draft | Ride) -> list[dict[str, object]]:
    climbed = struck.full_ladder if isinstance(struck, Ride) else struck.ladder
    return [
        {
            "event": event_words(rung, struck.setup),
            "means": meaning_of(event_words(rung, struck.setup)),
            "force": f"{figures(rung.hook_N)} N",
            "drop_mm": rung.drop_mm,
            "air": air_words(pressure),
        }
        for rung, pressure in zip(climbed.rungs, climbed.pressure_MPa, strict=True)
    ]


def _told(struck: Draft | Ride, held: Mapping[str, Jaws]) -> dict[str, object]:
    analysis, answer = struck.analysis, struck.answer
    first, full = answer.verdict.governing, answer.verdict.by_hinge[0]
    return {
        "verdict": governs(answer, Units()),
        "governing": str(first.wall),
        "close": answer.verdict.margin < CLOSE_CALL,
        "cut": [list(first.start), list(first.end)],
        "numbers": {
            "yield_N": plain(answer.load_at(first.first_yield)),
            "set_N": plain(answer.load_at(full.hinge)),
            "peak_MPa": plain(first.peak_MPa),
            "mass_g": analysis.hoop.mass_g,
        },
        "set_wall": str(full.wall),
        "proof_MPa": analysis.sheet.metal.proof_MPa,
        "strike_N": answer.load,
        "walls": [_wall(wall, answer) for wall in answer.verdict.walls],
        "ladder": _ladder(struck),
        **told_of_drawing(analysis.outline, held),
        **_picture(analysis, answer),
    }


def told_of_drawing(outline: Outline, held: Mapping[str, Jaws]) -> dict[str, object]:
    """A section as lines: points (x, y) of every ring, the wall of each edge as its place in the
    list of walls (-1: none), and where jaws go.
    """
    fine = [_fine(ring) for ring in outline.rings]
    places = {str(wall): k for k, wall in enumerate(Wall)}
    return {
        "rings": [ring.corners.round(3).tolist() for ring in fine],
        "edges": [[places.get(name, -1) for name in ring.labels] for ring in fine],
        "jaws": {key: told_of_jaws(each) for key, each in held.items()},
    }


def told_of_jaws(held: Jaws) -> dict[str, object]:
    """Where a caliper goes."""
    return {
        "start": held.start,
        "end": held.end,
        "hold": str(held.hold),
        "touches": held.touches,
        "is_even": held.is_even,
    }


def rings(outline: Outline) -> list[list[list[float]]]:
    """Every ring of the outline as points (x, y) in mm, arcs in short chords."""
    return [_fine(ring).corners.round(3).tolist() for ring in outline.rings]


def _fine(ring: Ring) -> Ring:
    return subdivided(ring, cut_every(ring, sweep=CHORD, rise=RISE_MM))[0]


def _wall(wall: WallStress, answer: Answer) -> dict[str, object]:
    return {
        "wall": str(wall.wall),
        "yield_N": plain(answer.load_at(wall.first_yield)),
        "set_N": plain(answer.load_at(wall.hinge)),
    }


def _picture(analysis: Analysis, answer: Answer) -> dict[str, object]:
    """Nodes, the share (0 to 1000) of the proof stress at each, the triangles and their number."""
    mesh = analysis.mesh
    number = f"{zlib.crc32(mesh.triangles.tobytes()):08x}"
    triangles = mesh.triangles.ravel().tolist()
    share = np.clip(1000 * _share(analysis, answer), 0, 1000).astype(int)
    nodes = mesh.nodes.round(3).ravel().tolist()
    return {"mesh": number, "nodes": nodes, "share": share.tolist(), "triangles": triangles}


def _share(analysis: Analysis, answer: Answer) -> Floats:
    """Share (n,) of the proof stress under all loads, the strike at the first yield of all."""
    theta, use = answer.verdict.governing.theta, answer.verdict.governing.first_yield
    stress = answer.field.stress_at(theta) * (0.0 if use == math.inf else 1 / use)
    if answer.standing is not None:
        stress = stress + answer.standing.stress_at(theta)
    return np.asarray(von_mises(stress) / analysis.sheet.metal.proof_MPa)


def _hex(colour: Sequence[float]) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in colour[:3])
