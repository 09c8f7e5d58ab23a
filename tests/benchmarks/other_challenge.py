"""Photos and the challenges of other models: are the wrong pairs refused, and none of the right ones?

    python -m tests.benchmarks.other_challenge [SCENES] [SEED]

Random scenes, each against its own challenge, against that with an honest mistake (a zone not built, a board cut a
little wrong) and against challenges of other models: a parcel of another size or of other proportions, or without the
zone tile that the photo shows, each with tapes that do not fit.  A wrong pair may be refused for another reason, too.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Print, Scene
from tests.helpers.scenes.random_scene import random_scene
from vision.picture.traced import TapeSpec
from vision.tracing import trace

SIZE = (1600, 1200)
RIGHT = ("own challenge", "a zone not built", "board cut 1.5 mm off")
WRONG = ("another size", "other proportions", "a tile it lacks")
ASKED = ("orchards", "quarry", "chapel")
Pair = tuple[str, Scene, PhotoSetup, tuple[TapeSpec, ...]]


def main() -> None:
    """Print one row a kind of pair: how many were measured, called another challenge's, refused for other reasons."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("scenes", type=int, nargs="?", default=200)
    ask.add_argument("seed", type=int, nargs="?", default=0)
    given = ask.parse_args()
    counts, wrong = Counter[tuple[str, str]](), list[str]()
    for seed in range(given.seed, given.seed + given.scenes):
        for kind, scene, setup, tapes in pairs(seed):
            outcome = outcome_of(scene, setup, tapes)
            counts[kind, outcome if outcome in ("measured", "other-challenge") else "other refusal"] += 1
            if (kind in RIGHT) == (outcome == "other-challenge") or (kind in WRONG and outcome == "measured"):
                wrong.append(f"{seed} {', '.join(scene.notes)}: {kind}: {outcome}")
    columns = ("measured", "other-challenge", "other refusal")
    print(f"{'pair':22}" + "".join(f"{column:>17}" for column in columns))
    for kind in (*RIGHT, *WRONG):
        print(f"{kind:22}" + "".join(f"{counts[kind, column]:>17}" for column in columns))
    print(*wrong, sep="\n")


def pairs(seed: int) -> Iterator[Pair]:
    """Every kind of pair with the photo of one random scene."""
    random, scene = np.random.default_rng(seed), random_scene(seed, size=SIZE)
    setup, tapes = photo_setup_of(scene), tuple(tapes_of(scene))
    free = [number for number in range(1, 9) if number not in scene.tapes]
    yield "own challenge", scene, setup, tapes
    yield "a zone not built", scene, setup, (*tapes, TapeSpec("chapel", free[0]))
    yield "board cut 1.5 mm off", scene, replace(setup, width=setup.width + 1.5, depth=setup.depth - 1.5), tapes
    far = float(random.choice([random.uniform(0.65, 0.9), random.uniform(1.12, 1.5)]))
    others = _others(tapes, free)
    yield "another size", scene, replace(setup, width=setup.width * far, depth=setup.depth * far), others
    yield "other proportions", scene, replace(setup, width=setup.width * far), others
    tiled = replace(scene, prints=(*scene.prints, _tile(scene)))
    yield "a tile it lacks", tiled, setup, others


def outcome_of(scene: Scene, setup: PhotoSetup, tapes: tuple[TapeSpec, ...]) -> str:
    """Whether a pair is measured, or for what reason it is refused."""
    try:
        trace(photo_of(scene), setup, tapes)
    except PhotoRefused as refused:
        return refused.reason
    return "measured"


def _others(tapes: tuple[TapeSpec, ...], free: list[int]) -> tuple[TapeSpec, ...]:
    """Another challenge's tapes: one of the photo's, and others whose boxes are empty in it."""
    own = TapeSpec("market", tapes[0].swatch)
    return (own, *(TapeSpec(name, number) for name, number in zip(ASKED, free, strict=False)))


def _tile(scene: Scene) -> Print:
    """A zone tile of another challenge in the middle of the first zone."""
    middle = np.asarray(scene.pieces[0].polygon.representative_point().coords[0]) - 12.0
    return Print(77, "zone", (float(middle[0]), float(middle[1])))


if __name__ == "__main__":
    main()
