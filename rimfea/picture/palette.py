"""Paper and ink, the walls' colours, the same everywhere, and the colours of stress."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from matplotlib.colors import LinearSegmentedColormap

from rimfea.profile.walls import Wall


@dataclass(frozen=True)
class Look:
    """What a picture is drawn on and with: the paper, and two colours in which words may stand
    on it.
    """

    paper: str
    ink: str
    faint: str


LIGHT = Look(paper="#ffffff", ink="#22303a", faint="#66737b")
DARK = Look(paper="#161c21", ink="#e6eaec", faint="#9aa6ad")
# Everything is drawn in the light look; rimfea.picture.theme turns a finished picture dark.
PAPER, INK, FAINT = LIGHT.paper, LIGHT.ink, LIGHT.faint
HALO_WIDTH = 4.5  # of the paper around words and marks that lie on metal
MORE, LESS = "#0072b2", "#d55e00"  # what a load adds and takes, told by a sign as well

WALL_COLOURS: Mapping[str, str] = MappingProxyType({wall: wall.colour for wall in Wall})

# Lightness falls steadily from unloaded to yielding, so it reads in grey as well.
STRESS = LinearSegmentedColormap.from_list(
    "peat", ["#f4f1e6", "#d9d3a0", "#cf9f4a", "#a8482a", "#4a1526"]
)


def wall_colour(name: str) -> str:
    """The colour of a wall; faint for a name that is not a wall's."""
    return WALL_COLOURS.get(name, FAINT)
