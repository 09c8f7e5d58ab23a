"""How far a word of a sentence reaches: what was read of one part of a sentence that belongs to all of it is refused.

A sentence of several rules is read part by part. `No home, shop or school touches the factory` would forbid homes and
ask the others to touch, and `the lake touches the park and at least one home` would only count homes.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from itertools import pairwise

from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.words.lexicon import zone_at, zone_of
from measure.rules.speech.words.pronouns import unclear_pronoun
from measure.rules.zone_groups import listed

_NOBODY = re.compile(r"\b(?:no|none|nothing|neither|nobody|only)\b", re.IGNORECASE)
_SIDE = re.compile(r"\b(?P<which>longest|shortest) (?:side|edge)s?\b", re.IGNORECASE)
_NOT_EVERY = re.compile(
    r"(?:\bnot|n't|\bnever|\bcannot)\b[^,;.]*\b(?:within|touch\w*|next to|near\w*|border\w*)\b[^,;.]*"
    r"\b(?P<each>every|each(?! other\b)|all)\b",
    re.IGNORECASE,
)
_MORE = re.compile(r"\b(?:more|less)\s+(?P<mine>\S+(?: \S+)?)\s+than\s+(?P<other>\S+(?: \S+)?)", re.IGNORECASE)
_PIECES = re.compile(r"\b(?:pieces?|number|many|fewer|separate)\b", re.IGNORECASE)
_POINTS = re.compile(r"(?:%|per\s?cent)\s+more\s+of\s+(?:the\s+)?(?:board|parcel|land)\b.*\bthan\b", re.IGNORECASE)
_DENIED_AND = re.compile(
    r"(?P<not>\bnot\b|n't\b|\bnever\b|\bcannot\b|^\W*(?:no|none|nothing)\b)(?! (?:more|less|fewer|only)\b)"
    r"(?:(?!\b(?:but|must|should|has to|have to|needs? to)\b)[^.;:])*?\band\s+",
    re.IGNORECASE,
)
_FRESH = re.compile(
    r"(?:must|has|have|should|shall|needs?|is|are|can|cannot|may|will|it|they|its|their|the|an?|each|every|no|not|does|do|"
    r"at|exactly|all|also|then|both|neither|nothing|any|another|keep|put|leave|make|build|touches|covers|overlaps|takes|"
    r"other|others|your|our|between|up to|to|on|in|from|one|two|three|four|five|six|seven|eight|nine|ten|half)\b|\d",
    re.IGNORECASE,
)
"""What begins a clause of its own, or goes on with a list."""
_NUMBERS = re.compile(r"\b(?:be|is|are)\s+(?P<word>fewer|more|less)\s+than\s+(?:the\s+)?", re.IGNORECASE)
_NO_ZONE_AND = re.compile(
    r"^\W*(?:no|none|nothing)\b(?!.*\beach of\b).*\b(?:touch|overlap|border|within|closer|nearer)\w*\b.*\band\b",
    re.IGNORECASE,
)
_IT = re.compile(
    r"\b(?:touch(?:es)?|overlaps?|from|of|to|than|near|beside|with|on|in|inside|around)\s+(?P<it>it|them)\b(?! is\b)",
    re.IGNORECASE,
)
_NONE_TWICE = re.compile(
    r"^\W*(?:no|none|nothing)\b(?!.*\b(?:either|neither)\b)[^,;.]*\band\s+"
    r"(?:is|are|be|has|have|must|may|touches|touch|covers|overlaps|lies)\b",
    re.IGNORECASE,
)
_PART_OF = re.compile(
    r"^\W*(?:no|all|every|each|any) (?:single )?part of\b|^\W*all of the [a-z ]*?[^s\W] (?:must|has|should|is)\b",
    re.IGNORECASE,
)
_MEASURES = {
    "width": re.compile(r"\b(?:wide|wider|width|narrow\w*)\b", re.IGNORECASE),
    "length": re.compile(r"\b(?:long|longer|length)\b", re.IGNORECASE),
    "height": re.compile(r"\b(?:tall|taller|high|higher|height|tallest)\b", re.IGNORECASE),
}
"""Words that say which length of a zone is meant."""


def check_reach(text: str, rules: Sequence[Rule], zones: ZoneNames) -> None:
    """Raise RuleMistake where a part of the sentence was read without a word that reaches it.

    rules: what the whole sentence was read as.
    """
    readings = [rule.reads_as() for rule in rules]
    if len(rules) > 1:
        _check_counts(text, rules, readings, zones)
        _check_measures(text, readings)
    if not any(rule.kind.by_eye for rule in rules) and text.strip(" .!") not in readings:
        _check_denied(text, zones)
        _check_one_for_all(text, rules)
        _check_none_of_list(text, rules)
        _check_numbers(text, rules, zones)
        _check_in_turn(text, rules)
        _check_pronoun(text, zones)
        check_antecedent(text, zones)
        _check_grouping(text, zones)
        _check_namesake(text, zones)
        _check_none_twice(text)
        _check_every_place(text, rules)
    _check_overall(text, readings)
    _check_sides(text, readings)
    _check_land(text, rules)
    _check_every(text, rules)
    _check_either(text, readings)


def _check_counts(text: str, rules: Sequence[Rule], readings: Sequence[str], zones: ZoneNames) -> None:
    """A part that only counts a zone belongs to a sentence about that zone, or among other counts."""
    counts = [reading.startswith(("there ", "either there ")) for reading in readings]
    if all(counts):
        if _NOBODY.match(text.lstrip()) and not text.lstrip().lower().startswith(("no more", "no fewer", "no less")):
            raise _refused(text, "`no` before a list can reach the first or all of it")
        return
    about = {
        _first_zone(reading, zones)
        for rule, reading, count in zip(rules, readings, counts, strict=True)
        if not count and rule.subject.count is None
    }
    alone = [r for r, count in zip(readings, counts, strict=True) if count and _first_zone(r, zones) not in about]
    if alone:
        raise _refused(text, f"a part of it would only say `{alone[0]}`")


def _check_denied(text: str, zones: ZoneNames) -> None:
    """`must not touch the lake and overlap the park`: what stands after `and` is denied as well, or both at once."""
    for found in _DENIED_AND.finditer(text):
        if _FRESH.match(text, found.end()) or zones.match(text, found.end()):
            continue
        raise _refused(text, f"`{found['not']}` can reach what follows `and`", found.span("not"))


def _check_one_for_all(text: str, rules: Sequence[Rule]) -> None:
    """`at least one home must touch every shop`: one and the same, or one for each."""
    for rule in rules:
        each = any(group.mode == "pieces" for group in rule.others)
        if each and rule.subject.mode == "some" and not re.search(r"\bpieces?\b", text):
            why = f"it can mean one and the same for all, or for each its own; `{rule.reads_as()}` is the same for all"
            raise _refused(text, why, split=False)


def _check_none_of_list(text: str, rules: Sequence[Rule]) -> None:
    """`no zone may touch the lake and the factory`: neither, or not both."""
    denied = (rule for rule in rules if rule.negated or rule.sentence_kind == "distance")
    lists = any(any(g.mode == "each" and len(g.names) > 1 for g in rule.others) for rule in denied)
    if lists and _NO_ZONE_AND.match(text):
        raise _refused(text, "it can mean neither of them, or not both at once")


def _check_numbers(text: str, rules: Sequence[Rule], zones: ZoneNames) -> None:
    """`the homes should be fewer than the shops`: so many of them, never land."""
    found = _NUMBERS.search(text)
    if found is None or not any(rule.sentence_kind == "comparison" for rule in rules):
        return
    other = zones.match(text, found.end())
    if other and (found["word"].lower() == "fewer" or _is_plural(other[0])):
        raise _refused(text, "it can mean how many they are, or how much land", found.span("word"), split=False)


def _check_in_turn(text: str, rules: Sequence[Rule]) -> None:
    """`homes and shops must be at least 15% and 10%`: the one and the other."""
    first, *further = rules
    same = [rule for rule in further if rule.subject == first.subject and rule.sentence_kind == first.sentence_kind]
    listed = first.subject.mode == "together" and len(first.subject.names) > 1
    if same and listed and not re.search(r"\b(?:together|combined|plus|total|sum)\b", text):
        raise _refused(text, "each can have its own number, or both numbers are of all together")


def _check_pronoun(text: str, zones: ZoneNames) -> None:
    """`the dock must touch the canal, but the ferry must not touch it`: any of those before it."""
    for found in _IT.finditer(text):
        before = text[: found.start()]
        named = [zone_at(before, word.start(), zones) for word in re.finditer(r"(?<!\w)\w", before)]
        if len({zone_of(match[0], zones) for match in named if match}) > 2:
            raise _refused(text, "`it` can be any of the zones before it; name the zone in its place", split=False)


def check_antecedent(text: str, zones: ZoneNames) -> None:
    """`homes touch the park, and it is big`: a pronoun that does not agree with the first zone. Raises RuleMistake."""
    found = unclear_pronoun(text, zones)
    if found:
        raise _refused(text, f"`{found[0]}` can be another zone than the first; name it", found.span(), split=False)


def _check_grouping(text: str, zones: ZoneNames) -> None:
    """`touches the park and the lake or the shops`: the first and one of two, or the first two or the last."""
    spans = zones.spans(text)
    between = [_JOINED.fullmatch(text, a, b) for (_, a), (b, _) in pairwise(spans)]
    words = [found["word"].lower() if found else "" for found in between]
    for at, two in enumerate(pairwise(words)):
        if set(two) == {"and", "or"} and not re.search(rf"\b(?:{_TWO_OF})\s+(?:the\s+)?$", text[: spans[at][0]]):
            raise _refused(text, "`and` and `or` can be grouped in two ways", (spans[at][0], spans[at + 2][1]))


_JOINED = re.compile(r"\s+(?P<word>and|or)\s+(?:the\s+|an?\s+)?", re.IGNORECASE)
_TWO_OF = "either|both|between"


def _check_namesake(text: str, zones: ZoneNames) -> None:
    """`both schools`, where `school` and `high school` are zones: the schools are several zones."""
    for name in zones.names:
        others = [other for other in zones.names if other.lower().endswith(f" {name.lower()}")]
        longer = "".join(rf"(?<!{re.escape(other[: -len(name)])})" for other in others)
        stem = f"{name[:-1]}ies" if name.endswith("y") else f"{name}(?:e?s)"
        found = re.search(rf"{longer}(?<!\w){stem}(?!\w)", text, re.IGNORECASE) if others else None
        if found and not name.endswith("s"):
            why = f"`{found[0]}` can mean {listed((name, *others))}, or pieces of {name}; name the zones"
            raise _refused(text, why, found.span(), split=False)


def _check_none_twice(text: str) -> None:
    """`no flat touches the sea and is smaller than 3 sq in`: none that does both, or none that does either."""
    if _NONE_TWICE.match(text):
        raise _refused(text, "it can mean none that does both, or none that does either")


def _check_every_place(text: str, rules: Sequence[Rule]) -> None:
    """`no part of the yard may be more than 10 in from the pit`: of every place in it, which no rule measures."""
    far = any(
        rule.sentence_kind == "distance" and rule.limit is not None and rule.limit.relation in ("at most", "less than")
        for rule in rules
    )
    if far and _PART_OF.search(text):
        raise _refused(
            text, "of every place of a zone no rule speaks; write `every piece of` where its nearest place is meant"
        )


def _first_zone(reading: str, zones: ZoneNames) -> str:
    for found in re.finditer(r"(?<!\w)\w", reading):
        match = zones.match(reading, found.start())
        if match:
            return zones.canonical(match[0])
    return ""


def _check_measures(text: str, readings: Sequence[str]) -> None:
    """`wider than 3 in but not longer than 9`: each of the measures that are named must have been read."""
    named = [name for name, words in _MEASURES.items() if words.search(text)]
    read = [name for name in named if any(_MEASURES[name].search(reading) for reading in readings)]
    if len(named) > 1 and len(read) < len(named):
        raise _refused(text, f"it speaks of {' and '.join(named)}, and not all of them were understood")


def _check_overall(text: str, readings: Sequence[str]) -> None:
    """`at least 20 in long overall`: all pieces added, where each would be measured."""
    found = _OVERALL.search(text)
    if found and any(re.match(r"the (?:length|width) of every piece\b", reading) for reading in readings):
        why = f"`{found[0]}` can mean all pieces added; write `every piece of ...`, or `the sum of the length of ...`"
        raise _refused(text, why, found.span(), split=False)


_OVERALL = re.compile(r"\b(?:overall|in total|altogether|combined|in all|total)\b", re.IGNORECASE)


def _check_sides(text: str, readings: Sequence[str]) -> None:
    found = _SIDE.search(text)
    if found and not any("longest side" in reading or "shortest side" in reading for reading in readings):
        size = "length" if found["which"].lower() == "longest" else "width"
        why = f"`{found[0]}` can mean a side of the outline, or the {size} of the rectangle around it; write which"
        raise _refused(text, why, found.span(), split=False)


def _check_land(text: str, rules: Sequence[Rule]) -> None:
    """`more lake than park` is more land; `more homes than shops` is more of them."""
    found = _MORE.search(text)
    counted = any(rule.sentence_kind == "count" for rule in rules) and not _PIECES.search(text)
    if found and counted and not (_is_plural(found["mine"]) and _is_plural(found["other"].split()[-1])):
        why = "it can mean more land, or more pieces; write `covers more than` or `more pieces of`"
        raise _refused(text, why, found.span(), split=False)
    points = _POINTS.search(text)
    if points:
        why = "it can mean so many per cent of the other's area, or of the parcel; write `more than` or `points more`"
        raise _refused(text, why, points.span(), split=False)


def _is_plural(word: str) -> bool:
    return word.rstrip(".,!?").lower().endswith("s")


def _check_every(text: str, rules: Sequence[Rule]) -> None:
    found = None if text.strip() in [rule.reads_as() for rule in rules] else _NOT_EVERY.search(text)
    if found and not any(rule.kind.by_eye for rule in rules):
        why = (
            f"it can mean none of them, or not all of them; write `any` in place of `{found['each']}` where it is none"
        )
        raise _refused(text, why, found.span("each"), split=False)


def _check_either(text: str, readings: Sequence[str]) -> None:
    """`homes or shops cover at least 20%`: one of them alone, or both together."""
    if any(reading.startswith("either the area") for reading in readings) and "either" not in text.lower():
        raise _refused(text, "it can mean one of them alone, or all of them together; write `together` or `either`")


def _refused(text: str, why: str, span: tuple[int, int] | None = None, *, split: bool = True) -> RuleMistake:
    whole = text.rstrip()
    start, end = span or (0, len(whole))
    return RuleMistake(whole, start, end, f"{why}; write a rule for each" if split else why)
