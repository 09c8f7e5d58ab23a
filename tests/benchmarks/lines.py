"""Lines of known course in random drawn scenes: found whole, invented, their lengths' errors and stated uncertainty,
and the verdicts on what they reach, join and cross: right, wrong or undecided.

python -m tests.benchmarks.lines FIRST COUNT [pairs]

With `pairs`, two photos of every scene, with buildings that hide parts of its lines.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

import numpy as np

from calib.photo_refused import PhotoRefused
from tests.helpers.scenes.files import photo_of
from tests.helpers.scenes.line_rules import DECIDED, Decision, challenge_of, decisions, measured_plat
from tests.helpers.scenes.line_scenes import LineScore, compared, line_scene, line_views, traced_lines, without_lines
from tests.helpers.scenes.model import Scene
from vision.merging import Views, laid_together
from vision.picture.traced import Traced
from vision.picture.traced_lines import LineSpec

WHOLE = 0.02
"""A piece is found whole where one piece lies on it and its length is no further off than this share."""
LEAST_PX = 3.0


def main(first: int, count: int, *, pairs: bool = False) -> None:
    """Print what was found of seeds from `first` on, and the tables."""
    scores: list[LineScore] = []
    found: list[Decision] = []
    invented, spent = 0, 0.0
    for seed in range(first, first + count):
        begun = time.process_time()
        try:
            scene, specs, traced = _pair(seed) if pairs else _single(seed)
            extra = () if pairs else compared(without_lines(scene), traced_lines(without_lines(scene), specs)).invented
        except PhotoRefused as refused:
            print(f"{seed}: refused: {refused.reason}")
            continue
        spent += time.process_time() - begun
        result = compared(scene, traced)
        scores += result.scores
        for piece in (*result.invented, *extra):
            invented += 1
            start, end = piece.points[[0, -1]].round()
            print(f"{seed}: invented {piece.name}, {piece.length:.0f} mm, width {piece.width:.2f}, {start} to {end}")
        for score in result.scores:
            if not _whole(score):
                error = "missed" if score.error is None else f"{100 * score.error:+.1f} %"
                print(f"{seed}: {score.name} {score.length:.0f} mm, {score.px:.1f} px: {error}, {score.pieces} pieces")
        task = challenge_of(scene, specs)
        own = decisions(scene, task, measured_plat(scene, traced))
        for decision in own:
            if decision.decided and decision.true != decision.measured:
                print(f"{seed}: {decision.sentence}: {decision.measured}, in truth {decision.true}")
        found += own
    _print(scores, invented, spent / max(1, count))
    _print_decisions(found)


def _single(seed: int) -> tuple[Scene, tuple[LineSpec, ...], Traced]:
    scene, specs = line_scene(seed)
    return scene, specs, traced_lines(scene, specs)


def _pair(seed: int) -> tuple[Scene, tuple[LineSpec, ...], Traced]:
    one, other, specs = line_views(seed)
    views = tuple((photo_of(scene), traced_lines(scene, specs)) for scene in (one, other))
    return one, specs, laid_together(Views(views, ())).traced


def _print_decisions(found: Sequence[Decision]) -> None:
    told = [d for d in found if d.true in DECIDED]
    decided = [d for d in told if d.decided]
    wrong = sum(d.true != d.measured for d in decided)
    share = 100 * (1 - wrong / max(1, len(decided)))
    print(
        f"connections: {len(told)}, decided right {len(decided) - wrong} ({share:.1f} % of the decided ones), "
        f"wrong {wrong}, undecided {len(told) - len(decided)}"
    )


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
    main(int(sys.argv[1]), int(sys.argv[2]), pairs="pairs" in sys.argv[3:])
