"""`the park may touch the lake` asks for nothing: what a team may do is no rule, but for an upper limit."""

from __future__ import annotations

import re

from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake

MAY = re.compile(r"\b(?:may|can|could|is allowed to|are allowed to)\b(?!\s*(?:not|never)\b|'t)", re.IGNORECASE)
"""What allows, unless a denial follows."""
_UPPER = re.compile(r"\b(?:is|are) (?:at most|less than|between)\b|^not: ", re.IGNORECASE)
_DENIED = re.compile(r"\b(?:no|none|not|nothing|neither|never|only|nobody)\b", re.IGNORECASE)


def check_permission(text: str, rule: Rule) -> None:
    """Raise RuleMistake where a sentence only allows what its rule would ask for."""
    found = MAY.search(text)
    if found is None or rule.kind.by_eye or _DENIED.search(text):
        return
    limit = rule.subject.count or rule.limit
    asks = not (rule.negated or _UPPER.search(rule.reads_as())) if limit is None else limit.high is None
    if asks:
        must = f"{text[: found.start()]}must{text[found.end() :]}"
        said = f"`{found[0]}` allows it and asks for nothing; write `{must.strip()}` where it has to be so"
        raise RuleMistake(text.rstrip(), found.start(), found.end(), said, (must.strip(),))
