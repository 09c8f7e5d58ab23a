"""A plat's lines repaired by hand: pieces put elsewhere, joined, drawn, taken away, or said to be another line's."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from measure.notices import Notice, Subject
from measure.plat.outline import norms
from measure.plat.plat import LineDoubt, LineEndKind, LinePiece, Plat, Repaired, RepairKind, Source, Was
from measure.quantity import FloatArray, Quantity
from measure.repair.line_edits import (
    AddLine,
    LineEdit,
    RemoveLine,
    RenameLine,
    ReshapeLine,
    joined_points,
    pieces_of_line,
)
from measure.repair.placed_lines import PlacedLine, inferred_stretches, placed_line
from measure.repair.placed_rings import SAME_PLACE, RingMaker

_WIDTH_SAID = (0.5, 0.1)
"""mm, and as a share: how well somebody tells a line's width (common practice, no source)."""


@dataclass(frozen=True, eq=False)
class RepairedLines:
    """The lines of a plat after a repair; removed are those that were taken away, with their numbers as they were."""

    lines: tuple[LinePiece, ...]
    doubts: tuple[LineDoubt, ...]
    unread: tuple[str, ...]
    removed: tuple[Subject, ...] = ()


def repaired_lines(plat: Plat, edits: Sequence[LineEdit], order: Sequence[str], maker: RingMaker) -> RepairedLines:
    """The plat's lines with all edits made at once, in the challenge's order, each line's pieces from top to bottom."""
    if not edits:
        return RepairedLines(plat.lines, plat.line_doubts, plat.unread_lines)
    made = _changed(plat, edits, maker)
    drawn = [_added(plat, edit, maker) for edit in edits if isinstance(edit, AddLine)]
    there = list({id(piece): piece for piece in (*made, *drawn) if piece is not None}.values())
    places = {line: at for at, line in enumerate(order)}  # a line that the challenge has no longer comes last
    lines = tuple(
        sorted(there, key=lambda p: (places.get(p.line, len(order)), *p.points.mean(axis=0)[::-1].round(6).tolist()))
    )
    removed = tuple(_subject(edit, plat) for edit in edits if isinstance(edit, RemoveLine))
    known = {edit.line for edit in edits if isinstance(edit, AddLine)}
    unread = tuple(line for line in plat.unread_lines if line not in known)
    return RepairedLines(lines, tuple(_doubts(plat, made, lines)), unread, removed)


def settled(notice: Notice, found: RepairedLines) -> bool:
    """Whether a photo's remark on a line no longer holds after the repair."""
    line = notice.facts.get("line")
    doubted = {doubt.line for doubt in found.doubts if len(doubt.ways) > 1}
    unclear = {"line-two-ways": doubted, "line-unread": found.unread, "line-too-thin": found.unread}.get(notice.code)
    return unclear is not None and line not in unclear


def line_repair_notices(piece: LinePiece, subject: Subject) -> Iterator[Notice]:
    """What there is to remark of a piece of a line that was repaired, if it was."""
    if piece.repaired is None:
        return
    changes, was = piece.repaired.changes, piece.repaired.was
    if was is None:
        yield Notice("drawn-by-hand", subject)
    if was is not None and "middle" in changes:
        yield Notice("line-by-hand", subject)
    if was is not None and "joined" in changes:
        yield Notice("line-joined-by-hand", subject, {"pieces": len(was.rings)})
    if was is not None and "line" in changes and was.zone != piece.line:
        yield Notice("zone-by-hand", subject, {"measured_as": was.zone})


def _subject(edit: RemoveLine, plat: Plat) -> Subject:
    several = len(pieces_of_line(plat, edit.line)) > 1
    return Subject(edit.line, edit.piece if several else None)


def _changed(plat: Plat, edits: Sequence[LineEdit], maker: RingMaker) -> list[LinePiece | None]:
    """What became of every piece of the plat, in its order: itself, another, the one that it is part of, or nothing."""
    made: list[LinePiece | None] = []
    numbers: dict[str, int] = {}
    swallowed: list[tuple[int, ReshapeLine]] = []
    hosts: dict[ReshapeLine, LinePiece] = {}
    for piece in plat.lines:
        number = numbers[piece.line] = numbers.get(piece.line, 0) + 1
        mine = [e for e in edits if not isinstance(e, AddLine) and (e.line, e.piece) == (piece.line, number)]
        into = [e for e in edits if isinstance(e, ReshapeLine) and e.line == piece.line and number in e.joined]
        if into:
            swallowed.append((len(made), into[0]))
            made.append(None)
            continue
        found: LinePiece | None = piece
        for edit in sorted(mine, key=lambda e: isinstance(e, RenameLine)):
            if isinstance(edit, RemoveLine):
                found = None
            elif isinstance(edit, ReshapeLine):
                found = _reshaped(plat, piece, edit, maker)
            elif isinstance(edit, RenameLine) and found is not None and edit.to != found.line:
                found = replace(_marked(found, ("line",), [piece]), line=edit.to)
        hosts.update({edit: found for edit in mine if isinstance(edit, ReshapeLine) and found is not None})
        made.append(found)
    for at, edit in swallowed:
        made[at] = hosts.get(edit)
    return made


def _reshaped(plat: Plat, piece: LinePiece, edit: ReshapeLine, maker: RingMaker) -> LinePiece:
    """The piece with the edit's middle; itself where that is as it was."""
    others = [pieces_of_line(plat, edit.line)[number - 1] for number in edit.joined]
    points = _points(piece, edit, others)
    if not others and _same(points, piece):
        return piece
    before = [piece, *others]
    placed = placed_line(maker, points, before, piece.width.value)
    inferred = inferred_stretches(placed.origin, before)
    moved = bool((placed.origin[:, 0] < 0).any()) or not others
    changes: tuple[RepairKind, ...] = (*(("middle",) if moved else ()), *(("joined",) if others else ()))
    return replace(
        _marked(piece, changes, before),
        points=placed.points,
        sensitivity=placed.sensitivity,
        length=placed.length,
        inferred=inferred,
        bridged=_share(placed.points, inferred),
        ends=("joined", "joined") if edit.closed else _ends(placed, before),
        closed=edit.closed,
    )


def _points(piece: LinePiece, edit: ReshapeLine, others: Sequence[LinePiece]) -> FloatArray:
    if edit.centreline:
        return _whole(edit.centreline, closed=edit.closed)
    points = piece.points
    for other in others:
        points = joined_points(points, other.points)
    return points


def _whole(centreline: Sequence[tuple[float, float]], *, closed: bool) -> FloatArray:
    """Points (n, 2); of a closed line the last repeats the first."""
    points = np.array(centreline, dtype=np.float64).reshape(-1, 2)
    return np.concatenate([points, points[:1]]) if closed and (points[0] != points[-1]).any() else points


def _same(points: FloatArray, piece: LinePiece) -> bool:
    """Whether points are the piece's own, from either end."""
    if len(points) != len(piece.points):
        return False
    return any(norms(way - piece.points).max() <= SAME_PLACE for way in (points, points[::-1]))


def _share(points: FloatArray, inferred: Sequence[tuple[int, float, float]]) -> float:
    """The share of the length that no photo shows."""
    lengths = norms(np.diff(points, axis=0))
    return float(sum((end - start) * lengths[side] for side, start, end in inferred) / lengths.sum())


def _ends(placed: PlacedLine, before: Sequence[LinePiece]) -> tuple[LineEndKind, LineEndKind]:
    """How it ends: as before where an end stayed, free where one was placed."""
    found: list[LineEndKind] = []
    for number, at in placed.origin[[0, -1]]:
        last = len(before[number].points) - 1 if number >= 0 else -1
        found.append(before[number].ends[0 if at == 0 else 1] if number >= 0 and at in (0, last) else "free")
    return found[0], found[1]


def _added(plat: Plat, edit: AddLine, maker: RingMaker) -> LinePiece:
    own = pieces_of_line(plat, edit.line)
    width = own[0].width if edit.width is None else _width_said(edit, edit.width, maker)
    placed = placed_line(maker, _whole(edit.centreline, closed=edit.closed), (), width.value)
    ends: tuple[LineEndKind, LineEndKind] = ("joined", "joined") if edit.closed else ("free", "free")
    return LinePiece(
        edit.line,
        placed.points,
        placed.sensitivity,
        placed.length,
        width,
        ends=ends,
        closed=edit.closed,
        repaired=Repaired(("drawn",)),
    )


def _width_said(edit: AddLine, width: float, maker: RingMaker) -> Quantity:
    at = maker.new_source(Source(f"{edit.line}: width by hand", "width"))
    u = float(np.hypot(_WIDTH_SAID[0], _WIDTH_SAID[1] * width))
    return Quantity(width, u * np.eye(1, at + 1, at)[0])


def _marked(piece: LinePiece, changes: Sequence[RepairKind], before: Sequence[LinePiece]) -> LinePiece:
    """The piece with more changes on record; how it was measured, with what was joined to it, is kept."""
    known = piece.repaired
    if known is None:
        rings = tuple(ring for old in before for ring in _was(old))
        return replace(piece, repaired=Repaired(tuple(changes), Was(piece.line, rings)))
    was = known.was and Was(known.was.zone, (*known.was.rings, *(ring for old in before[1:] for ring in _was(old))))
    return replace(piece, repaired=Repaired(tuple(dict.fromkeys((*known.changes, *changes))), was))


def _was(piece: LinePiece) -> tuple[tuple[tuple[float, float], ...], ...]:
    """The middles that a piece was measured by; none of one that was drawn."""
    if piece.repaired is not None:
        return piece.repaired.was.rings if piece.repaired.was else ()
    return (tuple((float(x), float(y)) for x, y in piece.points),)


def _doubts(plat: Plat, made: Sequence[LinePiece | None], lines: Sequence[LinePiece]) -> Iterator[LineDoubt]:
    """Where lines can still go on in more than one way, their ends as they are counted now.

    Two ends that were joined leave the ways in which they are; of other ends that are no longer there, nothing is left
    to doubt.
    """
    places = {id(piece): at for at, piece in enumerate(lines)}
    for doubt in plat.line_doubts:
        now = [made[at] for at, _ in doubt.ends]
        ends = [_end_now(plat.lines[at].points[-which], made[at]) for at, which in doubt.ends]
        there = [number for number, end in enumerate(ends) if end is not None]
        joined = [way for way in doubt.ways if all(_agrees(a, b, there, now) for a, b in way)]
        ways = [tuple((there.index(a), there.index(b)) for a, b in way if a in there) for way in joined]
        ways = [way for way in ways if way]
        if ways:
            kept = ((places[id(now[number])], end) for number, end in enumerate(ends) if end is not None)
            yield LineDoubt(doubt.line, tuple(kept), tuple(ways))


def _end_now(place: FloatArray, piece: LinePiece | None) -> int | None:
    """Which end of a piece lies at a place: 0 its start, 1 its end; None where none does."""
    apart = [] if piece is None else norms(piece.points[[0, -1]] - place).tolist()
    return next((which for which, far in enumerate(apart) if far <= SAME_PLACE), None)


def _agrees(a: int, b: int, there: Sequence[int], now: Sequence[LinePiece | None]) -> bool:
    """Whether two ends can be joined: both are still ends, or neither is as they are joined by hand."""
    return (a in there and b in there) or (a not in there and b not in there and now[a] is now[b] is not None)
