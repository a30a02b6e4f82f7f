"""One colour a wall, the same everywhere, and the colours of stress.

The eight wall colours are the set that Okabe and Ito published for colour-blind readers
(Color Universal Design, 2008; values from memory); every picture names the walls as well.
"""

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

WALL_COLOURS: Mapping[str, str] = MappingProxyType(
    {
        Wall.BEAD_HOOK: "#d55e00",
        Wall.HOOK_LIP: "#e69f00",
        Wall.SIDEWALL: "#56b4e9",
        Wall.BEAD_SEAT: "#009e73",
        Wall.TYRE_WELL: "#f0e442",
        Wall.FLANK: "#0072b2",
        Wall.SPOKE_BED: "#cc79a7",
        Wall.NIPPLE_SEAT: "#5b5b5b",
    }
)

# Lightness falls steadily from unloaded to yielding, so it reads in grey as well.
STRESS = LinearSegmentedColormap.from_list(
    "peat", ["#f4f1e6", "#d9d3a0", "#cf9f4a", "#a8482a", "#4a1526"]
)


def wall_colour(name: str) -> str:
    """The colour of a wall; faint for a name that is no wall's."""
    return WALL_COLOURS.get(name, FAINT)
