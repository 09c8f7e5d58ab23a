"""Whether photos of one model differ by as much as the part of the uncertainty that is each photo's own.

    python -m tests.benchmarks.repeated_photos FOLDER PHOTOS

FOLDER holds challenges as MODEL/challenge.toml, PHOTOS the photos MODEL-a.jpg, MODEL-b.jpg, ...  Every photo is
measured alone; each area and gap that two photos show is one difference.  Its standard uncertainty is that of what the
two do not share: the photos' own causes, and what print, parcel, tiles and lens do to the two differently.  z is the
root mean square of difference over that uncertainty, with the 95 % interval from drawing models anew.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

import tapeplat
from calib.photo_refused import PhotoRefused
from measure.plat.measures import Measures
from measure.plat.plat import Plat
from measure.quantity import FloatArray, Quantity


@dataclass(frozen=True)
class Difference:
    """Of one quantity between two photos of a model: relative for areas, mm for gaps, with its own uncertainty."""

    model: str
    quantity: str
    value: float
    u_own: float
    u_whole: float

    @property
    def z(self) -> float:
        return self.value / self.u_own


def main() -> None:
    """Print each difference beyond three uncertainties, then a row for areas and one for gaps."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("folder", type=Path)
    ask.add_argument("photos", type=Path)
    given = ask.parse_args()
    every: list[Difference] = []
    for challenge in sorted(given.folder.glob("*/challenge.toml")):
        model = challenge.parent.name
        photos = sorted(given.photos.glob(f"{model}-?.jpg"))
        if len(photos) > 1:
            found = list(differences(model, measured(challenge, photos)))
            print(
                f"{model}: {len(photos)} photos, {len(found)} differences, z {rms([d.z for d in found]):.2f}",
                flush=True,
            )
            every += found
    for quantity in ("area", "gap"):
        print(row(quantity, [d for d in every if d.quantity.startswith(quantity)]))
    for one in sorted(every, key=lambda d: -abs(d.z))[:10]:
        print(f"  {one.model} {one.quantity}: {one.value:.4f}, own u {one.u_own:.4f}, z {one.z:.1f}")


def measured(challenge: Path, photos: Sequence[Path]) -> list[Plat]:
    """Every photo's own plat; without those that are refused."""
    plats = []
    for photo in photos:
        try:
            plats.append(tapeplat.measure(challenge, [photo]).plat)
        except PhotoRefused as refused:
            print(f"{photo.name}: {refused.reason}")
    return plats


def differences(model: str, plats: Sequence[Plat]) -> Iterator[Difference]:
    """Areas and gaps of every two of a model's photos."""
    for one, other in combinations(plats, 2):
        first, second = quantities(one), quantities(other)
        for name in first.keys() & second.keys():
            a, b = first[name], second[name]
            unit = (a.value + b.value) / 2 if name.startswith("area") else 1.0
            own, whole = _apart(a, one, b, other)
            yield Difference(model, name, (a.value - b.value) / unit, own / unit, whole / unit)


def quantities(plat: Plat) -> dict[str, Quantity]:
    """Areas and gaps larger than nothing, by name."""
    measures, found = Measures(plat), dict[str, Quantity]()
    zones = sorted({piece.zone for piece in plat.pieces})
    for zone in zones:
        area = measures.area([zone])
        if area is not None and area.value > 0:
            found[f"area of {zone}"] = area
    for a, b in combinations(zones, 2):
        apart = measures.separation(a, b)
        if apart is not None and apart.quantity.value > 0:
            found[f"gap of {a} and {b}"] = apart.quantity
    return found


def _apart(a: Quantity, of_a: Plat, b: Quantity, of_b: Plat) -> tuple[float, float]:
    """Standard uncertainty of a difference: with what is shared taken once, and with nothing taken for shared."""
    shared_a, own_a = _split(a.sensitivity, of_a)
    shared_b, own_b = _split(b.sensitivity, of_b)
    common = [shared_a.get(name, 0.0) - shared_b.get(name, 0.0) for name in {*shared_a, *shared_b}]
    whole = np.hypot(np.linalg.norm(a.sensitivity), np.linalg.norm(b.sensitivity))
    return float(np.sqrt(own_a**2 + own_b**2 + np.sum(np.square(common)))), float(whole)


def _split(moves: FloatArray, plat: Plat) -> tuple[dict[str, float], float]:
    """Sensitivities to the shared sources by name, and the length of those to all others."""
    sources = plat.sources[: len(moves)]
    shared = {source.name: float(move) for source, move in zip(sources, moves, strict=False) if source.shared}
    own = [float(move) for source, move in zip(sources, moves, strict=False) if not source.shared]
    return shared, float(np.linalg.norm(own))


def row(quantity: str, every: Sequence[Difference]) -> str:
    """Scatter, stated uncertainties and z with its interval."""
    models = sorted({d.model for d in every})
    of = [np.array([d.z for d in every if d.model == model]) for model in models]
    random = np.random.default_rng(1)
    drawn = [rms(np.concatenate([of[i] for i in random.integers(0, len(of), len(of))])) for _ in range(1000)]
    low, high = np.percentile(drawn, [2.5, 97.5])
    unit, name = (100, "%") if quantity == "area" else (1, "mm")
    own, whole = (unit * float(np.median([getattr(d, of_it) for d in every])) for of_it in ("u_own", "u_whole"))
    scatter = unit * float(np.median([abs(d.value) for d in every]))
    return (
        f"{quantity}: {len(every)} differences of {len(models)} models, median {scatter:.3f} {name}; own u {own:.3f}, "
        f"whole u {whole:.3f} {name}; z {rms([d.z for d in every]):.2f} [{low:.2f}, {high:.2f}]"
    )


def rms(values: Sequence[float] | FloatArray) -> float:
    return float(np.sqrt(np.mean(np.square(values)))) if len(values) else float("nan")


if __name__ == "__main__":
    main()
