"""How the document is built, without network: `python -m sphinx -W -q rimfea/docs OUT`."""

from __future__ import annotations

import sys
import tomllib
from pathlib import Path

HERE = Path(__file__).parent
sys.path[:0] = [str(HERE), str(HERE.parents[1])]

about = tomllib.loads((HERE.parents[1] / "pyproject.toml").read_text(encoding="utf-8"))["project"]

project = about["name"]
author = about["authors"][0]["name"]
version = release = about["version"]
project_copyright = author

extensions = ["myst_parser", "sphinx.ext.autodoc", "mathml", "tables"]
myst_enable_extensions = ["dollarmath", "substitution", "deflist"]
myst_heading_anchors = 3
myst_substitutions = {"version": version, "licence": about["license"]}
nitpicky = False

autodoc_member_order = "bysource"
autodoc_typehints = "signature"
autodoc_preserve_defaults = True
python_use_unqualified_type_names = True

html_theme = "alabaster"
html_theme_options = {
    "description": about["description"],
    "page_width": "1000px",
    "sidebar_width": "230px",
    "show_powered_by": False,
    "fixed_sidebar": True,
}
html_static_path = ["static"]
html_css_files = ["document.css"]
html_math_renderer = "mathml"
html_show_sourcelink = False
html_copy_source = False
