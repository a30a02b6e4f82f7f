"""What all tests share: the same random examples at every run, no deadline, and rims to ask."""

from __future__ import annotations

import sys
from collections.abc import Mapping
from dataclasses import replace
from hashlib import blake2b
from importlib.util import module_from_spec, spec_from_file_location
from pathlib import Path as File
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import settings
from scipy import sparse
from threadpoolctl import threadpool_limits

from rimfea.allocator import give_back
from rimfea.elastic import patches
from rimfea.elastic.harmonics import TOLERANCE, solve_harmonics
from rimfea.elastic.ring import solve_ring
from rimfea.elastic.ring_field import solve_loads
from rimfea.elastic.spokes import spokes
from rimfea.fem.elements import elements
from rimfea.fem.revolution import isotropic, stiffnesses
from rimfea.fem.revolved import revolved
from rimfea.fem.shape import THREE_POINTS
from rimfea.files.sheet_toml import read_sheet
from rimfea.plastic.path import Path, Step
from rimfea.plastic.response import Window, solid
from rimfea.plastic.rest import Body
from rimfea.plastic.sector import sector
from rimfea.profile.families import Family
from rimfea.profile.sheet import Sheet
from rimfea.study import analysis as stages
from rimfea.study.analysis import analyse, inspect
from rimfea.study.cases import USUAL, usual_lacing
from rimfea.study.dent import Curve, Dent
from rimfea.study.dented import View
from rimfea.vary.datum import STEP_MM, Datum

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")
threadpool_limits(1, user_api="blas")  # more wait for work by turning over, and take the other core

TESTS = File(__file__).parent
PROFILES = TESTS.parent / "profiles"
COARSE = 1.6
WHIMBREL = {
    "name": "Whimbrel",
    "bead_seat_diameter_mm": 622,
    "inner_width_mm": 25,
    "overall_depth_mm": 21,
    "bead_hook_mm": 1.6,
    "hook_lip_mm": 2.6,
    "sidewall_mm": 1.5,
    "tyre_well_mm": 1.3,
    "nipple_seat_mm": 2.8,
}
UNJUDGED = {"name": "any", "note": None, "weighed_mass_g": None, "tension_limit_N": None}
MOST_RINGS, MOST_RIMS = 20, 12  # of 10 to 20 MB, and of twice that
MOST_STRENGTHS = 1000  # of three numbers
MOST_MESHES = 200  # of some 100 kB
LONGEST = (
    *("test_readme", "test_notebooks", "ask/test_design", "test_public", "test_recipes"),
    *("study/test_seat", "vary/test_trials", "study/test_wheel_tests", "vary/test_datum"),
    *("cli/test_answers", "profile/test_build", "study/test_dented"),
)


def pytest_configure(config):
    """Two processes take the files in the order below, not those with the most tests first."""
    if hasattr(config.option, "loadscopereorder"):
        config.option.loadscopereorder = False


def pytest_collection_modifyitems(items):
    """The longest files go first, so that no process waits for the other at the end."""
    place = {TESTS / f"{file}.py": k for k, file in enumerate(LONGEST)}
    items.sort(key=lambda item: place.get(item.path, len(LONGEST)))


@pytest.fixture(scope="session", autouse=True)
def each_ring_once():
    """A ring that was solved a while ago is not solved again: most tests ask something else of
    the same few rims, and :func:`solve_harmonics`, tested for itself, gives the same every time.
    """
    kept = {}

    def remembered(body, F, still, highest, tolerance=TOLERANCE, guess=None):
        given = (body, F, still, highest, tolerance, guess)
        if callable(guess):
            return solve_harmonics(*given)
        near = [guess.basis] if guess else []
        arrays = (*body.data, body.pattern.indices, F, still, *near)
        asked = (fingerprint(*arrays), highest, tolerance)
        return once(kept, asked, MOST_RINGS, lambda: solve_harmonics(*given))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rimfea.elastic.ring.solve_harmonics", remembered)
        yield


@pytest.fixture(scope="session", autouse=True)
def each_rim_once():
    """Nor is a rim judged again that was a while ago, whatever its name: answers are frozen."""
    kept, judged = {}, stages.solved

    def remembered(looked, loading, lacing, cases, start=None, buckles=None, fan=(), like=()):
        given = (looked, loading, lacing, cases, start)
        if callable(start) or buckles or like:
            return judged(*given, buckles, fan, like)
        sheet = looked.sheet.varied(**UNJUDGED)
        across = looked.cuts
        shape = fingerprint(looked.mesh.nodes, looked.mesh.triangles, across.start, across.end)
        near = fingerprint(start.spokes.tension, start.spokes.angle) if start else b""
        asked = (shape, across.names, sheet, loading, lacing, tuple(cases), tuple(fan), near)
        found = once(kept, asked, MOST_RIMS, lambda: judged(*given, fan=fan))
        return replace(found, sheet=looked.sheet, outline=looked.outline, mesh=looked.mesh)

    with pytest.MonkeyPatch.context() as patch:
        for module in ("study.analysis", "vary.datum", "web.bench"):
            patch.setattr(f"rimfea.{module}.solved", remembered)
        yield


@pytest.fixture(scope="session", autouse=True)
def each_mesh_once():
    """Nor is an outline meshed and cut again."""
    kept, meshed, cut = {}, stages.mesh_outline, stages.cuts

    def remembered_mesh(outline, *, coarseness=1.0, finer):
        asked = (*shape_of(outline), coarseness, tuple(finer.items()))
        return once(
            kept, asked, MOST_MESHES, lambda: meshed(outline, coarseness=coarseness, finer=finer)
        )

    def remembered_cuts(outline, mesh, *, spacing):
        asked = (*shape_of(outline), fingerprint(mesh.nodes, mesh.triangles), spacing)
        return once(kept, asked, MOST_MESHES, lambda: cut(outline, mesh, spacing=spacing))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(stages, "mesh_outline", remembered_mesh)
        patch.setattr(stages, "cuts", remembered_cuts)
        yield


@pytest.fixture(scope="session", autouse=True)
def each_strength_once():
    """Nor is a rim asked again which of its walls might be thicker, at the end of every answer."""
    kept, found = {}, Datum.strengths

    def remembered(self, key="", step_mm=STEP_MM):
        rim = self.ride.analysis
        shape = fingerprint(rim.mesh.nodes, rim.mesh.triangles)
        built = (rim.sheet.varied(**UNJUDGED), rim.loading, rim.lacing)
        asked = (shape, built, self.every, key, step_mm)
        return once(kept, asked, MOST_STRENGTHS, lambda: found(self, key, step_mm))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Datum, "strengths", remembered)
        yield


def fingerprint(*arrays):
    return blake2b(b"".join(np.ascontiguousarray(each) for each in arrays)).digest()


def shape_of(outline):
    arrays = [each for ring in outline.rings for each in (ring.corners, ring.bulge)]
    return fingerprint(*arrays), outline.labels


def once(kept, asked, most, find):
    """What was found for it, or else is now; the oldest of more than so many is forgotten."""
    kept[asked] = kept.pop(asked, None) or find()
    if len(kept) > most:
        del kept[next(iter(kept))]
    return kept[asked]


@pytest.fixture(scope="module", autouse=True)
def memory_given_back():
    """What the rims of one file took is there for those of the next."""
    yield
    give_back()


@pytest.fixture(scope="session")
def sheet_of():
    """A sheet of some family with some numbers as given: ``sheet_of(Family.SINGLE, ...)``."""

    def make(family=Family.HOOKED, **changes):
        depth = {} if family is not Family.SINGLE else {"overall_depth_mm": 14}
        return Sheet({**WHIMBREL, "family": family, **depth, **changes})

    return make


@pytest.fixture(scope="session")
def scans():
    """The module `tests/scanned/drawn.py`, which draws what a scanner sees: test modules cannot
    import one another.
    """
    spec = spec_from_file_location("drawn", File(__file__).parent / "scanned" / "drawn.py")
    drawn = sys.modules["drawn"] = module_from_spec(spec)
    spec.loader.exec_module(drawn)
    return drawn


@pytest.fixture(scope="session")
def tapped():
    """The function :func:`tapped_sound`: test modules cannot import one another."""
    return tapped_sound


def tapped_sound(
    hertz, *, noise_dB=-40.0, taps=3, every_s=2.5, quiet_s=0.6, rate=16000, falls_s=2.0, seed=1,
    beside=None,
):  # fmt: skip
    """What is heard of tones (t,) that fall by 60 dB in ``falls_s``, tapped so many times, each
    time otherwise hard: noise of so many dB beside what rings in the first 0.2 s, and what sounds
    ``beside`` it, a function of time that has a size beside 1.
    """
    random = np.random.default_rng(seed)
    t = np.arange(round(every_s * rate)) / rate
    falling = np.exp(-np.log(1000.0) / np.broadcast_to(falls_s, np.shape(hertz))[:, None] * t)
    parts = [np.zeros(round(quiet_s * rate))]
    for _ in range(taps):
        size, turn = random.uniform(0.3, 1.0, len(hertz)), random.uniform(0, 2 * np.pi, len(hertz))
        rings = falling * np.sin(2 * np.pi * np.outer(hertz, t) + turn[:, None])
        knock = 2 * np.exp(-t / 0.002) * random.standard_normal(len(t))
        parts.append(size @ rings + knock)
    sound = np.concatenate(parts)
    own = (parts[1][round(0.02 * rate) : round(0.2 * rate)] ** 2).mean() ** 0.5
    sound += random.standard_normal(len(sound)) * own * 10 ** (noise_dB / 20)
    if beside is not None:
        sound += beside(np.arange(len(sound)) / rate)
    return 0.8 * sound / np.abs(sound).max()


@pytest.fixture(scope="session")
def looked(sheet_of):
    """A rim only looked at."""
    return inspect(sheet_of(), coarseness=COARSE)


@pytest.fixture(scope="session")
def whimbrel(sheet_of):
    """A solved rim."""
    return analyse(sheet_of(), coarseness=COARSE)


class Demo(Mapping):
    """The invented rims by name, each solved once it is asked for."""

    def __init__(self):
        self.known = {path.stem: None for path in sorted(PROFILES.glob("*.toml"))}

    def __getitem__(self, name):
        if self.known[name] is None:
            self.known[name] = analyse(read_sheet(PROFILES / f"{name}.toml"), coarseness=COARSE)
        return self.known[name]

    def __iter__(self):
        return iter(self.known)

    def __len__(self):
        return len(self.known)


@pytest.fixture(scope="session")
def demo():
    """The invented rims, solved: by name."""
    return Demo()


@pytest.fixture(scope="session")
def dented_by_hand():
    """A ride whose dent is made up of arrays, a step a set of 0, 0.01, 0.3, 0.6 and 1.1 mm:
    ``dented_by_hand(ride, force=(...))``; nothing is pushed in.
    """

    def make(ridden, force=(1000.0, 1400.0, 2200.0, 2000.0, 1700.0), flowed=0.2, length_mm=20.0):
        left = np.array([0.0, 0.01, 0.3, 0.6, 1.1])
        movement = left + np.array(force) / 2000
        work = np.cumsum(np.diff(movement, prepend=0.0) * force)
        steps = tuple(
            Step(f, 0.0, far, far, set_mm, taken, taken * share, flowed * share, 1)
            for f, far, set_mm, taken, share in zip(
                force, movement, left, work, (0.0, 0.1, 0.5, 0.7, 1.0), strict=True
            )
        )
        looked = ridden.analysis
        struck = SimpleNamespace(looked=looked, ring=SimpleNamespace(radius_at=lambda _: 300.0))
        hand = Dent(struck, View(), Curve(Path(None, steps, (), None)))
        along = np.linspace(0.0, 150.0, 301)
        nodes, triangles = looked.mesh.nodes, looked.mesh.triangles
        deep = np.clip((nodes[:, 0] - 8) / 4, 0.0, 1.0) * np.clip((nodes[:, 1] + 2) / 6, 0.0, 1.0)
        vars(hand)["profile"] = (along, np.exp(-((3 * along / length_mm) ** 2)))
        vars(hand)["section"] = (
            np.stack([-deep, -deep], axis=1),
            deep[triangles].mean(axis=1) * flowed,
        )
        again = replace(ridden)
        vars(again)["dent"] = hand
        return again

    return make


@pytest.fixture(scope="session")
def solved(looked):
    """Fields of sets of loads on the ring of that rim, as it is or in the mirror of x = 0."""
    sheet = looked.sheet
    lacing = usual_lacing(sheet, USUAL)
    laced = spokes(lacing, sheet.seat_radius_mm - 12)
    facing = np.array([-1.0, 1.0, 1.0])
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    turned = (mirrored(looked.mesh), replace(laced, direction=laced.direction * facing))
    sides = {"as it is": (looked.mesh, laced), "mirrored": turned}
    rings = {}

    def fields(*sets, side="as it is"):
        if side not in rings:
            mesh, held = sides[side]
            rings[side] = solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, held, bearing, 96)
        return solve_loads(rings[side], sets)

    return fields


@pytest.fixture(scope="session")
def dented():
    """The same ride with a dent of one's own: half a millimetre at a drop, a force on the hook and
    an energy as given, and what the set-up's blow leaves.
    """

    def make(ride, drop_mm=80.0, force_N=2000.0, work_J=2.0, own_mm=0.0, cracks_mm=np.inf):
        share = np.array([0.0, 1.0, 1.5])
        steps = tuple(
            Step(by * force_N, 0.0, by, by, by / 2, 1e3 * by * work_J, 0.0, 0.0, 1) for by in share
        )
        found = Dent(None, None, Curve(Path(None, steps, (), None)))
        vars(found)["cracks_mm"] = cracks_mm
        known = replace(ride)
        vars(known).update(dent=found, _dent_drops=share * drop_mm, own_dent_mm=own_mm)
        return known

    return make


def mirrored(mesh):
    """The mesh in the mirror of x = 0, triangles counter-clockwise again."""
    return replace(
        mesh,
        nodes=mesh.nodes * np.array([-1.0, 1.0]),
        triangles=mesh.triangles[:, [0, 2, 1, 5, 4, 3]],
        sides=mesh.sides[:, [1, 0, 2]],
    )


@pytest.fixture(scope="session")
def mirror():
    """The function :func:`mirrored`."""
    return mirrored


@pytest.fixture(scope="session")
def pushed():
    """The function :func:`pushed_body`: test modules cannot import one another."""
    return pushed_body


def pushed_body(
    nodes, triangles, radius, metal, loads, held, *,
    chosen=None, repeats=1, half_angle=None, highest=0, window=np.pi, large=True,
):  # fmt: skip
    """A body of revolution of a ``metal`` (E, ν, hardening) under unit ``loads`` (m, 3n), each of
    total 1 on the section, all around or within a ``half_angle`` in every sector; ``held`` (k, 3n)
    are sums of unknowns that stay at zero. The metal may yield in the elements ``chosen``.
    """
    youngs, poisson, hardening = metal
    held = sparse.csr_array(held)
    stiff = 1e3 * youngs * radius * (held.T @ held) if radius else 1e6 * youngs * (held.T @ held)
    blocks = stiffnesses(elements(nodes, triangles), isotropic(youngs, poisson), radius)
    whole = revolved(triangles, blocks, len(nodes), stiff.tocsc())
    part = sector(
        whole, elements(nodes, triangles, THREE_POINTS), radius,
        np.arange(len(triangles)) if chosen is None else chosen,
        repeats=repeats, highest=highest, window=window,
    )  # fmt: skip
    around = patches.constant(part.n) if half_angle is None else patches.smooth(part.n, half_angle)
    forces = [np.outer(load[part.unknowns], repeats * around) for load in loads]
    moved = [part.solve(f) for f in forces]
    own = np.array([[part.work(f, u) for u in moved] for f in forces])
    still = np.zeros((6, *part.volume.shape))
    look = Window(solid(youngs, poisson, hardening), still, large=large)
    return Body(part, look, np.stack([part.gradients(u) for u in moved]), own)
