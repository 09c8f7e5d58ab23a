"""A structure as photos of it from several sides show it: what solid it is, where it stands, how large it is."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from measure.quantity import FloatArray, Quantity

SeenKind = Literal["box", "prism", "pyramid", "cylinder", "cone"]


@dataclass(frozen=True, eq=False)
class SeenSolid:
    """One structure: its kind, the ring (n, 2) in mm that it stands on, and its measures in mm, mm2 and mm3.

    A prism lies like a tent, its ridge along its length.  Each measure's uncertainty is its own: what it shares with
    other structures and with outlines is not kept, so it is not to be combined with theirs.  None where the photos do
    not tell it.
    """

    kind: SeenKind
    footprint: FloatArray
    floor: Quantity
    height: Quantity | None
    volume: Quantity | None
    surface: Quantity | None
    side_surface: Quantity | None

    @property
    def centre(self) -> tuple[float, float]:
        """The middle of its footprint, mm."""
        x, y = self.footprint.mean(axis=0)
        return float(x), float(y)
