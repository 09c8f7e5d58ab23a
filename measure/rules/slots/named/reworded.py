"""Turns of phrase in the words that the slots know, where no phrase of words side by side can say it: reworded.txt."""

from __future__ import annotations

import re
from functools import cache
from pathlib import Path

from measure.units import Unit

_FILE = Path(__file__).with_name("reworded.txt")
_FEW = "one|two|three|four|five|six|seven|eight|nine|ten"
_PARTS = {
    "{FEW}": _FEW,
    "{NUMBER}": r"(?:\d+|two|three|four|five|six|seven|eight|nine|ten)",
    "{MEASURED}": (
        r"(?:\d[\d.,/ ]*|an? |one |half |a (?:third|quarter|fifth|tenth) )[\s-]*"
        r"(?:%|per\s?cent\b|sq\b|square\b|in\b|inch|cm\b|mm\b|feet\b|foot\b|ft\b|cent(?:imetre|imeter)|of\b)"
    ),
    "{SIDE}": (
        r"(?:(?:at least |exactly )?(?:one|a|some)(?: of (?:its|their|the|your))? (?:full |straight )?"
        r"(?:sides?|edges?|walls?))"
    ),
}
"""What stands in the lines for a longer expression."""
_SQUARE = re.compile(
    r"[(,;]?\s*\b(?:1|one|each|a|every|our|the) (?:grid )?squares? (?:=|is|are|equals?|means|stands for|counts as)"
    r" (?:1|one|an?) (?:square )?(?P<unit>in|inch|inches|cm|centimetres?|centimeters?)\b"
    r"(?: (?:wide|long|square|by 1|by one))?\s*\)?",
    re.IGNORECASE,
)
"""`(1 square = 1 square inch)`: what squares are taken as anyway."""


@cache
def _lines() -> tuple[tuple[re.Pattern[str], str], ...]:
    made = []
    for line in _FILE.read_text("utf-8").splitlines():
        pattern, sign, words = line.partition(" =>")
        if sign and not line.startswith("#"):
            for name, part in _PARTS.items():
                pattern = pattern.replace(name, part)
            made.append((re.compile(pattern, re.IGNORECASE), words[1:]))
    return tuple(made)


def reworded(text: str, unit: Unit) -> str:
    """The text in the words that the slots know; unit is the challenge's."""
    told = _SQUARE.search(text)
    if told and (told["unit"][:1].lower() == "i") == (unit == "in"):
        text = text[: told.start()] + text[told.end() :]
    for pattern, words in _lines():
        text = pattern.sub(words, text)
    return text
