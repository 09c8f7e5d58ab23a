"""`result.json`: everything measured of one model, in the challenge's unit, for other programs."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from measure.challenge import Challenge, Zone
from measure.plat.measures import Measures
from measure.plat.plat import Piece, Repaired, Ring, Source
from measure.plat.shapes import Shape, shape_of
from measure.quantity import Quantity
from measure.repair.pointing import by_hand
from measure.repair.repair import repair_remarks
from measure.result.result import FORMAT, json_text
from measure.result.result_plat import uncertainty_of
from measure.rules import Outcome
from measure.structures.structures import TeamStructures
from measure.units import Unit, area_from_mm2, from_mm, volume_from_mm3

_DECIMALS = 6


@dataclass(frozen=True)
class Corrected:
    """The corrected photo beside the result: its file, scale, and the place (mm) of its top-left pixel's centre."""

    file: str
    mm_per_px: float
    origin: tuple[float, float]


@dataclass(frozen=True)
class ResultFile:
    """The file's text and all its warnings."""

    text: str
    warnings: tuple[str, ...]


def result_json(
    challenge: Challenge,
    measures: Measures,
    outcomes: Sequence[Outcome],
    *,
    team: str = "",
    structures: TeamStructures | None = None,
    corrected: Corrected | None = None,
    remarks: Sequence[str] = (),
) -> ResultFile:
    """The result file of one model. corrected is left out where there is no photo; remarks are more to warn of."""
    unit, plat = challenge.unit, measures.plat
    found = found_remarks(challenge, measures, structures)
    warnings = tuple(dict.fromkeys([*challenge.warnings, *plat.warnings, *found, *remarks]))
    content: dict[str, Any] = {
        "format": FORMAT,
        "title": challenge.title,
        "team": team,
        "unit": unit,
        "tape_edge": challenge.tape_edge,
        "numbers": challenge.numbers,
        "parcel": {
            "width": _number(from_mm(challenge.parcel.width, unit)),
            "depth": _number(from_mm(challenge.parcel.depth, unit)),
            "area": _number(area_from_mm2(challenge.parcel.area, unit)),
            "frame": plat.frame,
        },
        "zones": [_zone(zone, challenge, measures, structures) for zone in challenge.zones],
        "distances": _distances(challenge, measures),
        "structures": [] if structures is None else _structures(structures, unit),
        "rules": [_rule(outcome) for outcome in outcomes],
        "photos": [
            {
                "file": p.file,
                "sha256": p.sha256,
                "mm_per_px": p.mm_per_px,
                "tilt_deg": p.tilt_deg,
                "lens": p.lens_from or "estimated from the photo",
                "subject": [[list(place) for place in polygon] for polygon in p.subject],
            }
            for p in plat.photos
        ],
        "warnings": list(warnings),
    }
    if corrected is not None:
        content["corrected"] = {
            "file": corrected.file,
            "mm_per_px": corrected.mm_per_px,
            "origin_mm": list(corrected.origin),
        }
    content["uncertainty"] = uncertainty_of(plat, unit)
    return ResultFile(json_text(content), warnings)


def found_remarks(challenge: Challenge, measures: Measures, structures: TeamStructures | None = None) -> list[str]:
    """What was not found, what lies inside something else, and what was repaired by hand."""
    said = [f"no outline of {z.name} was found" for z in challenge.zones if measures.count(z.name) == 0]
    for zone in challenge.zones:
        inside = measures.enclosed(zone.name)
        if inside:
            taken = "its land is taken off" if zone.subtract_inside else "its land counts for both"
            said.append(f"{' and '.join(inside)} lies wholly inside {zone.name}: {taken}")
        said += _repairs(zone.name, measures)
    return [*said, *(structures.warnings if structures else ())]


def _repairs(zone: str, measures: Measures) -> Iterator[str]:
    sources = measures.plat.sources
    for index, piece in enumerate(measures.all_pieces(zone), start=1):
        name = f"piece {index} of {zone}" if measures.count(zone) > 1 else zone
        yield from repair_remarks(piece, name, sources)


def _zone(zone: Zone, challenge: Challenge, measures: Measures, structures: TeamStructures | None) -> dict[str, Any]:
    """volume is of all the structures in the zone, where their table was given."""
    unit = challenge.unit
    pieces = enumerate(measures.all_pieces(zone.name), start=1)
    made: dict[str, Any] = {
        "name": zone.name,
        "kind": zone.kind,
        "area": _area(measures.area([zone.name]), unit),
        "pieces": [_piece(piece, index, challenge, measures) for index, piece in pieces],
    }
    if structures is not None:
        made["volume"] = _volume(structures.volume(zone.name), unit)
    return made


def _piece(piece: Piece, index: int, challenge: Challenge, measures: Measures) -> dict[str, Any]:
    unit, shape = challenge.unit, shape_of(piece, challenge.shapes)
    made = {
        "outline": _points(piece.ring, unit),
        "holes": [_points(hole, unit) for hole in piece.holes],
        "status": piece.status,
        "area": _area(measures.piece_area(piece.zone, index), unit),
        "perimeter": _length(measures.piece_perimeter(piece.zone, index), unit),
        "tape_width": _length(piece.tape_width, unit),
        "bridged": round(piece.bridged, 4),
        "shape": None if shape is None else _shape(shape),
        "curved": piece.ring.curved,
        "inferred": [list(stretch) for stretch in piece.ring.inferred],
    }
    if piece.ring.taped:
        made["taped"] = [round(share, 4) for share in piece.ring.taped]
    if piece.repaired is not None:
        made["repaired"] = _repaired(piece, piece.repaired, measures.plat.sources, unit)
    return made


def _repaired(piece: Piece, repaired: Repaired, sources: Sequence[Source], unit: Unit) -> dict[str, Any]:
    corners = [at + 1 for at in by_hand(piece.ring, sources)]
    made: dict[str, Any] = {"by": "hand", "changes": list(repaired.changes), "corners": corners}
    if repaired.was is not None:
        outline, *holes = [[[_number(from_mm(c, unit)) for c in place] for place in r] for r in repaired.was.rings]
        made["was"] = {"zone": repaired.was.zone, "outline": outline, "holes": holes}
    return made


def _shape(shape: Shape) -> dict[str, Any]:
    return {"name": shape.name, "also": list(shape.also), "reasons": list(shape.reasons)}


def _points(ring: Ring, unit: Unit) -> list[list[float]]:
    return [[_number(from_mm(float(x), unit)), _number(from_mm(float(y), unit))] for x, y in ring.points]


def _distances(challenge: Challenge, measures: Measures) -> list[dict[str, Any]]:
    """The smallest gap of every two zones that are there; 0 where they overlap."""
    found = []
    for a, b in combinations([zone.name for zone in challenge.zones], 2):
        gap = measures.separation(a, b)
        if gap is not None:
            value = max(0.0, from_mm(gap.quantity.value, challenge.unit))
            u95 = from_mm(gap.quantity.u95, challenge.unit)
            found.append({"between": [a, b], "value": _number(value), "u95": _number(u95)})
    return found


def _structures(structures: TeamStructures, unit: Unit) -> list[dict[str, Any]]:
    """A row of the table each: height and floor (the area of a storey) are of one, the rest of all `count` together."""
    return [
        {
            "row": structure.row.number,
            "zone": structure.row.zone,
            "solid": structure.row.solid,
            "count": structure.row.count,
            "height": _length(structure.height, unit),
            "floor": _area(structure.solid.floor if structure.solid else None, unit),
            "volume": _volume(structure.volume, unit),
            "surface": _area(structure.surface(sides_only=False), unit),
            "side_surface": _area(structure.surface(sides_only=True), unit),
        }
        for structure in structures.structures
    ]


def _rule(outcome: Outcome) -> dict[str, Any]:
    limit = list(outcome.limit) if isinstance(outcome.limit, tuple) else outcome.limit
    rule: dict[str, Any] = {
        "text": outcome.text,
        "reads_as": outcome.reads_as,
        "kind": outcome.kind,
        "verdict": outcome.verdict,
        "value": outcome.value,
        "unit": outcome.unit,
        "limit": limit,
        "u95": outcome.u95,
        "chance": outcome.chance,
        "over": list(outcome.over),
    }
    if outcome.note:
        rule["note"] = outcome.note
    if outcome.by_hand is not None:
        rule["by_hand"] = {"verdict": outcome.by_hand[0], "reason": outcome.by_hand[1]}
    return rule


def _length(quantity: Quantity | None, unit: Unit) -> dict[str, float] | None:
    return None if quantity is None else _pair(from_mm(quantity.value, unit), from_mm(quantity.u95, unit))


def _area(quantity: Quantity | None, unit: Unit) -> dict[str, float] | None:
    return None if quantity is None else _pair(area_from_mm2(quantity.value, unit), area_from_mm2(quantity.u95, unit))


def _volume(quantity: Quantity | None, unit: Unit) -> dict[str, float] | None:
    if quantity is None:
        return None
    return _pair(volume_from_mm3(quantity.value, unit), volume_from_mm3(quantity.u95, unit))


def _pair(value: float, u95: float) -> dict[str, float]:
    return {"value": _number(value), "u95": _number(u95)}


def _number(value: float) -> float:
    """To a millionth: far finer than any photo, and free of the last digits that differ between machines."""
    return round(float(value), _DECIMALS)
