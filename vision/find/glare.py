"""Tape that glare has made paler: with light added it may look like another tape, or like the board.

Where strips of a tape close nothing, its mask is made anew of all that is its colour with any amount of light added and
differs from the board around it.  Only a whole band of the tape's own width counts, a part of which shows its colour.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.ops import unary_union

from calib.card.colours import TapeColours, log_colour
from vision.colour.colour_classes import CODES, FARTHEST, NOISE, RATIO_SPREAD, Classes, codes_of, colours_of
from vision.find.arrangement import faces
from vision.find.borrowed_sides import OpenTape
from vision.find.closing import (
    BAND,
    CLOSED,
    Candidate,
    complete_outlines,
    not_along,
    off_corners,
    profile,
    shown_share,
    turned_off,
)
from vision.find.rough_outlines import Found
from vision.find.strips import find_strips
from vision.find.tape_mask import clean
from vision.picture.rectified import Rectified

MOST_LIGHT, LIGHTS = 0.6, 25
"""Light that glare adds at most, as a share of the card's white, and how many amounts of it are tried."""
TINT, LIGHTNESS = 0.03, 0.4
"""How far the colour of the added light is off the card's white, relative, and spread of the log lightness below it."""
LEAST_LIGHT = 0.3
"""Share of a tape's own light that must be left below the added light: of a black surface nothing is left, and nothing
has any colour.
"""
ALIKE = 6.0
"""Squared distance from the tape's tone, in spreads, up to which a colour is the tape's under added light."""
AROUND = 40.0
"""Radius, mm, within which the board is looked at to tell it from tape in glare."""
AS_BOARD = (0.2, 0.2, 0.25)
"""Log colour ratios and log lightness by which the board differs from itself within AROUND."""
LEAST_OPEN = 30.0
"""Length of strips that close nothing, mm, from which glare is looked for."""
LEAST_OWN, ON_OTHERS = 0.3, 0.15
"""Shares of an outline: that shows the tape's own colour, and that may lie on others' outlines."""
CLEARLY = 1.0
"""By how much less a band's colours are apart from its own tape's than from another's that claims it, too."""


@dataclass(frozen=True, eq=False)
class Scenery:
    """The corrected picture, as it is and smoothed (h, w, 3), its classes, the tapes' colours, where tape may be and
    where prints lie.
    """

    picture: Rectified
    smooth: NDArray[np.uint8]
    classes: Classes
    colours: TapeColours
    free: NDArray[np.bool_]
    prints: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class _Claim:
    """A tape's claim to a band: the outline, and how far its colours are from the tape's on average, in spreads."""

    outline: Found
    apart: float

    @property
    def ring(self) -> shapely.LinearRing:
        """The outline as shapely's."""
        return shapely.LinearRing(self.outline.corners)


def glared_outlines(tapes: Sequence[OpenTape], found: Sequence[Found], scenery: Scenery) -> list[Found]:
    """Outlines that close only with what glare has made paler; found: the straight ones that close without.

    A band that two tapes claim is the one's whose colour it has by far; else it is nobody's.
    """
    claims = [claim for tape in tapes for claim in _claims(tape, found, scenery)]
    return [
        one.outline
        for one in claims
        if all(other is one or not _same(one, other) or one.apart + CLEARLY < other.apart for other in claims)
    ]


def _same(one: _Claim, other: _Claim) -> bool:
    shared = one.ring.intersection(other.ring.buffer(other.outline.width / 2)).length
    return bool(shared > ON_OTHERS * one.ring.length)


def _claims(own: OpenTape, found: Sequence[Found], scenery: Scenery) -> list[_Claim]:
    mine = [f.corners for f in found if f.swatch == own.swatch]
    bands = [s for s in own.strips if s.paired]
    left = not_along(bands, mine, own.width) if mine else bands
    if own.height > 0 or sum(s.length for s in left) < LEAST_OPEN:
        return []
    apart = _apart(own, scenery)
    pale = (apart < ALIKE) & ~_is_board(scenery)
    pale |= scenery.classes.tape(own.swatch) if own.tape.paper is None else own.tape.mask > 0
    mask = clean(pale & scenery.free, np.where(pale, 0, scenery.classes.ground).astype(np.uint8), scenery.picture)
    strips, width = find_strips(mask)
    if not strips:
        return []
    closed = faces(strips, width, mask)
    tape = replace(own, tape=mask, strips=strips, width=width)
    whole = [o for o in complete_outlines(strips, closed, width, mask) if o.shown >= CLOSED]
    return [_Claim(_found(o, tape), _along(o, apart, scenery)) for o in whole if _is_own(o, own, tape, found)]


def _along(outline: Candidate, apart: NDArray[np.float32], scenery: Scenery) -> float:
    """Mean of a picture (h, w) along an outline's middle."""
    ring = shapely.LinearRing(outline.corners)
    places = shapely.get_coordinates(shapely.line_interpolate_point(ring, np.arange(0.5, ring.length, 1.0)))
    at = np.rint(scenery.picture.to_px(places)).astype(np.int64)
    height, width = apart.shape
    inside = (at >= 0).all(axis=1) & (at < (width, height)).all(axis=1)
    return float(np.minimum(apart[at[inside, 1], at[inside, 0]], FARTHEST**2).mean())


def _found(outline: Candidate, tape: OpenTape) -> Found:
    corners = outline.corners
    x, y = corners.T
    clockwise = float(np.sum(x * np.roll(y, -1) - np.roll(x, -1) * y)) > 0
    return Found(
        tape.swatch, corners if clockwise else corners[::-1].copy(), tape.width, tape.height, False, tape.tape,
        glared=True,
    )  # fmt: skip


def _is_own(outline: Candidate, own: OpenTape, tape: OpenTape, found: Sequence[Found]) -> bool:
    """Whether a closed band shows the tape's own colour on a part of it, and is no other outline's."""
    ring = shapely.LinearRing(outline.corners)
    shown, _ = profile(ring, tape.width, own.tape)
    others = unary_union([shapely.LinearRing(f.corners).buffer(f.width / 2 + 0.5) for f in found])
    land = Polygon(outline.corners)
    apart = all(
        f.swatch != own.swatch or land.intersection(Polygon(f.corners).buffer(0)).area < ON_OTHERS * land.area
        for f in found
    )
    taken = ring.intersection(others).length
    goes_on = turned_off(outline.corners, not_along(own.strips, [outline.corners], tape.width), own.tape, tape.width)
    clear = shown.mean() >= LEAST_OWN and _is_band(outline, ~shown, tape) and not goes_on
    return bool(clear and apart and taken < ON_OTHERS * ring.length)


def _is_band(outline: Candidate, pale: NDArray[np.bool_], tape: OpenTape) -> bool:
    """Whether what is pale (n,), at every mm of an outline, ends at the tape's width: else it is what hides tape."""
    ring = shapely.LinearRing(outline.corners)
    _, clear = profile(ring, tape.width, tape.tape)
    looked_at = pale & off_corners(outline.corners, ring.length, tape.width)
    _, band = shown_share(outline.corners, tape.width, tape.tape)
    return bool(band >= BAND and (not looked_at.any() or clear[looked_at].mean() >= BAND))


def _apart(own: OpenTape, scenery: Scenery) -> NDArray[np.float32]:
    """How far (h, w) the picture's colours are from a tape's with what light is added, squared, in spreads."""
    codes = codes_of(scenery.smooth)
    present = np.flatnonzero(np.bincount(codes.ravel(), minlength=CODES))
    swatch, white = scenery.colours.of(own.swatch), np.asarray(scenery.colours.white, dtype=np.float64)
    table = np.full(CODES, np.inf, dtype=np.float32)
    if swatch is not None:
        own_tones = swatch.tones + np.array([0.0, 0.0, white[2]])
        table[present] = _distance(log_colour(colours_of(present)).astype(np.float64), own_tones, white)
        table[0] = np.inf
    return np.asarray(table[codes], dtype=np.float32)


def _distance(tones: NDArray[np.float64], to: NDArray[np.float64], white: NDArray[np.float64]) -> NDArray[np.float64]:
    """Squared distance in spreads of tones (n, 3) from the nearest of `to` (k, 3) with what light is added."""
    light, veil = _linear(tones), _linear(white[None])[0]
    best = np.full(len(tones), np.inf)
    for share in np.linspace(0.0, MOST_LIGHT, LIGHTS):
        rest = light - share * veil
        shown = np.maximum(rest, 1e-3)
        least = 3.0 * (NOISE + TINT * share)
        noise = (NOISE + TINT * share) / shown
        ratios = np.log(shown[:, [0, 2]] / shown[:, 1:2])
        variance = RATIO_SPREAD**2 + noise[:, [0, 2]] ** 2 + noise[:, 1:2] ** 2
        lightness = np.log(shown).mean(axis=1)
        spread = LIGHTNESS**2 + (noise**2).mean(axis=1)
        for one in to:
            far = ((ratios - one[:2]) ** 2 / variance).sum(axis=1) + (lightness - one[2]) ** 2 / spread
            lit = rest.sum(axis=1) > LEAST_LIGHT * float(_linear(one[None]).sum()) - least
            best = np.minimum(best, np.where((rest > 0).all(axis=1) & lit, far, np.inf))
    return best


def _linear(tones: NDArray[np.float64]) -> NDArray[np.float64]:
    """Linear light (n, 3), red first, of tones (n, 3)."""
    green = tones[:, 2] - (tones[:, 0] + tones[:, 1]) / 3
    return np.exp(np.column_stack([green + tones[:, 0], green, green + tones[:, 1]]))


def _is_board(scenery: Scenery) -> NDArray[np.bool_]:
    """Where (h, w) the picture looks as each ground does on average around there."""
    ground = scenery.classes.ground
    tones, size = log_colour(scenery.smooth), 2 * round(AROUND / scenery.picture.mm_per_px) + 1
    board = np.zeros(ground.shape, dtype=bool)
    for number in range(1, scenery.classes.grounds + 1):
        own = (ground == number).astype(np.float32)
        share = cv2.blur(own, (size, size))
        local = cv2.blur(tones * own[..., None], (size, size)) / np.maximum(share, 1e-6)[..., None]
        board |= (np.abs(tones - local) < AS_BOARD).all(axis=-1) & (share > 0.02)
    return board
