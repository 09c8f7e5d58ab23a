"""What a model's picture, drawing and table say: numbers in the class's unit and form, rounded to what is known."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import shapely
from shapely.geometry import Polygon

from measure.challenge import Challenge
from measure.numbers import round_length
from measure.plat.measures import Measures
from measure.plat.plat import LinePiece, Piece, Plat
from measure.plat.seen_solid import SeenSolid
from measure.rules.verdict import Mark as Where
from measure.rules.verdict import Outcome
from measure.units import area_from_mm2, from_mm, to_mm
from measure.voice import Known, sureness, value_said
from tapeplat.wording.notes import (
    GapMark,
    LineMark,
    LineNote,
    Mark,
    Notes,
    OverlapMark,
    PieceNote,
    RuleNote,
    ScaleNote,
    SolidNote,
    ZoneMark,
)
from tapeplat.wording.sentences import sentence

_ORIGINS = {"hand": "by hand", "photos": "from the photos", "marked photo": "on a marked photo"}
_SIZES = ("share", "size", "comparison")
"""The kinds of rules whose zones can be too large or too small."""


def notes_of(challenge: Challenge, measures: Measures, outcomes: Sequence[Outcome], team: str = "") -> Notes:
    """All that is said of one measured model."""
    plat = measures.plat
    title = f"{challenge.title}, team {team}" if team else challenge.title
    rules = tuple(_rule(number, outcome, challenge, plat) for number, outcome in enumerate(outcomes, start=1))
    solids = tuple(_solid(number, solid, challenge) for number, solid in enumerate(plat.solids, 1))
    lines = tuple(_line(piece, challenge) for piece in plat.lines)
    return Notes(title, tuple(_pieces(challenge, measures)), rules, _scale(challenge), solids=solids, lines=lines)


def _line(piece: LinePiece, challenge: Challenge) -> LineNote:
    """A piece of a line with its name and its length."""
    unit = challenge.unit
    length = Known(from_mm(piece.length.value, unit), from_mm(piece.length.u95, unit))
    said = f"{piece.line}, {value_said(length, unit, challenge.numbers)}"
    by_hand = ", by hand" if piece.repaired else ""
    return LineNote(piece.line, piece.points, piece.inferred, f"{said}{by_hand}")


def _solid(number: int, solid: SeenSolid, challenge: Challenge) -> SolidNote:
    """A structure's number, what it is and how tall, as photos show it."""
    unit, kind = challenge.unit, "marked" if solid.kind == "other" else solid.kind
    if solid.height is None:
        return SolidNote(solid.footprint, f"{number}: {kind}, height not measurable")
    height = Known(from_mm(solid.height.value, unit), from_mm(solid.height.u95, unit))
    return SolidNote(solid.footprint, f"{number}: {kind}, {value_said(height, unit, challenge.numbers)} tall")


def _pieces(challenge: Challenge, measures: Measures) -> Iterator[PieceNote]:
    """Each piece's name, with its number where the zone has several, and its area."""
    keep_clear = {zone.name for zone in challenge.zones if zone.kind == "keep-clear"}
    seen: Counter[str] = Counter()
    for piece in measures.plat.pieces:
        seen[piece.zone] += 1
        index = seen[piece.zone]
        name = f"{piece.zone} {index}" if measures.count(piece.zone) > 1 else piece.zone
        yield PieceNote(piece.zone, name, _area(challenge, measures, piece.zone, index), piece.zone in keep_clear)


def _area(challenge: Challenge, measures: Measures, zone: str, index: int) -> str:
    area = measures.piece_area(zone, index)
    if area is None:
        return "not measurable"
    unit = challenge.unit
    number = Known(area_from_mm2(area.value, unit), area_from_mm2(area.u95, unit))
    said = value_said(number, f"sq {unit}", challenge.numbers)
    return said if measures.all_pieces(zone)[index - 1].repaired is None else f"{said}, by hand"


def _scale(challenge: Challenge) -> ScaleNote:
    """About a sixth of the parcel's longer side."""
    unit = challenge.unit
    length = round_length(from_mm(max(challenge.parcel.width, challenge.parcel.depth), unit) / 6)
    return ScaleNote(to_mm(length, unit), f"{length:g} {unit}")


def _rule(number: int, outcome: Outcome, challenge: Challenge, plat: Plat) -> RuleNote:
    marks = tuple(mark for where in outcome.where for mark in _marks(where, outcome, plat))
    return RuleNote(number, outcome.text, outcome.verdict, detail_of(outcome), marks)


def detail_of(outcome: Outcome) -> str:
    """What was measured beside its limit, how sure that is, why something was not, and the teacher's own verdict."""
    by_hand = f"by hand: {outcome.by_hand[0]} ({outcome.by_hand[1]})" if outcome.by_hand else ""
    origin = origin_said(outcome.measured_by)
    parts = [outcome.sentence, origin, _sure(outcome), _allowed(outcome), outcome.note, *outcome.doubts, by_hand]
    return " ".join(sentence(part) for part in parts if part)


def origin_said(measured_by: Sequence[str]) -> str:
    """Where numbers of structures come from; nothing where they come from nowhere."""
    names = [_ORIGINS.get(origin, origin) for origin in measured_by]
    return f"measured {' and '.join(names)}" if names else ""


def _sure(outcome: Outcome) -> str:
    """In words; nothing of what has no uncertainty."""
    certain = outcome.value is None or outcome.chance is None or not outcome.u95
    word = "" if certain else sureness(outcome.chance or 0.0)
    return f"{word}: it is too close" if word == "cannot tell" else word


def _allowed(outcome: Outcome) -> str:
    """What the teacher allows, where it made a difference or was not enough."""
    if not outcome.allowed or outcome.met_without or outcome.value is None:
        return ""
    how = {"met": ", so it is met", "not met": ", and that is not enough"}.get(outcome.verdict, "")
    return f"{outcome.allowed} is allowed{how}"


def _marks(where: Where, outcome: Outcome, plat: Plat) -> Iterator[Mark]:
    """The marks that show a place on the picture."""
    if where.kind == "overlap":
        shared = _shared(where, plat)
        if shared:
            yield OverlapMark(shared, where.label)
            return
    if where.ends is not None:
        yield GapMark(where.ends, where.label)
        return
    if where.kind == "line":
        yield from (LineMark(piece.points, where.label) for piece in _lines(where, plat))
        return
    for zone, index in where.pieces:
        yield ZoneMark(zone, _judged(where.label, outcome), index or None)


def _lines(where: Where, plat: Plat) -> Iterator[LinePiece]:
    """The pieces of lines that a mark means."""
    for line, index in where.pieces:
        of_line = [piece for piece in plat.lines if piece.line == line]
        yield from of_line[index - 1 : index] if index else of_line


def _judged(label: str, outcome: Outcome) -> str:
    """The label of a zone, with `too large` or `too small` where its size breaks a rule with one limit."""
    if outcome.kind not in _SIZES or outcome.verdict != "not met" or not isinstance(outcome.limit, float | int):
        return label
    over = (outcome.value or 0.0) > outcome.limit
    return f"{label}: too {'large' if over else 'small'}"


def _shared(where: Where, plat: Plat) -> tuple[tuple[shapely.Geometry, ...], ...]:
    """The land that two pieces share along their tapes' middles, as rings."""
    lands = [_land(_piece(plat, zone, index)) for zone, index in where.pieces]
    common = shapely.intersection_all(lands)
    polygons = [part for part in shapely.get_parts(common) if isinstance(part, Polygon) and part.area > 0]
    rings = ([polygon.exterior, *polygon.interiors] for polygon in polygons)
    return tuple(tuple(shapely.get_coordinates(ring)[:-1] for ring in polygon) for polygon in rings)


def _piece(plat: Plat, zone: str, index: int) -> Piece:
    return [piece for piece in plat.pieces if piece.zone == zone][index - 1]


def _land(piece: Piece) -> shapely.Geometry:
    return shapely.make_valid(Polygon(piece.ring.points, [hole.points for hole in piece.holes]))
