"""A layout as a drawing and as outlines for other programs; an answer as JSON."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from measure.challenge import Challenge
from measure.plat.plat import Piece, Plat, signed_area
from measure.units import from_mm
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.solving.solvable_words import limit_of_proof
from tapeplat.wording.wording import notes_of

if TYPE_CHECKING:
    from measure.solvable import Answer, Near

_DECIMALS = 6


def drawn(challenge: Challenge, plat: Plat, what: str) -> dict[str, bytes]:
    """`layout.geojson`, which `tapeplat check` reads, and `plat.svg`, a drawing at true scale."""
    measures = challenge.measures(plat)
    notes = notes_of(challenge, measures, ())
    # The largest first, so that none hides one that lies inside it.
    pairs = sorted(zip(plat.pieces, notes.pieces, strict=True), key=lambda pair: -signed_area(pair[0].ring.points))
    largest_first = replace(plat, pieces=tuple(piece for piece, _ in pairs))
    svg = plat_svg(largest_first, [note for _, note in pairs], f"{challenge.title}: {what}")
    features = [_feature(piece, challenge) for piece in plat.pieces]
    collection = {"type": "FeatureCollection", "features": features}
    return {"layout.geojson": (json.dumps(collection, indent=1) + "\n").encode(), "plat.svg": svg.encode()}


def answer_json(answer: Answer) -> str:
    """The answer for other programs; `solvable` is null where it was not decided."""
    decision, tight, conflict = answer.decision, answer.tight, answer.conflict
    made: dict[str, Any] = {
        "title": answer.challenge.title,
        "solvable": decision.solvable,
        "proof": decision.reach,
        "proved_for": limit_of_proof(decision),
        "grid": None if decision.grid is None else str(decision.grid),
        "seconds": round(answer.seconds, 2),
        "not_decided_by_a_layout": [number for number in answer.elsewhere if number not in answer.kept],
        "kept_though_not_searched_for": list(answer.kept),
        "loopholes": {"pieces": answer.loopholes.pieces, "overlaps": answer.loopholes.overlaps},
    }
    if tight is not None:
        made["tightness"] = {
            "word": tight.word,
            "committed": round(tight.committed, 4),
            "least_room": round(tight.least, 4),
            "binding": list(tight.binding),
            "room": [{"rule": number, "room": round(slack, 4)} for number, slack in tight.slacks],
        }
    if conflict is not None:
        made["conflict"] = {
            "rules": [{"rule": n, "text": answer.challenge.rules[n - 1].text} for n in conflict.numbers],
            "proved_for": limit_of_proof(decision),
            "minimal": conflict.minimal,
            "loosenings": [
                {**vars(loosening), "found_with": "rectangles and L-shapes"} for loosening in conflict.loosenings
            ],
        }
    made["needed_heights"] = [
        {
            "rule": needed.number,
            "zones": list(needed.zones),
            "height": round(from_mm(needed.height, answer.challenge.unit), 3),
            "reasonable": needed.reasonable,
        }
        for needed in answer.heights
    ]
    made["changes"] = [vars(change) for change in answer.changes]
    return json.dumps(made, indent=1)


def near_json(near: Near | None, challenge: Challenge) -> str:
    """The steps to the nearest layout; sides are lengths in the challenge's unit, to the right and down positive."""
    if near is None:
        return json.dumps({"found": False})
    names = ("left", "top", "right", "bottom")
    steps = [
        {
            "zone": step.zone,
            "piece": step.index,
            "kind": step.kind,
            "scale": step.scale,
            **{name: round(from_mm(by, challenge.unit), 4) for name, by in zip(names, step.sides, strict=True)},
        }
        for step in near.steps
    ]
    return json.dumps({"found": True, "sure": near.sure, "steps": steps}, indent=1)


def _feature(piece: Piece, challenge: Challenge) -> dict[str, Any]:
    rings = []
    for ring in (piece.ring, *piece.holes):
        points = [[round(from_mm(float(c), challenge.unit), _DECIMALS) for c in point] for point in ring.points]
        rings.append([*points, points[0]])
    return {
        "type": "Feature",
        "properties": {"zone": piece.zone},
        "geometry": {"type": "Polygon", "coordinates": rings},
    }
