"""Outlines that may be of another tape, whose box on the card is empty or which looks alike in this light."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import shapely

from calib.card.colours import log_colour
from calib.edges import FloatArray
from vision.find.glare import Scenery
from vision.find.rough_outlines import Found
from vision.looks.tape_looks import LIGHT, TOO_NEAR, alike, apart, differs_in_light
from vision.picture.remarks import Remark, remark
from vision.picture.traced import TapeSpec

PIECES_RATIO, PIECES_LIGHT = 0.25, 0.35
"""Log colour ratio and log lightness by which two pieces of one tape differ at most in one photo."""
SWATCH_RATIO, SWATCH_LIGHT = 0.4, 0.8
"""The same for a piece and its tape on the card, which may lie in another light."""

SURELY, ITSELF, SHINES = 3.0, 0.5, 1.5
"""How many times nearer to its own tape than to another that looks alike an outline is surely its own's, spreads from a
tape's colour within which an outline has it, and how many times farther off it a board makes see-through tape look.
"""


def without_strangers(
    found: Sequence[Found], scenery: Scenery, tapes: Sequence[TapeSpec], unread: Sequence[str]
) -> tuple[list[Found], list[Remark]]:
    """The outlines that have their tape's own colour, and remarks on zones from which others are left out.

    unread: the zones whose tape is not known.  Where every tape is known and the like ones have outlines of their own,
    every outline has the tape that it is most like; where one of two that look alike has none, the other's may be its.
    """
    there = {f.swatch for f in found}
    pairs = [
        (one, other) if one in there else (other, one)
        for one, other in alike(scenery.colours.only(t.swatch for t in tapes))
        if (one in there) != (other in there)
    ]
    looks_like = [one for one, _ in pairs]
    if not unread and not looks_like:
        return list(found), []
    tones = [(f, tone_along(f, scenery)) for f in found if unread or f.swatch in looks_like]
    own: dict[int, list[tuple[Found, FloatArray]]] = {}
    for outline, tone in tones:
        own.setdefault(outline.swatch, []).append((outline, tone))
    strange = [f for swatch, pieces in own.items() for f in _strange(pieces, swatch, scenery)]
    kin = {other for one, other in pairs if one in {f.swatch for f in strange}}
    either = [
        (one, other)
        for one, other in pairs
        if not differs_in_light(one, other, scenery.colours, LIGHT)
        and any(_may_be(tone, one, other, scenery) for _, tone in own[one])
    ]
    taken = {one for one, _ in either}
    concerned = {f.swatch for f in strange} | kin | taken | {other for _, other in either}
    zones = dict.fromkeys(t.zone for t in tapes if t.swatch in concerned)
    kept = [f for f in found if f.swatch not in taken and all(f is not s for s in strange)]
    return kept, [remark("like-unread-tape", z) for z in zones]


def _may_be(tone: FloatArray, own: int, other: int, scenery: Scenery) -> bool:
    """Whether an outline of this tone that passes for one of box `own` may as well be of box `other`'s tape.

    See-through tape lets the board shine through, so it lies between the colours of its swatch and of the board.
    """
    white = np.array([0.0, 0.0, scenery.colours.white[2]])
    away = {number: _spreads_from(tone, number, white, scenery) for number in (own, other)}
    through = any(box.number == other and box.state == "see-through" for box in scenery.colours.boxes)
    if away[other] > TOO_NEAR * (SHINES if through else 1.0):
        return False
    known, grounds = scenery.colours.of(other), scenery.classes.ground_tones
    if not through or known is None or not grounds:
        return away[other] < SURELY * away[own]
    card = known.tones[0] + white
    towards = np.asarray(grounds[0], dtype=np.float64) - card
    return away[other] < ITSELF or bool((tone - card)[:2] @ towards[:2] > 0)


def _spreads_from(tone: FloatArray, number: int, white: FloatArray, scenery: Scenery) -> float:
    """How far a tone (3,) is from the nearest of a box's tones, in spreads."""
    known = scenery.colours.of(number)
    return min((apart(tone, card + white) for card in known.tones), default=np.inf) if known else np.inf


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


def tone_along(outline: Found, scenery: Scenery) -> FloatArray:
    """Median log ratios and log lightness (3,) along an outline's middle, where its tape shows."""
    ring = shapely.LinearRing(outline.corners)
    places = shapely.get_coordinates(shapely.line_interpolate_point(ring, np.arange(0.5, ring.length, 1.0)))
    shown = places[outline.tape.read(places)]
    height, width = scenery.smooth.shape[:2]
    at = np.clip(np.rint(scenery.picture.to_px(shown if len(shown) else places)), 0, (width - 1, height - 1)).astype(
        int
    )
    return np.median(log_colour(scenery.smooth[at[:, 1], at[:, 0]]), axis=0).astype(np.float64)
