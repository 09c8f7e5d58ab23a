"""A real phone's photos of a flat grid of tags: one tag stands for the card, all others are what is measured.

Only the ratios of the grid are known, so the card's tag gives the unit.  A measured tag is treated as a taped outline
is: its sides are straight lines of unknown place to the plane's estimate, and its corners are located in that plane.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.estimate.adjustment import PAPER, StraightLine
from calib.estimate.conditioning import radial_of, with_evidence
from calib.estimate.plane import Plane, estimate_plane
from calib.estimate.prior import radial_known
from calib.lens.class_lens import RadialEvidence, told_by_others
from calib.photo_setup import PhotoSetup, Priors
from calib.printed import CARD_SQUARE, CARD_TAG
from calib.prints.edge_shift import EdgeShift, edge_shift
from calib.prints.tags import TagSquare, find_tags
from vision.picture.photo import Photo, read_photo

FloatArray = NDArray[np.float64]
FOLDER = next(
    (above / "shared" / "real" for above in Path(__file__).resolve().parents if (above / "shared" / "real").is_dir()),
    Path("shared/real"),
)
"""Beside the repository, or beside the folder that its worktrees lie in."""
EXACT = PhotoSetup(1.0, 1.0, printed_line=(100.0, 80.0), priors=Priors(0, 0, 0, 0, 0))
EVERY = 5
"""Every so many-th tag of a photo stands for the card in turn."""


@dataclass(frozen=True)
class Pair:
    """One measured tag against the one that stood for the card: relative errors and standard uncertainties of its area,
    and of the distance between both tags' middles.
    """

    photo: str
    area_error: float
    area_u: float
    distance_error: float
    distance_u: float


@dataclass(frozen=True, eq=False)
class Measured:
    """One photo's plane where one of its squares, the card-th, stands for the card."""

    photo: str
    card: int
    squares: tuple[TagSquare, ...]
    true: dict[int, FloatArray]
    shift: EdgeShift
    plane: Plane
    evidence: RadialEvidence


def measured_pairs(every: Sequence[Sequence[Measured]], *, told: bool) -> list[Pair]:
    """All pairs of all photos, each measured alone, or told by the others what they say of the lens.

    As `class` does it; another photo's word comes from its own n-th card, and one that disagrees is measured alone.
    """
    found: list[Pair] = []
    for i, photo in enumerate(every):
        for n, one in enumerate(photo):
            others = [other[n % len(other)].evidence for j, other in enumerate(every) if told and j != i]
            lens = told_by_others([one.evidence, *others], range(len(others) + 1))[0]
            found += pairs(one, one.plane if lens is None else with_evidence(one.plane, lens.evidence).plane)
    return found


def measured(name: str, every: int = EVERY) -> list[Measured]:
    """A photo of the folder, `name` without its ending, with each of its cards."""
    told = json.loads((FOLDER / f"{name}.json").read_text(encoding="utf-8"))
    photo = read_photo(FOLDER / told["photo"])
    grey = np.asarray(cv2.cvtColor(photo.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    squares = find_tags(grey, border=told["border_bits"])
    true = {int(tag): np.array(corners) for tag, corners in told["tags"].items()}
    squares = tuple(s for s in squares if s.tag in true)
    shift = edge_shift(grey, squares)
    found = []
    for i in range(0, len(squares), every):
        plane = _plane(squares, i, shift, photo)
        evidence = RadialEvidence.of(radial_of(plane), radial_known(photo.lens))
        found.append(Measured(name, i, squares, true, shift, plane, evidence))
    return found


def pairs(one: Measured, plane: Plane) -> Iterator[Pair]:
    """The card against every other square, in this plane."""
    home = CARD_SQUARE.corners.mean(axis=0)
    origin = _measured_middle(one.true[one.squares[one.card].tag])
    for i, square in enumerate(one.squares):
        if i != one.card:
            yield _pair(one.photo, square, plane, one.shift, one.true[square.tag], home, origin)


def _plane(squares: Sequence[TagSquare], card: int, shift: EdgeShift, photo: Photo) -> Plane:
    """As the program does it: first from the card alone, then with every straight side that was found."""
    reference = replace(squares[card], tag=CARD_TAG)
    rough = estimate_plane([reference], shift, photo.size, EXACT, photo.lens)
    lines = [line for i, s in enumerate(squares) if i != card for line in sides(s)]
    return estimate_plane([reference], shift, photo.size, EXACT, photo.lens, lines, rough)


def sides(square: TagSquare) -> list[StraightLine]:
    """A square's sides as straight lines of unknown place."""
    return [StraightLine(square.points[i], square.spread[i], PAPER) for i in range(4)]


def _pair(
    name: str,
    square: TagSquare,
    plane: Plane,
    shift: EdgeShift,
    true: FloatArray,
    home: FloatArray,
    origin: FloatArray,
) -> Pair:
    corners, own = unshifted(square, shift)
    places, by_plane = plane.locate(corners, PAPER)
    per_px = np.stack([(plane.camera.locate(corners + step, PAPER) - places) for step in np.eye(2)], axis=2)
    by_own = np.einsum("nij,njk->nik", per_px, own)
    moves = np.concatenate([by_plane, by_own], axis=2)
    unit = CARD_SQUARE.width
    area, by_corner = _area(places)
    true_area = _area(true)[0] * unit**2
    middle, sensitivity = places.mean(axis=0), moves.mean(axis=0)
    apart = middle - home
    distance = float(np.linalg.norm(apart))
    true_distance = float(np.linalg.norm(_measured_middle(true) - origin)) * unit
    return Pair(
        name,
        area / true_area - 1,
        float(np.linalg.norm(np.einsum("ni,nik->k", by_corner, moves))) / true_area,
        distance / true_distance - 1,
        float(np.linalg.norm(apart / distance @ sensitivity)) / true_distance,
    )


def unshifted(square: TagSquare, shift: EdgeShift) -> tuple[FloatArray, FloatArray]:
    """The square's corners (4, 2) px without the edge shift, and their sensitivity (4, 2, k) to its own sources.

    The sources: this square's shift, and each side's own place.
    """
    cells = square.cells
    value, u = (shift.value, float(np.hypot(shift.u, shift.between))) if cells is None else (cells.shift, cells.shift_u)
    moves = np.zeros((4, 2, 5))
    for i in range(4):
        # Corner i lies where sides i - 1 and i meet.
        normals = np.stack([square.normals[i - 1], square.normals[i]])
        moves[i, :, 0] = np.linalg.solve(normals, np.ones(2))
        for row, side in enumerate(((i - 1) % 4, i)):
            moves[i, :, 1 + side] = np.linalg.solve(normals, np.eye(2)[row])
    corners = square.corners + value * moves[:, :, 0]
    alone = np.hypot(shift.line, square.spread.mean() / np.sqrt(square.spread.shape[1]))
    return corners, moves * np.array([u, *[alone] * 4])


def _area(corners: FloatArray) -> tuple[float, FloatArray]:
    """Area of a ring (n, 2) and its derivative (n, 2)."""
    before, after = np.roll(corners, 1, axis=0), np.roll(corners, -1, axis=0)
    derivative = 0.5 * np.column_stack([after[:, 1] - before[:, 1], before[:, 0] - after[:, 0]])
    area = 0.5 * float(np.sum(corners[:, 0] * after[:, 1] - after[:, 0] * corners[:, 1]))
    sign = np.sign(area)
    return float(sign * area), sign * derivative


def _measured_middle(corners: FloatArray) -> FloatArray:
    return np.asarray(corners.mean(axis=0), dtype=np.float64)


@dataclass(frozen=True)
class Figure:
    """A figure over all pairs with the 95 % interval from drawing whole photos anew."""

    value: float
    low: float
    high: float

    def __str__(self) -> str:
        return f"{self.value:.3g} [{self.low:.3g}, {self.high:.3g}]"


def figures(every: Sequence[Pair], draws: int = 2000) -> dict[str, Figure]:
    """Area rms and median u in per cent, z of areas and of distances, share of both within twice u."""
    photos = sorted({p.photo for p in every})
    rows = [(p.photo, (p.area_error, p.area_u, p.distance_error, p.distance_u)) for p in every]
    of = [np.array([row for name, row in rows if name == photo]) for photo in photos]
    random = np.random.default_rng(1)
    drawn = [_figures(np.concatenate([of[i] for i in random.integers(0, len(of), len(of))])) for _ in range(draws)]
    low, high = np.percentile(drawn, [2.5, 97.5], axis=0)
    values = _figures(np.concatenate(of))
    return {n: Figure(*v) for n, *v in zip(FIGURES, values.tolist(), low.tolist(), high.tolist(), strict=True)}


FIGURES = ("area rms %", "area u %", "distance rms %", "distance u %", "z areas", "z distances", "within u95 %")


def _figures(rows: FloatArray) -> FloatArray:
    area, u_area, distance, u_distance = rows.T
    within = np.concatenate([np.abs(area) <= 2 * u_area, np.abs(distance) <= 2 * u_distance])

    def rms(values: FloatArray) -> float:
        return float(np.sqrt(np.mean(values**2)))

    return np.array([
        100 * rms(area), 100 * np.median(u_area), 100 * rms(distance), 100 * np.median(u_distance),
        rms(area / u_area), rms(distance / u_distance), 100 * within.mean(),
    ])  # fmt: skip


def names() -> list[str]:
    """The folder's photos, by name; none where there is no such folder."""
    return sorted(p.stem for p in FOLDER.glob("*.json")) if FOLDER.is_dir() else []


if __name__ == "__main__":
    photos = [measured(name) for name in names()]
    for told in (False, True):
        print("told by the others" if told else "alone")
        every = measured_pairs(photos, told=told)
        for photo in names():
            own = [p for p in every if p.photo == photo]
            print(f"{photo:<8} {len(own):>4} pairs", *(f"{n} {f.value:.3g} " for n, f in figures(own, 2).items()))
        print(f"{'all':<8} {len(every):>4} pairs", *(f" {n} {f}" for n, f in figures(every).items()))
