"""A formula's verdict on one plat: from the chance that it holds to an outcome, with what decides it."""

from __future__ import annotations

import math
from dataclasses import replace

from measure.quantity import Quantity
from measure.rules.formula.formula_data import Compare
from measure.rules.formula.formula_things import Formula
from measure.rules.formula.formula_told import PartFound, Voice, told_part
from measure.rules.formula.judging.events import Compared
from measure.rules.formula.judging.formula_allowance import unwidened
from measure.rules.formula.judging.formula_chances import Chances, unknowns
from measure.rules.formula.judging.grounding import event_of, number_of
from measure.rules.formula.judging.numbers_found import Measured
from measure.rules.formula.judging.things_found import MOST, Scene, TooMuchToFind
from measure.rules.rule_context import Context
from measure.rules.sheet_text import in_sentences
from measure.rules.told import share_form
from measure.rules.verdict import Mark, Outcome, reasons_of, verdict_of
from measure.voice import Known

_TOO_MUCH = f"this goes through more than {MOST:,} things one by one; say less in one rule"
_BY_NOTHING = "something would be divided by what is, or may be, 0"


def formula_outcome(formula: Formula, blank: Outcome, context: Context) -> Outcome:
    """The outcome; blank has the rule's words. What is unknown makes it `not measured` where it could matter."""
    scene = Scene(context)
    try:
        event = event_of(formula, scene)
    except TooMuchToFind:
        return replace(blank, verdict="not measured", note=_TOO_MUCH)
    chances = Chances(event)
    low, high = chances.of(event)
    unknown = list(dict.fromkeys(unknowns(event)))
    if verdict_of(low) != verdict_of(high):
        over = tuple(dict.fromkeys(zone for part in unknown for zone in part.over))
        return replace(blank, verdict="not measured", over=over, note=reasons_of(unknown) or _BY_NOTHING)
    chance = low if verdict_of(low) == "met" else high
    made = replace(blank, verdict=verdict_of(chance), chance=chance, note=reasons_of(unknown))
    return _reported(made, chances, scene)


def _reported(made: Outcome, chances: Chances, scene: Scene) -> Outcome:
    """With the value that decides, and where what is amiss lies."""
    blamed = [leaf for leaf in chances.amiss(chances.whole) if math.isfinite(leaf[0].of.value)]
    first = blamed[0] if blamed else chances.weakest(chances.whole)
    if first is None or not math.isfinite(first[0].of.value):
        return made
    if len(blamed) > 1 and not _counts(blamed[0][0]):
        first = min(blamed, key=lambda leaf: chances.rank(*leaf))
    leaf, want = first
    shown = leaf.shown
    u95 = chances.u95(leaf.of) / shown.scale
    leaves = dict.fromkeys([leaf, *(each for each, _ in blamed)])
    return replace(
        made,
        value=_value(leaf),
        unit=shown.unit,
        limit=shown.limit,
        u95=u95,
        over=tuple(dict.fromkeys(zone for each in leaves for zone in _over(each))),
        where=tuple(dict.fromkeys(mark for each in leaves for mark in _marks(each, chances, scene.context))),
        sentence=_sentence(leaf, want, u95, scene),
    )


def _sentence(leaf: Compared, want: bool, u95: float, scene: Scene) -> str:
    """What was found and what must be, as the class reads it; empty where that is said of nothing."""
    said = scene.said.get(leaf)
    if said is None:
        return ""
    context, scale = scene.context, leaf.shown.scale
    there = replace(scene, bound=said.bound)
    part = there.spoken(said.part)
    assert isinstance(part, Formula)
    limits = _limits(said.part, there, scale) if isinstance(said.part, Compare) else ()
    parcel, unit = context.setting.parcel, leaf.shown.unit
    area = parcel.width * parcel.depth / scale if unit.startswith("sq ") else 0.0
    found = PartFound(Known(_value(leaf), u95), unit, said.holds, want, limits, area, said.asks)
    style = context.setting.numbers
    return in_sentences(told_part(part, found, Voice(style, share_form(context.text))))


def _limits(part: Compare, scene: Scene, scale: float) -> tuple[Known, ...]:
    """What it is compared with, without what is allowed beside."""
    ends = [number_of(end, unwidened(scene)) for end in (part.right, part.upper) if end is not None]
    return tuple(Known(end.value / scale, (end.linear() or Quantity(0.0)).u95 / scale) for end in ends)


def _value(leaf: Compared) -> float:
    value = leaf.of.value / leaf.shown.scale
    if leaf.shown.what == "value":
        return value
    return max(0.0, -value if leaf.shown.what == "depth" else value)


def _counts(leaf: Compared) -> bool:
    return not any(isinstance(part, Measured) for part in (leaf.of, *leaf.of.below()))


def _over(leaf: Compared) -> tuple[str, ...]:
    numbers = [number for number in (leaf.of, leaf.low, leaf.high) if number is not None]
    return tuple(
        name for number in numbers for part in number.leaves() if isinstance(part, Measured) for name in part.over
    )


def _marks(leaf: Compared, chances: Chances, context: Context) -> tuple[Mark, ...]:
    """The places of what is compared; a single one bears its value."""
    parts = [part for part in leaf.of.leaves() if isinstance(part, Measured) and part.mark is not None]
    label = ""
    if leaf.of in parts:
        unit = leaf.shown.unit
        quantity = Quantity(_value(leaf), (leaf.of.linear() or Quantity(0.0)).sensitivity / leaf.shown.scale)
        label = leaf.shown.label.format(
            context.said(quantity, unit) if unit != "degrees" else f"{_value(leaf):.0f} degrees"
        )
    return tuple(replace(part.mark, label=label) for part in parts if part.mark is not None)
