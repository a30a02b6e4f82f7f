"""From the caliper numbers of a bicycle rim to mechanics: which wall gives first, and why.

    import rimfea
    sheet = rimfea.read_sheet("profiles/curlew.toml")
    analysis = rimfea.analyse(sheet)
    print(analysis.governing.verdict.governing.wall)

Lengths in mm, forces in N, stresses in MPa. Indicative only: the maker's limits, local codes
and licensed practice come first. Names are imported when first used, so that the command line
starts at once.
"""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from rimfea.elastic.spokes import Lacing
    from rimfea.files.mesh_vtu import write_vtu
    from rimfea.files.setup_toml import read_setup
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.geometry.outline import from_rings
    from rimfea.profile.build import outline
    from rimfea.profile.label import named
    from rimfea.profile.measure import measure
    from rimfea.profile.sheet import Sheet
    from rimfea.report.answers import as_json
    from rimfea.report.figures import comparison_figure, section_figure, stress_figure
    from rimfea.report.words import Units
    from rimfea.study.analysis import Analysis, analyse, inspect
    from rimfea.study.cases import Loading
    from rimfea.study.compare import differences, measured
    from rimfea.study.near import near
    from rimfea.study.ride import ride, rides
    from rimfea.study.sensitivity import sensitivity
    from rimfea.study.setup import End, Setup
    from rimfea.study.thicker import thicker

_HOME = {
    "Analysis": "study.analysis",
    "End": "study.setup",
    "Lacing": "elastic.spokes",
    "Loading": "study.cases",
    "Setup": "study.setup",
    "Sheet": "profile.sheet",
    "Units": "report.words",
    "analyse": "study.analysis",
    "as_json": "report.answers",
    "comparison_figure": "report.figures",
    "differences": "study.compare",
    "from_rings": "geometry.outline",
    "inspect": "study.analysis",
    "measure": "profile.measure",
    "measured": "study.compare",
    "named": "profile.label",
    "near": "study.near",
    "outline": "profile.build",
    "read_setup": "files.setup_toml",
    "read_sheet": "files.sheet_toml",
    "ride": "study.ride",
    "rides": "study.ride",
    "section_figure": "report.figures",
    "sensitivity": "study.sensitivity",
    "stress_figure": "report.figures",
    "thicker": "study.thicker",
    "write_vtu": "files.mesh_vtu",
}

__all__ = [
    "Analysis",
    "End",
    "Lacing",
    "Loading",
    "Setup",
    "Sheet",
    "Units",
    "analyse",
    "as_json",
    "comparison_figure",
    "differences",
    "from_rings",
    "inspect",
    "measure",
    "measured",
    "named",
    "near",
    "outline",
    "read_setup",
    "read_sheet",
    "ride",
    "rides",
    "section_figure",
    "sensitivity",
    "stress_figure",
    "thicker",
    "write_vtu",
]


def __getattr__(name: str) -> object:
    if name not in _HOME:
        raise AttributeError(f"rimfea has no {name}")
    return getattr(importlib.import_module(f"rimfea.{_HOME[name]}"), name)


def __dir__() -> list[str]:
    return sorted(__all__)
