"""What is told of a sentence that is read: what was taken for what, where it could have been meant otherwise."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from measure.rules.language.taken_for import taken
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.read_rule import ReadRule
from measure.rules.zone_groups import Group

_TOGETHER = re.compile(
    r"\b(?:together|combined|plus|sum|total|altogether|added|jointly|between them|all told|or)\b|\+", re.IGNORECASE
)
_COVERING = re.compile(r"\b(?:cover|over|on top|include|contain)", re.IGNORECASE)
_SIDE = re.compile(r"\b(?:shar|common|in common)\w*\b.*\b(?:side|edge|border|boundary|wall)\b", re.IGNORECASE)
_RATIO = re.compile(
    r"^(?!.*\b(?:areas?|land|space|pieces?|size)\b).*(?:\bratio\b|\bto\b.*\d\s*(?:to|:)\s*\d|=\s*\d+\s*:\s*\d)",
    re.IGNORECASE,
)
_BIGGER = re.compile(r"\b(?:must|should|has|have|needs?|are)\b.*\b(?:bigger|larger|smaller)\b", re.IGNORECASE)
_ALL_LAND = re.compile(
    r"\b(?:together|combined|total|sum|all|areas?|land|space|room|size|perimeter|ratio|people|pieces?|number|many|fewer)\b",
    re.IGNORECASE,
)
_ALL_BUT = re.compile(r"^\W*all (?:of )?(?:the )?zones\b", re.IGNORECASE)
_EACH_OF_SOME = re.compile(r"^for every (?:piece|zone)\b.*: if that .*, then the area of that ")
_COVERED = re.compile(
    r"^(?!.*\b(?:each|every|a|an|any|no|none|single)\b).*\b(?:cover|take up|occupy|use)\b", re.IGNORECASE
)
_BENT = re.compile(r"\bthe (?:length|width) of\b")
_WIDE = re.compile(r"\b(?:wider?|longe?r?|narrow\w*|broad\w*|thick\w*|thin\w*|across|skinny)\b", re.IGNORECASE)
_BUILT = re.compile(r"\b(?:build|builds|built|buildings?)\b", re.IGNORECASE)
_ONE = re.compile(r"\b(?:distance from|pieces?|nearest|closest|any|one|some)\b", re.IGNORECASE)


def told(text: str, parts: tuple[ReadRule, ...], zones: ZoneNames) -> tuple[ReadRule, ...]:
    """The rules, with warnings of what the sentence left open."""
    first, *further = (replace(part, warnings=(*part.warnings, *_of(text, part))) for part in parts)
    return (replace(first, warnings=(*first.warnings, *taken(text, parts, zones))), *further)


def _of(text: str, part: ReadRule) -> Iterator[str]:
    rule, reading, told_already = part.rule, part.rule.reads_as(), " ".join(part.warnings)
    if text.strip(" .!") == reading:
        return  # it could not be said more plainly
    groups = (rule.subject, *rule.others)
    lists = [group for group in groups if group.mode == "together" and len(group.names) > 1]
    if lists and not _TOGETHER.search(text) and "together" not in told_already:
        yield f"read as {lists[0]}; write a rule for each where each is meant"
    if "nearest piece" not in told_already and not _ONE.search(text) and _by_the_nearest(rule, text):
        plural = next(name for group in groups for name in _in_pieces(group, text))
        yield f"the nearest piece of {plural} decides; write `every piece of {plural}` where each is meant"
    if _RATIO.search(text) and "the area of" in reading and len(groups) > 1 and all(map(_in_pieces, groups)):
        more, fewer = (group.names[0] for group in groups[:2])
        yield f"areas are compared; write `there are ... times as many pieces of {more} as of {fewer}` for pieces"
    if (
        rule.sentence_kind == "comparison"
        and _in_pieces(rule.subject)
        and _BIGGER.search(text)
        and not _ALL_LAND.search(text)
    ):
        (plural, *_) = _in_pieces(rule.subject)
        yield f"all of {plural} together are compared; write `every piece of {plural}` where each is meant"
    if _ALL_BUT.search(text) and rule.subject.mode == "every" and rule.sentence_kind in ("share", "size"):
        yield "read of each of them; write `together` where all of them together are meant"
    if _EACH_OF_SOME.search(reading) and _COVERED.search(text):
        yield "read of each of them; write `together` where all of them together are meant"
    near = rule.limit.tolerance if rule.limit is not None else None
    if near is not None and near.measure == "points" and "point" not in text.lower():
        yield f"`{near.number}%` was taken as {near}; write `within {near.number}%` for a part of the limit"
    if _BENT.search(reading) and _WIDE.search(text):
        yield "length and width are the sides of the rectangle around each piece, also where it bends or is a ring"
    if reading.endswith("covers the centre point") and not _COVERING.search(text):
        yield "read as covering the centre point; write `is within 2 in of the centre` where that is meant"
    if reading.startswith("nothing overlaps ") and _BUILT.search(text):
        yield "judged by tapes, and by the structures that are in the table or measured in two photos or more"
    if reading.startswith("the distance from every zone ") and _BUILT.search(text):
        yield "read of zones; write `every structure` where what is built is meant"
    if reading.count(" edge, and ") == _CORNERS and "corner" in text.lower():
        yield (
            "read as touching two edges that meet in a corner; write `for some quarter of the parcel: ... is in that "
            "quarter` where being near one is enough"
        )
    if rule.sentence_kind == "touching" and rule.others and not rule.negated and _SIDE.search(text):
        first, second = rule.subject, rule.others[0]
        yield (
            f"corners that meet touch as well; write `the common border of {first} and {second} is at least 1 in` "
            "where a side is meant"
        )


_CORNERS = 4


def _by_the_nearest(rule: Rule, text: str) -> bool:
    """Whether one piece that is near is enough."""
    near = rule.sentence_kind in ("touching", "distance", "nearer") and not rule.negated
    if not near or (rule.limit is not None and rule.limit.relation in ("at least", "more than", "exactly")):
        return False
    return any(_in_pieces(group, text) for group in (rule.subject, *rule.others))


def _in_pieces(group: Group, text: str = "") -> tuple[str, ...]:
    """The zones of a group, each taken for itself, that are likely to have more pieces than one."""
    if group.mode != "each" and len(group.names) != 1:
        return ()
    names = group.names if group.mode in ("together", "each") else ()
    return tuple(name for name in names if Group((name,)).plural or _said_in_the_plural(name, text))


def _said_in_the_plural(name: str, text: str) -> bool:
    """`sheds should touch a hut`, where the zone is called `shed`."""
    return bool(
        re.search(rf"\b{re.escape(name[:-1] if name.endswith('y') else name)}(?:e?s|ies)\b", text, re.IGNORECASE)
    )
