"""Where the grams of a rim are: metal belongs to the wall whose face is nearest."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from scipy.spatial import KDTree

from rimfea.fem.elements import elements
from rimfea.fem.shape import Rule
from rimfea.geometry.chords import stations
from rimfea.profile.pieces import Piece
from rimfea.profile.walls import Wall
from rimfea.section.rim import GRAM_PER_MM3
from rimfea.study.analysis import Analysis, spoke_holes

SPACING_MM = 0.05  # of the places on the faces
CUT = 6  # pieces of a triangle's side: metal goes to a wall in such pieces of triangles


def _pieces(cut: int) -> Rule:
    """A rule whose points are the middles of the parent triangle cut into equal small ones."""
    i, j = (each.ravel() for each in np.indices((cut, cut)))
    up = np.stack([i, j], axis=1)[i + j < cut] + 1 / 3
    down = np.stack([i, j], axis=1)[i + j < cut - 1] + 2 / 3
    places = np.vstack([up, down]) / cut
    return Rule(places, np.full(len(places), 0.5 / len(places)))


def grams(analysis: Analysis) -> Mapping[str, float]:
    """Grams of every wall, the spoke holes taken off where they are drilled, and of the joint if
    there is anything in it; together the mass of the hoop.

    Metal is summed at the points of the mesh's triangles, 2π r dA, and the little by which their
    sides miss the arcs is shared out by weight.
    """
    sheet, rim = analysis.sheet, analysis.hoop
    on_faces, _, label = stations(analysis.outline, SPACING_MM)
    names = tuple(dict.fromkeys(analysis.outline.labels))
    el = elements(analysis.mesh.nodes, analysis.mesh.triangles, _pieces(CUT))
    nearest = label[KDTree(on_faces).query(el.points.reshape(-1, 2))[1]]
    swept = (el.w * (sheet.seat_radius_mm + el.points[..., 1])).ravel()
    volume = np.bincount(nearest, weights=swept, minlength=len(names))
    drilled = sheet.metal.density_kg_m3 * GRAM_PER_MM3 * spoke_holes(sheet).volume_mm3
    whole = rim.mass_g - rim.joint_g + drilled
    found = dict(zip(names, (whole * volume / volume.sum()).tolist(), strict=True))
    if drilled:
        found[Wall.NIPPLE_SEAT] = found.get(Wall.NIPPLE_SEAT, 0.0) - drilled
    order = [
        *(wall for wall in Wall if wall in found),
        *(each for each in found if each not in tuple(Wall)),
    ]
    joint = {str(Piece.JOINT): rim.joint_g} if rim.joint_g else {}
    return {**{str(name): found[name] for name in order}, **joint}


def grams_by_piece(analysis: Analysis) -> Mapping[str, float]:
    """The same by what a builder grips as one: hook and lip together, spoke bed and nipple seat."""
    found: dict[str, float] = {}
    whose = {str(wall): str(piece) for piece in Piece for wall in piece.walls}
    for name, each in grams(analysis).items():
        piece = whose.get(name, name)
        found[piece] = found.get(piece, 0.0) + each
    return found
