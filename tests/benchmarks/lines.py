"""Lines of known course in random drawn scenes: found whole, invented, their lengths' errors and stated uncertainty.

python -m tests.benchmarks.lines FIRST COUNT
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

import numpy as np

from calib.photo_refused import PhotoRefused
from tests.helpers.scenes.line_scenes import LineScore, compared, line_scene, traced_lines, without_lines

WHOLE = 0.02
"""A piece is found whole where one piece lies on it and its length is no further off than this share."""
LEAST_PX = 3.0


def main(first: int, count: int) -> None:
    """Print what was found of seeds from `first` on, and the tables."""
    scores: list[LineScore] = []
    invented, spent = 0, 0.0
    for seed in range(first, first + count):
        scene, specs = line_scene(seed)
        begun = time.process_time()
        try:
            result = compared(scene, traced_lines(scene, specs))
            bare = compared(without_lines(scene), traced_lines(without_lines(scene), specs))
        except PhotoRefused as refused:
            print(f"{seed}: refused: {refused.reason}")
            continue
        spent += time.process_time() - begun
        scores += result.scores
        for piece in (*result.invented, *bare.invented):
            invented += 1
            start, end = piece.points[[0, -1]].round()
            print(f"{seed}: invented {piece.name}, {piece.length:.0f} mm, width {piece.width:.2f}, {start} to {end}")
        for score in result.scores:
            if not _whole(score):
                error = "missed" if score.error is None else f"{100 * score.error:+.1f} %"
                print(f"{seed}: {score.name} {score.length:.0f} mm, {score.px:.1f} px: {error}, {score.pieces} pieces")
    _print(scores, invented, spent / max(1, count))


def _whole(score: LineScore) -> bool:
    return score.error is not None and abs(score.error) <= WHOLE and score.pieces == 1


def _print(scores: Sequence[LineScore], invented: int, seconds: float) -> None:
    thick = [s for s in scores if s.px >= LEAST_PX]
    whole = [s for s in thick if s.error is not None and abs(s.error) <= 0.05 and s.pieces == 1]
    errors = np.array([abs(s.error) for s in whole if s.error is not None])
    inside = np.array([abs(s.error) <= s.u95 for s in whole if s.error is not None])
    print(
        f"\n{len(thick)} pieces of {LEAST_PX:g} px or more ({len(scores)} in all), {seconds:.1f} s of processor a scene"
    )
    print(f"found whole: {100 * np.mean([_whole(s) for s in thick]):.1f} %; invented: {invented}")
    print(f"length error: median {100 * np.median(errors):.2f} %, within 2 %: {100 * np.mean(errors <= 0.02):.1f} %")
    print(f"within u95: {100 * inside.mean():.1f} %, median u95 {100 * np.median([s.u95 for s in whole]):.2f} %")


if __name__ == "__main__":
    main(int(sys.argv[1]), int(sys.argv[2]))
