"""What makes a photo unfit to measure in, told before anything is measured, each with what to do about it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours
from calib.edges import FloatArray
from calib.estimate.parameters import CURL
from calib.estimate.plane import Plane
from calib.photo_refused import PhotoRefused
from calib.printed import CARD_SQUARE, CARD_TAG, SWATCHES
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import TagSquare, find_tags
from vision.card_part import shows_part_of_card
from vision.picture.byte_values import percentile_of_bytes
from vision.picture.prints import card_outline
from vision.picture.remarks import Remark, remark
from vision.picture.seen_prints import SeenPrints
from vision.unfit_pictures import check_no_corrected_parcel, check_not_mirrored

SMALLEST_SQUARE = 90.0
"""Side of the card's square below which one pixel is nearly a millimetre."""
WIDEST_EDGE = 6.0
"""10 to 90 % rise of a printed edge, px."""
WIDEST_EDGE_MM = 1.8
BENT_PX, BENT_MM = 0.45, 0.20
"""How far a printed edge may leave its straight line, px and mm."""
BENT_CURL = 1.0
"""How far the card's ends, edges or corners may lie off the plane of its middle, mm."""
IRRECONCILABLE = 30.0
"""Root mean square residual, in uncertainties, beyond which tiles, card and stated parcel are not one thing."""
UNLIKE, BETTER, UNKNOWN = 4.0, 0.4, 300.0
"""The same from which prints lie as on no flat board in any camera (in photos it is about 1), what part of it is left
in a picture of the right proportions, and the uncertainty of a parcel, mm, of which nothing is known.
"""
LOOKED_AT, CAMERAS_SHAPES = 2000, np.array([4 / 3, 3 / 4, 16 / 9, 9 / 16, 3 / 2, 2 / 3, 1.0])
SQUEEZED = tuple(float(ratio) for ratio in np.geomspace(0.5, 2.0, 17))
"""Longer side of the picture in which proportions are tried, px; those of cameras' pictures, and by how much others are
tried.
"""
STEEPEST = np.deg2rad(45)
SHARP_RATIO = 0.45
"""Steepest steps at full size against those at a quarter: near 0.7 in a sharp photo, less the more it is blurred."""

_STICK_ANEW = "cover its dots with tape, keep shadow and glare off the card and photograph again"


def check_tags(grey: NDArray[np.uint8], bgr: NDArray[np.uint8], tags: Sequence[TagSquare]) -> TagSquare:
    """The card's square.

    Raises PhotoRefused for no-card, mirrored, card-cut-off, two-cards, blurred, too-small or card-bent.
    """
    cards = [t for t in tags if t.tag == CARD_TAG]
    if not cards:
        raise _without_card(grey, bgr, tags)
    if len(cards) > 1:
        raise PhotoRefused("two-cards", "two measuring cards are in the picture; take one away and photograph again")
    card = cards[0]
    if card.side < SMALLEST_SQUARE:
        raise PhotoRefused("too-small", "the model is too small in the picture; go nearer until it fills the frame")
    per_px = CARD_SQUARE.width / card.side
    if card.width > WIDEST_EDGE or card.width * per_px > WIDEST_EDGE_MM:
        raise PhotoRefused(
            "blurred", "the picture is blurred; hold the phone still, tap on the card to focus, try again"
        )
    if card.bend > BENT_PX and card.bend * per_px > BENT_MM:
        raise bent()
    return card


def check_plane(plane: Plane, size: tuple[int, int], numbers: Sequence[int]) -> None:
    """PhotoRefused for a camera tilted too far, a curled card, or one whose square or swatches leave the picture."""
    if plane.camera.tilt > STEEPEST:
        degrees = round(np.rad2deg(plane.camera.tilt))
        raise PhotoRefused(
            "too-tilted",
            f"the photo is tilted by {degrees} degrees; hold the phone level above the model",
            degrees=degrees,
        )
    if is_curled(plane):
        raise bent()
    boxes = np.concatenate([CARD_SQUARE.corners, *(SWATCHES[n - 1].corners for n in numbers)])
    outline = card_outline(plane)
    along, down = (outline[1] - outline[0]) / 180, (outline[3] - outline[0]) / 120
    places = outline[0] + boxes[:, :1] * along + boxes[:, 1:] * down
    if beyond_picture(plane.camera.project(places, plane.value("card height")), size, 1.0):
        raise _cut_off()


def check_proportions(prints: SeenPrints, plane: Plane) -> None:
    """PhotoRefused for damaged where the picture (of prints, in the plane that they tell) was squeezed or stretched.

    What is printed then lies as no camera shows it, and does so in a picture of other proportions.
    """
    if plane.chi <= UNLIKE or prints.at_uncertainty(UNKNOWN).plane().chi <= UNLIKE:
        return
    width, height = prints.size
    smaller = min(1.0, LOOKED_AT / max(width, height))
    ratios = [1.0, *(float(ratio) for ratio in CAMERAS_SHAPES / (width / height)), *SQUEEZED]
    chi = {ratio: _chi(prints, smaller, ratio) for ratio in ratios if not 0.97 < ratio < 1 / 0.97 or ratio == 1.0}
    best = min(chi, key=lambda ratio: chi[ratio])
    if chi[best] < BETTER * chi[1.0]:
        off = f"{abs(1 / best - 1):.0%} too {'narrow' if best > 1 else 'wide'}"
        advice = f"the picture was squeezed or stretched, it is about {off} for its height; send the original photo"
        raise PhotoRefused("damaged", advice)


def _chi(prints: SeenPrints, smaller: float, ratio: float) -> float:
    """How badly prints fit in a picture that is smaller, and wider by this ratio; infinite where they are not read."""
    bgr = np.asarray(cv2.resize(prints.bgr, None, fx=smaller * ratio, fy=smaller, interpolation=cv2.INTER_AREA))
    grey = np.asarray(cv2.cvtColor(bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = find_tags(grey)
    if sum(tag.tag == CARD_TAG for tag in tags) != 1:
        return float("inf")
    seen = replace(prints, bgr=bgr.astype(np.uint8), tags=tags, shift=edge_shift(grey, tags))
    return float(seen.at_uncertainty(UNKNOWN).plane().chi)


def check_size(plane: Plane, *, tiles: bool = True) -> None:
    """PhotoRefused where card and corner tiles cannot belong to a parcel of the stated size at all; tiles: whether any
    is seen, else it is the card that is not flat.
    """
    if not fits(plane) and not tiles:
        raise bent()
    if not fits(plane):
        advice = "the corner tiles do not fit the challenge's parcel; check its size and where tile 1 lies"
        raise PhotoRefused("other-model", advice)


def is_curled(plane: Plane) -> bool:
    """Whether the card's ends, edges or corners lie off the plane of its middle for sure."""
    return any(abs(plane.value(name)) - 2 * plane.spread(name) > BENT_CURL for name in CURL)


def fits(plane: Plane) -> bool:
    """Whether card, corner tiles and the stated parcel can be one thing."""
    return bool(np.isfinite(plane.chi) and plane.chi <= IRRECONCILABLE)


def check_parcel(plane: Plane, size: tuple[int, int]) -> None:
    """PhotoRefused where a corner of the parcel lies outside the picture."""
    width, depth = plane.value("parcel width"), plane.value("parcel depth")
    corners = plane.camera.project(np.array([[0, 0], [width, 0], [width, depth], [0, depth]]))
    if beyond_picture(corners, size, 0.0):
        raise parcel_cut_off()


def parcel_cut_off() -> PhotoRefused:
    """The refusal for a parcel that is not whole in the picture."""
    return PhotoRefused("parcel-cut-off", "part of the parcel is outside the picture; go back until all of it is in")


def nothing_found(plane: Plane, size: tuple[int, int]) -> PhotoRefused:
    """The refusal where no outline is found in a photo of this size; in the card's frame the parcel may be outside."""
    if plane.frame == "card" and beyond_picture(plane.camera.project(np.zeros((1, 2))), size, 0.0):
        return parcel_cut_off()
    return PhotoRefused(
        "no-tape", "no closed outline of tape in the swatches' colours was found; check the card's boxes"
    )


def no_swatches(colours: TapeColours, every: TapeColours) -> PhotoRefused:
    """The refusal where no needed box of the card tells a tape's colour; every: what all boxes tell."""
    if not colours.doubtful and every.swatches:
        filled = ", ".join(str(s.number) for s in every.swatches)
        advice = (
            f"no box that the challenge names has tape in it, but boxes {filled} do; stick each zone's tape into "
            "its own box, or correct `swatch` in the challenge"
        )
    elif not colours.doubtful:
        advice = "the card's swatch boxes are empty; stick a piece of each zone's tape into its box"
    else:
        boxes = ", ".join(str(n) for n in colours.doubtful)
        advice = f"no tape is seen for sure in the card's boxes ({boxes}: not clear); {_STICK_ANEW}"
    return PhotoRefused("no-swatches", advice)


def unread_box(colours: TapeColours, number: int, zone: str) -> Remark:
    """Why nothing is known of a zone whose swatch is missing."""
    return remark("doubtful-swatch" if number in colours.doubtful else "empty-swatch", zone, swatch=number)


def beyond_picture(pixels: FloatArray, size: tuple[int, int], rim: float) -> bool:
    """Whether any of the pixels (n, 2) lies outside the picture or within `rim` px of its edge."""
    return bool((pixels < rim - 0.5).any() or (pixels > np.array(size) - 0.5 - rim).any())


def bent() -> PhotoRefused:
    """The refusal of a card that does not lie flat."""
    return PhotoRefused("card-bent", "the measuring card is not flat; press it flat or print a new one on stiff paper")


def _cut_off() -> PhotoRefused:
    return PhotoRefused("card-cut-off", "the measuring card is cut off by the picture's edge; get all of it in")


def _without_card(grey: NDArray[np.uint8], bgr: NDArray[np.uint8], tags: Sequence[TagSquare]) -> PhotoRefused:
    if sharpness(grey) < SHARP_RATIO and not tags:
        return PhotoRefused(
            "blurred", "the picture is blurred; hold the phone still, tap on the card to focus, try again"
        )
    check_not_mirrored(grey)
    check_no_corrected_parcel(tags, (grey.shape[1], grey.shape[0]))
    if shows_part_of_card(grey) or _part_of_a_card(bgr, tags):
        return _cut_off()
    return PhotoRefused(
        "no-card", "no measuring card is in the picture; lay it beside or on the parcel, black square up"
    )


def sharpness(grey: NDArray[np.uint8]) -> float:
    """The steepest steps per pixel at full size over those at a quarter of the size."""
    small = np.asarray(cv2.resize(grey, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA), dtype=np.uint8)
    return _steepest(grey) / max(_steepest(small), 1e-6)


def _steepest(grey: NDArray[np.uint8]) -> float:
    across = percentile_of_bytes(lambda rows: cv2.absdiff(grey[rows, 1:], grey[rows, :-1]), len(grey), 99.95)
    above, below = grey[:-1], grey[1:]
    down = percentile_of_bytes(lambda rows: cv2.absdiff(below[rows], above[rows]), len(above), 99.95)
    return max(across, down)


def _part_of_a_card(bgr: NDArray[np.uint8], tags: Sequence[TagSquare]) -> bool:
    """Whether white paper with dark or coloured patches in it runs into the picture's edge."""
    small = cv2.resize(bgr, None, fx=0.25, fy=0.25, interpolation=cv2.INTER_AREA)
    hsv = cv2.cvtColor(small, cv2.COLOR_BGR2HSV)
    white = ((hsv[..., 2] > 0.6 * np.percentile(hsv[..., 2], 95)) & (hsv[..., 1] < 40)).astype(np.uint8)
    count, labels, stats, _ = cv2.connectedComponentsWithStats(white)
    height, width = white.shape
    for i in range(1, count):
        x, y, w, h, area = stats[i]
        at_edge = x <= 1 or y <= 1 or x + w >= width - 1 or y + h >= height - 1
        if not at_edge or area < 0.002 * white.size or w > width // 2 or h > height // 2:
            continue
        if _patches(labels[y : y + h, x : x + w] == i) >= 2:
            return True
    return False


def _patches(paper: NDArray[np.bool_]) -> int:
    """Patches inside a sheet of white paper that are about as large as a swatch against it."""
    filled = paper.astype(np.uint8)
    contours, hierarchy = cv2.findContours(filled, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if hierarchy is None:
        return 0
    holes = [cv2.contourArea(c) for c, link in zip(contours, hierarchy[0], strict=True) if link[3] >= 0]
    return sum(0.01 * paper.size < area < 0.5 * paper.size for area in holes)
