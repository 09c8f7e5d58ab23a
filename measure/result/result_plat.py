"""A result file as a plat again, and the movements of a plat as a result file keeps them.

With the file's `uncertainty` the plat is as certain as it was when it was measured, shared causes included.  Without it
each piece's corners are taken as independent, so uncertain that the piece's area has its stated u95: a comparison of
two pieces then comes out less certain than it was.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from measure.errors import InputMistakes, Mistake
from measure.notices import Notice, plain
from measure.plat.plat import Piece, Plat, Repaired, Ring, Source, Was
from measure.quantity import COVERAGE_FACTOR, FloatArray, Quantity
from measure.result.packed_moves import FARTHEST, checked_size, packed, steps_of, unpacked, unpacked_steps
from measure.result.result import ParcelMoves, PieceMoves, PieceResult, RepairedResult, Result, Uncertainty
from measure.result.result_lines import doubts_of, line_moves, lines_of
from measure.result.seen_structures import solids_in
from measure.result.stated import places_in
from measure.units import MM_PER, Unit


def uncertainty_of(plat: Plat, unit: Unit) -> Uncertainty:
    """How a plat's measured pieces and its parcel move, in the unit."""
    parcel = (
        ParcelMoves(places_in(plat.parcel.points, unit), packed(plat.parcel.sensitivity, unit)) if plat.parcel else None
    )
    return Uncertainty(plat.sources, tuple(_piece_moves(plat, unit)), parcel, tuple(line_moves(plat, unit)))


def plat_of(result: Result) -> Plat:
    """The plat that a result file describes, pieces in the file's order zone by zone.

    Raises InputMistakes where the file's `uncertainty` does not belong to its outlines.
    """
    scale = MM_PER[result.unit]
    known = result.uncertainty
    sources = list(known.sources) if known else []
    moves = {(m.zone, m.piece): m for m in known.pieces} if known else {}
    pieces, mistakes = [], list[Mistake]()
    for zone in result.zones:
        for index, piece in enumerate(zone.pieces, 1):
            try:
                pieces.append(_piece(zone.name, piece, moves.get((zone.name, index)), sources, scale))
            except ValueError as error:
                mistakes.append(Mistake(f"piece {index} of {zone.name}", str(error), _FORGET))
    lines = lines_of(result.lines, known.lines if known else (), sources, result.unit, mistakes)
    doubts = doubts_of(result.lines, mistakes)
    parcel = _parcel(known, scale, mistakes) if known else None
    width, depth = result.parcel.width * scale, result.parcel.depth * scale
    if not 0 < min(width, depth) <= max(width, depth) < FARTHEST:
        mistakes.append(Mistake("the parcel", f"it is {result.parcel.width:g} by {result.parcel.depth:g}", _ANEW))
    if mistakes:
        raise InputMistakes(mistakes)
    return Plat(
        width, depth, tuple(pieces), tuple(sources), result.parcel.frame, parcel, result.photos, notices_in(result),
        result.team, solids_in(result), lines, doubts, tuple(line.name for line in result.lines if line.unread),
        result.all_structures_shown,
    )  # fmt: skip


def notices_in(result: Result) -> tuple[Notice, ...]:
    """A result's warnings as notices; of a file that has only their words, the words."""
    known = result.notices if len(result.notices) == len(result.warnings) else ()
    return known or tuple(plain(text) for text in result.warnings)


def _piece_moves(plat: Plat, unit: Unit) -> Iterator[PieceMoves]:
    numbers: dict[str, int] = {}
    for piece in plat.pieces:
        number = numbers[piece.zone] = numbers.get(piece.zone, 0) + 1
        if piece.status == "measured":
            rings = tuple(packed(ring.sensitivity, unit) for ring in (piece.ring, *piece.holes))
            yield PieceMoves(piece.zone, number, rings, steps_of(piece.tape_width, unit))


def _piece(zone: str, piece: PieceResult, moves: PieceMoves | None, sources: list[Source], scale: float) -> Piece:
    points = [np.array(ring, dtype=np.float64).reshape(-1, 2) * scale for ring in (piece.outline, *piece.holes)]
    width = Quantity((piece.tape_width.value if piece.tape_width else 0.0) * scale)
    if moves is not None:
        if len(moves.rings) != len(points):
            raise ValueError("its uncertainty is of another outline")
        found = [unpacked(m, len(p), len(sources), scale) for m, p in zip(moves.rings, points, strict=True)]
        width = Quantity(width.value, unpacked_steps(moves.tape_width, len(sources), scale))
    else:
        found = _independent(zone, piece, points, sources, scale)
    for ring, ring_moves in zip(points, found, strict=True):
        checked_size(ring, ring_moves)
    checked_size(np.array([[width.value]]), width.sensitivity[None, None, :])
    rings = [Ring(p, m, piece.curved) for p, m in zip(points, found, strict=True)]
    rings[0] = Ring(points[0], found[0], piece.curved, piece.inferred, piece.taped)
    repaired = _repaired(piece.repaired, scale) if piece.repaired else None
    return Piece(zone, rings[0], width, tuple(rings[1:]), piece.bridged, piece.status, repaired)


def _repaired(known: RepairedResult, scale: float) -> Repaired:
    if known.was is None:
        return Repaired(known.changes)
    rings = (known.was.outline, *known.was.holes)
    in_mm = tuple(tuple((x * scale, y * scale) for x, y in ring) for ring in rings)
    return Repaired(known.changes, Was(known.was.zone, in_mm))


def _independent(
    zone: str, piece: PieceResult, points: list[FloatArray], sources: list[Source], scale: float
) -> list[FloatArray]:
    """Movements with a new source for every coordinate, so that the area's u95 is as stated; adds those sources."""
    across = [(np.roll(ring, -1, axis=0) - np.roll(ring, 1, axis=0)) / 2 for ring in points]
    size = float(np.sqrt(sum(float((a**2).sum()) for a in across)))
    u95 = (piece.area.u95 if piece.area else 0.0) * scale**2
    if size == 0 or u95 == 0:
        return [np.zeros((len(ring), 2, len(sources))) for ring in points]
    first, count = len(sources), 2 * sum(map(len, points))
    sources += [Source(f"{zone}: coordinate {at + 1}", "given") for at in range(count)]
    own = u95 / COVERAGE_FACTOR / size * np.eye(count).reshape(-1, 2, count)
    moves = np.concatenate([np.zeros((count // 2, 2, first)), own], axis=2)
    return np.split(moves, np.cumsum([len(ring) for ring in points])[:-1])


def _parcel(known: Uncertainty, scale: float, mistakes: list[Mistake]) -> Ring | None:
    if known.parcel is None:
        return None
    points = np.array(known.parcel.outline, dtype=np.float64).reshape(-1, 2) * scale
    try:
        moves = unpacked(known.parcel.moves, len(points), len(known.sources), scale)
        checked_size(points, moves)
        return Ring(points, moves)
    except ValueError as error:
        mistakes.append(Mistake("the parcel", str(error), _FORGET))
        return None


_ANEW = "measure the model again to make the file anew"
_FORGET = 'take the key "uncertainty" out of the file if its outlines were changed by hand'
