"""Outlines, and lines, repaired by hand: from a plat and the changes that somebody made to the plat that results.

Corners that stay where they were keep their uncertainty.  A corner that was placed by hand has that of pointing at it
(measure.repair.pointing) and the causes that the whole picture shares.  All changes are of the plat as it was: a piece
is named by its zone and number there, whatever else is taken away or added.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely

from measure.errors import InputMistakes, Mistake
from measure.notices import Notice, Subject
from measure.plat.plat import Piece, Plat, Repaired, RepairKind, Ring, Source, Was, normalised, ordered
from measure.plat.ring_validity import problem_of
from measure.quantity import FloatArray, Quantity
from measure.repair.line_edits import LineEdit, Places, line_mistakes
from measure.repair.line_repair import repaired_lines, settled
from measure.repair.placed_rings import RingMaker, same_ring
from measure.repair.pointing import PictureExtent, by_hand, place_said
from measure.units import MM_PER, Unit

LEAST_AREA = 25.0
"""mm2: a smaller outline is a slip of the hand."""
MOST_CORNERS, MOST_PIECES = 1000, 200
_USUAL_WIDTH, _WIDTH_SPREAD = 18.0, 4.0
"""mm: of tape that nothing else on the board tells; shops sell 12, 18 and 24 (common practice, no source)."""
_LEAST_SPREAD = 1.0


@dataclass(frozen=True)
class Reshape:
    """A piece (from 1 in its zone) gets another outline, and other holes, both in mm along the tape's middle."""

    zone: str
    piece: int
    outline: Places
    holes: tuple[Places, ...] = ()


@dataclass(frozen=True)
class Add:
    """An outline that was missed."""

    zone: str
    outline: Places
    holes: tuple[Places, ...] = ()


@dataclass(frozen=True)
class Remove:
    """A piece that is none."""

    zone: str
    piece: int


@dataclass(frozen=True)
class Rezone:
    """A piece that is another zone's."""

    zone: str
    piece: int
    to: str


OutlineEdit = Reshape | Add | Remove | Rezone
Edit = OutlineEdit | LineEdit
REMOVED = "removed-by-hand"
"""The code of the notice that is left of a piece that was taken away."""
_MOST_CORNERS_NAMED = 8


def repaired(
    plat: Plat,
    edits: Sequence[Edit],
    zones: Collection[str],
    shown: PictureExtent,
    unit: Unit,
    lines: Sequence[str] = (),
) -> Plat:
    """The plat with all edits made at once; zones and lines are those of the challenge, unit is that of messages.

    Raises InputMistakes with everything that is wrong with the edits, each with the outline or line and the place.
    """
    _check(plat, edits, zones, lines, shown, unit)
    maker = RingMaker(plat, shown)
    of_lines = repaired_lines(plat, [edit for edit in edits if isinstance(edit, LineEdit)], lines, maker)
    outlines = [edit for edit in edits if isinstance(edit, OutlineEdit)]
    kept = list(_changed(plat, outlines, maker))
    zones_drawn = {edit.zone for edit in outlines if isinstance(edit, Add)}
    kept = [piece for piece in kept if len(piece.ring.points) or piece.zone not in zones_drawn]
    kept += [_added(plat, edit, maker) for edit in outlines if isinstance(edit, Add)]
    before = {id(piece) for piece in plat.pieces}
    pieces = ordered(_with_holes(kept, before))
    sources = (*plat.sources, *maker.sources)
    gone = [*(_subject(edit, plat) for edit in outlines if isinstance(edit, Remove)), *of_lines.removed]
    removed = (Notice(REMOVED, subject) for subject in gone)
    said = (notice for notice in plat.notices if not settled(notice, of_lines))
    return replace(
        plat,
        pieces=pieces,
        sources=sources,
        notices=(*said, *removed, *maker.notices),
        lines=of_lines.lines,
        line_doubts=of_lines.doubts,
        unread_lines=of_lines.unread,
    )


def repair_notices(piece: Piece, subject: Subject, sources: Sequence[Source]) -> Iterator[Notice]:
    """What there is to remark of a piece that was repaired, if it was; sources are its plat's."""
    if piece.repaired is None:
        return
    changes, was = piece.repaired.changes, piece.repaired.was
    if was is None:
        yield Notice("drawn-by-hand", subject)
    elif "outline" in changes:
        yield Notice("outline-by-hand", subject, {"corners": _corners(piece, sources)})
    if was is not None and "zone" in changes and was.zone != piece.zone:
        yield Notice("zone-by-hand", subject, {"measured_as": was.zone})


def _corners(piece: Piece, sources: Sequence[Source]) -> tuple[int, ...]:
    """The corners that were placed, from 1, where they are few."""
    numbers = tuple(at + 1 for at in by_hand(piece.ring, sources))
    return () if piece.ring.curved or len(numbers) > _MOST_CORNERS_NAMED else numbers


def _check(
    plat: Plat, edits: Sequence[Edit], zones: Collection[str], lines: Collection[str], shown: PictureExtent, unit: Unit
) -> None:
    of_lines = [(number, edit) for number, edit in enumerate(edits, 1) if isinstance(edit, LineEdit)]
    mistakes = list(line_mistakes(plat, of_lines, lines, shown, unit))
    done: set[tuple[type, str, int]] = set()
    for number, edit in enumerate(edits, 1):
        if isinstance(edit, LineEdit):
            continue
        target = edit.to if isinstance(edit, Rezone) else edit.zone if isinstance(edit, Add) else None
        if target is not None and target not in zones:
            what = f"{target} is no zone of this challenge"
            mistakes.append(Mistake(f"change {number}", what, f"the zones are {', '.join(zones)}"))
        if not isinstance(edit, Add):
            mistakes += _wrong_piece(plat, edit, number)
            again = {(kind, edit.zone, edit.piece) for kind in _rivals(edit)} & done
            if again:
                mistakes.append(Mistake(_named(edit, plat), "it is changed twice", "make one change of it"))
            done.add((type(edit), edit.zone, edit.piece))
        if isinstance(edit, Reshape | Add):
            mistakes += _wrong_outline(edit, _named(edit, plat), shown, unit)
    if len(plat.pieces) + sum(isinstance(edit, Add) for edit in edits) > MOST_PIECES:
        mistakes.append(Mistake("", f"there are more than {MOST_PIECES} outlines", "draw fewer"))
    if mistakes:
        raise InputMistakes(mistakes)


def _rivals(edit: Reshape | Remove | Rezone) -> tuple[type, ...]:
    """The kinds of changes that the same piece cannot have as well."""
    return (Reshape, Remove, Rezone) if isinstance(edit, Remove) else (type(edit), Remove)


def _wrong_piece(plat: Plat, edit: Reshape | Remove | Rezone, number: int) -> Iterator[Mistake]:
    count = sum(piece.zone == edit.zone for piece in plat.pieces)
    if not 1 <= edit.piece <= count:
        what = f"there is no piece {edit.piece} of {edit.zone}: it has {count}"
        yield Mistake(f"change {number}", what, "look at the outlines as they are now, and name one of them")


def _subject(edit: Remove, plat: Plat) -> Subject:
    """The piece that an edit takes away, with its number where its zone has several."""
    several = sum(piece.zone == edit.zone for piece in plat.pieces) > 1
    return Subject(edit.zone, edit.piece if several else None)


def _named(edit: OutlineEdit, plat: Plat) -> str:
    """The piece that an edit is about, with its number where its zone has several."""
    if isinstance(edit, Add):
        return f"the new outline of {edit.zone}"
    several = sum(piece.zone == edit.zone for piece in plat.pieces) > 1
    return f"piece {edit.piece} of {edit.zone}" if several else edit.zone


def _wrong_outline(edit: Reshape | Add, name: str, shown: PictureExtent, unit: Unit) -> Iterator[Mistake]:
    """What is wrong with an outline or its holes, with the place in the class's unit."""
    rings = _rings(edit)
    for number, ring in enumerate(rings):
        where = f"{name}, hole {number}" if number else name
        problem = _ring_problem(ring, shown, unit)
        if problem:
            yield Mistake(where, *problem)
            return
    polygon = shapely.Polygon(rings[0], rings[1:])
    if not polygon.is_valid:
        yield Mistake(name, "a hole crosses or leaves its outline", "move the hole's corners inside the outline")


def _rings(edit: Reshape | Add) -> list[FloatArray]:
    """The edit's outline and holes, each (n, 2) in mm."""
    return [np.array(ring, dtype=np.float64).reshape(-1, 2) for ring in (edit.outline, *edit.holes)]


def _ring_problem(ring: FloatArray, shown: PictureExtent, unit: Unit) -> tuple[str, str] | None:
    scale = MM_PER[unit]
    if len(ring) > MOST_CORNERS:
        return f"the outline has {len(ring)} corners", f"draw it with at most {MOST_CORNERS}"
    if not np.isfinite(ring).all():
        return "a corner's place is no number", "give two numbers for every corner"
    beyond = (ring < [shown.left, shown.top]) | (ring > [shown.right, shown.bottom])
    if beyond.any():
        at = int(np.flatnonzero(beyond.any(axis=1))[0])
        return f"corner {at + 1} at {place_said(ring[at], unit)} lies outside the picture", "move it into the picture"
    problem = problem_of(np.concatenate([ring, ring[:1]]) / scale, unit)
    if problem:
        crossing = "crosses itself" in problem
        return problem, "move a corner so that no two sides cross or touch" if crossing else "set three corners or more"
    apart = np.hypot(*(np.roll(ring, -1, axis=0) - ring).T)
    if apart.min() < shown.mm_per_px / 4:
        at = int(np.argmin(apart))
        what = f"corners {at + 1} and {(at + 1) % len(ring) + 1} at {place_said(ring[at], unit)} are one place"
        return what, "take one of them out"
    if shapely.Polygon(ring).area < LEAST_AREA:
        return f"the outline at {place_said(ring[0], unit)} is too small to be a zone", "remove it, or draw it larger"
    return None


def _changed(plat: Plat, edits: Sequence[OutlineEdit], maker: RingMaker) -> Iterator[Piece]:
    """The plat's pieces with their edits; those without are the same objects."""
    numbers: dict[str, int] = {}
    for piece in plat.pieces:
        number = numbers[piece.zone] = numbers.get(piece.zone, 0) + 1
        mine = [e for e in edits if not isinstance(e, Add) and (e.zone, e.piece) == (piece.zone, number)]
        if any(isinstance(edit, Remove) for edit in mine):
            continue
        made = piece
        for edit in sorted(mine, key=lambda e: isinstance(e, Rezone)):
            if isinstance(edit, Reshape) and not len(piece.ring.points):
                made = _added(plat, Add(piece.zone, edit.outline, edit.holes), maker)
            elif isinstance(edit, Reshape):
                made = _reshaped(made, edit, maker)
            elif isinstance(edit, Rezone) and edit.to != made.zone:
                made = replace(_marked(made, "zone"), zone=edit.to)
        yield made


def _reshaped(piece: Piece, edit: Reshape, maker: RingMaker) -> Piece:
    """The piece with the edit's rings; itself where they are as they were."""
    rings = _rings(edit)
    old = (piece.ring, *piece.holes)
    if piece.status == "measured" and len(rings) == len(old) and all(map(same_ring, rings, old)):
        return piece
    made = [maker.changed(ring, piece) for ring in rings]
    outline = made[0]
    was, now = piece.ring, outline
    bridged = _bridged(now) if now.inferred or not was.curved else piece.bridged * maker.kept_share(rings[0], piece)
    marked = _marked(piece, "outline")
    return replace(marked, ring=outline, holes=tuple(made[1:]), bridged=bridged, status="measured")


def _bridged(ring: Ring) -> float:
    """The share of the outline's length that no photo shows."""
    lengths = np.hypot(*(np.roll(ring.points, -1, axis=0) - ring.points).T)
    return float(sum((end - start) * lengths[side] for side, start, end in ring.inferred) / lengths.sum())


def _added(plat: Plat, edit: Add, maker: RingMaker) -> Piece:
    width = _width_for(plat, edit.zone, maker)
    rings = [maker.drawn(ring, width.value) for ring in _rings(edit)]
    return Piece(edit.zone, rings[0], width, tuple(rings[1:]), repaired=Repaired(("drawn",)))


def _width_for(plat: Plat, zone: str, maker: RingMaker) -> Quantity:
    """The zone's own tape where a piece of it was measured; else as the other tapes, with their spread."""
    measured = [piece for piece in plat.pieces if piece.status == "measured"]
    own = [piece for piece in measured if piece.zone == zone]
    if own:
        return own[0].tape_width
    widths = [piece.tape_width.value for piece in measured]
    value = float(np.median(widths)) if widths else _USUAL_WIDTH
    spread = max(_LEAST_SPREAD, float(np.std(widths))) if widths else _WIDTH_SPREAD
    if value == 0.0:
        return Quantity(0.0)  # outlines from a file have no tape
    at = maker.new_source(Source(f"{zone}: tape width by hand", "width"))
    maker.notices.append(Notice("tape-width-taken", Subject(zone), {"width": value}))
    return Quantity(value, spread * np.eye(1, at + 1, at)[0])


def _marked(piece: Piece, change: RepairKind) -> Piece:
    """The piece with one more change on record; how it was measured is kept from the first one."""
    before = piece.repaired
    if before is None:
        rings = tuple(tuple((float(x), float(y)) for x, y in ring.points) for ring in (piece.ring, *piece.holes))
        return replace(piece, repaired=Repaired((change,), Was(piece.zone, rings)))
    return replace(piece, repaired=replace(before, changes=tuple(dict.fromkeys((*before.changes, change)))))


def _with_holes(pieces: list[Piece], before: Collection[int]) -> list[Piece]:
    """A piece inside another of its zone becomes that one's hole, where the repair put it there."""
    given = [piece for piece in pieces if len(piece.ring.points)]
    shapes = {id(p): shapely.Polygon(p.ring.points, [hole.points for hole in p.holes]) for p in given}
    holes: dict[int, list[Ring]] = {}
    gone: set[int] = set()
    for inner in given:
        hosts = [host for host in given if _holds(host, inner, shapes, before)]
        if hosts and not inner.holes:
            smallest = min(hosts, key=lambda host: float(shapes[id(host)].area))
            holes.setdefault(id(smallest), []).append(inner.ring)
            gone.add(id(inner))
    kept = [piece for piece in pieces if id(piece) not in gone]
    return [_holed(piece, holes[id(piece)]) if id(piece) in holes else piece for piece in kept]


def _holds(host: Piece, inner: Piece, shapes: dict[int, shapely.Polygon], before: Collection[int]) -> bool:
    touched = id(host) not in before or id(inner) not in before
    if host is inner or host.zone != inner.zone or not touched:
        return False
    return bool(shapes[id(host)].area > shapes[id(inner)].area and shapes[id(host)].covers(shapes[id(inner)]))


def _holed(piece: Piece, holes: Sequence[Ring]) -> Piece:
    marked = piece if piece.repaired and "drawn" in piece.repaired.changes else _marked(piece, "outline")
    made = [normalised(r.points, r.sensitivity, curved=r.curved) for r in holes]
    return replace(marked, holes=(*piece.holes, *made))
