"""Limits that `only` and `total` set, in the words that the grammars know."""

from __future__ import annotations

import re

from measure.rules.speech.words.agents import AGENT

_NUMBER = r"(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|half|a (?:third|quarter|fifth))\b"
_SMALL = "one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve"
_VERB = r"(?P<verb>be|have|build|use|cover|take up|fill)"
_CAN_ONLY = (
    re.compile(rf"\b(?P<may>can|may)\s+only\s+{_VERB}\s+(?P<number>{_NUMBER})", re.IGNORECASE),
    re.compile(rf"\b(?P<may>can|may)\s+{_VERB}\s+only\s+(?P<number>{_NUMBER})", re.IGNORECASE),
)
_ONLY_ALLOWED = re.compile(
    rf"^\s*only\s+(?P<rest>{_NUMBER}.*\b(?:is|are)\s+(?:allowed|permitted)\s*[.!]*\s*$)", re.IGNORECASE
)
_ALLOWED = re.compile(
    rf"\b(?P<may>(?:they|you|we|{AGENT}) (?:can|may|could) "
    r"(?:have|build|use|make|include|put in|add|draw)"
    rf"|there (?:can|may|could) be|you(?:'re| are) allowed)\s+(?P<number>\d+|{_SMALL})"
    r"(?= (?!(?:or|to|of|and|more|per|times|in|cm|mm|ft|feet|people|tenths?)\b|inch|sq|cubic)[a-z])",
    re.IGNORECASE,
)
"""`you may use 3 shops`: up to three."""
_TOTAL = re.compile(
    r"\b(?:total|combined)\s+(?:area|size)s?\s+of\s+all(?:\s+of)?(?:\s+the)?\s+zones\b"
    r"(?!\s*,?\s*(?:except|but|together|other)\b)",
    re.IGNORECASE,
)


def with_limits_as_meant(sentence: str) -> str:
    """`can only be one` is at most one; a total of all zones is of all of them together."""
    sentence = _TOTAL.sub("area of all zones together", sentence)
    for can_only in _CAN_ONLY:
        sentence = can_only.sub(r"\g<may> \g<verb> at most \g<number>", sentence)
    sentence = _ALLOWED.sub(r"\g<may> at most \g<number>", sentence)
    return _ONLY_ALLOWED.sub(r"at most \g<rest>", sentence)
