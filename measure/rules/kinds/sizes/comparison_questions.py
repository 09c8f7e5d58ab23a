"""What a comparison means where the other zone has an area that is easy to reckon with: a tenth of the parcel."""

from __future__ import annotations

from collections.abc import Callable

from measure.rules.rule import Rule
from measure.rules.setting import Setting
from measure.rules.sheet_text import SQUARE, Asked, amount_text, ends_of, group_text, how_many, number_text, parcel_area


def compared_areas(rule: Rule, setting: Setting, areas: Callable[[float], tuple[list[float], str]]) -> Asked:
    """The question; areas gives the limit's ends as areas, and the working, from the other zone's area."""
    unit = setting.unit
    other = max(1.0, float(round(parcel_area(setting) / 10)))
    found, working = areas(other)
    if rule.bound.tolerance is not None:
        working += f", then {amount_text(rule.bound.tolerance)} less and more"
    elif rule.bound.upper is not None:
        working += f", and the same with {amount_text(rule.bound.upper)}"
    answer = " to ".join(number_text(area, f"sq {unit}", setting) for area in found)
    given = f"Let the area of {group_text(rule.other)} be {other:g} {SQUARE[unit]}."
    who = group_text(rule.subject)
    if len(ends_of(rule.bound)) == 1:
        return Asked(f"{given} {how_many(rule.bound, SQUARE[unit], who)}", answer, working)
    return Asked(f"{given} How many {SQUARE[unit]} may {who} take? Say from what to what.", answer, working)
