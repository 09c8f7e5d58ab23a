"""Limits that `only` and `total` set, in the words that the grammars know."""

from __future__ import annotations

import re

_NUMBER = r"(?:\d+|one|two|three|four|five|six|seven|eight|nine|ten|half|a (?:third|quarter|fifth))\b"
_VERB = r"(?P<verb>be|have|build|use|cover|take up|fill)"
_CAN_ONLY = (
    re.compile(rf"\b(?P<may>can|may)\s+only\s+{_VERB}\s+(?P<number>{_NUMBER})", re.IGNORECASE),
    re.compile(rf"\b(?P<may>can|may)\s+{_VERB}\s+only\s+(?P<number>{_NUMBER})", re.IGNORECASE),
)
_ONLY_ALLOWED = re.compile(
    rf"^\s*only\s+(?P<rest>{_NUMBER}.*\b(?:is|are)\s+(?:allowed|permitted)\s*[.!]*\s*$)", re.IGNORECASE
)
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
    return _ONLY_ALLOWED.sub(r"at most \g<rest>", sentence)
