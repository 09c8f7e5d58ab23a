"""Models with solids on them, each photographed from several sides: random, with known truth."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from shapely.geometry import Polygon, box

from tests.helpers.scenes import printing
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.solids import KINDS, Solid
from tests.helpers.scenes.view import looking

PLAIN = ((232, 230, 224), (150, 112, 78), (128, 128, 130), (60, 62, 66))


def built_model(
    seed: int, tilts: Sequence[float] = (5.0, 25.0, 38.0), *, size: tuple[int, int] = (2400, 1800), most: int = 7,
    kinds: Sequence[str] = KINDS,
) -> list[Scene]:  # fmt: skip
    """One model with up to `most` solids, seen once at each tilt (degrees), each time from another side."""
    scene = random_scene(seed, size=size, place="tiles", troubles=())
    random = np.random.default_rng([seed, 17])
    solids = _solids(scene, random, most, kinds)
    corners = np.array([[0, 0], [scene.width, 0], [scene.width, scene.depth], [0, scene.depth]], float)
    at = np.concatenate([corners, printing.paper(scene.prints[0]), *scene.offcuts])
    azimuth = float(random.uniform(0, 360))
    scenes = []
    for number, tilt in enumerate(tilts):
        if number:
            azimuth += float(random.uniform(80, 140))
        film = replace(scene.film, seed=scene.film.seed + 100 * number)
        old = scene.view
        view = looking(
            old.size, at, tilt=tilt, azimuth=azimuth, roll=float(random.normal(0, 3)), focal=old.focal,
            fill=float(random.uniform(0.8, 0.92)), k1=old.k1, k2=old.k2,
            off_centre=tuple(random.normal(0, 0.0025 * float(np.hypot(*old.size)), 2)),
        )  # fmt: skip
        scenes.append(replace(scene, view=view, film=film, solids=solids, blocks=()))
    return scenes


def _solids(scene: Scene, random: np.random.Generator, most: int, kinds: Sequence[str]) -> tuple[Solid, ...]:
    """Solids on the board, clear of tape and prints where they stand."""
    kept = [Polygon(p.ring).exterior.buffer(2 + scene.tapes[_tape(scene, p.zone)].width / 2) for p in scene.pieces]
    kept += [
        Polygon(hole).exterior.buffer(2 + scene.tapes[_tape(scene, piece.zone)].width / 2)
        for piece in scene.pieces for hole in piece.holes
    ]  # fmt: skip
    kept += [Polygon(printing.paper(p)).buffer(3) for p in scene.prints]
    land = box(6, 6, scene.width - 6, scene.depth - 6)
    colours = [*PLAIN, scene.board.colour, *(t.colour for t in scene.tapes.values())]
    made: list[Solid] = []
    for _ in range(400):
        if len(made) == most:
            break
        kind = str(random.choice(list(kinds)))
        length, width, height = random.uniform(22, 62), random.uniform(18, 48), random.uniform(16, 85)
        if kind in ("cylinder", "cone"):
            width = length
        if kind == "pyramid":
            width = length
        base = np.array(colours[random.integers(len(colours))], float)
        colour = tuple(int(c) for c in np.clip(base * random.uniform(0.85, 1.1), 0, 250))
        centre = random.uniform((20, 20), (scene.width - 20, scene.depth - 20))
        printed = str(random.choice(["plain", "plain", "striped", "bricks"]))
        solid = Solid(kind, tuple(map(float, centre)), float(length), float(width), float(height),
                      float(random.uniform(0, np.pi)), colour, printed)  # type: ignore[arg-type]  # fmt: skip
        foot = Polygon(solid.foot)
        apart = float(random.choice([0.5, 4, 15]))
        if land.contains(foot) and all(foot.distance(k) > 0 for k in kept) and all(
            foot.distance(Polygon(s.foot)) > apart for s in made
        ):  # fmt: skip
            made.append(solid)
    return tuple(made)


def _tape(scene: Scene, zone: str) -> int:
    return next(z.swatch for z in scene.zones if z.name == zone)
