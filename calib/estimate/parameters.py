"""The parameters of the joint estimate of one photo, by name and in the order of its vector."""

from __future__ import annotations

from calib.camera import CAMERA_PARAMETERS
from calib.printed import CARD_TAG, CORNER_TAGS
from calib.radial_terms import RADIAL

__all__ = [
    "CAMERA_COUNT", "CARD", "CURL", "INDEX", "NAMES", "OWN", "PAPER", "PARCEL", "RADIAL", "SCALE", "SHIFTS", "TILES",
    "shift_of",
]  # fmt: skip

PAPER = 0.1
"""Thickness of a printed sheet, mm (80 g/m2 office paper, common practice, no source)."""
SHIFTS = tuple(f"shift {tag}" for tag in (CARD_TAG, *CORNER_TAGS))
"""How far each print's edges are shifted towards the ink, px."""
SCALE = ("scale along", "scale up")
PARCEL = ("parcel width", "parcel depth")
TILES = tuple(f"tile {tag} {axis}" for tag in CORNER_TAGS for axis in ("x", "y", "turn"))
CARD = ("card x", "card y", "card turn", "card height")
CURL = ("card curl along", "card curl up", "card twist")
"""How far the card's ends, its upper and lower edge, and its corners lie above (twist: two of them below) its middle,
mm.
"""
NAMES = (*CAMERA_PARAMETERS, *SHIFTS, *SCALE, *PARCEL, *TILES, *CARD, *CURL)
INDEX = {name: i for i, name in enumerate(NAMES)}
CAMERA_COUNT = len(CAMERA_PARAMETERS)
OWN = (
    "rx", "ry", "rz", "tx", "ty", "tz", "log_f", "cx", "cy", *SHIFTS, "card x", "card y", "card turn", *CURL,
)  # fmt: skip
"""What every photo has for itself; a phone's photos share its radial terms, a model's the print, tiles and parcel."""


def shift_of(tag: int) -> str:
    """The name of a print's own edge shift."""
    return f"shift {tag}"
