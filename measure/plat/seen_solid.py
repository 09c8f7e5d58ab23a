"""A structure as photos of it from several sides show it: what solid it is, where it stands, how large it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from measure.quantity import FloatArray, Quantity

SeenKind = Literal["box", "prism", "pyramid", "cylinder", "cone", "other"]
"""`other` is a structure of which no more than a marked edge is known."""
SeenOrigin = Literal["photos", "marked photo"]


Pixel = tuple[float, float]


@dataclass(frozen=True)
class HeightMark:
    """Foot and top of an upright edge as a person marked them in a photo, px of it upright (from 0), each with a
    standard uncertainty of u px; photo is the SHA-256 of its file.
    """

    photo: str
    foot: Pixel
    top: Pixel
    u: float


@dataclass(frozen=True, eq=False)
class SeenSolid:
    """One structure: its kind, the ring (n, 2) in mm that it stands on, and its measures in mm, mm2 and mm3.

    A prism lies like a tent, its ridge along its length.  Each measure's uncertainty is its own: what it shares with
    other structures and with outlines is not kept, so it is not to be combined with theirs.  None where the photos do
    not tell it.  origin says whether photos from several sides tell its height, or marks on one; of `other` ones the
    footprint is a speck at the mark's foot, and the floor 0.  mark is what the height was marked by.
    """

    kind: SeenKind
    footprint: FloatArray
    floor: Quantity
    height: Quantity | None
    volume: Quantity | None
    surface: Quantity | None
    side_surface: Quantity | None
    origin: SeenOrigin = "photos"
    mark: HeightMark | None = None

    @property
    def centre(self) -> tuple[float, float]:
        """The middle of its footprint, mm."""
        x, y = self.footprint.mean(axis=0)
        return float(x), float(y)
