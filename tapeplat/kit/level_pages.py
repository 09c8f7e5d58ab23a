"""Rule lists and measuring sheets in three levels."""

from __future__ import annotations

from dataclasses import replace

from measure.challenge import RuleLine
from measure.rules.sheet_text import amount_text, limit_text
from tapeplat.kit.kit_blocks import Bullets, Grid, KitPage, Text
from tapeplat.kit.kit_job import KitJob
from tapeplat.paper.exercises.needed_measures import Needed, needed_measures
from tapeplat.paper.exercises.rule_facts import limit_of
from tapeplat.paper.exercises.tuning import changed_limits
from tapeplat.paper.sheets.measuring_sheet import place_text

LEVELS = (1, 2, 3)
_AS_STATED = 2
_NAMES = {1: "first steps", 2: "as stated", 3: "a step further"}


def rules_page(job: KitJob, level: int) -> KitPage:
    """The rules with easier limits, as stated, or with harder ones."""
    rows = [("", "rule", "our number", "met?")]
    rows += [(str(n), at_level(rule, level), "", "") for n, rule in enumerate(job.challenge.rules, start=1)]
    words = "Read each rule. Measure. Write your number."
    if level > _AS_STATED:
        words += " Can one model keep them all? Find out."
    same = [str(n) for n, rule in enumerate(job.challenge.rules, start=1) if at_level(rule, level) == rule.text]
    if level != _AS_STATED and same:
        words += f" Not changed: {', '.join(same)}."
    blocks = (Text(words), Grid(tuple(rows), (0.6, 5, 3, 1.2), 15))
    return KitPage(f"rules-{level}", f"Our rules, level {level}: {_NAMES[level]}", "children", blocks)


def at_level(stated: RuleLine, level: int) -> str:
    """The rule's sentence with the limit of a level; as it is read where it has its limit in other words."""
    limits, limit = changed_limits(stated), limit_of(stated)
    if level == _AS_STATED or limits is None or limit is None:
        return stated.text
    kind, wanted = stated.rule.kind, limits[0 if level < _AS_STATED else 1]
    own, new = (limit_text(each, kind.limit_suffix(each)) for each in (limit, wanted))
    if (own in stated.text and not kind.counted) or kind.holds_a_formula:
        return stated.text.replace(own, new, 1)
    read = replace(stated.rule, limit=wanted).reads_as().replace(" x ", " times ")
    return read.replace(str(wanted.amount), amount_text(wanted.amount), 1)


def measuring_page(job: KitJob, level: int) -> KitPage:
    """Counting squares; ruler and sums; or a guess first, two measurings and the middle of them."""
    needed = needed_measures(job.challenge)
    make = {1: _counted, 2: _worked_out, 3: _twice}[level]
    return KitPage(f"measuring-{level}", f"What we measure, level {level}: {_NAMES[level]}", "children", make(needed))


def _what(one: Needed) -> str:
    return f"{one.quantity}: {place_text(one)}"


def _counted(needed: tuple[Needed, ...]) -> tuple[Text | Bullets | Grid, ...]:
    steps = ("Lay the clear grid on the outline.", "Count whole squares.", "Count cut squares. Two make one.")
    areas = [one for one in needed if one.quantity == "area"]
    rows = [("area of", "whole squares", "cut squares", "all squares")]
    rows += [(place_text(one), "", "", "") for one in areas]
    others = [one for one in needed if one.quantity != "area"]
    more = [("what", "our number"), *((_what(one), "") for one in others)]
    blocks: list[Text | Bullets | Grid] = []
    blocks += [Bullets(steps, numbered=True), Grid(tuple(rows), (3, 2, 2, 2), 12)] if areas else []
    blocks += [Text("Use a ruler for these."), Grid(tuple(more), (5, 3), 12)] if others else []
    return tuple(blocks)


def _worked_out(needed: tuple[Needed, ...]) -> tuple[Text | Bullets | Grid, ...]:
    steps = ("Measure each side with a ruler.", "Write the sum or the product.", "Work it out.")
    rows = [("what", "sides or lengths", "how we worked it out", "our number")]
    rows += [(_what(one), "", "", "") for one in needed]
    return (Bullets(steps, numbered=True), Grid(tuple(rows), (3, 2.4, 3, 2), 15))


def _twice(needed: tuple[Needed, ...]) -> tuple[Text | Bullets | Grid, ...]:
    steps = (
        "Guess first. Write your guess.",
        "Two children measure. They do not look at each other's number.",
        "Write the number half way between the two.",
        "How far off was your guess?",
    )
    rows = [("what", "guess", "first", "second", "half way", "off by")]
    rows += [(_what(one), "", "", "", "", "") for one in needed]
    return (Bullets(steps, numbered=True), Grid(tuple(rows), (4, 1.5, 1.5, 1.5, 1.6, 1.5), 13))
