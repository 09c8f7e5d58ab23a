"""Whether a word can be a zone's name: the rules must be able to tell it from their own words."""

from __future__ import annotations

import re
from functools import cache

from measure.name_folding import folded
from measure.numbers import NUMBER_PATTERN
from measure.rules.language.rule_reader import grammar, vocabulary
from measure.rules.language.rule_tokens import SOLID_FORMS
from measure.rules.language.suggestions import AMOUNT_FIRST
from measure.units import unit_named

LONGEST_NAME = 40
_SPELLING = re.compile(r"[^\W_][\w '&./+-]*")


def name_problem(name: str) -> str | None:
    """Why a zone cannot have this name, and what to call it; None where it can."""
    plain = folded(name)
    if not plain:
        return "a name needs at least one letter"
    if len(plain) > LONGEST_NAME:
        return f"a name has at most {LONGEST_NAME} letters, so that it fits on the picture"
    if not _SPELLING.fullmatch(plain):
        return "a name is made of letters, digits, spaces, hyphens and apostrophes, and starts with a letter or digit"
    number = re.compile(NUMBER_PATTERN, re.VERBOSE).fullmatch(plain)
    if number or plain in _reserved() or unit_named(plain):
        return f"the rules use `{plain}` for something else; give the zone a longer name, such as `{plain} garden`"
    return None


def name_warning(name: str) -> str | None:
    """What to know of a name that can be used."""
    if folded(name) in SOLID_FORMS:
        return f"`{name}` is also a solid; in the rules it means the zone"
    return None


@cache
def _reserved() -> frozenset[str]:
    """Words of the grammar that can stand where a zone's name can, so that a zone of that name would be a guess."""
    states = grammar().parser.parser._parse_table.states.values()
    beside = {terminal for state in states if "ZONE" in state for terminal in state} - AMOUNT_FIRST
    return frozenset(word for word, terminal in vocabulary().items() if terminal in beside)
