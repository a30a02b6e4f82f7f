"""How a picture is shown: small, on a page or as a slide, on light or on dark paper."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import StrEnum
from types import MappingProxyType
from typing import Any

import numpy as np
from matplotlib import rc_context
from matplotlib.artist import Artist
from matplotlib.axes import Axes
from matplotlib.collections import Collection
from matplotlib.colors import same_color, to_rgba
from matplotlib.figure import Figure
from matplotlib.lines import Line2D
from matplotlib.patches import Patch
from matplotlib.patheffects import withStroke
from matplotlib.text import Annotation, Text

from rimfea.picture.palette import DARK, HALO_WIDTH, INK, LIGHT, PAPER


class Size(StrEnum):
    """What a picture is for."""

    SMALL = "small"
    PAGE = "page"
    SLIDE = "slide"


MM = 1 / 25.4
# Width and height in inches, and how many points letters have. A slide is drawn at half the size
# of a screen, for letters and lines of a lecture.
SIZES: Mapping[Size, tuple[float, float, float]] = MappingProxyType(
    {
        Size.SMALL: (80 * MM, 66 * MM, 6.5),
        Size.PAGE: (160 * MM, 115 * MM, 9.0),
        Size.SLIDE: (6.4, 3.6, 8.5),
    }
)
SLIDE_DPI = 300  # 1920 by 1080 pixels
INKED = ("text.color", "axes.labelcolor", "axes.edgecolor", "xtick.color", "ytick.color")
DARKER: Mapping[str, str] = MappingProxyType(
    {LIGHT.paper: DARK.paper, LIGHT.ink: DARK.ink, LIGHT.faint: DARK.faint, "#000000": DARK.ink}
)


def shown(
    draw: Callable[[Axes], None], *, size: str = Size.PAGE, title: str = "", dark: bool = False
) -> Figure:
    """A figure of one picture: ``draw`` puts it on axes, such as
    ``lambda axes: draw_loads(axes, answer, units)``.

    Raises ValueError for a size that there is not.
    """
    width, height, points = SIZES[Size(size)]
    settings: dict[Any, Any] = {**dict.fromkeys(INKED, INK), "font.size": points}
    with rc_context(settings):
        dpi = SLIDE_DPI if size == Size.SLIDE else None
        figure = Figure((width, height), dpi=dpi, layout="constrained", facecolor=PAPER)
        draw(figure.subplots())
        if title:
            figure.suptitle(title, color=INK, wrap=True)
        figure.draw_without_rendering()  # ticks are made now, in these letters
    return darkened(figure) if dark else figure


def darkened(figure: Figure) -> Figure:
    """The same figure, its paper and inks changed for dark ones; other colours stay."""
    for artist in figure.findobj(include_self=True):
        _darken(artist)
    return figure


def _darken(artist: Artist) -> None:
    match artist:
        case Line2D():
            artist.set_color(_dark(artist.get_color()))
            artist.set_markerfacecolor(_dark(artist.get_markerfacecolor()))
            artist.set_markeredgecolor(_dark(artist.get_markeredgecolor()))
        case Text():
            artist.set_color(_dark(artist.get_color()))
            arrow = artist.arrow_patch if isinstance(artist, Annotation) else None
            for part in (artist.get_bbox_patch(), arrow):
                if part is not None:
                    _darken(part)
        case Patch():
            artist.set_facecolor(_dark(artist.get_facecolor()))
            artist.set_edgecolor(_dark(artist.get_edgecolor()))
        case Collection():
            if artist.get_array() is None:
                artist.set_facecolor(
                    [_dark(each) for each in np.atleast_2d(artist.get_facecolor())]
                )
            artist.set_edgecolor([_dark(each) for each in np.atleast_2d(artist.get_edgecolor())])
    for effect in artist.get_path_effects() or ():
        if isinstance(effect, withStroke):
            artist.set_path_effects([withStroke(linewidth=HALO_WIDTH, foreground=DARK.paper)])


def _dark(colour: Any) -> Any:  # noqa: ANN401 -- whatever matplotlib takes for a colour
    """The colour for dark paper, its opacity kept; one that is not of the light look stays."""
    if isinstance(colour, str) and colour in ("auto", "none"):
        return colour
    red, green, blue, opacity = to_rgba(colour)
    for light, dark in DARKER.items():
        if same_color((red, green, blue), light):
            return to_rgba(dark, opacity)
    return colour


def is_small(axes: Axes) -> bool:
    """Whether there is room for the most needful words only."""
    figure = axes.get_figure(root=True)
    return figure is not None and figure.get_figwidth() < 1.5 * SIZES[Size.SMALL][0]
