"""`the park may touch the lake` asks for nothing: what a team may do is no rule, but for an upper limit."""

from __future__ import annotations

import re
from collections.abc import Sequence

from measure.rules.rule import Rule
from measure.rules.sentences.permission_words import allowing
from measure.rules.sentences.rule_mistake import RuleMistake

_NEAR = re.compile(
    r"\b(?:may|can|could|(?:is|are) allowed to)\b(?:(?!\b(?:most|more|fewer|less|up to|max\w*)\b)[^,;.:])*?\s"
    r"(?:within|(?:closer|nearer)\s+than)\b",
    re.IGNORECASE,
)
"""`homes may come within 3 in of the lake`: its number is how near is allowed, and no upper limit."""
_DISTANCE = re.compile(r"\b(?:distance|gap) from\b")
_UPPER = re.compile(r"\b(?:is|are) (?:at most|less than|between)\b|^not: (?:\(|(?!.*, and))", re.IGNORECASE)


def check_permissions(text: str, rules: Sequence[Rule]) -> None:
    """Raise RuleMistake where a clause of the sentence only allows what its rule would ask for.

    rules: what the whole sentence was read as.
    """
    if any(rule.kind.by_eye for rule in rules):
        return
    for found in allowing(text):
        near = _NEAR.match(text, found.start) and any(_DISTANCE.search(rule.reads_as()) for rule in rules)
        if near or not _is_limited(found.limited, rules):
            must = f"{text[: found.start]}must{text[found.end :]}".strip()
            why = f"`{found.word}` allows it and asks for nothing"
            said = f"{why}; write `{must}` where it has to be so" if found.whole else f"{why}; leave that part out"
            raise RuleMistake(text.rstrip(), found.start, found.end, said, (must,) if found.whole else (), why)


def _is_limited(said: bool, rules: Sequence[Rule]) -> bool:
    """By the rule, where there is one with a limit of its own; else by the words."""
    limits = [rule.subject.count or rule.limit for rule in rules]
    if len(rules) == 1 and limits[0] is not None:
        return limits[0].high is not None
    return said or (len(rules) == 1 and (rules[0].negated or bool(_UPPER.search(rules[0].reads_as()))))
