"""Small scenes of outlines given one by one, and what every test of them asks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from calib.photo_setup import Priors
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.laying import box, lay
from tests.helpers.scenes.model import Print, Scene, Strip, Surface, Tape, TruePiece, Zone
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.view import looking
from vision.picture.traced import Traced
from vision.tracing import trace

EXACT = Priors(0, 0, 0, 0, 0)
WIDTH, DEPTH = 330.0, 250.0
NAMES = ("library", "stables", "meadow", "market")
RED, BLUE, GREEN, BLACK = (196, 36, 40), (40, 90, 190), (44, 150, 70), (34, 34, 36)


def scene_of(
    rings: Sequence[FloatArray], tapes: Sequence[Tape], *, tiles: bool = True, over: tuple[float, float] = (-0.5, 3.0),
    strips: Sequence[Strip] | None = None, **more: object,
) -> Scene:  # fmt: skip
    """One zone an outline, each in its own tape."""
    random = np.random.default_rng(4)
    card = Print(0, "card", (WIDTH + 20, 50.0), 0.04)
    corners = ((0.0, 0.0), (WIDTH - 32, 0.0), (WIDTH - 32, DEPTH - 32), (0.0, DEPTH - 32))
    prints = [card, *(Print(i + 1, "corner", c) for i, c in enumerate(corners) if tiles)]
    laid = [s for i, r in enumerate(rings) for s in lay(r, i + 1, tapes[i].width, random, over=over)]
    around = np.array([[-8.0, -8], [WIDTH + 215, -8], [WIDTH + 215, DEPTH + 8], [-8, DEPTH + 8]])
    zones = tuple(Zone(NAMES[i], i + 1) for i in range(len(rings)))
    pieces = tuple(TruePiece(NAMES[i], r) for i, r in enumerate(rings))
    scene = Scene(
        WIDTH, DEPTH, looking((1600, 1200), around, tilt=5, azimuth=50), dict(enumerate(tapes, 1)), zones, pieces,
        tuple(prints), 0.0, Surface((238, 236, 230), "paper", 0.02), Surface((126, 120, 116), "noise", 0.05),
        (box(WIDTH + 12, 40, 200, 142),), tuple(laid if strips is None else strips),
    )  # fmt: skip
    return replace(scene, **more)  # type: ignore[arg-type]


def traced(scene: Scene) -> Traced:
    return trace(photo_of(scene), photo_setup_of(scene, EXACT), tapes_of(scene))


def check(scene: Scene, largest: float = 0.005, most: float = 3.0) -> Traced:
    """All pieces found, none too many, areas within `largest` and within `most` standard uncertainties."""
    result = traced(scene)
    score = compare(scene, result)
    assert (score.missed, score.extra) == ((), ())
    for one in score.scores:
        assert abs(one.error) < largest, one
        assert abs(one.z) < most, one
    return result
