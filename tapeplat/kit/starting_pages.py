"""For children before they build: what a settlement needs, and words to know."""

from __future__ import annotations

from measure.challenge import Challenge
from tapeplat.kit.kit_blocks import Bullets, Grid, KitPage, Lines, Text
from tapeplat.kit.kit_job import KitJob
from tapeplat.paper.exercises.needed_measures import needed_measures

_ALWAYS = (
    ("parcel", "the board that you build on"),
    ("zone", "land that is used for one thing"),
    ("outline", "the line all around a zone; our tape shows it"),
    ("rule", "what a good plan must do"),
    ("attempt", "one try; the next one can be better"),
    ("scale", "how many times the real thing is as long as the drawing"),
)
_OF_QUANTITY = {
    "area": ("area", "how many squares cover a zone"),
    "perimeter": ("perimeter", "how long the way around a zone is"),
    "gap": ("gap", "the shortest way from one zone to the next"),
    "volume": ("volume", "how many cubes fill a building"),
    "height": ("height", "how tall a building is"),
    "side": ("side", "one straight part of an outline"),
}
_SHARE = ("share", "a part of the whole parcel, such as one half")
_KEEP_CLEAR = ("keep clear", "land where you may not build")
GLOSSARY = frozenset(
    {word for word, _ in (*_ALWAYS, *_OF_QUANTITY.values(), _SHARE, _KEEP_CLEAR)}
    | {"perimeters", "areas", "parcels", "zones", "outlines", "volumes", "shares", "settlement", "triangle", "area"}
    | {"rectangle", "quadrilateral", "quadrilaterals", "parallel", "angle", "angles", "triangles", "settlements"}
)
"""Words that the class learns: the readability of children's pages is measured without them."""


def words_page(job: KitJob) -> KitPage:
    """The words that this challenge's rules need, each with a plain meaning and room for a sketch."""
    rows = [
        ("word", "what it means", "our sketch"),
        *((word, meaning, "") for word, meaning in words_of(job.challenge)),
    ]
    return KitPage("words", "Words to know", "children", (Grid(tuple(rows), (2, 4, 3), 13),))


def words_of(challenge: Challenge) -> list[tuple[str, str]]:
    """The words and their meanings."""
    quantities = dict.fromkeys(one.quantity for one in needed_measures(challenge))
    found = [*_ALWAYS, *(_OF_QUANTITY[quantity] for quantity in quantities)]
    if any(stated.rule.kind_name == "share" for stated in challenge.rules):
        found.append(_SHARE)
    if any(zone.kind == "keep-clear" for zone in challenge.zones):
        found.append(_KEEP_CLEAR)
    return found


def needs_page(job: KitJob) -> KitPage:
    """The class collects before it sees the rules."""
    rows = (("who or what", "what they need", "where it should be", "what should be far away"),)
    empty = tuple(("", "", "", "") for _ in range(7))
    blocks = (
        Text("Think of a place where people live. Do not look at the rules yet."),
        Bullets(
            (
                "Who lives here? Who works here?",
                "What does each one need?",
                "What must be near? What must be far?",
            )
        ),
        Grid((*rows, *empty), (2, 3, 2.4, 2.6), 15),
        Text("Our three best rules for a good place:"),
        Lines(3),
    )
    return KitPage("needs", "What does a settlement need?", "children", blocks)
