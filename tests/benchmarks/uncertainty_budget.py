"""What stated uncertainties are made of: medians by cause, with tiles, without, and with the card on the table.

    python -m tests.benchmarks.uncertainty_budget FOLDER

FOLDER holds results, each as MODEL/result/result.json beside the MODEL/challenge.toml that it was measured with.  Areas
in per cent of the area, gaps in mm; standard uncertainties, as the medians over all zones, or all gaps.  The causes'
squares add up to the whole's in each one, not in the medians; what the lens leaves open comes before what the rest of
the camera does, as the plane's sources are ordered.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import numpy as np

from measure.challenge import read_challenge
from measure.plat.measures import Measures
from measure.plat.plat import Plat
from measure.quantity import FloatArray
from measure.result.result import parse_result
from measure.result.result_plat import plat_of

CAUSES = {
    "print": "print's scale",
    "lens": "lens (radial)",
    "plane": "rest of the camera, card's curl",
    "card": "card's height",
    "tile": "tiles as laid",
    "parcel": "parcel's size",
    "height": "tape's thickness",
    "flatness": "board's flatness",
    "edge": "tape's edges",
    "width": "tape's width",
    "hidden": "hidden tape",
}
GROUPS = ("tiles", "no tiles", "card on the table")


@dataclass(frozen=True)
class Stated:
    """One area or gap: group and quantity it belongs to, its whole standard uncertainty, and each cause's part."""

    group: str
    quantity: str
    whole: float
    parts: dict[str, float]


def main() -> None:
    """Print a table for areas and one for gaps."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("folder", type=Path)
    every = [stated for model in models(ask.parse_args().folder) for stated in budget(model)]
    for quantity in ("area, %", "gap, mm"):
        table(quantity, [s for s in every if s.quantity == quantity])


def models(folder: Path) -> list[Path]:
    """The folders of models that were measured."""
    return sorted(path.parent.parent for path in folder.glob("*/result/result.json"))


def budget(model: Path) -> Iterator[Stated]:
    """Every zone's area and every gap of one model."""
    challenge = read_challenge(model / "challenge.toml")
    plat = plat_of(parse_result((model / "result" / "result.json").read_text("utf-8")))
    measures = Measures(plat)
    zones = sorted({piece.zone for piece in plat.pieces})
    found: list[tuple[str, FloatArray]] = []
    for zone in zones:
        area = measures.area([zone])
        if area is not None and area.value > 0:
            found.append(("area, %", 100 * area.sensitivity / area.value))
    for a, b in combinations(zones, 2):
        apart = measures.separation(a, b)
        if apart is not None and apart.quantity.value > 0:
            found.append(("gap, mm", apart.quantity.sensitivity))
    group = _group(challenge.card.surface, plat, [moves for _, moves in found])
    yield from (_stated(group, quantity, moves, plat) for quantity, moves in found)


def _group(surface: str, plat: Plat, every: Sequence[FloatArray]) -> str:
    if surface == "table":
        return GROUPS[2]
    tiles = [i for i, source in enumerate(plat.sources) if source.kind == "tile"]
    seen = any(np.abs(moves[[i for i in tiles if i < len(moves)]]).max(initial=0) > 0 for moves in every)
    return GROUPS[0] if seen else GROUPS[1]


def _stated(group: str, quantity: str, moves: FloatArray, plat: Plat) -> Stated:
    kinds = np.array([source.kind for source in plat.sources])[: len(moves)]
    parts = {kind: float(np.linalg.norm(moves[: len(kinds)][kinds == kind])) for kind in CAUSES}
    return Stated(group, quantity, float(np.linalg.norm(moves)), parts)


def table(quantity: str, every: Sequence[Stated]) -> None:
    """A row for each cause, a column for each group."""
    of = {group: [s for s in every if s.group == group] for group in GROUPS}
    print(f"| {quantity} | " + " | ".join(f"{group} ({len(of[group])})" for group in GROUPS) + " |")
    print("| --- |" + " --- |" * len(GROUPS))
    rows = {words: {g: [s.parts[kind] for s in of[g]] for g in GROUPS} for kind, words in CAUSES.items()}
    rows = {words: values for words, values in rows.items() if np.any([np.any(v) for v in values.values()])}
    rows["all together"] = {g: [s.whole for s in of[g]] for g in GROUPS}
    for words, values in rows.items():
        print(f"| {words} | " + " | ".join(f"{np.median(values[g]):.3f}" if values[g] else "" for g in GROUPS) + " |")


if __name__ == "__main__":
    main()
