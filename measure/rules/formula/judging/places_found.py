"""What a formula says of places on one plat: touching, overlapping, inside, in a part of the parcel, and so on."""

from __future__ import annotations

from typing import Literal

from measure.plat.measures import pieces_of
from measure.plat.relations import spans
from measure.plat.relations.barriers import Barrier, closing
from measure.plat.separation import Separation
from measure.rules.compass import directions
from measure.rules.formula.formula_data import (
    Amid,
    Compass,
    Connected,
    Covers,
    HasShape,
    InRegion,
    Inside,
    Overlap,
    Separates,
    There,
    Touch,
)
from measure.rules.formula.formula_things import Edge, Formula, Point, Thing
from measure.rules.formula.judging.events import AllOf, AnyOf, Certain, Compared, Event, Linked, Shown, Unclear
from measure.rules.formula.judging.numbers_found import Exact, Measured, Number
from measure.rules.formula.judging.parcel_parts import box_of, planes_of, point_of
from measure.rules.formula.judging.sides_found import shape_event
from measure.rules.formula.judging.sizes_found import (
    edge_gap,
    gap_number,
    piece_mark,
    point_gap,
    point_name,
    region_name,
    separation_of,
    side_of_parcel,
    things_there,
)
from measure.rules.formula.judging.things_found import Names, Scene
from measure.rules.kinds.places.zone_gaps import NO_PLACE
from measure.rules.rule_context import Context
from measure.rules.verdict import Unknown
from measure.units import to_mm


def place_event(formula: Formula, scene: Scene) -> Event:
    """The event that a formula without parts says of a plat."""
    context = scene.context
    if isinstance(formula, There):
        return _there(formula.zone, context)
    names = things_there([part for part in formula.parts() if isinstance(part, Thing)], scene)
    if isinstance(names, Unknown):
        return Unclear(names)
    match formula:
        case Touch(_, Edge(way)):
            gap = edge_gap(names[0], scene.part("edge") if way == "that" else way, context, outer=True)
            return _near(gap, context)
        case Touch(_, Point(corner)):
            return _near(point_gap(names[0], point_name(corner, scene), context, outer=True), context)
        case Touch():
            return _touching(names[0], names[1], context)
        case Overlap():
            return _overlapping(names[0], names[1], context)
        case Inside():
            return _inside(names[0], names[1], context)
        case InRegion(_, region, how):
            return _in_region(names[0], region_name(region, scene), how, context)
        case Covers(_, at):
            return _covers(names[0], point_name(at.corner, scene), context)
        case Compass(_, way, _):
            return _ahead(names[0], names[1], way, context)
        case Amid():
            return _amid(names, context)
        case Separates():
            return _separating(names[0], names[1], names[2], context)
        case HasShape(_, shape):
            return shape_event(shape, names[0], context)
        case Connected():
            return _connected(names[0], context)
    raise TypeError(f"{type(formula).__name__} is no place")


def _there(zone: str, context: Context) -> Event:
    measures = context.measures
    if measures.count(zone) > measures.unseen(zone):
        return Certain(True)
    if measures.count(zone):
        return Unclear(Unknown("whether there is any {} could not be told", (zone,)))
    return Certain(False)


def _shown(context: Context, what: Literal["depth", "gap"], limit: float, label: str = "{}") -> Shown:
    scale = to_mm(1.0, context.setting.unit)
    return Shown(context.setting.unit, scale, limit / scale, what, label)


def _near(gap: Number | Unknown, context: Context) -> Event:
    """A gap, which may be below 0, is at most the touch gap."""
    if isinstance(gap, Unknown):
        return Unclear(gap)
    limit = context.setting.touch_gap
    return Compared(gap, high=Exact(limit), shown=_shown(context, "gap", limit))


def _touching(first: Names, second: Names, context: Context) -> Event:
    over = (*first, *second)
    found = separation_of(first, second, context, "outer")
    if found is None:
        return Unclear(Unknown("the gap between {} is not known", over))
    return _near(gap_number(found, over, floor=None), context)


def _overlapping(first: Names, second: Names, context: Context) -> Event:
    """One reaches more than the touch gap into the other."""
    over, limit = (*first, *second), context.setting.touch_gap
    found = separation_of(first, second, context, "middle")
    if found is None:
        return Unclear(Unknown("whether {} overlap is not known", over))
    number = gap_number(found, over, "overlap", floor=None)
    return Compared(number, high=Exact(-limit), strict=True, shown=_shown(context, "depth", limit, "{} deep"))


def _reaching(found: Separation | None, over: Names, context: Context, label: str, why: str) -> Event:
    """It reaches no further than the touch gap to where it must not be."""
    if found is None:
        return Unclear(Unknown(why, over))
    limit = context.setting.touch_gap
    number = gap_number(found, over, "edge", floor=None)
    return Compared(number, Exact(-limit), shown=_shown(context, "depth", limit, label))


def _inside(of: Names, host: Names, context: Context) -> Event:
    found = ((name, context.measures.containment(name, *host)) for name in of)
    why = "whether {} lie inside one another is not known"
    return AllOf(tuple(_reaching(one, (name, *host), context, "{} outside", why) for name, one in found))


def _ahead(of: Names, other: Names, way: str, context: Context) -> Event:
    along = directions(way, context.setting.parcel.north)[0]
    pairs = ((a, b, context.measures.ahead(a, b, along)) for a in of for b in other)
    return AllOf(tuple(_reaching(found, (a, b), context, "{} too far", NO_PLACE) for a, b, found in pairs))


def _in_region(of: Names, region: str, how: str, context: Context) -> Event:
    parcel, measures = context.setting.parcel, context.measures
    box = box_of(region, parcel)
    if how == "in":
        found = ((name, measures.ahead_of_line(name, *plane)) for name in of for plane in planes_of(box))
        return AllOf(tuple(_reaching(one, (name,), context, "{} outside", NO_PLACE) for name, one in found))
    land = measures.land(of, "middle")
    if land is None or measures.plat.frame == "card":
        return Unclear(Unknown(NO_PLACE, of))
    if how == "partly in":
        into = spans.into_part(land, list(planes_of(box)), (of[0], 1))
        limit = context.setting.touch_gap
        number = gap_number(into, of, "edge", floor=None)
        return Compared(number, high=Exact(-limit), strict=True, shown=_shown(context, "depth", limit, "{} inside"))
    mark = piece_mark("zone", of, None)
    ahead = [(Measured((spans.centroid_along(land, way),), of, mark), line) for way, line in planes_of(box)]
    shown = _shown(context, "depth", 0.0, "mostly elsewhere")
    return AllOf(tuple(Compared(number, Exact(line), shown=shown) for number, line in ahead))


def _covers(of: Names, corner: str, context: Context) -> Event:
    land = context.measures.land(of, "middle")
    if land is None or context.measures.plat.frame == "card":
        return Unclear(Unknown(NO_PLACE, of))
    found = spans.point_within(land, point_of(corner, context.setting.parcel), (of[0], 1))
    shown = _shown(context, "depth", 0.0, "{} away")
    return Compared(gap_number(found, of, "edge", floor=None), Exact(0.0), shown=shown)


def _amid(names: list[Names], context: Context) -> Event:
    """In one compass direction, or its opposite, it lies beyond all of the first and before all of the second."""
    of, first, second = names
    ways = ("north", "south", "west", "east")
    return AnyOf(tuple(AllOf((_ahead(of, first, way, context), _ahead(second, of, way, context))) for way in ways))


def _separating(of: Names, first: Names, second: Names, context: Context) -> Event:
    """The widest gap that has to be closed, between its pieces or to the parcel's edges, is at most the touch gap."""
    measures, limit = context.measures, context.setting.touch_gap
    pieces = tuple(piece for name in of for piece in pieces_of(name, measures))
    lands = [measures.land((piece,), "outer") for piece in pieces]
    sides = [measures.land(names, "middle") for names in (first, second)]
    if measures.plat.frame == "card" or None in lands or None in sides:
        return Unclear(Unknown(NO_PLACE, of))
    gaps: dict[tuple[int, int | str], Number] = {}
    for at, piece in enumerate(pieces):
        for way in ("north", "south", "west", "east"):
            gap = edge_gap((piece,), way, context, outer=True)
            if isinstance(gap, Number):
                gaps[at, str(side_of_parcel(way, context))] = gap
        for to in range(at + 1, len(pieces)):
            found = separation_of((piece,), (pieces[to],), context, "outer")
            if found is not None:
                gaps[at, to] = gap_number(found, (piece, pieces[to]), floor=None)
    parcel = context.setting.parcel
    barrier = Barrier(
        [land.geometry for land in lands if land is not None],
        {pair: gap.value for pair, gap in gaps.items()},
        (parcel.width, parcel.depth),
    )
    a, b = (land.geometry for land in sides if land is not None)
    ways = {closing(barrier, a.buffer(-off * limit), b.buffer(-off * limit)) for off in (0.5, 1.5)}
    if len(ways) > 1:
        return Unclear(Unknown("whether {} reach over to the other side is too close to tell", (*first, *second)))
    (links,) = ways
    if links is None:
        return Certain(False)
    shown = _shown(context, "gap", limit)
    return AllOf(tuple(Compared(gaps[link], high=Exact(limit), shown=shown) for link in links))


def _connected(names: Names, context: Context) -> Event:
    pieces = tuple(piece for name in names for piece in pieces_of(name, context.measures))
    rows = (pieces[at + 1 :] for at in range(len(pieces)))
    pairs = tuple(tuple(_touching((pieces[at],), (other,), context) for other in row) for at, row in enumerate(rows))
    return Linked(pairs)
