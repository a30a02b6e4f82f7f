"""What somebody may type, two or three lines a command: the end of its help, run by a test."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

EXAMPLES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "new": (
            "rimfea new dotterel.toml",
            "rimfea new dotterel.toml --unsawn --family hookless-double-wall",
            "rimfea new bog.toml --kind set-up",
        ),
        "inspect": (
            "rimfea inspect dotterel.toml",
            "rimfea inspect curlew --picture drawn.png",
        ),
        "analyse": (
            "rimfea analyse curlew --setup trail --quick",
            "rimfea analyse dotterel.toml --with rider_kg=95 --details",
            "rimfea analyse curlew --tension 1000N --pressure 36psi --json",
        ),
        "compare": (
            "rimfea compare curlew plover --quick",
            "rimfea compare curlew plover --swaps --quick",
            "rimfea compare rims --setup touring --base plover --picture side-by-side.png",
        ),
        "why": (
            "rimfea why curlew",
            "rimfea why dotterel.toml --setup trail --picture why.png",
        ),
        "worth": (
            "rimfea worth curlew --quick",
            "rimfea worth dotterel.toml --setup trail --force-unit kgf",
        ),
        "sweep": (
            "rimfea sweep curlew sidewall_mm=1.0:1.4:5",
            "rimfea sweep curlew hook_lip_mm=2.0:2.6:4 --of first-yield --picture lip.png",
            "rimfea sweep curlew sidewall_mm=1.0:1.4:5 flank_mm=0.9:1.3:5 --csv grid.csv",
        ),
        "wear": (
            "rimfea wear wheatear --pressure 6bar",
            "rimfea wear wheatear --pressure 87psi --tyre 28 --margin 2.5",
        ),
        "tap": (
            "rimfea tap curlew",
            "rimfea tap curlew 128 151 424 --picture tones.png",
            "rimfea tap curlew taps.wav --picture spectrum.png",
        ),
        "reconcile": (
            "rimfea reconcile plover",
            "rimfea reconcile dotterel.toml --also flank_mm --write dotterel-new.toml",
        ),
        "trace": (
            "rimfea trace scan.png --picture seen.png",
            "rimfea trace photo.jpg --known depth=21.0 --mirror --picture seen.png",
            "rimfea trace drawn.dxf --unit mm --outline drawn.csv",
        ),
        "report": (
            "rimfea report curlew --out curlew.html",
            "rimfea report curlew plover --quick --out both.html --pdf both.pdf",
        ),
        "page": (
            "rimfea page",
            "rimfea page dotterel.toml --setup trail",
        ),
        "design": (
            "rimfea design curlew --keep first-yield=1000N --keep set",
            "rimfea design curlew --mass 540 --only sidewall_mm --write lighter.toml",
        ),
        "choose": (
            "rimfea choose --setup touring --quick",
            "rimfea choose dotterel.toml plover --with rider_kg=95 --json",
            "rimfea choose rims --results found",
        ),
        "explain": (
            'rimfea explain "first yield"',
            "rimfea explain flank dent",
            "rimfea analyse curlew --quick --explain",
        ),
    }
)
"""By command; rims and set-ups with a bare name come with the program."""


def shown(name: str) -> str:
    """The examples of a command as the end of its help, each on a line of its own."""
    return "\n".join(["\b", "Examples:", *(f"  {line}" for line in EXAMPLES.get(name, ()))])
