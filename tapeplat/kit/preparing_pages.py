"""For the teacher: what to buy and cut, and plans for a lesson and for a week."""

from __future__ import annotations

import math
from typing import Literal

from measure.challenge import Challenge, Zone
from measure.rules.kinds.pieces.piece_count import PIECE_COUNT
from measure.rules.kinds.sizes.share_of_parcel import SHARE
from measure.units import MM_PER, Unit, format_length
from tapeplat.kit.kit_blocks import Bullets, Grid, Heading, KitPage, Text
from tapeplat.kit.kit_job import KitJob

_SPARE = 1.5
"""Tape for what is laid anew after measuring (common practice, no source)."""
_MARKED = {"in": "inches", "cm": "centimetres", "mm": "millimetres"}
_USUAL_COVER = 0.6
"""The part of a parcel that zones without a share are taken to cover together."""


def shopping_page(job: KitJob) -> KitPage:
    """What to buy and what to cut, with lengths of tape worked out from the rules."""
    challenge, teams = job.challenge, job.teams
    parcel = challenge.parcel
    size = f"{format_length(parcel.width, challenge.unit)} by {format_length(parcel.depth, challenge.unit)}"
    rows = [("what", "how much", "for")]
    rows.append(("flat boards or stiff sheets", str(teams), f"parcels, each {size}"))
    for zone in challenge.zones:
        length = tape_length(zone, challenge)
        rows.append(
            (
                f"tape for {zone.name}",
                _rolled(teams * length, challenge.unit),
                f"box {zone.swatch} on the card",
            )
        )
    rows += [
        ("rulers", str(2 * teams), f"marked in {_MARKED[challenge.unit]}"),
        ("scissors, pencils, erasers", str(teams), "one set a team"),
        ("sheets of transparency", str(teams), "clear grids; tracing paper does as well"),
        ("stiff card", str(teams + 1), "to glue the printed cards on"),
        ("clean boxes, paper, cork and the like", "a bag a team", "buildings"),
    ]
    cut = [
        f"{teams} parcels of {size}. Mark the top edge of each.",
        f"{teams + 1} cards, cut on the grey line and glued flat on stiff card.",
        f"{4 * teams} corner tiles: a set of four for each team.",
        f"{teams} team labels.",
        f"A piece of each tape, 34 by 18 mm, for each of the {teams + 1} cards.",
    ]
    tiles = sum(zone.tile is not None for zone in challenge.zones)
    if tiles:
        cut.append(f"{tiles * teams} zone tiles, or more where a zone lies in several pieces.")
    note = (
        "Lengths of tape are worked out from the shares in the rules, for oblong zones, and half as much again for "
        "what is laid anew. A zone without a share is taken to be one of equal parts of the rest."
    )
    care = (
        "Adults cut boards and use hot glue, or pupils do as your school allows. Your school's safety rules and its "
        "rules on photos of pupils' work come first."
    )
    return KitPage(
        "shopping",
        "Shopping and cutting list",
        "teacher",
        (Grid(tuple(rows), (3, 1.3, 3)), Text(note), Heading("To cut"), Bullets(tuple(cut)), Text(care)),
    )


def tape_length(zone: Zone, challenge: Challenge) -> float:
    """Tape for a zone's outlines, mm: oblongs twice as long as wide, as many as the rules ask, a tenth for corners."""
    pieces = _pieces(zone, challenge)
    area = _share(zone, challenge) * challenge.parcel.area / pieces
    if zone.size is not None:
        return 1.1 * 2 * (zone.size[0] + zone.size[1])
    return pieces * 1.1 * 6 * math.sqrt(area / 2)


def _pieces(zone: Zone, challenge: Challenge) -> int:
    """How many pieces the rules ask of a zone at least."""
    asked = [
        stated.rule.limit.whole_bounds[0]
        for stated in challenge.rules
        if stated.rule.kind == PIECE_COUNT and stated.rule.subject.names == (zone.name,) and stated.rule.limit
    ]
    return max([1, *asked])


def _share(zone: Zone, challenge: Challenge) -> float:
    """The middle of what the rules allow of the parcel; without a rule an equal part of what is usual."""
    ends = [
        end
        for stated in challenge.rules
        if stated.rule.kind == SHARE and stated.rule.subject.names == (zone.name,) and stated.rule.limit
        for end in (stated.rule.limit.low, stated.rule.limit.high)
        if end is not None
    ]
    if ends:
        return min(sum(ends) / len(ends), 1.0)
    return _USUAL_COVER / max(1, len(challenge.zones))


def _rolled(mm: float, unit: Unit) -> str:
    """Feet for a class that works in inches, else metres; with what is spare, rounded up to a whole one."""
    mm *= _SPARE
    name: Literal["ft", "m"] = "ft" if unit == "in" else "m"
    return f"{math.ceil(mm / MM_PER[name] - 1e-9)} {name}"


def plan_page(job: KitJob) -> KitPage:
    """Minutes for one lesson and for a week, and what can be left out."""
    lesson = (
        ("minutes", "one lesson of 60 minutes", "if time is short"),
        ("5", "What does a settlement need? Talk in the class.", "keep"),
        ("10", "Read the rules. Each pupil says one rule in other words.", "keep"),
        ("10", "Plan on the scale drawing.", "leave out; tape at once"),
        ("15", "Tape the outlines on the parcel.", "keep"),
        ("10", "Measure by hand, each pupil its own part.", "only what two rules need"),
        ("5", "Photograph all models.", "keep"),
        ("5", "One thing that is right, one thing to try.", "keep"),
    )
    week = (
        ("day", "minutes", "what", "pages"),
        ("1", "45", "What a settlement needs, words to know, the rules, the plan.", "needs, words, rules"),
        ("2", "45", "Outlines in tape. Measure sides and gaps.", "measuring"),
        ("3", "45", "Areas, shares, and the first photo. What is right?", "measuring, analysis"),
        ("4", "45", "Improve one thing. Measure again. Second photo.", "analysis, peer review"),
        ("5", "45", "Buildings, poster, and talks of two minutes each.", "talk, marks"),
    )
    leave = (
        "The buildings: outlines are enough for every rule about land.",
        "The questions sheet, where the class has talked about the rules.",
        "The second measuring by hand: measure again only what was changed.",
        "Rules: cross out the hardest ones on the teacher's page of limits.",
    )
    note = (
        f"For {job.teams} teams of {job.pupils}. Times are common practice, no source; the first time allow "
        "10 minutes more for taping. Taking and sending the photos of a class takes about 10 minutes."
    )
    blocks = (
        Heading("One lesson"),
        Grid(lesson, (1, 5, 3)),
        Heading("One week"),
        Grid(week, (0.7, 1, 5, 2.6)),
        Heading("What can be left out"),
        Bullets(leave),
        Text(note),
    )
    return KitPage("plan", "Plan: one lesson, one week", "teacher", blocks)
