"""`the park may touch the lake` asks for nothing: what a team may do is no rule, but for an upper limit."""

from __future__ import annotations

import re
from collections.abc import Sequence

from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake

_MAY = re.compile(r"\b(?:may|can|could|is allowed to|are allowed to)\b(?!\s*(?:not|never)\b|'t)", re.IGNORECASE)
"""What allows, unless a denial follows."""
_DENIED = re.compile(r"\b(?:no|none|not|nothing|neither|nor|never|only|nobody)\b", re.IGNORECASE)
_OF_ALL = re.compile(r"^\W*(?:no|none|nothing|neither|nobody|only)\b", re.IGNORECASE)
_LIMITED = re.compile(
    r"\b(?:at (?:the )?(?:very )?most|max\w*|up to|less than|fewer|smaller|shorter|lower|under|below|within|between|"
    r"tops|or (?:less|closer|nearer)|exceed|limit\w*|closer than|nearer than|from .* to)\b|[<≤]|\d\s?[-–]\s?\d",
    re.IGNORECASE,
)
"""What sets an upper limit, so that what is allowed is a rule."""
_UPPER = re.compile(r"\b(?:is|are) (?:at most|less than|between)\b|^not: (?:\(|(?!.*, and))", re.IGNORECASE)
_BEFORE = re.compile(r"[,;:.(]\s|\b(?:and|but|or|while)\b|(?P<reason>\b(?:so|because|since|where)\b)", re.IGNORECASE)
_AFTER = re.compile(r"[,;:.)]\s|\b(?:and|but|or|while|so|because|since)\b", re.IGNORECASE)


def check_permissions(text: str, rules: Sequence[Rule]) -> None:
    """Raise RuleMistake where a clause of the sentence only allows what its rule would ask for.

    rules: what the whole sentence was read as.
    """
    if any(rule.kind.by_eye for rule in rules) or _OF_ALL.search(text):
        return
    for found in _MAY.finditer(text):
        breaks = list(_BEFORE.finditer(text, 0, found.start()))
        start = breaks[-1].end() if breaks else 0
        if breaks and breaks[-1]["reason"]:
            continue  # `... so kids can swim`
        after = _AFTER.search(text, found.end())
        clause = text[start : after.start() if after else len(text)]
        if not _DENIED.search(clause) and not _is_limited(clause, rules):
            must = f"{text[: found.start()]}must{text[found.end() :]}".strip()
            why = f"`{found[0]}` allows it and asks for nothing"
            said = f"{why}; write `{must}` where it has to be so"
            raise RuleMistake(text.rstrip(), found.start(), found.end(), said, (must,), why)


def _is_limited(clause: str, rules: Sequence[Rule]) -> bool:
    """By the rule, where there is one with a limit of its own; else by the words."""
    limits = [rule.subject.count or rule.limit for rule in rules]
    if len(rules) == 1 and limits[0] is not None:
        return limits[0].high is not None
    if len(rules) == 1 and (rules[0].negated or _UPPER.search(rules[0].reads_as())):
        return True
    return bool(_LIMITED.search(clause))
