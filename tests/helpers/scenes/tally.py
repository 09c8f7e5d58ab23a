"""Many random scenes measured: what was found, missed and said too much, and how honest the uncertainties are."""

from __future__ import annotations

import traceback
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np

from calib.photo_refused import PhotoRefused
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import Score, compare
from vision.tracing import trace

LARGE, SURE = 0.005, 3.0
"""An error of area that is worth a line, and one in standard uncertainties."""


@dataclass(frozen=True, slots=True)
class Tally:
    """Sums over scenes; `wrong` is text, a scene's name and below it what is wrong there."""

    scores: tuple[Score, ...] = ()
    pieces: int = 0
    missed: int = 0
    extra: int = 0
    refused: int = 0
    crashed: int = 0
    wrong: tuple[str, ...] = ()

    def __add__(self, other: Tally) -> Tally:
        return Tally(*(getattr(self, name) + getattr(other, name) for name in Tally.__slots__))

    @property
    def errors(self) -> np.ndarray:
        """|measured - true| / true of every area measured."""
        return np.array([abs(score.error) for score in self.scores])

    @property
    def z(self) -> np.ndarray:
        """Errors of area in standard uncertainties."""
        return np.array([score.z for score in self.scores])

    @property
    def covered(self) -> float:
        """The share of areas whose true value lies within value +- u95."""
        return float(np.mean(np.abs(self.z) <= 2))

    def __str__(self) -> str:
        said = f"pieces {self.pieces}, missed {self.missed}, extra {self.extra}, photos refused {self.refused}"
        said += f", crashed {self.crashed}"
        if not self.scores:
            return said
        errors, z = 100 * self.errors, self.z
        return (
            f"{said}; area error median {np.median(errors):.3f} %, 90 % {np.quantile(errors, 0.9):.3f} %,"
            f" largest {errors.max():.2f} %; z {np.sqrt((z**2).mean()):.2f},"
            f" robust {np.median(np.abs(z)) / 0.6745:.2f}; within u95 {self.covered:.3f}"
        )


def tried(seeds: Iterable[int], *, place: str | None = None, more: tuple[str, ...] = ()) -> Tally:
    """Draw and measure a random scene a seed."""
    tally = Tally()
    for seed in seeds:
        tally += _one(random_scene(seed, place=place, more=more), seed)
    return tally


def _one(scene: Scene, seed: int) -> Tally:
    count, name = len(scene.pieces), f"{seed:5d} {', '.join(scene.notes)}"
    try:
        traced = trace(photo_of(scene), photo_setup_of(scene), tapes_of(scene))
    except PhotoRefused as refusal:
        return Tally((), count, count, 0, 1, 0, (f"{name}\n        REFUSED {refusal.reason}",))
    except Exception:
        return Tally((), count, count, 0, 0, 1, (f"{name}\n        CRASH {traceback.format_exc().splitlines()[-3:]}",))
    result = compare(scene, traced)
    lines = [f"missed {missed}" for missed in result.missed] + [f"extra {extra}" for extra in result.extra]
    lines += [_line(score) for score in result.scores if abs(score.error) > LARGE or abs(score.z) > SURE]
    expected = "tiles" if scene.notes[0] == "tiles" else "board"
    lines += [f"frame {traced.frame}"] if traced.frame != expected else []
    lines += [str(said) for said in traced.remarks if said.code in ("tags-disagree", "photos-disagree")]
    wrong = ("\n        ".join([name, *lines]),) if lines else ()
    return Tally(tuple(result.scores), count, len(result.missed), len(result.extra), 0, 0, wrong)


def _line(score: Score) -> str:
    return (
        f"{score.zone} ({score.note}): area {100 * score.error:+.2f} %, u {100 * score.u:.2f} %, z {score.z:+.1f},"
        f" corner off {score.away:.2f} mm, bridged {score.bridged:.2f}"
    )
