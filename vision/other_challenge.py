"""Photos of what no honest model of the challenge can show: another parcel or tiles that it lacks, and other tapes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours, read_colours
from calib.edges import FloatArray
from calib.estimate.plane import Plane
from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from calib.printed import CORNER_TAGS, SWATCHES, ZONE_TAGS
from vision.board.any_board import LEAST_ALL, OFF, any_board, fits_size
from vision.board.parcel_frame import UNKNOWN, visible_region
from vision.colour.colour_classes import classify
from vision.picture.prints import print_mask
from vision.picture.rectified import Rectified, rectify
from vision.picture.seen_prints import SeenPrints
from vision.picture.traced import TapeSpec
from vision.refusals import fits, is_curled

CONTRADICTED, LEAST_TOLD = 2.5, 0.1
"""Standard deviations from which on the prints contradict the stated size; the least share of its uncertainty that
such a deviation has.
"""
PRINTERS_SCALE, SAME_SCALE = 0.065, 0.01
"""How much printers scale what they fit to a page (letter on A4 and back, margins: 94 to 97 %; common practice, no
source), and how much that differs along and up.
"""
LEAST_TILES = 2
SURE, SURER = 3.6, 3.8
"""Sum of the shares of a board's sides, from which it counts although a board of the stated size was found, too; and
where the card holds no tape that is not the challenge's, so that zones may just not have been built.
"""
COARSE = 1.5
"""Millimetres per pixel of the picture in which a board is looked for."""
_MM_PER_INCH = 25.4


def check_challenge(
    prints: SeenPrints, plane: Plane, colours: TapeColours, tapes: Sequence[TapeSpec], *, board_found: bool,
    besides: Sequence[int] = (),
) -> None:  # fmt: skip
    """PhotoRefused for other-challenge.

    plane is the one that the prints alone tell, colours are of all the card's boxes, board_found says whether a board
    of the stated size was.  besides: boxes that hold what is no zone's tape.
    """
    odd, missing = _odd_tapes(colours, tapes, besides)
    if not odd and not missing:
        return
    other = ""
    if _lacking(prints, tapes):
        other = "a zone tile that it lacks"
    elif _tiles(prints) >= LEAST_TILES:
        other = _other_size(_size_of(_free_plane(prints)), prints.setup, turned=False)
    else:
        stated = (prints.setup.width, prints.setup.depth)
        least = (SURE if odd else SURER) if board_found else LEAST_ALL
        picture, tape, printed = _around(prints, plane, colours)
        size = any_board(picture, tape, stated, printed, least)
        other = _other_size(size, prints.setup, turned=True) if size else ""
    if other:
        raise _refusal(other, odd, missing)


def check_other_parcel(
    prints: SeenPrints, plane: Plane, tapes: Sequence[TapeSpec], besides: Sequence[int] = ()
) -> None:
    """As check_challenge where card, corner tiles and the stated parcel are not one thing, or only with a bent card."""
    if (fits(plane) and not is_curled(plane)) or _tiles(prints) < LEAST_TILES:
        return
    free = _free_plane(prints)
    odd, missing = _odd_tapes(read_colours(prints.bgr, free, range(1, len(SWATCHES) + 1)), tapes, besides)
    other = _other_size(_size_of(free), prints.setup, turned=False)
    if fits(free) and not is_curled(free) and other and (odd or missing):
        raise _refusal(other, odd, missing)


def at_measured_size(prints: SeenPrints, plane: Plane) -> tuple[SeenPrints, Plane]:
    """Prints and their plane with a stated parcel that is no more certain than card and corner tiles show it to be.

    Where they contradict it, its uncertainty becomes as large as the difference: lengths then come from the card.
    Where nobody measured the print and a printer may have scaled it by as much, the print's becomes so, too: either may
    be right.  A size stated as exact stays.  A deviation from a prior has the variance of the prior less that of the
    estimate (Baarda 1968).
    """
    setup = prints.setup
    known = setup.priors.parcel
    if known <= 0 or _tiles(prints) < LEAST_TILES:
        return prints, plane
    stated = {"parcel width": setup.width, "parcel depth": setup.depth}
    off = [
        abs(plane.value(name) - size) / np.sqrt(max(known**2 - plane.spread(name) ** 2, (LEAST_TOLD * known) ** 2))
        for name, size in stated.items()
    ]
    if max(off) <= CONTRADICTED:
        return prints, plane
    free = _free_plane(prints)
    apart = max(abs(free.value(name) - size) for name, size in stated.items())
    priors = replace(setup.priors, parcel=max(known, apart))
    if setup.printed_line == (None, None):
        priors = replace(priors, printed_line=max(priors.printed_line, 100.0 * _may_be_print_scale(free, setup)))
    prints = replace(prints, setup=replace(setup, priors=priors))
    return prints, prints.plane()


def _may_be_print_scale(free: Plane, setup: PhotoSetup) -> float:
    """By how much a printer would have scaled card and tiles, were the stated size right; 0 where none scales so."""
    along, up = (
        measured / stated - 1 for measured, stated in zip(_size_of(free), (setup.width, setup.depth), strict=True)
    )
    same = abs(along - up) <= SAME_SCALE
    return max(abs(along), abs(up)) if same and max(abs(along), abs(up)) <= PRINTERS_SCALE else 0.0


def _refusal(other: str, odd: Sequence[int], missing: Sequence[int]) -> PhotoRefused:
    boxes = [f"box {n} of the card holds tape that no zone has" for n in odd]
    boxes += [f"box {n} of the card is empty" for n in missing]
    what = f"the photo does not fit the challenge: it shows {other}, and {', '.join(boxes)}"
    return PhotoRefused("other-challenge", f"{what}; choose the challenge that this model was built for")


def _tiles(prints: SeenPrints) -> int:
    return sum(tag.tag in CORNER_TAGS for tag in prints.tags)


def _odd_tapes(colours: TapeColours, tapes: Sequence[TapeSpec], besides: Sequence[int]) -> tuple[list[int], list[int]]:
    """Boxes with tape that nothing has, and boxes of zones that are empty for sure."""
    wanted = {tape.swatch for tape in tapes}
    doubtful = set(colours.doubtful)
    held = {swatch.number for swatch in colours.swatches}
    return sorted(held - wanted - set(besides)), sorted(wanted - held - doubtful)


def _lacking(prints: SeenPrints, tapes: Sequence[TapeSpec]) -> bool:
    """Whether a zone tile is seen that no zone of the challenge has."""
    return any(tag.tag in ZONE_TAGS and all(tape.tile != tag.tag for tape in tapes) for tag in prints.tags)


def _free_plane(prints: SeenPrints) -> Plane:
    """The plane that card and corner tiles tell alone, whatever is stated of the parcel."""
    return prints.at_uncertainty(UNKNOWN).plane()


def _size_of(plane: Plane) -> tuple[float, float]:
    return plane.value("parcel width"), plane.value("parcel depth")


def _other_size(size: tuple[float, float], setup: PhotoSetup, *, turned: bool) -> str:
    """What is off with a measured size, in words; turned: whether width and depth may stand for each other."""
    stated = (setup.width, setup.depth)
    if turned and fits_size(size, stated):
        return ""
    if all(abs(one / other - 1) <= OFF for one, other in zip(size, stated, strict=True)):
        return ""
    return f"a parcel of about {_in_both(size)} in place of {_in_both(stated)}"


def _in_both(size: tuple[float, float]) -> str:
    """`300 x 400 mm (11.8 x 15.7 in)`: which unit the class works in is not known here."""
    inches = (f"{side / _MM_PER_INCH:.1f}".removesuffix(".0") for side in size)
    return f"{size[0]:.0f} x {size[1]:.0f} mm ({' x '.join(inches)} in)"


def _around(prints: SeenPrints, plane: Plane, colours: TapeColours) -> tuple[Rectified, FloatArray, NDArray[np.bool_]]:
    """The corrected picture around the card, places (n, 2) mm in it that have some tape's colour, and where (h, w) it
    shows what is printed.
    """
    low, high = visible_region(plane, prints.size, replace(prints.setup, width=700.0, depth=700.0))
    picture = rectify(prints.bgr, plane.camera, low, high, COARSE)
    classes = classify(picture.bgr, colours, [s.number for s in colours.swatches], COARSE)
    printed = print_mask(picture, plane, prints.tags)
    free = ~printed
    mask: NDArray[np.uint8] = ((classes.labels > 0) & (classes.labels <= len(classes.tapes)) & free).astype(np.uint8)
    opened = cv2.morphologyEx(mask, cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    _, labels, stats, _ = cv2.connectedComponentsWithStats(opened)
    inside = (stats[:, :2] > 2).all(axis=1) & (stats[:, :2] + stats[:, 2:4] < np.array(mask.shape[::-1]) - 2).all(
        axis=1
    )
    large = np.flatnonzero((stats[:, cv2.CC_STAT_AREA] > 110) & inside)
    rows, columns = np.nonzero(np.isin(labels, large[large > 0]))
    return picture, picture.to_mm(np.column_stack([columns, rows])[::25].astype(np.float64)), printed
