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
    from rimfea.study.compare import compare
    from rimfea.study.thicker import thicker

_HOME = {
    "Analysis": "study.analysis",
    "Lacing": "elastic.spokes",
    "Loading": "study.cases",
    "Sheet": "profile.sheet",
    "Units": "report.words",
    "analyse": "study.analysis",
    "as_json": "report.answers",
    "compare": "study.compare",
    "comparison_figure": "report.figures",
    "from_rings": "geometry.outline",
    "inspect": "study.analysis",
    "measure": "profile.measure",
    "named": "profile.label",
    "outline": "profile.build",
    "read_sheet": "files.sheet_toml",
    "section_figure": "report.figures",
    "stress_figure": "report.figures",
    "thicker": "study.thicker",
    "write_vtu": "files.mesh_vtu",
}

__all__ = [
    "Analysis",
    "Lacing",
    "Loading",
    "Sheet",
    "Units",
    "analyse",
    "as_json",
    "compare",
    "comparison_figure",
    "from_rings",
    "inspect",
    "measure",
    "named",
    "outline",
    "read_sheet",
    "section_figure",
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
