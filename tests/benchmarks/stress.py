"""Draws random scenes, measures them, prints what went wrong.

`python -m tests.benchmarks.stress FIRST COUNT [--place PLACE] [--more TROUBLE,...]`, or `show SEED FILE` with the same
options.  PLACE is where the card lies (tiles, beside, on board, table); the troubles are
those of tests.helpers.scenes.leaning, and steep.
"""

from __future__ import annotations

import argparse
import time
import traceback

import cv2
import numpy as np

from calib.errors import PhotoRefused
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import photo_of, staging_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import Score, compare
from vision.tracing import trace

LARGE, SURE = 0.005, 3.0


def main(first: int, count: int, place: str | None, more: tuple[str, ...]) -> None:
    scores: list[Score] = []
    total = missed = extra = refused = 0
    for seed in range(first, first + count):
        scene = random_scene(seed, place=place, more=more)
        total += len(scene.pieces)
        name = f"{seed:5d} {', '.join(scene.notes)}"
        try:
            traced = trace(photo_of(scene), staging_of(scene), tapes_of(scene))
        except PhotoRefused as refusal:
            refused, missed = refused + 1, missed + len(scene.pieces)
            print(f"{name}\n        REFUSED {refusal.reason}")
            continue
        except Exception:
            missed += len(scene.pieces)
            print(f"{name}\n        CRASH {traceback.format_exc().splitlines()[-3:]}")
            continue
        result = compare(scene, traced)
        scores += result.scores
        missed, extra = missed + len(result.missed), extra + len(result.extra)
        lines = [f"missed {m}" for m in result.missed] + [f"extra {e}" for e in result.extra]
        lines += [_line(s) for s in result.scores if abs(s.error) > LARGE or abs(s.z) > SURE]
        expected = "tiles" if scene.notes[0] == "tiles" else "board"
        lines += [f"frame {traced.frame}"] if traced.frame != expected else []
        lines += [w for w in traced.warnings if "disagree" in w]
        if lines:
            print(name)
            for line in lines:
                print(f"        {line}")
    _summary(scores, total, missed, extra, refused)


def _line(score: Score) -> str:
    return (
        f"{score.zone} ({score.note}): area {100 * score.error:+.2f} %, u {100 * score.u:.2f} %, z {score.z:+.1f},"
        f" corner off {score.away:.2f} mm, bridged {score.bridged:.2f}"
    )


def _summary(scores: list[Score], total: int, missed: int, extra: int, refused: int) -> None:
    error, z = np.array([abs(s.error) for s in scores]), np.array([s.z for s in scores])
    print(
        f"pieces {total}, missed {missed}, extra {extra}, photos refused {refused};"
        f" area error median {100 * np.median(error):.3f} %, 90 % {100 * np.quantile(error, 0.9):.3f} %,"
        f" largest {100 * error.max():.2f} %; z {np.sqrt((z**2).mean()):.2f},"
        f" robust {np.median(np.abs(z)) / 0.6745:.2f}; within u95 {(np.abs(z) <= 2).mean():.3f}"
    )


def show(seed: int, file: str, place: str | None, more: tuple[str, ...]) -> Scene:
    """Write one scene's photo, to look at."""
    scene = random_scene(seed, place=place, more=more)
    cv2.imwrite(file, draw(scene))
    return scene


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("what", nargs=2, help="FIRST COUNT, or show SEED")
    parser.add_argument("file", nargs="?", help="where to show it")
    parser.add_argument("--place")
    parser.add_argument("--more", default="", help="troubles, comma separated")
    return parser.parse_args()


if __name__ == "__main__":
    start = time.time()
    given = _arguments()
    troubles = tuple(t for t in given.more.split(",") if t)
    if given.what[0] == "show":
        show(int(given.what[1]), given.file, given.place, troubles)
    else:
        main(int(given.what[0]), int(given.what[1]), given.place, troubles)
        print(f"{time.time() - start:.0f} s")
