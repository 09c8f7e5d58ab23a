"""A small village laid exactly, for tests: three zones, a ring, tiles or none, the card beside or on the table."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.helpers.scenes.laying import box, lay
from tests.helpers.scenes.model import Film, Print, Scene, Surface, Tape, TruePiece, Zone
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.view import looking

WIDTH, DEPTH = 304.8, 254.0
TAPES = {1: Tape((188, 33, 26), 12.0), 2: Tape((48, 103, 187), 18.0), 3: Tape((233, 200, 57), 6.0)}
ZONES = (Zone("library", 1), Zone("stables", 2), Zone("meadow", 3))
SHAPES: dict[str, FloatArray] = {
    "library": box(42, 40, 90, 70),
    "stables": np.array([[170.0, 42], [262, 50], [250, 130], [176, 126]]),
    "meadow": np.array([[45.0, 150], [140, 150], [140, 190], [200, 190], [200, 226], [45, 226]]),
}


def village(
    *,
    tiles: bool = True,
    tilt: float = 4.0,
    size: tuple[int, int] = (1600, 1200),
    thickness: float = 0.0,
    film: Film | None = None,
    k1: float = 0.0,
    seed: int = 1,
) -> Scene:
    """The scene; with a thickness the card lies on the table."""
    random = np.random.default_rng(seed)
    pieces = tuple(TruePiece(zone.name, SHAPES[zone.name]) for zone in ZONES)
    strips = [s for z in ZONES for s in lay(SHAPES[z.name], z.swatch, TAPES[z.swatch].width, random, over=(0.5, 4.0))]
    card = Print(0, "card", (WIDTH + 25, 40.0), 0.03, height=0.1 - thickness)
    corners = [
        Print(i + 1, "corner", p)
        for i, p in enumerate([(0, 0), (WIDTH - 32, 0), (WIDTH - 32, DEPTH - 32), (0, DEPTH - 32)])
    ]
    around = np.array([[-8, -8], [WIDTH + 220, -8], [WIDTH + 220, DEPTH + 8], [-8, DEPTH + 8]])
    return Scene(
        WIDTH, DEPTH, looking(size, around, tilt=tilt, azimuth=35, k1=k1), TAPES, ZONES, pieces,
        (card, *(corners if tiles else ())), thickness,
        board=Surface((238, 238, 234), "noise", 0.02), table=Surface((120, 118, 116), "noise", 0.05),
        offcuts=() if thickness else (box(WIDTH + 17, 32, 200, 140),), strips=tuple(strips),
        film=film or Film(seed=seed), on_table=thickness > 0,
    )  # fmt: skip


def without(scene: Scene, *kinds: str) -> Scene:
    """The scene without the prints of these kinds."""
    return replace(scene, prints=tuple(p for p in scene.prints if p.kind not in kinds))


__all__ = ["DEPTH", "SHAPES", "TAPES", "WIDTH", "ZONES", "village", "without"]
