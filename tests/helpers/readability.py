"""How hard a text is to read: the Flesch-Kincaid grade level, and the longest sentence.

Grade = 0.39 words a sentence + 11.8 syllables a word - 15.59 (Kincaid, Fishburne, Rogers and Chissom, 1975; from
memory).
Syllables are counted as groups of vowels, without a silent e at the end. Names of the class's own zones and the
mathematical words of the GLOSSARY are left out, as are numbers: a class meets these words where it learns them.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from html.parser import HTMLParser

GLOSSARY = frozenset((
    "area", "areas", "centimetre", "centimetres", "circle", "corner", "corners", "cube", "cubes", "cylinder",
    "cylinders", "diagonal", "diameter", "diameters", "division", "divisions", "eighth", "eighths", "fraction",
    "fractions", "height", "heights", "hemisphere", "hemispheres", "inch", "inches", "length", "lengths",
    "median", "middle", "millimetre", "millimetres", "multiply", "outline", "outlines", "parcel", "per", "cent",
    "percent", "perimeter", "perimeters", "prism", "prisms", "pyramid", "pyramids", "quantity", "quarter",
    "quarters", "radius", "range", "rectangle", "rectangles", "ruler", "rulers", "share", "shares", "side",
    "sides", "square", "squares", "structure", "structures", "tape", "triangle", "triangles", "triangular",
    "unit", "units", "volume", "volumes", "width", "widths", "zone", "zones",
))  # fmt: skip
"""The mathematical words, and the words of the task, that are left out."""
_FEWEST = 4
"""Words of a sentence without an end sign."""
_WORD = re.compile(r"[A-Za-z][A-Za-z'’]*")
_BLOCKS = frozenset((
    "p", "li", "h1", "h2", "h3", "h4", "td", "th", "tr", "label", "legend", "button", "summary", "div",
    "section", "nav", "dt", "dd", "a", "figcaption", "caption", "option", "fieldset",
))  # fmt: skip


@dataclass(frozen=True)
class Read:
    """A text as it is read: its sentences, each as words."""

    sentences: tuple[tuple[str, ...], ...]

    @property
    def words(self) -> int:
        """How many there are."""
        return sum(map(len, self.sentences))

    @property
    def grade(self) -> float:
        """The Flesch-Kincaid grade level."""
        syllables = sum(map(syllables_of, (word for sentence in self.sentences for word in sentence)))
        return 0.39 * self.words / len(self.sentences) + 11.8 * syllables / self.words - 15.59

    @property
    def longest(self) -> tuple[str, ...]:
        """The sentence with the most words."""
        return max(self.sentences, key=len, default=())


def read(blocks: Iterable[str], names: Sequence[str] = ()) -> Read:
    """The sentences of a page's blocks of text; what has no end sign and few words is a label, and not counted."""
    found: dict[tuple[str, ...], None] = {}
    for block in blocks:
        text = " ".join(block.split())
        for name in sorted(names, key=len, reverse=True):
            text = re.sub(rf"\b{re.escape(name)}\b", " ", text, flags=re.IGNORECASE)
        for sentence in re.split(r"[.?!]+(?=\s|$|[”\"])", text):
            words = tuple(word for word in _WORD.findall(sentence) if word.casefold() not in GLOSSARY)
            if len(words) >= _FEWEST or (words and re.search(r"[.?!]$", text)):
                found[words] = None
    return Read(tuple(found))


def syllables_of(word: str) -> int:
    """Groups of vowels; a final e is silent unless it is the only one, or after a consonant and l."""
    plain = re.sub(r"[^a-z]", "", word.casefold())
    groups = len(re.findall(r"[aeiouy]+", plain))
    if re.search(r"[^aeiouy]e$", plain) and not re.search(r"[^aeiouy]le$", plain) and groups > 1:
        groups -= 1
    if re.search(r"[^aeiouytd]ed$", plain) and groups > 1:
        groups -= 1
    return max(1, groups)


class _Blocks(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.blocks: list[str] = [""]
        self._hidden = 0

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag in ("script", "style", "head", "template", "svg"):
            self._hidden += 1
        elif tag in _BLOCKS or tag == "br":
            self.blocks.append("")

    def handle_endtag(self, tag: str) -> None:
        if tag in ("script", "style", "head", "template", "svg"):
            self._hidden -= 1
        elif tag in _BLOCKS:
            self.blocks.append("")

    def handle_data(self, data: str) -> None:
        if not self._hidden:
            self.blocks[-1] += data


def blocks_of_html(page: str) -> list[str]:
    """The blocks of text of a page."""
    parser = _Blocks()
    parser.feed(page)
    return [block for block in parser.blocks if block.strip()]


MANY_WORDS, HARDEST, LONGEST = 80, 4.0, 12
"""From how many words a page's grade is measured, its largest grade, and the longest sentence of shorter ones."""


def check_easy(text: Read, page: str) -> None:
    """Fail where a page is too hard for children of nine."""
    if text.words >= MANY_WORDS:
        assert text.grade <= HARDEST, f"{page}: grade {text.grade:.1f}"
    else:
        assert len(text.longest) <= LONGEST, f"{page}: {' '.join(text.longest)}"
