"""Numbers and their units in a sentence."""

from __future__ import annotations

import re
from collections.abc import Mapping

from measure.numbers import NUMBER_PATTERN, number_from_words
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_words import Reading, Word
from measure.units import unit_named

_UNIT = r"(?:inches|inch|ins|in|centimet(?:re|er)s?|cms|cm|millimet(?:re|er)s?|mms|mm|feet|foot|ft|met(?:re|er)s?|m)"
_UNIT_WORDS = rf"{_UNIT}(?![a-z])"
_FLAGS = re.IGNORECASE | re.VERBOSE
_ARTICLE_BEFORE_UNIT = rf"(?:\s+(?:of\s+)?an?(?=\s+{_UNIT_WORDS})|\s+of\s+(?={_UNIT_WORDS}))?"
_HALF_A_SOLID = r"(?!(?:an?\s+)?half[\s-]cylinders?\b)"
_NUMBER = re.compile(rf"{_HALF_A_SOLID}(?P<number>{NUMBER_PATTERN}){_ARTICLE_BEFORE_UNIT}", _FLAGS)
_ARTICLE_AS_ONE = re.compile(rf"(?P<number>an?)(?=\s+(?:(?:sq|square|cu|cubic)\.?\s+)?{_UNIT_WORDS})", _FLAGS)
_POWERED = re.compile(
    rf"""(?P<name>square|squared|sq|cubic|cu)\.?[\s-]*(?P<unit>{_UNIT_WORDS}|"|')\.?
       | (?P<unit2>{_UNIT})(?:\s?\^\s?|)(?P<power>[23²³])(?![\w/.])
       | (?P<unit3>{_UNIT_WORDS})\s+(?P<after>squared|cubed)\b
       | (?P<cc>cc|ccm)\b""",
    _FLAGS,
)
_LENGTH = re.compile(rf"""(?:{_UNIT_WORDS}\.?|"|''|')""", _FLAGS)
_NO_WORDS: Mapping[str, str] = {}


def number_at(text: str, at: int) -> Word | None:
    """The number that begins here. Raises RuleMistake for a decimal comma or a division by zero."""
    found = _NUMBER.match(text, at) or _ARTICLE_AS_ONE.match(text, at)
    if not found or (at and (text[at - 1].isalnum() or text[at - 1] == "_")):
        return None
    comma = re.compile(r"\d+,\d+").match(text, at)
    if comma and comma.end() > found.end():
        point = comma[0].replace(",", ".")
        raise RuleMistake(text, at, comma.end(), f"`{comma[0]}` has a comma; write `{point}` with a point")
    try:
        value = number_from_words(found["number"])
    except ValueError as error:
        raise RuleMistake(text, at, found.end(), str(error).replace('"', "`")) from None
    return Word(found[0], at, found.end(), (Reading("NUMBER", value),))


def unit_at(text: str, at: int, vocabulary: Mapping[str, str] = _NO_WORDS) -> Word | None:
    """The unit that begins here, after a number; as a word of the vocabulary, too, where it is one."""
    found = _POWERED.match(text, at)
    if found:
        cubic = found["cc"] or found["power"] in ("3", "³") or (found["name"] or found["after"] or "").startswith("cu")
        named = unit_named(found["unit"] or found["unit2"] or found["unit3"] or "cm")
        return Word(found[0], at, found.end(), (Reading("VOLUME_UNIT" if cubic else "AREA_UNIT", named or "cm"),))
    found = _LENGTH.match(text, at)
    if not found:
        return None
    readings = [Reading("LENGTH", unit_named(found[0]) or "in")]
    keyword = vocabulary.get(found[0].lower())
    return Word(found[0], at, found.end(), tuple(readings + ([Reading(keyword, found[0])] if keyword else [])))
