"""A thousand random scenes, all errors of print, tiles, board and camera drawn from the default priors.

The suite measures a few of each kind in the other tests here; `python -m tests.benchmarks.stress FIRST COUNT --more
KIND` names what is wrong in a scene.
"""

from __future__ import annotations

import pytest

from tests.helpers.scenes.tally import tried

pytestmark = pytest.mark.long
EACH = 36
"""Scenes of one kind and place: 7 x 4 x 36 = 1008 in all."""
KINDS = [(), ("lent",), ("open",), ("corner",), ("doubled",), ("crossed",), ("steep",)]
PLACES = ("tiles", "beside", "on board", "table")


@pytest.mark.parametrize("place", PLACES)
@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: "".join(kind) or "plain")
def test_random_scenes(kind: tuple[str, ...], place: str) -> None:
    first = 50_000 + 1000 * KINDS.index(kind) + 100 * PLACES.index(place)
    tally = tried(range(first, first + EACH), place=place, more=kind)
    print(tally, *tally.wrong, sep="\n")
    assert tally.crashed == 0
