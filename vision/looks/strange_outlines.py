"""Outlines that may be of another tape, whose box on the card is empty or which looks alike in this light."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.find.glare import Scenery
from vision.find.rough_outlines import Found
from vision.looks.tape_looks import alike
from vision.picture.remarks import Remark, remark
from vision.picture.traced import TapeSpec

PIECES_RATIO, PIECES_LIGHT = 0.25, 0.35
"""Log colour ratio and log lightness by which two pieces of one tape differ at most in one photo."""
SWATCH_RATIO, SWATCH_LIGHT = 0.4, 0.8
"""The same for a piece and its tape on the card, which may lie in another light."""


def without_strangers(
    found: Sequence[Found], scenery: Scenery, tapes: Sequence[TapeSpec], unread: Sequence[str]
) -> tuple[list[Found], list[Remark]]:
    """The outlines that have their tape's own colour, and remarks on zones from which others are left out.

    unread: the zones whose tape is not known.  Where every tape is known and the like ones have outlines of their own,
    every outline has the tape that it is most like.
    """
    there = {f.swatch for f in found}
    pairs = [
        (one, other)
        for one, other in alike(scenery.colours.only(t.swatch for t in tapes))
        if (one in there) != (other in there)
    ]
    looks_like = [one if other not in there else other for one, other in pairs]
    if not unread and not looks_like:
        return list(found), []
    found, every = [f for f in found if unread or f.swatch in looks_like], list(found)
    own: dict[int, list[tuple[Found, FloatArray]]] = {}
    for outline in found:
        own.setdefault(outline.swatch, []).append((outline, _tone(outline, scenery)))
    strange = [f for swatch, pieces in own.items() for f in _strange(pieces, swatch, scenery)]
    kin = {one if other in there else other for one, other in pairs if {one, other} & {f.swatch for f in strange}}
    concerned = {f.swatch for f in strange} | (kin - there)
    zones = dict.fromkeys(t.zone for t in tapes if t.swatch in concerned)
    return [f for f in every if all(f is not s for s in strange)], [remark("like-unread-tape", z) for z in zones]


def _strange(pieces: Sequence[tuple[Found, FloatArray]], swatch: int, scenery: Scenery) -> list[Found]:
    """The pieces of one tape that have another colour than the one that is most like the tape on the card."""
    known = scenery.colours.of(swatch)
    if known is None or len(known.tones) > 1:
        return []
    card = known.tones[0] + np.array([0.0, 0.0, scenery.colours.white[2]])
    nearest = min((tone for _, tone in pieces), key=lambda tone: float(np.abs(tone - card).max()))
    return [
        outline
        for outline, tone in pieces
        if _apart(tone, nearest, PIECES_RATIO, PIECES_LIGHT) or _apart(tone, card, SWATCH_RATIO, SWATCH_LIGHT)
    ]


def _apart(one: FloatArray, other: FloatArray, ratio: float, light: float) -> bool:
    away = np.abs(one - other)
    return bool(away[:2].max() > ratio or away[2] > light)


def _tone(outline: Found, scenery: Scenery) -> FloatArray:
    """Median log ratios and log lightness (3,) along an outline's middle, where its tape shows."""
    ring = shapely.LinearRing(outline.corners)
    places = shapely.get_coordinates(shapely.line_interpolate_point(ring, np.arange(0.5, ring.length, 1.0)))
    shown = places[outline.tape.read(places)]
    height, width = scenery.smooth.shape[:2]
    at = np.clip(np.rint(scenery.picture.to_px(shown if len(shown) else places)), 0, (width - 1, height - 1)).astype(
        int
    )
    return np.median(log_colour(scenery.smooth[at[:, 1], at[:, 0]]), axis=0).astype(np.float64)
