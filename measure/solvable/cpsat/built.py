"""What a team built as pieces that may be moved or resized on a fine grid: the variables of the nearest layout."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import shapely
from ortools.sat.python import cp_model

from measure.plat.plat import Piece
from measure.solvable.cpsat.piece_variables import Board, Part, PieceVariables, Settings
from measure.solvable.problem.layout import Box
from measure.solvable.problem.problem import Problem

_RECTANGLE = 0.93
"""A piece that fills this share of its box is as good as a rectangle, and may be resized."""
_SAME_LINE = 3.0
"""mm: corners this near in y are on one line."""
_SLIP = 1.5
"""mm by which tape may lie beyond the parcel's edge and is left there."""
_ROUND, _BANDS = 8, 10
"""A piece with so many corners is taken as no more boxes than this, each around its band."""
SCALES = tuple(range(75, 126))
"""Per cent of its size that a piece which is no rectangle may get, all round."""
AS_BUILT = SCALES.index(100)
RESIZING = 12
"""Steps of movement that resizing a piece counts as, beyond the sides' own."""


@dataclass(frozen=True, eq=False)
class Shifts:
    """How far a piece's sides move, in steps (left, top, right, bottom), and whether it changes and is resized.

    scale: of a piece that is no rectangle, which of SCALES it gets; about the middle of its box, before it moves.
    """

    sides: tuple[cp_model.IntVar, cp_model.IntVar, cp_model.IntVar, cp_model.IntVar]
    changed: cp_model.IntVar
    resized: cp_model.IntVar | None
    scale: cp_model.IntVar | None = None


@dataclass(frozen=True, eq=False)
class BuiltPiece:
    """A piece of the plat (None: one that is missing), its variables, and how it may change."""

    piece: Piece | None
    variables: PieceVariables
    shifts: Shifts | None


class BuiltBoard(Board):
    """A board with the built pieces on it; counts says how many pieces each zone is to have."""

    def __init__(
        self, problem: Problem, settings: Settings, pieces: Sequence[Piece], counts: Mapping[str, int]
    ) -> None:
        self.built: list[BuiltPiece] = []
        self._given = pieces
        super().__init__(problem, settings, counts)

    def _place_all(self, counts: Mapping[str, int]) -> Iterator[PieceVariables]:
        """The largest pieces of each zone, and new rectangles where there are too few."""
        for zone in self.problem.zones:
            mine = sorted((p for p in self._given if p.zone == zone.name), key=lambda p: -_land(p).area)
            for piece in mine[: counts[zone.name]]:
                self.built.append(self._built(piece, fixed=zone.kind == "keep-clear"))
            for _ in range(counts[zone.name] - len(mine)):
                self.built.append(BuiltPiece(None, self._rectangle(zone.name), None))
        return (built.variables for built in self.built)

    def _break_symmetry(self, whole: list[float]) -> None:
        """Built pieces are where they are."""

    def _built(self, piece: Piece, *, fixed: bool) -> BuiltPiece:
        boxes = boxes_of(piece)
        land, tick = _land(piece), self.settings.grid.tick
        whole = round(land.area / tick**2)
        rectangle = _is_rectangle(piece)
        shifts = self._shifts(rectangle=rectangle, fixed=fixed)
        if not rectangle and not fixed and not piece.holes:
            return self._round(piece, boxes, shifts)
        parts = tuple(self._shifted(box, shifts) for box in boxes)
        half = round(land.length / 2 / tick)
        if shifts.resized is None:
            shares = [round(shapely.box(*box).area / tick**2) for box in boxes]
            areas = (*shares[:-1], whole - sum(shares[:-1]))
            return BuiltPiece(piece, PieceVariables(piece.zone, parts, areas, half), shifts)
        area, around = self._resized(parts[0], shifts.resized, whole, half)
        return BuiltPiece(piece, PieceVariables(piece.zone, parts, (area,), around), shifts)

    def _shifts(self, *, rectangle: bool, fixed: bool) -> Shifts:
        """A piece that is no rectangle moves as a whole; a keep-clear zone does not move."""
        far = 0 if fixed else max(self.columns, self.rows)
        left, top = self.variable(-far, far), self.variable(-far, far)
        right, bottom = (self.variable(-far, far), self.variable(-far, far)) if rectangle else (left, top)
        changed, resized = self.literal(), self.literal() if rectangle and not fixed else None
        if resized is None and rectangle:
            self.model.add(left == right)
            self.model.add(top == bottom)
        for side in (left, top, right, bottom):
            self.model.add(side == 0).only_enforce_if(~changed)
        if resized is not None:
            self.model.add_implication(resized, changed)
            for one, other in ((left, right), (top, bottom)):
                self.model.add(one == other).only_enforce_if(~resized)
        return Shifts((left, top, right, bottom), changed, resized)

    def _round(self, piece: Piece, boxes: Sequence[Box], shifts: Shifts) -> BuiltPiece:
        """A piece that may be made larger or smaller all round, and moved."""
        land, tick = _land(piece), self.settings.grid.tick
        scale, scaled = self.variable(0, len(SCALES) - 1), self.literal()
        self.model.add(scale == AS_BUILT).only_enforce_if(~scaled)
        self.model.add_implication(scaled, shifts.changed)
        shares = [shapely.box(*box).area for box in boxes]
        shares = [share * land.area / sum(shares) for share in shares]
        areas = tuple(self._by_scale(scale, [share * (k / 100) ** 2 / tick**2 for k in SCALES]) for share in shares)
        half = self._by_scale(scale, [land.length / 2 * k / 100 / tick for k in SCALES])
        x, y = middle_of(piece)
        parts = tuple(self._scaled(box, (x, y), scale, shifts) for box in boxes)
        own = Shifts(shifts.sides, shifts.changed, scaled, scale)
        return BuiltPiece(piece, PieceVariables(piece.zone, parts, areas, half), own)

    def _scaled(self, box: Box, middle: tuple[float, float], scale: cp_model.IntVar, shifts: Shifts) -> Part:
        grid, parcel = self.settings.grid, self.problem.challenge.parcel
        sides = []
        for at, (value, shift) in enumerate(zip(box, shifts.sides, strict=True)):
            centre, most = middle[at % 2], int(grid.ticks((parcel.width, parcel.depth)[at % 2]))
            start = self._by_scale(scale, [(centre + (value - centre) * k / 100) / grid.tick for k in SCALES])
            side = self.variable(0, most)
            self.model.add(side == start + grid.parts * shift)
            sides.append(side)
        x1, y1, x2, y2 = sides
        return Part(x1, y1, x2, y2)

    def _by_scale(self, scale: cp_model.IntVar, values: Sequence[float]) -> cp_model.IntVar:
        """A number that has one of these values (rounded) at each scale."""
        whole = [round(value) for value in values]
        made = self.model.new_int_var(min(whole), max(whole), "")
        self.model.add_element(scale, whole, made)
        return made

    def _shifted(self, box: Box, shifts: Shifts) -> Part:
        grid, parcel = self.settings.grid, self.problem.challenge.parcel
        made = []
        for at, (value, shift) in enumerate(zip(box, shifts.sides, strict=True)):
            most = int(grid.ticks((parcel.width, parcel.depth)[at % 2]))
            start, slip = round(value / grid.tick), round(_SLIP / grid.tick)
            start = min(max(start, 0), most) if -slip <= start <= most + slip else start
            side = self.variable(0, most)
            self.model.add(side == start + grid.parts * shift)
            made.append(side)
        x1, y1, x2, y2 = made
        return Part(x1, y1, x2, y2)

    def _resized(
        self, part: Part, resized: cp_model.IntVar, whole: int, half: int
    ) -> tuple[cp_model.IntVar, cp_model.IntVar]:
        """As built where it is not resized: outlines are never quite rectangles."""
        grid = self.settings.grid
        across, down = grid.parts * (self.columns + 1), grid.parts * (self.rows + 1)
        width, height = self.variable(1, across), self.variable(1, down)
        self.model.add(width == part.x2 - part.x1)
        self.model.add(height == part.y2 - part.y1)
        product = self.variable(0, across * down)
        self.model.add_multiplication_equality(product, [width, height])
        area, around = self.variable(0, 2 * across * down), self.variable(0, 2 * (across + down) + half)
        for own, made, built in ((area, product, whole), (around, width + height, half)):
            self.model.add(own == made).only_enforce_if(resized)
            self.model.add(own == built).only_enforce_if(~resized)
        return area, around


def boxes_of(piece: Piece) -> list[Box]:
    """A piece as boxes: one through the means of its corners, or one for each band between its corners' heights."""
    land = _land(piece)
    x1, y1, x2, y2 = land.bounds
    if _is_rectangle(piece):
        return [_mean_box(piece, land)]
    levels = [y1]
    least = max(_SAME_LINE, (y2 - y1) / _BANDS) if len(piece.ring.points) >= _ROUND else _SAME_LINE
    for y in sorted(piece.ring.points[:, 1]):
        if y > levels[-1] + least:
            levels.append(float(y))
    # A last band that is too thin to keep apart from its neighbours goes with the one before it.
    levels = [*(levels if y2 > levels[-1] + _SAME_LINE else levels[:-1]), y2] if len(levels) > 1 else [y1, y2]
    bands = pairwise(levels)
    strips = (land.intersection(shapely.box(x1, low, x2, high)) for low, high in bands)
    return [part.bounds for strip in strips for part in shapely.get_parts(strip) if part.area > 0]


def _is_rectangle(piece: Piece) -> bool:
    x1, y1, x2, y2 = (land := _land(piece)).bounds
    return not piece.holes and land.area >= _RECTANGLE * (x2 - x1) * (y2 - y1)


def middle_of(piece: Piece) -> tuple[float, float]:
    """The middle of a piece's box, in mm."""
    x1, y1, x2, y2 = _land(piece).bounds
    return (x1 + x2) / 2, (y1 + y2) / 2


def _mean_box(piece: Piece, land: shapely.Geometry) -> Box:
    points = piece.ring.points
    centre = shapely.get_coordinates(land.centroid)[0]
    if len(points) != 4:
        x1, y1, x2, y2 = land.bounds
        return x1, y1, x2, y2
    sides = [
        points[mask].mean(axis=0)
        for axis in (0, 1)
        for mask in (points[:, axis] < centre[axis], points[:, axis] >= centre[axis])
    ]
    if np.isnan(sides).any():
        x1, y1, x2, y2 = land.bounds
        return x1, y1, x2, y2
    return float(sides[0][0]), float(sides[2][1]), float(sides[1][0]), float(sides[3][1])


def _land(piece: Piece) -> shapely.Geometry:
    return shapely.make_valid(shapely.Polygon(piece.ring.points, [hole.points for hole in piece.holes]))
