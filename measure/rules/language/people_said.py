"""Whoever a rule speaks of, as one sign W: a zone, several, every piece of one, none, so many of them."""

from __future__ import annotations

import re
from functools import partial

from measure.rules.language.masked import Masked

_EVERY = r"(?:every single|every one of|each one of|each and every|each of|each|every|any one of)"
_NO = r"(?:none of|not one of|not one|no single|no)"
_Z = r"(Z\d+)"
_LIST = r"(Z\d+(?:(?:, and |, | and | & | plus | as well as )Z\d+)+)"
_BUT = r"(?:except(?: for)?|but|other than|apart from|besides)"
_ALONE = r"(?!(?:, | and |, and | or )Z)"
WHOLE = re.compile(r"W\d+")


def with_subjects(made: Masked) -> None:
    """Put a sign W for every zone and group of zones that the mould speaks of."""
    for pattern, said in _GROUPS:
        made.text = re.sub(pattern, partial(_sign, made, said), made.text)


_GROUPS: tuple[tuple[str, str], ...] = (
    (
        rf"\b(?:every|all) zones?,? {_BUT} {_LIST}",
        "every zone except {0}",
    ),
    (rf"\b(?:every|all) zones?,? {_BUT} {_Z}", "every zone except {0}"),
    (rf"\b(?:everything) (?:but|except(?: for)?|other than|apart from) {_Z}", "every zone except {0}"),
    (rf"\bevery zone, {_Z} (?:excluded|excepted),", "every zone except {0}"),
    (rf"\b(?:apart from|other than|except(?: for)?) {_Z},? (?:no zone|nothing|none)", "~every zone except {0}"),
    (
        rf"\b{_BUT} {_Z},? (?:every|all|each) (?:other )?zones?",
        "every zone except {0}",
    ),
    (rf"\b{_EVERY} pieces? of {_Z}", "every piece of {0}"),
    (rf"\b{_NO} pieces? of {_Z}", "no piece of {0}"),
    (rf"\b(?:all|all of) (?:pieces|parts) of {_Z}", "every piece of {0}"),
    (rf"\b{_EVERY} other {_Z}", "every other piece of {0}"),
    (rf"\banother {_Z}", "another piece of {0}"),
    (rf"\b(?:at least one|some) other {_Z}", "another piece of {0}"),
    (r"\bat least (?:one|N\d+) other zone\b", "another zone"),
    (rf"\b(GN\d+) (?:of )?(?:pieces of )?{_Z}(?= (?:be|cover|touch|not|overlap|have))", "{0} pieces of {1}"),
    (rf"\b{_EVERY} {_Z}{_ALONE}", "every piece of {0}"),
    (rf"\ball (?:of )?{_Z}{_ALONE}", "@all of {0}"),
    (rf"\b{_Z} (?:all|each)(?= (?:be|cover|touch|not|overlap))", "@all of {0}"),
    (rf"\b{_NO} {_Z}{_ALONE}", "no piece of {0}"),
    (rf"\bneither {_Z} nor {_Z}", "~each of {0} and {1}"),
    (rf"\b(?:both|each of|every one of) {_LIST}", "each of {0}"),
    (rf"\b(?:area of )?{_LIST} (?:together|combined|altogether|in total|put together|taken together)", "{0} together"),
    (rf"\btogether,? {_LIST}", "{0} together"),
    (rf"\b{_LIST}", "{0}"),
    (r"\b(?:every|each|all|any) (?:of )?zones?\b", "every zone"),
    (r"\b(?:no|none of) zones?\b", "no zone"),
    (r"\bnothing\b", "nothing"),
    (r"\beverything\b", "every zone"),
    (r"\b(?:every|all|any) other zones?\b", "every other zone"),
    (r"\banother zone\b", "another zone"),
    (rf"\bany (?:of )?{_Z}", "^every piece of {0}"),
    (rf"\b(?:a|an|one|some) {_Z}", "¤a {0}"),
    (rf"\b(?:a|one|some) piece of {_Z}", "¤a {0}"),
    (rf"{_Z}", "{0}"),
)


def _sign(made: Masked, said: str, found: re.Match[str]) -> str:
    parts = [made.said(re.sub(r" & | plus | as well as ", " and ", part)) for part in found.groups()]
    sign = made.sign("W", said.format(*parts))
    if found.lastindex == 1 and found[1] in made.plural and said == "{0}":
        made.plural.add(sign)
    return sign
