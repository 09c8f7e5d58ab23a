"""Pictures that no model can be measured in, whatever they show: without light, without colour, mirrored, or ours."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from calib.printed import CARD_TAG, CORNER_TAGS, CORNER_TILE_SQUARE
from calib.prints.tags import TagSquare, detect
from vision.fit.parcel_sides import parcel_corners
from vision.picture.our_mark import check_not_drawn, our_own_picture
from vision.picture.plain_bands import PLAIN, Band, plain_bands
from vision.picture.prints import card_outline
from vision.picture.rectified import RIM

REDUCED = 8
"""Light and colour are looked at in a picture reduced by this."""
DARK, BRIGHTEST = 70, 99.5
"""Grey level that so many per cent of the picture stay below where there is too little light: dim rooms have 150."""
PALE, DARKEST = 150, 1.0
"""Grey level that all but so many per cent exceed where there is too much: in good photos they are below 100."""
CLIPPED, MOST_CLIPPED = 250, 0.6
"""Level of the least of a pixel's colours from which on it is white without a trace, and the share of such pixels."""
GREY, TONED, TONE, STRONGEST = 1.5, 6.0, 6.0, 99.9
"""Distance in Lab (OpenCV's bytes) from what its lightness has for colour, that so many per cent of a picture stay
below where it is grey, and where it is printed in one tone that far from grey: photos have 30, scenes in grey have 2.
"""
UPRIGHT_TILT, UPRIGHT_TURN = np.deg2rad(0.5), np.deg2rad(0.2)
UPRIGHT_MM, TILE_TURN = 1.5, 0.02
"""How exactly a picture that we corrected shows the plane from straight above, and where its corner lies; how far from
upright a tile lies on its parcel.
"""
SAME_SHAPE, CAMERAS = 0.004, ((4, 3), (3, 2), (16, 9), (1, 1))
"""By how much the shapes of two pictures differ at most to be one, and those of cameras' pictures."""
EDGES_SEEN, EDGE_LEVELS = 3, 8
"""How many of the parcel's edges show in a picture that we corrected, and the least step of one, levels."""
LIST, LIST_WHITE, LIST_RIM = 0.12, 0.55, 0.01
"""Beside or below an annotated picture stands its list: a share of the picture's side, mostly bare white paper, and
nothing but that along the edge.
"""
TEXT, LIST_TEXT = 110, 0.005
"""Grey level of its letters, and the least share that they cover."""


COVERED = 0.03
"""Share of the height or width of card or parcel that a plain band must cover."""
MISSING = 128
"""Level of every colour that decoders fill in for missing data."""
BAR_BLACK, BAR_WHITE = 8, 247
"""Bars around a photo are black or white."""


def check_picture(bgr: NDArray[np.uint8], tags: Sequence[TagSquare], setup: PhotoSetup | None = None) -> None:
    """As check_light; PhotoRefused for our-own-picture, too, where the tags seen are an annotated picture's, or where a
    picture without a card is a corrected one of the parcel.  setup: None where the file names a camera.
    """
    check_not_drawn(tags)
    check_light(bgr)
    if setup is not None and all(tag.tag != CARD_TAG for tag in tags) and _is_corrected_parcel(bgr, setup):
        raise our_own_picture()


def check_light(bgr: NDArray[np.uint8]) -> None:
    """Look at the picture (h, w, 3) as a whole.

    Raises PhotoRefused for too-dark, too-bright, and for our-own-picture with its list of rules.
    """
    if _has_list(bgr):
        raise our_own_picture()
    small = cv2.resize(bgr, None, fx=1 / REDUCED, fy=1 / REDUCED, interpolation=cv2.INTER_AREA)
    grey = cv2.cvtColor(small, cv2.COLOR_BGR2GRAY)
    if np.percentile(grey, BRIGHTEST) < DARK:
        raise PhotoRefused("too-dark", "the photo is too dark; bring more light to the model and photograph again")
    if np.percentile(grey, DARKEST) > PALE or (small.min(axis=2) >= CLIPPED).mean() > MOST_CLIPPED:
        advice = (
            "the photo is too bright, tape and paper are washed out; tap on the card so that the phone adapts, take it"
        )
        raise PhotoRefused("too-bright", f"{advice} out of direct sun and photograph again")


def check_colour(bgr: NDArray[np.uint8]) -> None:
    """PhotoRefused for no-colour where the picture (h, w, 3) shows greys only, or one toned scale of them."""
    # A few pixels tell a picture full of colours; only what may be without them is looked at in full.
    if _apart(bgr[::16, ::16])[0] < 2 * TONED and _is_of_one_tone(bgr[::4, ::4]):
        advice = "the photo has no colours, so tapes cannot be told apart; turn off filters such as black and white"
        raise PhotoRefused("no-colour", f"{advice} and photograph again")


def check_not_mirrored(grey: NDArray[np.uint8]) -> None:
    """PhotoRefused for mirrored where the picture shows a card in a mirror only."""
    flipped = np.ascontiguousarray(grey[:, ::-1])
    if any(tag == CARD_TAG for tag, _ in detect(flipped)):
        advice = (
            "the photo is mirrored; turn off the mirroring of the phone's front camera, or use the camera at its back"
        )
        raise PhotoRefused("mirrored", advice)


def check_not_ours(plane: Plane, camera: str | None, size: tuple[int, int], setup: PhotoSetup, *, parcel: bool) -> None:
    """PhotoRefused for our-own-picture where the plane is seen as only a picture that we corrected shows it.

    size: the picture's width and height, px.  parcel: whether the plane's frame is the parcel's; then a corrected
    picture begins RIM outside the frame's origin.  A file that names its camera is that camera's: a phone on a stand
    sees a plane so, too.
    """
    if camera is not None:
        return
    shown = plane.camera
    across = shown.project(np.array([[0.0, 0.0], [100.0, 0.0]]))
    turn = np.mod(np.arctan2(*(across[1] - across[0])[::-1]) + np.pi / 4, np.pi / 2) - np.pi / 4
    corners = shown.locate((np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size) - 0.5)
    begins = not parcel or np.abs(corners + RIM).max(axis=1).min() < UPRIGHT_MM
    lies = (abs(turn) < UPRIGHT_TURN and begins) or _has_rimmed_shape(size, setup)
    if shown.tilt < UPRIGHT_TILT and lies:
        raise our_own_picture()


def _has_rimmed_shape(size: tuple[int, int], setup: PhotoSetup) -> bool:
    """Whether a picture (width, height), maybe turned, has the shape of the parcel with the rim that we show, and no
    camera's.
    """
    ratio = max(size) / min(size)
    sides = (setup.width + 2 * RIM, setup.depth + 2 * RIM)
    cameras = [long / short for long, short in CAMERAS]
    ours = max(sides) / min(sides)
    return abs(ratio / ours - 1) < SAME_SHAPE and all(abs(ratio / shape - 1) > SAME_SHAPE for shape in cameras)


def _is_corrected_parcel(bgr: NDArray[np.uint8], setup: PhotoSetup) -> bool:
    """Whether a picture (h, w, 3) of the shape that ours have shows edges where the parcel's lie in them."""
    size = (bgr.shape[1], bgr.shape[0])
    if not _has_rimmed_shape(size, setup):
        return False
    away = RIM * max(size) / (max(setup.width, setup.depth) + 2 * RIM)
    sides = (bgr, bgr[:, ::-1], bgr.transpose(1, 0, 2), bgr[::-1].transpose(1, 0, 2))
    return sum(_has_edge(side, away) for side in sides) >= EDGES_SEEN


def _has_edge(bgr: NDArray[np.uint8], away: float) -> bool:
    """Whether columns of a picture (h, w, 3) differ most so far from its left side, among those up to twice as far."""
    band = bgr[:, : round(2 * away)].astype(np.int16)
    steps = np.median(np.abs(band[:, 2:] - band[:, :-2]).max(axis=2), axis=0)
    return bool(len(steps) and abs(int(steps.argmax()) + 0.5 - away) < 0.1 * away + 1 and steps.max() >= EDGE_LEVELS)


def check_not_covered(bgr: NDArray[np.uint8], plane: Plane, *, parcel: bool) -> None:
    """PhotoRefused where a band in one plain colour covers the card, or the parcel where the plane's frame is its own.

    damaged where a program filled in what was missing, parcel-cut-off or card-cut-off where it is a bar around a part
    of a photo.  Where the parcel's place is not known, a band in the grey of missing data may cover it.
    """
    bands = plain_bands(bgr)
    if not bands:
        return
    shapes: dict[Literal["card-cut-off", "parcel-cut-off"], FloatArray] = {
        "card-cut-off": plane.camera.project(card_outline(plane), plane.value("card height"))
    }
    if parcel:
        shapes["parcel-cut-off"] = plane.camera.project(parcel_corners(plane))
    for reason, corners in shapes.items():
        for band in bands:
            low, high = corners[:, band.axis].min(), corners[:, band.axis].max()
            if min(high, band.last) - max(low, band.first) > COVERED * (high - low):
                raise _covered(band, reason)
    if not parcel and any(np.abs(np.array(band.colour) - MISSING).max() <= PLAIN for band in bands):
        raise _covered(bands[0], "parcel-cut-off")


def _covered(band: Band, reason: Literal["card-cut-off", "parcel-cut-off"]) -> PhotoRefused:
    if BAR_BLACK < np.mean(band.colour) < BAR_WHITE:
        advice = "a part of the picture is in one plain colour, its data were lost; send the original photo once more"
        return PhotoRefused("damaged", advice)
    what = "measuring card" if reason == "card-cut-off" else "parcel"
    return PhotoRefused(reason, f"a plain bar covers a part of the {what}; send the original photo")


def check_no_corrected_parcel(tags: Sequence[TagSquare], size: tuple[int, int]) -> None:
    """PhotoRefused for our-own-picture where a tile lies as in the corrected picture, of a parcel without a card, of so
    many px.
    """
    for tag in tags:
        if tag.tag in CORNER_TAGS:
            per_px = CORNER_TILE_SQUARE.width / tag.side
            side = np.sort(np.abs(tag.corners[1] - tag.corners[0]))
            begins = np.minimum(tag.corners, np.array(size) - 1 - tag.corners) * per_px - (RIM + CORNER_TILE_SQUARE.x)
            if side[0] < TILE_TURN * side[1] and np.abs(begins).max(axis=1).min() < UPRIGHT_MM:
                raise our_own_picture()


def _has_list(bgr: NDArray[np.uint8]) -> bool:
    """Whether a list of rules on white paper stands beside or below the picture."""
    thinned = bgr[::4, ::4]
    return any(_ends_in_list(side) for side in (thinned, thinned.transpose(1, 0, 2)))


def _ends_in_list(bgr: NDArray[np.uint8]) -> bool:
    """Whether the picture's last columns (h, w, 3) are a list."""
    width = bgr.shape[1]
    rim = bgr[:, -max(1, round(LIST_RIM * width)) :]
    if (rim.min(axis=2) >= CLIPPED).mean() < 0.99:
        return False
    white = bgr.min(axis=2) >= CLIPPED
    mostly = white.mean(axis=0)[::-1] >= LIST_WHITE
    band = width if mostly.all() else int(np.argmin(mostly))
    letters = (bgr[:, width - band :].max(axis=2) < TEXT).mean() if band else 0.0
    return bool(LIST * width <= band < 0.9 * width and letters >= LIST_TEXT)


def _is_of_one_tone(bgr: NDArray[np.uint8]) -> bool:
    """Whether colours (h, w, 3) hardly depart from one scale of greys, or of another tone."""
    apart, tone = _apart(bgr)
    return apart < GREY or (apart < TONED and tone > TONE)


def _apart(bgr: NDArray[np.uint8]) -> tuple[float, float]:
    """How far the strongest of colours (h, w, 3) depart from what their lightness has, and how far that is off grey."""
    lab = cv2.cvtColor(np.ascontiguousarray(bgr), cv2.COLOR_BGR2LAB).reshape(-1, 3).astype(np.int16)
    light, colour = lab[:, 0] // 16, lab[:, 1:] - 128
    middle = np.zeros((16, 2))
    for level in np.unique(light):
        middle[level] = np.median(colour[light == level], axis=0)
    tone = float(np.median(np.abs(middle[light]).max(axis=1)))
    return float(np.percentile(np.abs(colour - middle[light]).max(axis=1), STRONGEST)), tone
