"""What a class's photos gain by each other: error and stated uncertainty of areas with 1, 3 and 10 photos of one phone.

    python -m tests.benchmarks.class_lens [FIRST] [--photos 10] [--cameras 3] [--place table]

Every camera is a phone with its own moustache (drawn about the prior's phones), whose photos show random models and
differ in focal length, centre and everything else.  A photo is traced once, then told what 0, 2 and 9 others say.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calib.estimate.conditioning import radial_of
from calib.lens.class_lens import NOTHING, RadialEvidence, agreeing, together
from calib.lens.lens_prior import radial_prior
from calib.photo_refused import PhotoRefused
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_setup_of, tapes_of
from tests.helpers.scenes.model import Scene
from tests.helpers.scenes.random_scene import random_scene
from tests.helpers.scenes.scoring import Score, compare
from vision.lens_told import with_lens_told
from vision.picture.photo import Photo, photo_from_bytes
from vision.picture.traced import Traced
from vision.tracing import trace

FOCUSED = 1.04
"""Focal length at a table over that in EXIF (calib.lens.lens_prior)."""


@dataclass(frozen=True, eq=False)
class Taken:
    """One photo of a phone: the scene, the photo, what was traced, what it tells of the lens."""

    scene: Scene
    photo: Photo
    traced: Traced
    evidence: RadialEvidence


def main() -> None:
    """Print a row for each number of photos, over all cameras."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("first", type=int, nargs="?", default=1)
    ask.add_argument("--photos", type=int, default=10)
    ask.add_argument("--cameras", type=int, default=3)
    ask.add_argument("--place", default="table")
    given = ask.parse_args()
    cameras = [taken(camera, given.first + 100 * camera, given.photos, given.place) for camera in range(given.cameras)]
    print(f"{'photos':>6} {'areas':>6} {'median %':>8} {'rms %':>6} {'u %':>6} {'z':>5} {'within u95 %':>12}")
    for count in dict.fromkeys((1, 3, given.photos)):
        scores = [score for photos in cameras for score in told(photos, count)]
        print(row(count, scores), flush=True)


def taken(camera: int, first: int, count: int, place: str) -> list[Taken]:
    """So many photos of one phone that can be measured."""
    lens = phone(camera)
    found: list[Taken] = []
    seed = first
    while len(found) < count:
        scene = with_lens(random_scene(seed, place=place, troubles=()), lens)
        seed += 1
        photo = photo_from_bytes(encoded(draw(scene), quality=scene.film.quality), f"{seed}.jpg")
        try:
            traced = trace(photo, photo_setup_of(scene), tapes_of(scene))
        except PhotoRefused:
            continue
        found.append(Taken(scene, photo, traced, RadialEvidence.of(radial_of(traced.plane), radial_prior())))
    start = time.perf_counter()
    kept = agreeing([one.evidence for one in found])
    print(f"camera {camera + 1}: {sum(kept)} of {len(kept)} agree ({time.perf_counter() - start:.2f} s)", flush=True)
    return found


def phone(number: int) -> tuple[float, float, float]:
    """Radial terms of a phone that is none of the prior's: outwards half way, the corner within 2 %."""
    random = np.random.default_rng([4711, number])
    k1 = random.normal(0.09, 0.035)
    k2 = -2.2 * k1 + random.normal(0, 0.04)
    return float(k1), float(k2), float(-(k1 + k2) + random.normal(0, 0.008))


def with_lens(scene: Scene, lens: tuple[float, float, float]) -> Scene:
    """The scene as a phone with this lens takes it, focused on the table."""
    view = replace(scene.view, k1=lens[0], k2=lens[1], k3=lens[2], focal=scene.view.focal * FOCUSED)
    # Farther away by as much, so that the picture shows what it did.
    far = view.translation * np.array([1, 1, FOCUSED])
    return replace(scene, view=replace(view, translation=far))


def told(photos: Sequence[Taken], count: int) -> Iterator[Score]:
    """The areas of every photo when `count` - 1 others tell of the lens, the next ones in a circle."""
    for i, one in enumerate(photos):
        others = [photos[(i + step) % len(photos)].evidence for step in range(1, count)]
        evidence = together(others).of_any_shot() if others else NOTHING
        yield from compare(one.scene, with_lens_told(one.photo, one.traced, evidence)).scores


def row(count: int, scores: Sequence[Score]) -> str:
    """One line of the table."""
    error, u = np.array([s.error for s in scores]), np.array([s.u for s in scores])
    rms, z = np.sqrt(np.mean(error**2)), np.sqrt(np.mean((error / u) ** 2))
    return (
        f"{count:>6} {len(scores):>6} {100 * np.median(np.abs(error)):>8.3f} {100 * rms:>6.3f} "
        f"{100 * np.median(u):>6.3f} {z:>5.2f} {100 * np.mean(np.abs(error) <= 2 * u):>12.1f}"
    )


if __name__ == "__main__":
    main()
