"""Challenges made for tests, and the outcomes of their rules."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from measure.challenge import Challenge, Parcel, RuleLine, Zone
from measure.plat.plat import Plat
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule_context import Structures
from measure.rules.verdict import Outcome
from measure.units import Unit


def challenge(
    *sentences: str,
    zones: Iterable[str] = (),
    keep_clear: Iterable[Zone] = (),
    parcel: Parcel | None = None,
    unit: Unit = "mm",
    **more: Any,
) -> Challenge:
    made = [Zone(name, at) for at, name in enumerate(zones, 1)] + list(keep_clear)
    names = ZoneNames({zone.name: () for zone in made})
    lines = tuple(RuleLine(text, read_rule(text, names, unit)[0], at) for at, text in enumerate(sentences, 1))
    return Challenge("made", unit, parcel or Parcel(400.0, 300.0), tuple(made), lines, **more)


def outcomes(task: Challenge, plat: Plat, structures: Structures | None = None) -> dict[str, Outcome]:
    measures = task.measures(plat)
    return {outcome.text: outcome for outcome in evaluate_all(task, measures, structures)}
