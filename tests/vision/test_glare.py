"""Glare adds light to a tape, which may then look like another one: the band is closed with it, or not measured."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.helpers.scenes.laying import box, lay
from tests.helpers.scenes.model import Scene, Surface, Tape
from tests.helpers.scenes.raster import FloatArray
from tests.helpers.scenes.small import BLACK, BLUE, RED, check, scene_of, traced

YELLOW, PINK, WOOD = (240, 205, 60), (236, 130, 160), Surface((186, 148, 108), "paper", 0.05)
RING, OTHER = box(40, 60, 110, 130), box(190, 60, 100, 130)
UNUSED = 8
"""A roll of tape that no zone has: it stands for tape in glare."""


def in_glare(colour: tuple[int, int, int], added: float) -> tuple[int, int, int]:
    """A colour with light added to all channels, as a share of white (IEC 61966-2-1)."""
    value = np.array(colour) / 255
    light = np.where(value > 0.04045, ((value + 0.055) / 1.055) ** 2.4, value / 12.92) + added
    shown = np.where(light > 0.0031308, 1.055 * np.minimum(light, 1.0) ** (1 / 2.4) - 0.055, 12.92 * light)
    red, green, blue = np.rint(255 * shown).astype(int).tolist()
    return red, green, blue


def glared(ring: FloatArray, tape: Tape, added: float, sides: tuple[int, ...], other: Tape) -> Scene:
    """A zone some sides of which lie in glare, beside one in another tape."""
    random = np.random.default_rng(5)
    plain = tuple(i for i in range(len(ring)) if i not in sides)
    strips = [
        *lay(ring, 1, tape.width, random, over=(0, 2), sides=plain),
        *lay(ring, UNUSED, tape.width, random, over=(0, 2), sides=sides),
        *lay(OTHER, 2, other.width, random, over=(0, 2)),
    ]
    scene = scene_of([ring, OTHER], [tape, other], strips=strips, board=WOOD)
    return replace(scene, tapes={**scene.tapes, UNUSED: Tape(in_glare(tape.colour, added), tape.width)})


@pytest.mark.parametrize(
    ("colour", "added", "sides", "other"),
    [(BLACK, 0.25, (1,), YELLOW), (BLACK, 0.3, (1, 2), BLUE), (RED, 0.2, (2,), PINK), (BLUE, 0.25, (0, 1), YELLOW)],
)
def test_a_zone_partly_in_glare(
    colour: tuple[int, int, int], added: float, sides: tuple[int, ...], other: tuple[int, int, int]
) -> None:
    """In pink's case what glare makes of red is the other zone's colour."""
    check(glared(RING, Tape(colour, 12.0), added, sides, Tape(other, 12.0)), 0.01)


def test_a_paler_tape_is_no_glare_on_a_darker_one() -> None:
    """Red with light added is pink; where no part of a band is red, it is the pink tape's."""
    stray = lay(box(60, 210, 110, 20), 1, 12.0, np.random.default_rng(5), over=(0, 2), sides=(0,))
    pink = lay(OTHER, 2, 12.0, np.random.default_rng(6), over=(0, 2))
    scene = scene_of([RING, OTHER], [Tape(RED, 12.0), Tape(PINK, 12.0)], board=WOOD)
    result = traced(replace(scene, strips=(*stray, *pink)))
    assert [p.zone for p in result.pieces] == ["stables"]
    assert result.unread == ("library",)
