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
    from rimfea.ask.compare import differences, measured
    from rimfea.ask.thicker import thicker
    from rimfea.elastic.spokes import Lacing
    from rimfea.files.mesh_vtu import write_vtu
    from rimfea.files.setup_toml import read_setup
    from rimfea.files.sheet_toml import read_sheet
    from rimfea.geometry.outline import from_rings
    from rimfea.picture.figures import comparison_figure, section_figure, stress_figure
    from rimfea.profile.build import outline
    from rimfea.profile.sheet import Sheet
    from rimfea.study.analysis import Analysis, analyse, inspect
    from rimfea.study.cases import Loading
    from rimfea.study.ride import ride, rides
    from rimfea.study.setup import End, Setup
    from rimfea.traced.label import named
    from rimfea.traced.measure import measure
    from rimfea.vary.datum import datum
    from rimfea.vary.sensitivity import sensitivity
    from rimfea.words.data import as_json
    from rimfea.words.numbers import Units

_HOME = {
    "Analysis": "study.analysis",
    "End": "study.setup",
    "Lacing": "elastic.spokes",
    "Loading": "study.cases",
    "Setup": "study.setup",
    "Sheet": "profile.sheet",
    "Units": "words.numbers",
    "analyse": "study.analysis",
    "as_json": "words.data",
    "comparison_figure": "picture.figures",
    "differences": "ask.compare",
    "from_rings": "geometry.outline",
    "inspect": "study.analysis",
    "measure": "traced.measure",
    "measured": "ask.compare",
    "named": "traced.label",
    "datum": "vary.datum",
    "outline": "profile.build",
    "read_setup": "files.setup_toml",
    "read_sheet": "files.sheet_toml",
    "ride": "study.ride",
    "rides": "study.ride",
    "section_figure": "picture.figures",
    "sensitivity": "vary.sensitivity",
    "stress_figure": "picture.figures",
    "thicker": "ask.thicker",
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
    "datum",
    "differences",
    "from_rings",
    "inspect",
    "measure",
    "measured",
    "named",
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
