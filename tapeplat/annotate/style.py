"""Line widths and text sizes of the annotated picture, all derived from the picture's size, here and nowhere else."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.util import find_spec
from pathlib import Path

from PIL import ImageFont

SMALLEST_TEXT = 11
"""Pixels; smaller letters of the font run together."""


@dataclass(frozen=True)
class Style:
    """Sizes in pixels."""

    line: int
    casing: int
    halo: int
    text: int
    small: int
    pad: int
    dash: float
    gap: float
    hatch: int

    @classmethod
    def for_picture(cls, width: int, height: int) -> Style:
        """Sizes for a picture: on a letter or A4 page a picture of any size gets text of about 10 points."""
        longest = max(width, height)
        line = max(2, round(longest / 530))
        text = max(SMALLEST_TEXT, round(longest / 64))
        casing = line + 2 * max(2, round(longest / 700))
        return cls(
            line=line,
            casing=casing,
            halo=casing + 4 * line,
            text=text,
            small=max(SMALLEST_TEXT - 1, round(0.76 * text)),
            pad=max(2, text // 5),
            dash=4.5 * line,
            gap=3.5 * line,
            hatch=max(6, round(longest / 130)),
        )


@lru_cache(maxsize=32)
def font(size: int, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Bitstream Vera, which reportlab ships: it has the accents of western European names, as Pillow's own lacks them.

    Names in other scripts show as empty boxes in the picture; the table, plat.svg and result.json have them in full.
    """
    spec = find_spec("reportlab")
    if spec is None or not spec.submodule_search_locations:
        raise ModuleNotFoundError("reportlab, which carries the font, is not installed")
    name = "VeraBd.ttf" if bold else "Vera.ttf"
    return ImageFont.truetype(str(Path(spec.submodule_search_locations[0]) / "fonts" / name), size)


def text_width(text: str, size: int, bold: bool = False) -> float:
    """Width in pixels."""
    return float(font(size, bold).getlength(text))
