"""Metal that yields and turns, against the books: tubes, bars, rings, plates and a truss, each as a
body of revolution or a sector of one.

A force of 1 on a body is spread all around unless said otherwise.
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import sparse

from rimfea.fem.assemble import vector
from rimfea.fem.elements import sides
from rimfea.fem.forms import traction_load
from rimfea.plastic import rest
from rimfea.plastic.metal import Linear
from rimfea.plastic.path import followed

MEMORY = "(citation from memory)"
HILL = f"Hill, The Mathematical Theory of Plasticity, 1950, ch. V {MEMORY}"
BENT = "bar of rectangular section bent and let go, any text on plastic bending"
HINGES = f"DeRuntz and Hodge, J. Appl. Mech. 30 (1963) 391 {MEMORY}"
SUPPORTED = f"Hopkins and Prager, J. Mech. Phys. Solids 2 (1953) 1 {MEMORY}"
CLAMPED = f"Hopkins and Wang, J. Mech. Phys. Solids 3 (1955) 117 {MEMORY}"
MISES = f"von Mises, Z. Angew. Math. Mech. 3 (1923) 406 {MEMORY}"
ELASTICA = f"Mattiasson, Int. J. Numer. Meth. Eng. 17 (1981) 145 {MEMORY}"

PROOF, YOUNGS = 240.0, 70e3


@pytest.fixture
def exact(monkeypatch):
    """Errors of the descent that do not show beside those of the elements."""
    monkeypatch.setattr(rest, "SMALL", 1e-3)
    monkeypatch.setattr(rest, "MOST", 600)


def on(made, faces, direction):
    """A unit force (3n,) in one direction, spread evenly over some sides."""
    side = sides(made.nodes, faces)
    even = np.full((*side.w.shape, 1), 1 / side.w.sum())
    load = np.zeros(3 * len(made.nodes))
    load[direction::3] = vector(faces, traction_load(side, even), len(made.nodes))
    return load


def fixed(made, *directions, where=None):
    """Rows (k, 3n) that hold the nodes chosen, or all."""
    chosen = np.arange(len(made.nodes)) if where is None else np.flatnonzero(where)
    dof = (3 * chosen[:, None] + np.array(directions)).ravel()
    return sparse.eye_array(3 * len(made.nodes)).tocsr()[dof]


@pytest.mark.usefixtures("exact")
def test_a_thick_tube_under_pressure_yields_from_within(patch, pushed, verified):
    """Plane strain, without hardening, nearly incompressible: p for every radius c to which the
    tube is plastic; the bore then moves by u = (√3/2) σ c²/(E a).
    """
    a, b, wide, nu = 20.0, 40.0, 2.0, 0.49
    made = patch(lambda p: p * [wide, b - a], 1, 16)
    load, held = on(made, made.bottom, 1), fixed(made, 0, 2)
    metal = (YOUNGS, nu, Linear(PROOF))
    body = pushed(made.nodes, made.triangles, a, metal, [load], held, large=False)
    shear, area = PROOF / np.sqrt(3), 2 * np.pi * a * wide
    first = body.window.first_yield(body.unit[0]) / area  # at points 0.2 mm from the bore
    verified("thick tube, first yield: p, MPa", shear * (1 - a**2 / b**2), first, HILL, within=0.03)
    bore = np.sqrt(3) / 2 * PROOF / (YOUNGS * a)
    gone = followed(body, set_mm=10.0, farthest=bore * b**2)
    pressure, c = gone.of("force") / area, np.sqrt(gone.of("movement") / bore)
    theirs = shear * (1 - c**2 / b**2 + 2 * np.log(c / a))
    for k in (np.abs(c - share * a).argmin() for share in (1.25, 1.5, 1.75)):
        name = f"thick tube, plastic to {c[k] / a:.2f} a: p, MPa"
        verified(name, theirs[k], pressure[k], HILL, within=0.005)
    most = 2 * shear * np.log(b / a)
    verified("thick tube, all plastic: p, MPa", most, pressure[-1], HILL, within=0.005)


@pytest.mark.usefixtures("exact")
def test_a_bar_bent_and_let_go_keeps_a_curvature(patch, pushed, verified):
    """A square bar as a ring so large that it is straight, turned about its own line by a couple on
    its faces: hoop strain φ x/R is that of bending. k is the curvature by that at first yield.
    """
    radius, wide, high = 1000.0, 10.0, 10.0
    made = patch(lambda p: (p - 0.5) * [wide, high], 12, 4)
    load = on(made, made.top, 0) - on(made, made.bottom, 0)
    middle = np.isclose(made.nodes, 0, atol=1e-9).all(axis=1)
    held = sparse.vstack([fixed(made, 2), fixed(made, 0, where=middle)])
    metal = (YOUNGS, 0.3, Linear(PROOF))
    body = pushed(made.nodes, made.triangles, radius, metal, [load], held, large=False)
    elastic = PROOF * high * wide**2 / 6 * 2 * np.pi / high  # force of the couple at first yield
    turn = 2 * PROOF * radius / (YOUNGS * wide) * high  # movement of the faces then
    gone = followed(body, set_mm=20.0, farthest=3 * turn)
    k, kept, force = (gone.of(what) for what in ("movement", "set_mm", "force"))
    k, kept, force = k / turn, kept / turn, force / elastic
    for step in (np.abs(k - each).argmin() for each in (1.3, 2.0, 3.0)):
        bent = k[step]
        moment = 1.5 - 0.5 / bent**2
        verified(f"bar bent by k = {bent:.2f}: M/M_e", moment, force[step], BENT, within=0.01)
        left = bent - moment
        verified(f"bar bent by k = {bent:.2f}: k left", left, kept[step], BENT, within=0.02)


@pytest.mark.usefixtures("exact")
def test_a_ring_squeezed_between_two_loads_folds_at_four_hinges(patch, pushed, verified):
    """P = 4 M_p/R, by half: the sector repeats twice. The load is spread over 4 mm, so that its
    lever to the hinge at the side is shorter by (½ − 2/π²) of half of that.
    """
    radius, wide, thick, half = 40.0, 2.4, 2.4, 1.2
    made = patch(lambda p: (p - 0.5) * [wide, thick], 2, 4)
    middle = np.isclose(made.nodes, 0, atol=1e-9).all(axis=1)
    # Nothing but a soft spring keeps it from spinning about its axis.
    held = sparse.vstack([fixed(made, 0, where=middle), 1e-5 * fixed(made, 2, where=middle)])
    body = pushed(
        made.nodes, made.triangles, radius, (YOUNGS, 0.3, Linear(PROOF)), [-on(made, made.top, 1)],
        held, repeats=2, half_angle=half / radius, highest=160, large=False,
    )  # fmt: skip
    plastic = PROOF * wide * thick**2 / 4
    lever = radius - (0.5 - 2 / np.pi**2) * half
    gone = followed(body, set_mm=20.0, farthest=5.0)
    verified("squeezed ring: P, N", 4 * plastic / lever, gone.of("force")[-1], HINGES, within=0.03)


@pytest.mark.usefixtures("exact")
@pytest.mark.parametrize(
    ("edge", "held", "thick", "cells", "theirs"),
    [
        ("simply supported", (0,), 5.0, (4, 30), (6.51, SUPPORTED)),
        pytest.param("clamped", (0, 1), 2.5, (6, 60), (12.5, CLAMPED), marks=pytest.mark.long),
    ],
)
def test_a_round_plate_under_even_pressure_gives_way(
    patch, pushed, verified, edge, held, thick, cells, theirs
):
    """The plate is a body of revolution about its own middle. The factors of M_p/R² are those of
    von Mises' rule, worked out again from the balance r M_r′ = M_t − M_r − p r²/2: 6.516 and 12.55.
    """
    radius = 100.0
    # The clamped edge bends as a hinge: small triangles there.
    made = patch(lambda p: np.column_stack([thick * p[:, 0], radius * _graded(p[:, 1])]), *cells)
    rim, axis = np.isclose(made.nodes[:, 1], radius), made.nodes[:, 1] == 0
    still = sparse.vstack(
        [fixed(made, 2), fixed(made, 1, where=axis), fixed(made, *held, where=rim)]
    )
    load, metal = _on_disc(made, made.left), (YOUNGS, 0.3, Linear(PROOF))
    body = pushed(made.nodes, made.triangles, 0.0, metal, [load], still, large=False)
    first = body.window.first_yield(body.unit[0]) * body.own[0, 0]
    gone = followed(body, set_mm=100.0, farthest=12 * first)
    factor, source = theirs
    ours = gone.of("force")[-1] / (np.pi * radius**2) / (PROOF * thick**2 / 4 / radius**2)
    verified(f"round plate, {edge}: p R²/M_p", factor, ours, source, within=0.025)


def _graded(s):
    return 1 - (1 - s) ** 2


def _on_disc(made, faces):
    """A unit force (3n,) along the axis as an even pressure on a disc about it."""
    side = sides(made.nodes, faces)
    around = side.points[..., 1]
    even = (around / (side.w * around).sum())[..., None]
    load = np.zeros(3 * len(made.nodes))
    load[0::3] = vector(faces, traction_load(side, even), len(made.nodes))
    return load


# Hardens so steeply that it does not flow to speak of; the stress says how long a first step is.
ELASTIC = Linear(10.0, 1e9)
FAR = 1e5  # radius of a ring of which a slice is plane, mm


@pytest.mark.usefixtures("exact")
def test_a_shallow_truss_of_two_bars_snaps_through(patch, pushed, verified):
    """One bar of the two, as a flat cone so large that it is straight, hinged in the middle of
    both ends, where the mean is held; its top is pushed along the axis. P L³/(E A) = (h² − w²) w
    for both bars, w of the rise h being left: greatest at h/√3, and less and less beyond.
    """
    half, rise, thick = 100.0, 5.0, 6.0
    length = np.hypot(half, rise)
    along, normal = np.array([-rise, half]) / length, np.array([half, rise]) / length
    made = patch(
        lambda p: np.outer((p[:, 0] - 0.5) * thick, normal) + np.outer(p[:, 1] * length, along),
        2, 24,
    )  # fmt: skip
    ends = [on(made, made.bottom, 0), on(made, made.bottom, 1), on(made, made.top, 1)]
    held = sparse.vstack([fixed(made, 2), np.array(ends)])
    load, metal = on(made, made.top, 0), (YOUNGS, 0.0, ELASTIC)
    body = pushed(made.nodes, made.triangles, FAR, metal, [load], held)
    gone = followed(body, set_mm=20.0, farthest=0.95 * rise)
    both = 2 * gone.of("force") / (2 * np.pi * FAR) * length**3 / (YOUNGS * thick)
    left = (rise - gone.of("movement")) / rise
    top = 2 / 3**1.5
    verified("two-bar truss, greatest P L³/EA h³", top, both.max() / rise**3, MISES, within=0.005)
    for k in (np.abs(left - share).argmin() for share in (0.8, 0.4, 0.15)):
        name, theirs = f"two-bar truss, {left[k]:.2f} h left", (1 - left[k] ** 2) * left[k]
        verified(name, theirs, both[k] / rise**3, MISES, within=0.01)


@pytest.mark.long
@pytest.mark.usefixtures("exact")
def test_a_cantilever_bends_far_round(patch, pushed, verified):
    """P L²/EI = 1 and 2 at its end, which goes down by half the length and turns by 45°."""
    length, thick = 10.0, 0.6
    made = patch(lambda p: (p - [0.5, 0]) * [thick, length], 2, 16)
    foot = np.isclose(made.nodes[:, 1], 0)
    held = sparse.vstack([fixed(made, 2), fixed(made, 0, 1, where=foot)])
    load, metal = on(made, made.top, 0), (YOUNGS, 0.0, ELASTIC)
    body = pushed(made.nodes, made.triangles, FAR, metal, [load], held)
    gone = followed(body, set_mm=100.0, farthest=5.0)
    unit = YOUNGS * thick**3 / 12 / length**2 * 2 * np.pi * FAR
    for force, tip in ((1, 0.30172), (2, 0.49346)):
        ours = np.interp(tip * length, gone.of("movement"), gone.of("force") / unit)
        verified(f"cantilever, tip {tip} L down: P L²/EI", force, ours, ELASTICA, within=0.01)
