"""The measured terms of a formula on one plat: sizes, gaps, shared land; in mm, mm2 and mm3."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from measure.plat.measures import Edge as LineOfTape
from measure.plat.measures import piece_of
from measure.plat.relations import borders, spans
from measure.plat.separation import Candidate, Separation
from measure.plat.separation import smallest as nearest_of
from measure.quantity import Quantity
from measure.rules.compass import directions
from measure.rules.formula.formula_terms import AreaIn, Extent, Gap, LandSize, PairSize, SideCount, Size
from measure.rules.formula.formula_things import Centre, Edge, Point, Region, Term, Thing
from measure.rules.formula.judging.built_found import built_found
from measure.rules.formula.judging.numbers_found import Exact, Measured, NotKnown, Number
from measure.rules.formula.judging.numbers_reckoned import Ordered, added
from measure.rules.formula.judging.parcel_parts import box_of, point_of
from measure.rules.formula.judging.sides_found import side_count, side_lengths
from measure.rules.formula.judging.things_found import Names, Scene
from measure.rules.kinds.places.zone_gaps import NO_PLACE
from measure.rules.rule_context import Context
from measure.rules.verdict import Mark, MarkKind, Unknown

_SIDES = {"top": 0, "right": 1, "bottom": 2, "left": 3}
_ITSELF = "{} would be compared with itself; leave it out with `except`"
_SEVERAL = "{} has several pieces; say it of each, as in `for every piece of homes: ... that piece ...`"


def size_found(term: Term, scene: Scene) -> Number:
    """A measured term; where it is not known, why."""
    found = _size(term, scene)
    return NotKnown(found, low=0.0) if isinstance(found, Unknown) else found


def things_there(things: Sequence[Thing], scene: Scene) -> list[Names] | Unknown:
    """The names of things, or why one of them is unknown, not wholly measured, or the same as another."""
    found: list[Names] = []
    for thing in things:
        names = scene.names(thing)
        missing = names if isinstance(names, Unknown) else scene.context.missing(names)
        if isinstance(missing, Unknown):
            return missing
        assert not isinstance(names, Unknown)
        if not names:
            return Unknown("there is no zone that this could apply to")
        found.append(names)
    for at, mine in enumerate(found):
        for other in found[:at]:
            if any(_same(a, b) for a in mine for b in other):
                return Unknown(_ITSELF, mine)
    return found


def separation_of(first: Names, second: Names, context: Context, edge: LineOfTape = "tape_edge") -> Separation | None:
    """The signed separation of two things, each of several zones or pieces."""
    found = (context.measures.separation(a, b, edge=edge) for a in first for b in second)
    return nearest_of(candidate for separation in found if separation for candidate in _candidates(separation))


def side_of_parcel(way: str, context: Context) -> int:
    """Which side of the parcel, from the top clockwise, lies to the north (...) of it."""
    x, y = directions(way, context.setting.parcel.north)[0]
    return _SIDES["right" if x > 0.5 else "left" if x < -0.5 else "bottom" if y > 0.5 else "top"]


def piece_mark(kind: MarkKind, names: Names, ends: tuple[tuple[float, float], tuple[float, float]] | None) -> Mark:
    """A mark on zones or pieces, or on a gap; its label comes when it is known to be shown."""
    numbered = [(zone, index or 0) for zone, index in map(piece_of, names)]
    if kind == "zone" and any(index for _, index in numbered):
        kind = "piece"
    return Mark(kind, tuple(numbered), ends)


def gap_number(found: Separation, over: Names, kind: MarkKind = "gap", *, floor: float | None = 0.0) -> Number:
    """A separation as a number; a gap is never below 0."""
    pieces = tuple((*piece_of(zone), index) for zone, index in found.pieces)
    named = tuple((zone, index if piece is None else piece) for zone, piece, index in pieces)
    return Measured(found.candidates, over, Mark(kind, named, found.between), floor)


def _size(term: Term, scene: Scene) -> Number | Unknown:
    if isinstance(term, LandSize):
        return _land(term, scene.context)
    built = built_found(term, scene)
    if built is not None:
        return built
    names = things_there([part for part in term.parts() if isinstance(part, Thing)], scene)
    if isinstance(names, Unknown):
        return names
    match term:
        case PairSize(_, _, Edge(way)):
            named = scene.part("edge") if way == "that" else way
            return _along_edge(names[0], named, scene.context)
        case PairSize(name):
            return _shared(name, names[0], names[1], scene.context)
        case Gap(_, Thing()):
            found = separation_of(names[0], names[1], scene.context)
            over = (*names[0], *names[1])
            return Unknown("the gap between {} is not known", over) if found is None else gap_number(found, over)
        case Gap(_, Centre()):
            return _to_centre(names[0], scene.context)
        case Gap(_, Point(corner)):
            return point_gap(names[0], point_name(corner, scene), scene.context)
        case AreaIn(_, region):
            return _area_in(names[0], region_name(region, scene), scene.context)
        case Gap(_, Edge(way)):
            return edge_gap(names[0], scene.part("edge") if way == "that" else way, scene.context)
        case Extent(_, way):
            return _extent(names[0], way, scene.context)
        case SideCount():
            return side_count(names[0], scene.context)
        case Size(name):
            return _of_thing(name, names[0], scene.context)
    raise TypeError(f"{type(term).__name__} is not measured")


def _of_thing(name: str, names: Names, context: Context) -> Number | Unknown:
    if name == "area":
        return _number(context.measures.area(names), names, "the area of {} is not known")
    if name in ("shortest side", "longest side"):
        sides = side_lengths(names, context)
        if isinstance(sides, Unknown):
            return sides
        return Ordered("smallest" if name == "shortest side" else "largest", sides)
    if name == "perimeter":
        return _number(context.measures.perimeter(names[0]), names, "the perimeter of {} is not known")
    if context.measures.count(names[0]) > 1:
        return Unknown(_SEVERAL, names)
    rectangle = context.measures.rectangle(names[0])
    found = None if rectangle is None else rectangle[0 if name == "length" else 1]
    return _number(found, names, f"the {name} of {{}} is not known")


def _number(found: Quantity | None, names: Names, why: str) -> Number | Unknown:
    if found is None:
        return Unknown(why, names)
    return Measured((found,), names, piece_mark("zone", names, None))


def _land(term: LandSize, context: Context) -> Number | Unknown:
    whole = Exact(context.setting.parcel.area)
    if term.land == "parcel":
        return whole
    there = tuple(zone for zone in context.all_zones if context.measures.count(zone))
    missing = context.missing(there)
    if missing:
        return missing
    taken = context.measures.area(there) if there else Quantity(0.0)
    used = _number(taken, there, "how much land is taken is not known")
    if isinstance(used, Unknown) or term.land == "used land":
        return used
    return added([whole, used], [1.0, -1.0])


def _shared(name: str, first: Names, second: Names, context: Context) -> Number | Unknown:
    measures, over = context.measures, (*first, *second)
    line: LineOfTape = "outer" if name == "common border" else "middle"
    one, other = measures.land(first, line), measures.land(second, line)
    if one is None or other is None:
        return Unknown("{} are not known well enough", over)
    if name == "common border":
        found = borders.common_border(one, other, context.setting.touch_gap)
    elif name == "overlap":
        found = borders.shared_land(one, other)
    else:
        found = spans.between_centroids(one, other)
    return Measured((found,), over, piece_mark("zone", first, None), floor=0.0)


def _along_edge(names: Names, way: str, context: Context) -> Number | Unknown:
    """The length of a thing's outer tape edge at the parcel's edge (an empty name: at any)."""
    land, parcel = context.measures.land(names, "outer"), context.setting.parcel
    if land is None or context.measures.plat.frame == "card":
        return Unknown(NO_PLACE, names)
    found: list[Number] = []
    for side in (side_of_parcel(way, context),) if way else range(4):
        outside = borders.beyond_edge(parcel.width, parcel.depth, side, land.sources)
        along = (1.0, 0.0) if side % 2 == 0 else (0.0, 1.0)
        border = borders.common_border(land, outside, context.setting.touch_gap, along)
        found.append(Measured((border,), names, piece_mark("zone", names, None), floor=0.0))
    return found[0] if way else added(found)


def edge_gap(names: Names, way: str, context: Context, *, outer: bool = False) -> Number | Unknown:
    """The gap to the parcel's nearest edge, or to the one that lies that way."""
    parcel = context.measures.parcel_sides()
    line: LineOfTape = "outer" if outer else "tape_edge"
    found: list[Candidate] = []
    for name in names:
        land = context.measures.land((name,), line)
        if parcel is None or land is None:
            return Unknown(NO_PLACE, names)
        for side in range(len(parcel)) if not way else (side_of_parcel(way, context),):
            separation = spans.gap_to_edge(land, parcel, side, (name, 1))
            found += _candidates(separation) if separation else []
    nearest = nearest_of(found)
    if nearest is None:
        return Unknown(NO_PLACE, names)
    return gap_number(nearest, names, "edge", floor=None if outer else 0.0)


def _to_centre(names: Names, context: Context) -> Number | Unknown:
    land, parcel = context.measures.land(names, "middle"), context.setting.parcel
    if land is None or context.measures.plat.frame == "card":
        return Unknown(NO_PLACE, names)
    found = spans.distance_of_centroid(land, (parcel.width / 2, parcel.depth / 2))
    return Measured((found,), names, piece_mark("zone", names, None), floor=0.0)


def point_name(corner: str, scene: Scene) -> str:
    """Which corner of the parcel is meant; empty: the centre."""
    return scene.part("corner") if corner == "that" else corner


def region_name(region: Region, scene: Scene) -> str:
    """Which part of the parcel is meant."""
    if region.name == "that half":
        return f"{scene.part('half')} half"
    return f"{scene.part('quarter')} corner" if region.name == "that quarter" else region.name


def _area_in(names: Names, region: str, context: Context) -> Number | Unknown:
    land = context.measures.land(names)
    if land is None or context.measures.plat.frame == "card":
        return Unknown(NO_PLACE, names)
    part = borders.fixed_rectangle(box_of(region, context.setting.parcel).wide, land.sources)
    return Measured((borders.shared_land(land, part),), names, piece_mark("zone", names, None), floor=0.0)


def point_gap(names: Names, corner: str, context: Context, *, outer: bool = False) -> Number | Unknown:
    """The gap to a corner of the parcel, or to its centre."""
    land = context.measures.land(names, "outer" if outer else "tape_edge")
    if land is None or context.measures.plat.frame == "card":
        return Unknown(NO_PLACE, names)
    found = spans.point_within(land, point_of(corner, context.setting.parcel), (names[0], 1))
    return gap_number(replace(found, candidates=(-found.candidates[0],)), names, "edge")


def _extent(names: Names, way: str, context: Context) -> Number | Unknown:
    land = context.measures.land(names)
    if land is None or context.measures.plat.frame == "card":
        return Unknown(NO_PLACE, names)
    ahead, back = spans.span_along(land, directions(way.split(" ")[0], context.setting.parcel.north)[0])
    mark = piece_mark("zone", names, None)
    # the smallest of the negatives is minus the largest
    furthest = [Measured(tuple(-q for q in several), names, mark) for several in (ahead, back)]
    return added(furthest, [-1.0, -1.0])


def _candidates(found: Separation) -> list[Candidate]:
    """Its competitors, each with its place where it is the smallest."""
    return [Candidate(quantity, found.between, found.pieces) for quantity in found.candidates]


def _same(a: str, b: str) -> bool:
    """Whether two names are one thing, or one is a piece of the other."""
    (zone, piece), (other, index) = piece_of(a), piece_of(b)
    return zone == other and (piece is None or index is None or piece == index)
