"""Short forms of words and signs that stand for words: `can't`, `w/in`, `6+ in`, `=>`."""

from __future__ import annotations

import re

_MARK = r"%|cm[2²]|in[2²]|mm[2²]|(?:sq|square)\.? ?(?:in|cm|mm|inches)\b\.?|in\b|cm\b|inches\b|\""
_SHORT = (
    (rf"(\d\s?(?:{_MARK}))\s*[-–]\s*(?=\d)", r"\1 to "),
    (rf"(\d)\s?\+\s*({_MARK}|inch\b|percent\b|per cent\b|feet\b)", r"\1 \2 or more"),
    (r"\bw/\s?in\b", "within"),
    (r"\bw/o\b", "without"),
    (r"\bw/(?=\s)", "with"),
    (r"#\s?of\b|\bno\.\s?of\b", "number of"),
    (r"\bcan't\b|\bcan not\b", "cannot"),
    (r"\bwon't\b", "will not"),
    (r"\bshan't\b", "shall not"),
    (r"n't\b", " not"),
    (r"'d like\b", " would like"),
    (r"\b(it|that|there|what|let)'s\b", r"\1 is"),
    (r"\bthey're\b", "they are"),
    (r"(?<=\w)'ll\b", " will"),
    (r"\s*<-+>\s*", " ↔ "),
    (r"\s*-+>\s*", " : "),
    (r"\s[-–—]+\s|\s*—\s*", " : "),
    (r"(?<=[^\W\d])–(?=[^\W\d])", " and "),
    (r"(?<=\d)\s?[–-]\s?(?=\d)", " to "),
    (r"\b(area|perimeter|length|width|height)\s*\(\s*([^\W\d][\w\s-]*?)\s*\)", r"\1 of \2"),
    (r"\s*=>\s*(?=\d)", " >= "),
    (r"\s*=<\s*(?=\d)", " <= "),
    (r"\s*(?:->|=>|→)\s*", " : "),
    (r"÷", " divided by "),
    (r"≥", ">="),
    (r"≤", "<="),
    (r"!", "."),
)


def in_full(sentence: str) -> str:
    """The sentence with its short forms as words."""
    text = sentence
    for pattern, made in _SHORT:
        text = re.sub(pattern, made, text, flags=re.IGNORECASE)
    return text
