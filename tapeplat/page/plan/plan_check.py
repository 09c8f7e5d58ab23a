"""A plan before anything is built: the checker that judges models says which rules the plan keeps.

No areas and gaps are told: the children count squares.  `not yet` is what a plan cannot tell, or not before more of it
is drawn.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from measure.challenge import Challenge, Zone
from measure.importing.plat_file import plat_of_geojson
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.kinds.places.keep_clear import NOTHING_ON_IT, implied_rules
from measure.rules.verdict import Outcome, Verdict
from measure.rules.zone_groups import listed
from measure.units import from_mm
from tapeplat.page.plan.plan_form import Piece, places

NOT_YET = "not yet"
_PRESENCE = ("presence", "count")
_OF_SOLIDS = "This is about buildings: it is checked on your model."
_BY_EYE = "Talk about this one together."


@dataclass(frozen=True)
class PlanVerdict:
    """One rule for the page: verdict names its sign, word is what is written, look says where to look."""

    text: str
    verdict: Verdict
    word: str
    look: str = ""


def check_plan(pieces: Sequence[Piece], challenge: Challenge) -> tuple[PlanVerdict, ...]:
    """Every rule, judged on the plan; keep-clear zones whose place is stated lie there."""
    drawn = list(places(pieces))
    features = [_feature(zone, ring) for zone, ring in (*drawn, *_fast(challenge))]
    plat = plat_of_geojson({"type": "FeatureCollection", "features": features}, challenge)
    measures = challenge.measures(plat)
    outcomes = evaluate_all(challenge, measures)
    missing = [zone.name for zone in challenge.zones if measures.count(zone.name) == 0]
    return tuple(_verdict(outcome, missing) for outcome in _shown(outcomes, challenge))


def fast_zones(challenge: Challenge) -> Iterator[tuple[Zone, tuple[float, float, float, float]]]:
    """Keep-clear zones that lie fast: left, top, width, depth in the challenge's unit."""
    for zone in challenge.zones:
        if zone.kind == "keep-clear" and zone.place is not None and zone.size is not None:
            (x, y), (width, depth) = zone.place, zone.size
            box = (x - width / 2, y - depth / 2, width, depth)
            left, top, across, down = (from_mm(length, challenge.unit) for length in box)
            yield zone, (left, top, across, down)


def _fast(challenge: Challenge) -> Iterator[tuple[str, list[list[float]]]]:
    for zone, (left, top, width, depth) in fast_zones(challenge):
        right, bottom = left + width, top + depth
        yield zone.name, [[left, top], [right, top], [right, bottom], [left, bottom], [left, top]]


def _feature(zone: str, ring: list[list[float]]) -> dict[str, Any]:
    geometry = {"type": "Polygon", "coordinates": [ring]}
    return {"type": "Feature", "properties": {"zone": zone}, "geometry": geometry}


def _shown(outcomes: Sequence[Outcome], challenge: Challenge) -> Iterator[Outcome]:
    """All stated rules; of the implied ones those that a team can break on a plan."""
    stated = len(challenge.rules)
    yield from outcomes[:stated]
    for outcome, rule in zip(outcomes[stated:], implied_rules(challenge), strict=True):
        if rule.kind == NOTHING_ON_IT:
            yield outcome


def _verdict(outcome: Outcome, missing: Sequence[str]) -> PlanVerdict:
    undrawn = [zone for zone in outcome.over if zone in missing]
    if outcome.verdict == "by eye":
        return PlanVerdict(outcome.text, "by eye", "by eye", _BY_EYE)
    none_there = outcome.kind in _PRESENCE and outcome.verdict == "not met" and not outcome.value
    if outcome.verdict == "not measured" or none_there:
        look = f"Draw {listed(undrawn)} first." if undrawn else "" if none_there else _OF_SOLIDS
        return PlanVerdict(outcome.text, "not measured", NOT_YET, look)
    look = f"Look at {listed(outcome.over)}." if outcome.verdict == "not met" and outcome.over else ""
    return PlanVerdict(outcome.text, outcome.verdict, outcome.verdict, look)
