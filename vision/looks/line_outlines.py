"""Outlines that a declared line draws in nearly a tape's colour, as a ring road does: these are no zone's tape."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours
from vision.colour.colour_classes import nearest_tone
from vision.colour.colour_words import fits_word
from vision.find.glare import Scenery
from vision.find.rough_outlines import Found
from vision.looks.strange_outlines import tone_along
from vision.picture.remarks import Remark, remark
from vision.picture.traced import TapeSpec
from vision.picture.traced_lines import LineSpec

BROADEST = 14.0
"""Width of the broadest line, mm, with what measuring a band adds."""
OWN = 1.5
"""Up to how many spreads from its tape's colour an outline is the tape's, whatever line has nearly that colour."""
LINES, EITHER = 0.6, 1.5
"""How far an outline's colour is from a line's, against how far from its tape's, for it to be the line's for sure, and
up to which nobody can tell.
"""
ANOTHER, UNSURE = 0.35, 0.2
"""By which log colour ratio an outline differs from its tape in any light if a line's word names it, and by which
nobody can tell: tape in a shadow keeps its ratios.
"""


def without_line_outlines(
    found: Sequence[Found], scenery: Scenery, colours: TapeColours, tapes: Sequence[TapeSpec], lines: Sequence[LineSpec]
) -> tuple[list[Found], list[Remark], list[Remark]]:
    """The outlines that are tape; remarks on what is a line's; and on zones that are not measured as their outlines may
    be a line's, or all are.

    colours: of all boxes of the card.
    """
    if not lines:
        return list(found), [], []
    drawn = [(f, said) for f in found if f.width <= BROADEST and (said := _line_of(f, scenery, colours, lines))]
    kept = [f for f in found if all(f is not other for other, _ in drawn)]
    there = {f.swatch for f in kept}
    told, lost = list[Remark](), list[Remark]()
    for outline, (name, sure) in drawn:
        for zone in (t.zone for t in tapes if t.swatch == outline.swatch):
            if sure and outline.swatch in there:
                told.append(remark("line-not-tape", zone, line=name))
            else:
                lost.append(remark("line-or-tape", zone, line=name))
    return kept, list(dict.fromkeys(told)), list(dict.fromkeys(lost))


def _line_of(
    outline: Found, scenery: Scenery, colours: TapeColours, lines: Sequence[LineSpec]
) -> tuple[str, bool] | None:  # fmt: skip
    """The line that an outline may be, and whether it is that for sure; None where it is tape."""
    own = colours.of(outline.swatch)
    if own is None or len(own.tones) > 1:
        return None
    white = np.array([0.0, 0.0, colours.white[2]], dtype=np.float32)
    tone = tone_along(outline, scenery)[None].astype(np.float32)
    glare = float(np.exp(colours.white[2]))
    to_tape = _far(tone, own.tones + white, glare)
    if to_tape <= OWN:
        return None
    apart = float(np.abs(tone[0, :2] - own.tones[0, :2]).max())
    for line in lines:
        if line.swatch is not None and (box := colours.of(line.swatch)) is not None:
            share = _far(tone, box.tones + white, glare) / to_tape
            if share < EITHER:
                return line.name, share < LINES
        elif line.colour is not None and apart > UNSURE:
            named = [bool(fits_word(t - colours.white.astype(np.float32), line.colour)[0].any())
                     for t in (tone, (own.tones + white).astype(np.float32))]  # fmt: skip
            if named[0]:
                return line.name, apart > ANOTHER and not named[1]
    return None


def _far(tone: NDArray[np.float32], to: NDArray[np.float32] | NDArray[np.float64], glare: float) -> float:
    """In spreads."""
    return float(np.sqrt(max(0.0, float(nearest_tone(tone, to.astype(np.float32), glare)[0]))))
