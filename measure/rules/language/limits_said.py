"""Every way of saying how much, as the grammar's own: `no less than`, `a minimum of`, `5 or more`, `3 to 5`."""

from __future__ import annotations

import re
from functools import partial

from measure.rules.language.masked import AMOUNT, Masked

_A = rf"({AMOUNT})"
_BIG = r"(?:more|larger|bigger|greater|farther|further)"
_SMALL = r"(?:less|fewer|smaller|closer|nearer)"
_ENDS = r"(?:limit|most|maximum|max\.?|tops)"
_BETWEEN = (
    rf"between {_A} and {_A}(?: inclusive)?",
    rf"(?:anywhere |anything )?from {_A} to {_A}",
    rf"at least {_A},? (?:and|but)? ?(?:at most|no more than|not more than|up to) {_A}",
    rf"not less than {_A},? (?:and|but|nor) (?:not )?more than {_A}",
    rf"min(?:imum)?\.? {_A},? (?:and )?max(?:imum)?\.? {_A}",
    rf"{_A} to {_A}",
    r"(N\d+) or (N\d+)",
)
_ONE_SIDED: tuple[tuple[str, str], ...] = (
    ("at least", rf"(?:not less than|no fewer than|not fewer than|no less than|no smaller than|not smaller than) {_A}"),
    ("at least", rf"(?:not|no) (?:under|below) {_A}"),
    ("at least", rf"(?:a )?min(?:imum)?\.?(?: of)? {_A}"),
    ("at least", rf"(?:not|no) (?:closer|nearer) than {_A}"),
    ("at least", rf"{_A} or (?:{_BIG}|over|up|above|beyond)"),
    ("at least", rf"{_A} (?:and|&) (?:more|up|over)"),
    ("at least", rf"{_A},? (?:at (?:the )?(?:very )?least|(?:as a )?minimum|min\b\.?|no less|no fewer)"),
    ("at most", rf"(?:not|no) (?:{_BIG}|over) than {_A}"),
    ("at most", rf"(?:not|no) (?:over|above|exceed|go over|go above|exceeding|surpass|be over|get over) {_A}"),
    ("at most", rf"(?:a )?max(?:imum)?\.?(?: of)? {_A}"),
    ("at most", rf"up to {_A}"),
    ("at most", rf"{_A} or (?:{_SMALL}|under|below)"),
    ("at most", rf"{_A},? (?:at (?:the )?(?:very )?most|(?:as a )?{_ENDS}|no more|and no more)"),
    ("more than", rf"(?:{_BIG} than|over|above|exceeds?|in excess of|beyond) {_A}"),
    ("less than", rf"(?:{_SMALL} than|under|below) {_A}"),
    ("at least", rf"at (?:the )?(?:very )?least {_A}"),
    ("at most", rf"at (?:the )?(?:very )?most {_A}"),
    ("exactly", rf"(?:exactly|precisely|just|only) {_A}"),
)


_SPANS = (("longer", "more", "long"), ("wider", "more", "wide"), ("narrower", "less", "wide"))
_HEIGHTS = (("taller", "more", "tall"), ("higher", "more", "tall"))


def with_limits(made: Masked) -> None:
    """Put a sign G for every limit; between two amounts of different kinds there is none."""
    for word, more, what in (*_SPANS, *_HEIGHTS):
        made.text = re.sub(rf"\b{word} than (L\d+)", rf"{more} than \1 {what}", made.text)
    for pattern in _BETWEEN:
        made.text = re.sub(rf"\b{pattern}(?![\w])", partial(_between, made), made.text)
    for relation, pattern in _ONE_SIDED:
        made.text = re.sub(rf"\b{pattern}(?![\w])", partial(_limit, made, relation), made.text)


def _limit(made: Masked, relation: str, found: re.Match[str]) -> str:
    amount = found[1]
    return made.sign(f"G{amount[0]}", f"{relation} {made.said(amount)}")


def _between(made: Masked, found: re.Match[str]) -> str:
    low, high = found[1], found[2]
    first, second = made.said(low), made.said(high)
    if low[0] != high[0] and low[0] not in "NF":
        return found[0]
    if made.values[low] >= made.values[high] and low[0] == high[0]:
        return found[0]
    return made.sign(f"G{high[0]}", f"between {first} and {second}")
