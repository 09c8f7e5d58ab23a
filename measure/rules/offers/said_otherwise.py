"""Ways of speaking by what was meant: patterns over a sentence's signs, and the sentences that say it.

A line of said_otherwise.txt is `pattern => sentence | sentence`; with `==>` the pattern says just that and is read so
where no other word stands in the sentence (said_wholly.py), else it is only offered. In a pattern, Z is a zone with its
quantifier, L a length, A an area, V a volume, N a number, D a range, F a fraction, P a per cent or fraction, T so many
times, B any amount, R a part and E an edge of the parcel, X any of them that says nothing by itself; `..` is up to six
other words. In a sentence `{0}` is the first sign of the pattern that says something; `{0.all}` takes no heed of
`every`, `{0.whole}` is where that is the same, and `{0.begin}` begins a formula of each of them.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from measure.rules.offers.gist import WHO, Gist, Much, Who

_FILE = Path(__file__).with_name("said_otherwise.txt")
SIGNS = {
    "Z": WHO,
    "L": r"L\d+",
    "A": r"A\d+",
    "V": r"V\d+",
    "N": r"[ND]\d+",
    "D": r"D\d+",
    "F": r"F\d+",
    "P": r"[PF]\d+",
    "T": r"T\d+",
    "B": r"[LAVNDFPT]\d+",
    "R": r"R\d+",
    "E": r"E\d+",
}
_UNSAID = r"[A-Z]\d+"
_WORDS = r"[^\s,;:.()]"
# A word is taken whole: one of sixty letters can be parted in millions of ways.
_GAP = rf"(?P<gap{{}}>(?:\s*(?![A-Z]\d){_WORDS}+(?!{_WORDS})){{{{0,6}}}}?\s*)"
_WORD = re.compile(r"\.\.|\b[A-Z]\b")


@dataclass(frozen=True)
class Matched:
    """A pattern found in a sentence: what it says, and the words of the sentence that it has nothing for.

    certain: it says just that.
    """

    text: str
    note: str
    before: str
    after: str
    gaps: tuple[str, ...]
    unsaid: tuple[str, ...]
    certain: bool = False


@dataclass(frozen=True)
class _Pattern:
    regex: re.Pattern[str]
    sentences: tuple[str, ...]
    certain: bool


def matched(gist: Gist, words: Mapping[str, str]) -> Iterator[Matched]:
    """What every pattern makes of the sentence, in the order of the file.

    words: what `{u}` (the challenge's unit) and `{zones}` (all its zones) stand for.
    """
    for pattern in _patterns():
        found = pattern.regex.search(gist.text)
        if found is None:
            continue
        named = [text for name, text in sorted(found.groupdict().items(), key=_order) if name[0] == "x"]
        gaps = tuple(text for name, text in found.groupdict().items() if name.startswith("gap") and text)
        for sentence in pattern.sentences:
            text, _, note = filled(sentence, [gist.of(sign) for sign in named], words).partition(" // ")
            unsaid = tuple(sign for at, sign in enumerate(named) if f"{{{at}" not in sentence)
            if text:
                around = gist.text[: found.start()], gist.text[found.end() :]
                sure = pattern.certain and _says_of_each(sentence, named, gist) and _says_limit(sentence, named, gist)
                yield Matched(text, note, *around, gaps, unsaid, sure)


def _says_of_each(sentence: str, named: list[str], gist: Gist) -> bool:
    """Whether what is said of every piece is said of every piece, or of land where that is the same."""
    every = (at for at, sign in enumerate(named) if getattr(gist.of(sign), "quantifier", "") == "every")
    ways = r"\{{{0}\.(?:begin|whole)\}}|\b(?:pieces?|structures?) (?:of|in) \{{{0}\.all\}}"
    return all(re.search(ways.format(at), sentence) for at in every)


def _says_limit(sentence: str, named: list[str], gist: Gist) -> bool:
    """Whether every limit was said, or is told: an amount alone may be a least, a most or an exact one."""
    if " // " in sentence:
        return True
    signs = ((at, gist.of(sign)) for at, sign in enumerate(named))
    bare = (at for at, much in signs if isinstance(much, Much) and much.bound.relation == "bare")
    return not any(re.search(rf"\{{{at}\.(?:of\.|rel_)?(?:least|most)\}}", sentence) for at in bare)


def _order(item: tuple[str, str]) -> int:
    return int(re.sub(r"\D", "", item[0]) or 0)


def filled(sentence: str, signs: list[object], words: Mapping[str, str]) -> str:
    """The sentence of these signs; nothing where it has no place for a quantifier."""
    for at, sign in enumerate(signs):
        open_to = ("begin", "all", "whole") if getattr(sign, "quantifier", "") == "every" else ("begin",)
        sayable = any(f"{{{at}.{way}}}" in sentence for way in open_to)
        if isinstance(sign, Who) and sign.quantifier and not sayable:
            return ""
    said = _OF.sub(lambda found: _so_much_of(found, signs), re.sub(r"\{(\d+)\.(?:all|whole)\}", r"{\1}", sentence))
    return said.format(*signs, **words)


_OF = re.compile(r"\{(?P<at>\d+)\.of(?:\.(?P<bare>least|most))?\} (?P<term>[^,|)]*?)(?=\s*(?:$|[,|)]))")


def _so_much_of(found: re.Match[str], signs: list[object]) -> str:
    much = signs[int(found["at"])]
    assert isinstance(much, Much)
    return much.of(found["term"], {"least": "at least", "most": "at most"}.get(found["bare"], "bare"))


@cache
def _patterns() -> tuple[_Pattern, ...]:
    made = []
    for line in re.sub(r"\n[ \t]+", " ", _FILE.read_text("utf-8")).splitlines():
        if line and not line.startswith("#"):
            pattern, arrow, sentences = re.split(r" (==?>) ", line, maxsplit=1)
            ways = tuple(map(str.strip, sentences.split(" | ")))
            made.append(_Pattern(_compiled(pattern.strip()), ways, arrow == "==>"))
    return tuple(made)


def _compiled(pattern: str) -> re.Pattern[str]:
    counts = {"gap": 0, "x": 0}

    def spelled(found: re.Match[str]) -> str:
        kind = "gap" if found[0] == ".." else "x"
        if kind == "gap":
            counts["gap"] += 1
            return _GAP.format(counts[kind])
        if found[0] not in SIGNS:
            return _UNSAID if found[0] == "X" else found[0]
        counts["x"] += kind == "x"
        return f"(?P<x{counts['x'] - 1}>{SIGNS[found[0]]})"

    text = _WORD.sub(spelled, re.sub(r"\s*\.\.\s*", "..", pattern))
    return re.compile(rf"(?<![\w-])(?:{text})(?![\w-])" if text[0] not in "\\" else rf"(?:{text})(?![\w-])")
