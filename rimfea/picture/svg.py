"""A figure as SVG that stands inside a page and takes the page's colours."""

from __future__ import annotations

import re
from html import escape

from matplotlib.figure import Figure

from rimfea.picture.palette import LIGHT
from rimfea.picture.written import written

RASTER_DPI = 200  # of the meshes in it
LEFT_OUT = re.compile(r"<metadata>.*?</metadata>|<!--.*?-->", re.DOTALL)
VARIABLES = {LIGHT.paper: "var(--paper)", LIGHT.ink: "var(--ink)", LIGHT.faint: "var(--faint)"}


def inline_svg(figure: Figure, title: str, prefix: str) -> str:
    """The figure as one ``svg`` element with a title for those who do not see it.

    The same figure gives the same text. Its names begin with ``prefix``, so that several stand
    in one page; paper and inks are the variables ``--paper``, ``--ink`` and ``--faint``.
    """
    alone = LEFT_OUT.sub("", written(figure, "svg", RASTER_DPI).decode())
    body = alone[alone.index(">", alone.index("<svg")) + 1 :]
    box = re.search(r'viewBox="([^"]*)"', alone)
    body = body.replace("xlink:href", "href")
    body = re.sub(r'\bid="', f'id="{prefix}-', body)
    body = re.sub(r'href="#|url\(#', lambda found: f"{found[0]}{prefix}-", body)
    for colour, variable in VARIABLES.items():
        body = body.replace(colour, variable)
    told = f'<title id="{prefix}-title">{escape(title)}</title>'
    head = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="{box[1] if box else ""}" role="img"'
    return f'{head} aria-labelledby="{prefix}-title">{told}{body.strip()}'
