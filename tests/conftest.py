"""What all tests share: the same random examples at every run, no deadline, and rims to ask."""

from __future__ import annotations

from dataclasses import replace
from hashlib import blake2b
from pathlib import Path

import numpy as np
import pytest
from hypothesis import settings
from threadpoolctl import threadpool_limits

from rimfea.elastic.harmonics import TOLERANCE, solve_harmonics
from rimfea.elastic.kept import give_back
from rimfea.elastic.ring import solve_ring
from rimfea.elastic.ring_field import solve_loads
from rimfea.elastic.spokes import spokes
from rimfea.files.sheet_toml import read_sheet
from rimfea.plastic.path import Path as Pushed
from rimfea.plastic.path import Step
from rimfea.profile.families import Family
from rimfea.profile.sheet import Sheet
from rimfea.study.analysis import analyse, inspect
from rimfea.study.cases import USUAL, usual_lacing
from rimfea.study.dent import Curve, Dent

settings.register_profile("repeatable", derandomize=True, deadline=None)
settings.load_profile("repeatable")
threadpool_limits(1, user_api="blas")  # more wait for work by turning over, and take the other core

PROFILES = Path(__file__).parents[1] / "profiles"
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
MOST_RINGS = 20  # of 10 to 20 MB


@pytest.fixture(scope="session", autouse=True)
def each_ring_once():
    """A ring that was solved a while ago is not solved again: most tests ask something else of
    the same few rims, and :func:`solve_harmonics`, tested for itself, gives the same every time.
    """
    kept = {}

    def remembered(body, F, still, highest, tolerance=TOLERANCE, guess=None):
        if guess:
            return solve_harmonics(body, F, still, highest, tolerance, guess)
        arrays = (*body.data, body.pattern.indices, F, still)
        asked = blake2b(b"".join(np.ascontiguousarray(each) for each in arrays)).digest()
        asked = (asked, highest, tolerance)
        kept[asked] = kept.pop(asked, None) or solve_harmonics(body, F, still, highest, tolerance)
        if len(kept) > MOST_RINGS:
            del kept[next(iter(kept))]
        return kept[asked]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("rimfea.elastic.ring.solve_harmonics", remembered)
        yield


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
def looked(sheet_of):
    """A rim only looked at."""
    return inspect(sheet_of(), coarseness=COARSE)


@pytest.fixture(scope="session")
def whimbrel(sheet_of):
    """A solved rim."""
    return analyse(sheet_of(), coarseness=COARSE)


@pytest.fixture(scope="session")
def demo():
    """The invented rims, solved: by name."""
    files = sorted(PROFILES.glob("*.toml"))
    return {path.stem: analyse(read_sheet(path), coarseness=COARSE) for path in files}


@pytest.fixture(scope="session")
def solved(looked):
    """Fields of sets of loads on the ring of that rim, as it is or in the mirror of x = 0."""
    sheet = looked.sheet
    lacing = usual_lacing(sheet, USUAL)
    laced = spokes(lacing, sheet.seat_radius_mm - 12)
    facing = np.array([-1.0, 1.0, 1.0])
    bearing = (sheet.spoke_hole_mm, sheet.bearing_diameter_mm)
    turned = (mirrored(looked.mesh), replace(laced, direction=laced.direction * facing))
    rings = {
        side: solve_ring(mesh, sheet.metal, sheet.seat_radius_mm, held, bearing, 96)
        for side, (mesh, held) in {"as it is": (looked.mesh, laced), "mirrored": turned}.items()
    }

    def fields(*sets, side="as it is"):
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
        found = Dent(None, None, Curve(Pushed(None, steps, (), None)))
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
