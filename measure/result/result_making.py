"""The result of one measured model: everything that its result file says, in the challenge's unit."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from itertools import combinations

import numpy as np

from measure.challenge import Challenge, Zone
from measure.lines.net import net_of
from measure.notices import Fact, Notice, Subject, distinct
from measure.plat.measures import Measures
from measure.plat.plat import Piece, Repaired, Source
from measure.plat.shapes import shape_of
from measure.quantity import Quantity
from measure.repair.line_repair import line_repair_notices
from measure.repair.pointing import by_hand
from measure.repair.repair import repair_notices
from measure.result.built_results import StructureResult
from measure.result.result import (
    FORMAT,
    ByHand,
    CorrectedResult,
    DistanceResult,
    ParcelResult,
    PieceResult,
    RepairedResult,
    Result,
    RuleResult,
    WasResult,
    ZoneResult,
)
from measure.result.result_lines import line_results, total_cost
from measure.result.result_plat import uncertainty_of
from measure.result.seen_structures import seen_structures
from measure.result.stated import area_in, length_in, number_of, places_in, volume_in
from measure.rules.rule_context import Built
from measure.rules.verdict import Outcome
from measure.structures.built_structures import BuiltStructures
from measure.units import Unit, area_from_mm2, from_mm


def result_of(
    challenge: Challenge,
    measures: Measures,
    outcomes: Sequence[Outcome],
    words: Callable[[Notice], str],
    *,
    team: str = "",
    structures: BuiltStructures | None = None,
    corrected: CorrectedResult | None = None,
    notices: Sequence[Notice] = (),
) -> Result:
    """The result of one model. words makes a notice's; corrected is left out where there is no photo.

    notices are others than those of the challenge, the plat and the structures.
    """
    unit, plat, net = challenge.unit, measures.plat, net_of(measures)
    found = found_notices(challenge, measures)
    built = structures.notices if structures else ()
    said = distinct([*challenge_notices(challenge), *plat.notices, *found, *built, *notices])
    return Result(
        format=FORMAT,
        title=challenge.title,
        team=team,
        unit=unit,
        tape_edge=challenge.tape_edge,
        numbers=challenge.numbers,
        parcel=_parcel(challenge, measures),
        zones=tuple(_zone(zone, challenge, measures, structures) for zone in challenge.zones),
        distances=tuple(_distances(challenge, measures)),
        structures=tuple(_structures(structures, unit)) if structures else (),
        seen=tuple(seen_structures(structures, unit)) if structures else (),
        all_structures_shown=plat.solids_complete,
        lines=line_results(challenge, net),
        cost=total_cost(challenge, net),
        rules=tuple(_rule(outcome) for outcome in outcomes),
        photos=plat.photos,
        warnings=tuple(words(notice) for notice in said),
        notices=said,
        corrected=corrected,
        uncertainty=uncertainty_of(plat, unit),
    )


def challenge_notices(challenge: Challenge) -> list[Notice]:
    """What is odd about single rules, then about the challenge as a whole."""
    rules = enumerate(challenge.rules, 1)
    single = [Notice("rule", Subject(rule=n), {"text": said}) for n, line in rules for said in line.warnings]
    return [*single, *(Notice("challenge", facts={"text": said}) for said in challenge.notes)]


def found_notices(challenge: Challenge, measures: Measures) -> list[Notice]:
    """What was not found of zones and lines, what lies inside something else, and what was repaired by hand."""
    found = [Notice("no-outline", Subject(z.name)) for z in challenge.zones if measures.count(z.name) == 0]
    for zone in challenge.zones:
        inside = measures.enclosed(zone.name)
        if inside:
            facts: dict[str, Fact] = {"inside": tuple(inside), "subtracted": zone.subtract_inside}
            found.append(Notice("zone-inside", Subject(zone.name), facts))
        found += _repairs(zone.name, measures)
    for line in challenge.lines:
        pieces = net_of(measures).pieces(line.name)
        if not pieces and not net_of(measures).unread(line.name):
            found.append(Notice("no-line", Subject(line.name)))
        for at, piece in enumerate(pieces, 1):
            found += line_repair_notices(piece, Subject(line.name, at if len(pieces) > 1 else None))
    return found


def _repairs(zone: str, measures: Measures) -> Iterator[Notice]:
    several = measures.count(zone) > 1
    for index, piece in enumerate(measures.all_pieces(zone), start=1):
        yield from repair_notices(piece, Subject(zone, index if several else None), measures.plat.sources)


def _parcel(challenge: Challenge, measures: Measures) -> ParcelResult:
    unit, parcel = challenge.unit, challenge.parcel
    width, depth, area = from_mm(parcel.width, unit), from_mm(parcel.depth, unit), area_from_mm2(parcel.area, unit)
    return ParcelResult(number_of(width), number_of(depth), number_of(area), measures.plat.frame)


def _zone(zone: Zone, challenge: Challenge, measures: Measures, structures: BuiltStructures | None) -> ZoneResult:
    """volume is of all the structures in the zone, where those are known."""
    unit = challenge.unit
    pieces = enumerate(measures.all_pieces(zone.name), start=1)
    return ZoneResult(
        name=zone.name,
        kind=zone.kind,
        area=None if measures.unmeasured(zone.name) else area_in(measures.area([zone.name]), unit),
        pieces=tuple(_piece(piece, index, challenge, measures) for index, piece in pieces),
        volume=volume_in(_whole(structures.volume(zone.name)), unit) if structures else None,
    )


def _whole(found: Built) -> Quantity | None:
    """What is known, where that is all of it."""
    return None if found.more else found.value


def _piece(piece: Piece, index: int, challenge: Challenge, measures: Measures) -> PieceResult:
    unit = challenge.unit
    return PieceResult(
        outline=places_in(piece.ring.points, unit),
        holes=tuple(places_in(hole.points, unit) for hole in piece.holes),
        status=piece.status,
        area=area_in(measures.piece_area(piece.zone, index), unit),
        perimeter=length_in(measures.piece_perimeter(piece.zone, index), unit),
        tape_width=length_in(piece.tape_width, unit),
        bridged=number_of(piece.bridged),
        shape=shape_of(piece, challenge.shapes),
        curved=piece.ring.curved,
        inferred=piece.ring.inferred,
        taped=tuple(map(number_of, piece.ring.taped)),
        repaired=_repaired(piece, piece.repaired, measures.plat.sources, unit) if piece.repaired else None,
    )


def _repaired(piece: Piece, repaired: Repaired, sources: Sequence[Source], unit: Unit) -> RepairedResult:
    corners = tuple(at + 1 for at in by_hand(piece.ring, sources))
    if repaired.was is None:
        return RepairedResult("hand", repaired.changes, corners)
    outline, *holes = (places_in(np.reshape(ring, (-1, 2)), unit) for ring in repaired.was.rings)
    return RepairedResult("hand", repaired.changes, corners, WasResult(repaired.was.zone, outline, tuple(holes)))


def _distances(challenge: Challenge, measures: Measures) -> Iterator[DistanceResult]:
    """The smallest gap of every two zones of which every piece is measured; 0 where they overlap."""
    whole = [zone.name for zone in challenge.zones if not measures.unmeasured(zone.name)]
    for a, b in combinations(whole, 2):
        gap = measures.separation(a, b)
        found = length_in(gap.quantity if gap else None, challenge.unit)
        if found is not None:
            yield DistanceResult((a, b), max(0.0, found.value), found.u95)


def _structures(structures: BuiltStructures, unit: Unit) -> Iterator[StructureResult]:
    """A row of the table each: height and floor (the area of a storey) are of one, the rest of all `count` together."""
    for structure in structures.rows or ():
        row = structure.row
        yield StructureResult(
            row=row.number,
            zone=row.zone,
            solid=row.solid,
            count=row.count,
            height=length_in(structure.height, unit),
            floor=area_in(structure.solid.floor if structure.solid else None, unit),
            volume=volume_in(structure.volume, unit),
            surface=area_in(structure.surface(sides_only=False), unit),
            side_surface=area_in(structure.surface(sides_only=True), unit),
        )


def _rule(outcome: Outcome) -> RuleResult:
    return RuleResult(
        text=outcome.text,
        reads_as=outcome.reads_as,
        kind=outcome.kind,
        verdict=outcome.verdict,
        value=outcome.value,
        unit=outcome.unit,
        limit=outcome.limit,
        u95=outcome.u95,
        chance=outcome.chance,
        over=outcome.over,
        note=outcome.note,
        by_hand=ByHand(*outcome.by_hand) if outcome.by_hand else None,
        allowed=outcome.allowed,
        met_without=outcome.met_without,
        sentence=outcome.sentence,
        measured_by=outcome.measured_by,
        doubts=outcome.doubts,
    )
