"""Before anybody builds: does the card tell every tape of the challenge in this light, and from this board?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours, read_colours
from calib.estimate.plane import Plane
from calib.photo_setup import PhotoSetup
from calib.printed import CORNER_TAGS, SWATCHES
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import find_tags
from vision.board.parcel_frame import visible_region
from vision.find.rough_outlines import Found
from vision.looks.tape_looks import EVEN_LIGHT, LIGHT, SAME, alike, differs_in_light, like_ground
from vision.picture.photo import Photo
from vision.picture.prints import print_mask
from vision.picture.rectified import Rectified, rectify
from vision.picture.remarks import Remark, remark
from vision.picture.seen_prints import SeenPrints
from vision.picture.traced import TapeSpec
from vision.refusals import check_plane, check_size, check_tags
from vision.unfit_pictures import check_colour, check_not_ours, check_picture

COARSE = 2.0
"""Millimetres per pixel of the picture that the ground's colours are read from."""
BESIDE = 2.0
"""How far beside an outline's own width its tape's colour may reach, mm."""
BoxState = Literal["filled", "see-through", "empty", "doubtful"]


@dataclass(frozen=True)
class TapeCheck:
    """The states of boxes 1 to 8, pairs of boxes that look alike, pairs whose tapes differ in lightness only, and boxes
    whose tape looks like the ground.

    on_parcel: whether the ground is the parcel's own, told by corner tiles, and not all that lies around the card.
    dotted: whether the card is one with dots; white tape in an older one's box is not seen.
    """

    states: tuple[BoxState, ...]
    alike: tuple[tuple[int, int], ...]
    lighter: tuple[tuple[int, int], ...]
    like_ground: tuple[int, ...]
    on_parcel: bool
    dotted: bool


def check_tapes(photo: Photo, setup: PhotoSetup, swatches: Sequence[int]) -> TapeCheck:
    """Look at the card, and at the board without tape on it. swatches: the boxes that matter. Raises PhotoRefused."""
    grey = np.asarray(cv2.cvtColor(photo.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = find_tags(grey)
    check_picture(photo.bgr, tags)
    check_tags(grey, photo.bgr, tags)
    if len(set(swatches)) > 1:
        check_colour(photo.bgr)
    prints = SeenPrints(photo.bgr, tags, edge_shift(grey, tags), setup, photo.lens)
    plane = prints.plane()
    check_size(plane)
    check_plane(plane, photo.size, swatches)
    tiles = any(tag.tag in CORNER_TAGS for tag in tags)
    check_not_ours(plane, photo.camera, photo.size, setup, parcel=tiles)
    colours = read_colours(photo.bgr, plane, range(1, len(SWATCHES) + 1))
    wanted = colours.only(swatches)
    pairs = alike(wanted)
    lighter = tuple(pair for pair in pairs if differs_in_light(*pair, wanted))
    return TapeCheck(
        states=tuple(_state(colours, number) for number in range(1, len(SWATCHES) + 1)),
        alike=tuple(pair for pair in pairs if pair not in lighter),
        lighter=lighter,
        like_ground=like_ground(wanted, ground_pixels(prints, plane, parcel=tiles)),
        on_parcel=tiles,
        dotted=bool(colours.boxes),
    )


def looking_alike(colours: TapeColours, found: Sequence[Found]) -> list[tuple[int, int]]:
    """Pairs of swatches whose tapes are not surely told from each other, with the outlines that were found."""
    there = {outline.swatch for outline in found}
    return [
        (one, other)
        for one, other in alike(colours)
        # Tapes of which one is much lighter are told from each other, and those that are found have been.
        if not differs_in_light(one, other, colours, EVEN_LIGHT if {one, other} <= there else LIGHT)
    ]


def look_remarks(
    prints: SeenPrints,
    plane: Plane,
    colours: TapeColours,
    tapes: Sequence[TapeSpec],
    found: Sequence[Found],
    *,
    parcel: bool,
) -> list[Remark]:
    """What a photo of a model says of tapes that look alike, or like what covers much of the parcel.

    found: the outlines, whose own tape is no ground.
    """
    zones = {number: tuple(t.zone for t in tapes if t.swatch == number) for number in {t.swatch for t in tapes}}
    there = {outline.swatch for outline in found}
    remarks = [
        remark("tapes-alike", zones[one][0], swatch=one, other=zones[other][0], other_swatch=other)
        for one, other in looking_alike(colours, found)
    ]
    if parcel:
        pixels = ground_pixels(prints, plane, found, parcel=True)
        same = like_ground(colours, pixels, SAME)
        like = [n for n in like_ground(colours, pixels) if n not in there or n in same]
        remarks += [remark("tape-like-ground", zones[n][0], swatch=n) for n in like]
    return remarks


def ground_pixels(prints: SeenPrints, plane: Plane, found: Sequence[Found] = (), *, parcel: bool) -> NDArray[np.uint8]:
    """Pixels (n, 3) of the parcel, or of all around the card, without what is printed and the tape of outlines."""
    low, high = visible_region(plane, prints.size, prints.setup)
    if parcel:
        low, high = np.zeros(2), np.array([plane.value("parcel width"), plane.value("parcel depth")])
    picture: Rectified = rectify(prints.bgr, plane.camera, low, high, COARSE)
    free = ~print_mask(picture, plane, prints.tags) & ~_taped(picture, found) & (picture.bgr.max(axis=2) > 0)
    smooth = np.asarray(cv2.GaussianBlur(picture.bgr, (0, 0), 1.0), dtype=np.uint8)
    return np.asarray(smooth[free])


def _taped(picture: Rectified, found: Sequence[Found]) -> NDArray[np.bool_]:
    """Mask (h, w) of the tape along outlines."""
    mask = np.zeros(picture.bgr.shape[:2], dtype=np.uint8)
    for outline in found:
        ring = np.rint(picture.to_px(outline.corners)).astype(np.int32)
        cv2.polylines(mask, [ring], True, 1, int(np.ceil((outline.width + 2 * BESIDE) / picture.mm_per_px)))
    return mask > 0


def _state(colours: TapeColours, number: int) -> BoxState:
    """An older card says of a box only whether it holds a colour."""
    for box in colours.boxes:
        if box.number == number:
            return box.state
    return "empty" if colours.of(number) is None else "filled"
