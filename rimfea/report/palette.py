"""One colour a wall, the same everywhere, and the colours of stress.

The eight wall colours are the set that Okabe and Ito published for colour-blind readers
(Color Universal Design, 2008; values from memory); every picture names the walls as well.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from matplotlib.colors import LinearSegmentedColormap

from rimfea.profile.walls import Wall

INK = "#22303a"
FAINT = "#8b979e"
PAPER = "#ffffff"

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
