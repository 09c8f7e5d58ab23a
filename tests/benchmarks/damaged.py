"""Damaged copies of photos: is each refused, or measured as the whole photo is?

    python -m tests.benchmarks.damaged [COPIES] [SEED]

Copies of the sample photos, reduced and saved as phones and messengers save them, are damaged at random places.  A copy
that is measured is right where every area and distance of the whole copy is there and lies within the whole copy's
expanded uncertainty.
"""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass

from PIL import Image

import tapeplat
from measure.challenge import Challenge
from tapeplat.measuring.measured_model import MeasuredModel
from tests.helpers.damaged_copies import DAMAGES, damaged, saved
from tests.helpers.paths import SAMPLES

REDUCED = (1632, 1632)
COPIES: dict[str, dict[str, object]] = {
    "plain": {"quality": 85}, "restarted": {"quality": 85, "restart_marker_rows": 1},
    "progressive": {"quality": 80, "progressive": True},
}  # fmt: skip
OUTCOMES = ("damaged", "other refusal", "right", "zone lost", "wrong")


@dataclass(frozen=True)
class Whole:
    """A copy before it is damaged, and what is measured in it."""

    name: str
    challenge: Challenge
    data: bytes
    model: MeasuredModel


@dataclass(frozen=True)
class Tried:
    """One damaged copy: of what, how and from which seed, and what became of it."""

    whole: str
    kind: str
    seed: int
    outcome: str


def main() -> None:
    """Print one row a kind of damage, and every copy that is measured wrongly."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("copies", type=int, nargs="?", default=1000)
    ask.add_argument("seed", type=int, nargs="?", default=0)
    given = ask.parse_args()
    tries = list(tried(given.copies, given.seed))
    print(f"{'damage':16}" + "".join(f"{outcome:>15}" for outcome in OUTCOMES))
    for kind in DAMAGES:
        counts = Counter(t.outcome for t in tries if t.kind == kind)
        print(f"{kind:16}" + "".join(f"{counts[outcome]:>15}" for outcome in OUTCOMES))
    for t in tries:
        if t.outcome in ("wrong", "zone lost"):
            print(f"{t.outcome}: {t.whole}, {t.kind}, seed {t.seed}")


def tried(copies: int, seed: int) -> Iterator[Tried]:
    """So many damaged copies, in turn of every photo, way of saving and kind of damage."""
    wholes = whole_copies()
    for number in range(copies):
        kind = list(DAMAGES)[number % len(DAMAGES)]
        whole = wholes[number // len(DAMAGES) % len(wholes)]
        yield Tried(whole.name, kind, seed + number, _outcome(whole, damaged(whole.data, kind, seed + number)))


def whole_copies() -> list[Whole]:
    """Every sample photo in every way of saving, measured."""
    found = []
    for path in sorted(SAMPLES.glob("*.jpg")):
        challenge = tapeplat.read_challenge(path.with_suffix(".toml"))
        with Image.open(path) as image:
            image.thumbnail(REDUCED)
            for name, options in COPIES.items():
                data = saved(image, exif=image.getexif(), **options)
                found.append(Whole(f"{path.stem} {name}", challenge, data, tapeplat.measure(challenge, data)))
    return found


def _outcome(whole: Whole, data: bytes) -> str:
    try:
        model = tapeplat.measure(whole.challenge, data)
    except tapeplat.PhotoRefused as refused:
        return "damaged" if refused.reason == "damaged" else "other refusal"
    mine, truth = _numbers(model), _numbers(whole.model)
    if mine.keys() != truth.keys():
        return "wrong" if mine.keys() - truth.keys() else "zone lost"
    return "right" if all(abs(mine[n][0] - value) <= u95 for n, (value, u95) in truth.items()) else "wrong"


def _numbers(model: MeasuredModel) -> dict[tuple[str, ...], tuple[float, float]]:
    """Every area and distance that is measured, with its expanded uncertainty."""
    areas = {(z.name,): (z.area.value, z.area.u95) for z in model.zones if z.area is not None}
    return areas | {d.between: (d.value, d.u95) for d in model.distances}


if __name__ == "__main__":
    main()
