"""Draws random scenes, measures them, prints what went wrong.

`python -m tests.benchmarks.stress FIRST COUNT [--place PLACE] [--more TROUBLE,...]`, or `show SEED FILE` with the same
options.  PLACE is where the card lies (tiles, beside, on board, table); the troubles are
those of tests.helpers.scenes.leaning, and steep.
"""

from __future__ import annotations

import argparse
import time

import cv2

from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.tally import Tally, tried


def main(first: int, count: int, place: str | None, more: tuple[str, ...]) -> None:
    """Print a scene's name and what is wrong with it, as soon as it is measured, and the sum at the end."""
    tally = Tally()
    for seed in range(first, first + count):
        one = tried([seed], place=place, more=more)
        tally += one
        for line in one.wrong:
            print(line, flush=True)
    print(tally)


def show(seed: int, file: str, place: str | None, more: tuple[str, ...]) -> None:
    """Write one scene's photo, to look at."""
    cv2.imwrite(file, draw(random_scene(seed, place=place, more=more)))


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
