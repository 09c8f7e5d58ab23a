"""The typeface of every sheet, and what is printed for characters that it lacks.

Bitstream Vera comes with reportlab and is embedded, so that a sheet looks the same on every machine.  It covers the
languages of western Europe; other accents are left off and other scripts cannot be printed, which is never silent:
`lost` names the characters for a warning.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from reportlab.lib.fonts import addMapping
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont

REGULAR = "Sheet"
BOLD = "SheetBold"
_FILES = {REGULAR: "Vera.ttf", BOLD: "VeraBd.ttf", "SheetItalic": "VeraIt.ttf", "SheetBoldItalic": "VeraBI.ttf"}
_SAME = {"⁄": "/", "‐": "-", "‑": "-", "′": "'", "″": '"', "⅓": "1/3", "⅔": "2/3"}
_SPACES = re.compile(r"[ \x00-\x1f\x7f\x85\u2000-\u200b\u2028\u2029\u202f]+")
_UNPRINTABLE = "?"


def register() -> None:
    """Make the typeface known to reportlab, once."""
    if REGULAR in pdfmetrics.getRegisteredFontNames():
        return
    for name, file in _FILES.items():
        pdfmetrics.registerFont(TTFont(name, file))
    for bold, italic, name in ((0, 0, REGULAR), (1, 0, BOLD), (0, 1, "SheetItalic"), (1, 1, "SheetBoldItalic")):
        addMapping(REGULAR, bold, italic, name)


def printable(text: str) -> str:
    """The text with only characters that the typeface has, on one line."""
    return "".join(_nearest(sign) for sign in unicodedata.normalize("NFC", _SPACES.sub(" ", text).strip()))


def lost(text: str) -> tuple[str, ...]:
    """Characters of the text that print as something else (an accent left off, a question mark), sorted."""
    signs = set(unicodedata.normalize("NFC", _SPACES.sub("", text)))
    return tuple(sorted(sign for sign in signs if not _has(_same(sign))))


def text_width(text: str, size: float, *, bold: bool = False) -> float:
    """Width in mm of a printable text in a size in points."""
    register()
    return float(pdfmetrics.stringWidth(text, BOLD if bold else REGULAR, size)) * 25.4 / 72


def _nearest(sign: str) -> str:
    same = _same(sign)
    if _has(same):
        return same
    bare = unicodedata.normalize("NFKD", sign)[0]
    return bare if _has(bare) else _UNPRINTABLE


def _same(sign: str) -> str:
    """The sign, or the same thing in signs that the typeface has ("1/8" for the sign of an eighth)."""
    if _has(sign):
        return sign
    spelled = unicodedata.normalize("NFKC", sign)
    return _SAME.get(sign) or "".join(_SAME.get(part, part) for part in spelled)


def _has(text: str) -> bool:
    return all(ord(sign) in _coverage() for sign in text)


@cache
def _coverage() -> frozenset[int]:
    """The characters that every cut of the typeface has."""
    register()
    return frozenset.intersection(*(frozenset(pdfmetrics.getFont(name).face.charToGlyph) for name in _FILES))
