"""The lines of a plat as a result file keeps them, and as a plat has them again."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Literal

import numpy as np

from measure.challenge import Challenge, Line
from measure.conformity import Event, chance_all
from measure.errors import Mistake
from measure.lines.net import Net
from measure.lines.net_graph import Near
from measure.plat.plat import LineDoubt, LineEndKind, LinePiece, Plat, Repaired, Source, Was
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.repair.pointing import points_by_hand
from measure.result.line_results import (
    LineDoubtResult,
    LineEndResult,
    LineMoves,
    LinePieceResult,
    LineRepairedResult,
    LineResult,
    LineWasResult,
)
from measure.result.packed_moves import checked_size, packed, steps_of, unpacked, unpacked_steps
from measure.result.result_values import Value
from measure.result.stated import length_in, number_of, places_in
from measure.rules.verdict import SURELY
from measure.units import MM_PER, Unit, to_mm

_AGAIN = "measure the model again to make the file anew"


def line_results(challenge: Challenge, net: Net) -> tuple[LineResult, ...]:
    """Every declared line in the challenge's unit, with the zones that its ends and pieces reach."""
    return tuple(_line(line, challenge, net) for line in challenge.lines)


def total_cost(challenge: Challenge, net: Net) -> Value | None:
    """The cost of all lines that have one; None where the challenge states none, or one of them is not known."""
    priced = [line for line in challenge.lines if line.cost is not None]
    costs = [_cost(line, net.length(line.name), challenge.unit) for line in priced if not net.unread(line.name)]
    if not priced or len(costs) < len(priced):
        return None
    return _value(sum(costs[1:], costs[0]))


def line_moves(plat: Plat, unit: Unit) -> Iterator[LineMoves]:
    """How every piece of a line moves, in the unit."""
    numbers: dict[str, int] = {}
    for piece in plat.lines:
        number = numbers[piece.line] = numbers.get(piece.line, 0) + 1
        moves = packed(piece.sensitivity, unit)
        yield LineMoves(piece.line, number, moves, steps_of(piece.length, unit), steps_of(piece.width, unit))


def lines_of(
    results: Sequence[LineResult], moves: Sequence[LineMoves], sources: list[Source], unit: Unit,
    mistakes: list[Mistake],
) -> tuple[LinePiece, ...]:  # fmt: skip
    """The pieces in mm again; of one without moves length and width alone are uncertain: such sources are added."""
    known = {(m.line, m.piece): m for m in moves}
    made = []
    for line in results:
        for number, piece in enumerate(line.pieces, 1):
            try:
                made.append(_piece(line.name, piece, known.get((line.name, number)), sources, MM_PER[unit]))
            except ValueError as error:
                mistakes.append(Mistake(f"piece {number} of {line.name}", str(error), _AGAIN))
    return tuple(made)


def doubts_of(results: Sequence[LineResult], mistakes: list[Mistake]) -> tuple[LineDoubt, ...]:
    """Where lines could go on in more than one way; pieces are counted among those of all lines."""
    made, before = list[LineDoubt](), 0
    for line in results:
        for doubt in line.two_ways:
            pieces, ends = len(line.pieces), range(len(doubt.ends))
            sound = all(1 <= piece <= pieces for piece, _ in doubt.ends)
            if not sound or any(at not in ends for way in doubt.ways for pair in way for at in pair):
                mistakes.append(Mistake(f"two_ways of {line.name}", "they name ends that are not there", _AGAIN))
                continue
            ends_there = tuple((before + piece - 1, which) for piece, which in doubt.ends)
            made.append(LineDoubt(line.name, ends_there, doubt.ways))
        before += len(line.pieces)
    return tuple(made)


# ---- to the file


def _line(line: Line, challenge: Challenge, net: Net) -> LineResult:
    pieces = net.pieces(line.name)
    length = net.length(line.name)
    unread = net.unread(line.name)
    cost = None if line.cost is None or unread else _value(_cost(line, length, challenge.unit))
    return LineResult(
        name=line.name,
        pieces=tuple(_piece_result(at, piece, challenge, net) for at, piece in enumerate(pieces, 1)),
        length=length_in(length, challenge.unit),
        cost=cost,
        two_ways=tuple(_doubts(line.name, net)),
        unread=unread or None,
    )


def _cost(line: Line, length: Quantity | None, unit: Unit) -> Quantity:
    assert line.cost is not None
    return (length or Quantity(0.0)) * (line.cost / to_mm(1.0, unit))


def _value(quantity: Quantity) -> Value:
    return Value(number_of(quantity.value), number_of(quantity.u95))


def _piece_result(number: int, piece: LinePiece, challenge: Challenge, net: Net) -> LinePieceResult:
    unit, line = challenge.unit, piece.line
    zones = [zone.name for zone in challenge.zones]
    whole = {zone: [near.gap for near in net.gaps(line, zone) if near.pieces[0] == (line, number)] for zone in zones}
    at_ends = {zone: net.end_gaps(line, number, zone) for zone in zones}
    length, width = length_in(piece.length, unit), length_in(piece.width, unit)
    assert length is not None
    assert width is not None
    return LinePieceResult(
        centreline=places_in(piece.points, unit),
        length=length,
        width=width,
        bridged=number_of(piece.bridged),
        ends=() if piece.closed else tuple(_end(piece, which, at_ends, challenge) for which in (0, 1)),
        reaches=_reached(whole, challenge, surely=True),
        may_reach=_reached(whole, challenge, surely=False),
        inferred=piece.inferred,
        closed=piece.closed or None,
        repaired=_repaired(piece, piece.repaired, net.measures.plat.sources, unit) if piece.repaired else None,
    )


def _repaired(piece: LinePiece, repaired: Repaired, sources: Sequence[Source], unit: Unit) -> LineRepairedResult:
    points, was = tuple(at + 1 for at in points_by_hand(piece.sensitivity, sources)), repaired.was
    middles = tuple(places_in(np.reshape(middle, (-1, 2)), unit) for middle in was.rings) if was else ()
    return LineRepairedResult("hand", repaired.changes, points, LineWasResult(was.zone, middles) if was else None)


def _end(piece: LinePiece, which: int, gaps: dict[str, tuple[Near, ...]], challenge: Challenge) -> LineEndResult:
    of_end = {zone: [found[which].gap] if found else [] for zone, found in gaps.items()}
    at = places_in(piece.points[[0, -1]][which : which + 1], challenge.unit)[0]
    sure, perhaps = (_reached(of_end, challenge, surely=surely) for surely in (True, False))
    return LineEndResult(at, sure, perhaps, piece.ends[which])


def _reached(gaps: dict[str, list[Quantity]], challenge: Challenge, *, surely: bool) -> tuple[str, ...]:
    """The zones that are reached for sure, or those of which it cannot be told, by the chance that decides rules."""
    limit = challenge.touch_gap
    chances = {zone: chance_all([Event(tuple(of), None, limit)]) for zone, of in gaps.items() if of}
    low, high = (SURELY, 1.1) if surely else (1.0 - SURELY, SURELY)
    return tuple(zone for zone, chance in chances.items() if low <= chance < high and (surely or chance > low))


def _doubts(line: str, net: Net) -> Iterator[LineDoubtResult]:
    plat = net.measures.plat
    own = [at for at, piece in enumerate(plat.lines) if piece.line == line]
    for doubt in plat.line_doubts:
        if doubt.line == line:
            ends: list[tuple[int, Literal[0, 1]]] = [(own.index(at) + 1, 1 if end else 0) for at, end in doubt.ends]
            yield LineDoubtResult(tuple(ends), doubt.ways)


# ---- from the file


def _piece(
    line: str, piece: LinePieceResult, moves: LineMoves | None, sources: list[Source], scale: float
) -> LinePiece:
    points = np.array(piece.centreline, dtype=np.float64).reshape(-1, 2) * scale
    if len(points) < 2:
        raise ValueError("its centreline has fewer than two points")
    if moves is not None:
        sensitivity = unpacked(moves.centreline, len(points), len(sources), scale)
        length = Quantity(piece.length.value * scale, unpacked_steps(moves.length, len(sources), scale))
        width = Quantity(piece.width.value * scale, unpacked_steps(moves.width, len(sources), scale))
    else:
        sensitivity = np.zeros((len(points), 2, 0))
        length = _alone(piece.length, f"{line}: length", sources, scale)
        width = _alone(piece.width, f"{line}: width", sources, scale)
    checked_size(points, sensitivity)
    ends = _kinds(piece)
    repaired = _repair_of(piece.repaired, scale) if piece.repaired else None
    return LinePiece(
        line, points, sensitivity, length, width, piece.inferred, piece.bridged, ends, bool(piece.closed), repaired
    )


def _repair_of(known: LineRepairedResult, scale: float) -> Repaired:
    if known.was is None:
        return Repaired(known.changes)
    middles = tuple(tuple((x * scale, y * scale) for x, y in middle) for middle in known.was.centrelines)
    return Repaired(known.changes, Was(known.was.line, middles))


def _kinds(piece: LinePieceResult) -> tuple[LineEndKind, LineEndKind]:
    if len(piece.ends) == 2:
        return piece.ends[0].how, piece.ends[1].how
    return ("joined", "joined") if piece.closed else ("free", "free")


def _alone(value: Value, name: str, sources: list[Source], scale: float) -> Quantity:
    """A quantity that only a new source of its own moves."""
    if value.u95 == 0:
        return Quantity(value.value * scale)
    sources.append(Source(name, "given"))
    own = np.zeros(len(sources))
    own[-1] = value.u95 * scale / COVERAGE_FACTOR
    return Quantity(value.value * scale, own)
