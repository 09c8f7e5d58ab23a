"""Tying the plane to the parcel by the board's own edges, where no corner tiles do it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import product

import numpy as np
from numpy.typing import NDArray

from calib.card.colours import TapeColours
from calib.edges import FloatArray
from calib.estimate.adjustment import StraightLine
from calib.estimate.plane import Plane
from calib.photo_setup import PhotoSetup
from calib.printed import CARD
from vision.board.board_edges import NARROW_MM, WIDE_MM, Recogniser, board_sides, find_board
from vision.board.cut_board import cut_boards
from vision.board.edge_pixels import EDGE_STEP, FAINT_STEP
from vision.board.tape_places import tape_places
from vision.colour.colour_classes import classify
from vision.fit.parcel_sides import parcel_corners
from vision.picture.prints import card_outline, print_mask, rims
from vision.picture.rectified import Rectified, rectify
from vision.picture.seen_prints import SeenPrints

COARSE = 1.5
"""Millimetres per pixel of the picture in which the board is looked for."""
WORST_MISFIT = 1.5
"""Root mean square misfit, in uncertainties, from which sides and card contradict each other: the sides are not the
board's.
"""
STRAIGHT = 0.6
"""Misfit of the sides up to which nothing else is looked for: of a board's edges it is 0.05 to 0.4."""
LIKELY, ODD = 1e-3, 1e-4
"""How improbable the size of print and parcel may be, that the sides ask for, in a board that is sure, and in one that
is taken where none is: beyond, they are tape's or a line's in the table.
"""
FITS = 0.05
"""The same of a board's size from which nothing else is looked for: a shadow's edge beside it may be a side's."""
UNKNOWN = 300.0
"""Standard uncertainty of a parcel's size, mm, of which nothing is known."""
SIDES = 4
MOST_FOLLOWED = 4
"""How often the sides are followed closely: a lens that the card alone tells badly may leave them late."""
FEWEST_SIDES = 3
MOST_CUT, FEWEST_CUT, SURELY_CUT = 4, 2, 10.0
"""How many boards that the picture's edge may cut are followed, how many sides of one must be, and how far beyond the
edge a corner of it lies, px.
"""
MOST_TAPE = 0.3
"""Share of the parcel that one tape may cover."""
OTHER_LENSES = ((-0.04, 0.0, 0.0, 0.0, 0.0), (0.0, 0.0, 0.0, 0.0, 0.0))
"""Radial terms (calib.radial_terms) that a board is looked for with where the usual ones show none: those of a lens
that draws the corners inwards by 4 %, as cheap phones' do, and of one that bends nothing.
"""
SURE = 0.002
"""Standard uncertainty of these terms meanwhile."""


def visible_region(plane: Plane, size: tuple[int, int], setup: PhotoSetup) -> tuple[FloatArray, FloatArray]:
    """The part of the plane, mm, that the photo shows and that a parcel near the card can reach."""
    width, height = size
    rim = np.array(
        [[0, 0], [width, 0], [width, height], [0, height], [width / 2, 0], [width / 2, height]], dtype=np.float64
    )
    seen = plane.camera.locate(rim)
    reach = float(np.hypot(setup.width, setup.depth)) + 120.0
    middle = np.array([CARD.width / 2, CARD.height / 2])
    # Beyond the horizon, and where the estimated lens folds over, no place is seen.
    if not np.isfinite(seen).all():
        return middle - reach, middle + reach
    return np.maximum(seen.min(axis=0), middle - reach), np.minimum(seen.max(axis=0), middle + reach)


def tie_to_board(prints: SeenPrints, plane: Plane, colours: TapeColours, swatches: Sequence[int]) -> TiedToBoard | None:
    """The board's sides and the plane that they tie, or None where the board's edges are not found.

    plane is the one that the prints alone tell.  Tape, a shadow or a line in the table may be followed in place of a
    side: the first board that is seen whole, straight and of the stated size is taken, else the best one that can be.
    """
    planes: list[Plane] = []
    ties = []
    for tried in _planes(prints, plane):
        planes.append(tried)
        for tie in _found(prints, tried, colours, swatches, EDGE_STEP):
            if tie.is_sure and tie.plane.parcel_chance > FITS:
                return tie
            ties.append(tie)
    sure = [tie for tie in ties if tie.is_sure]
    if sure:
        fitting = max(sure, key=lambda tie: tie.plane.parcel_chance)
        return fitting if fitting.plane.parcel_chance > FITS else _freed(fitting) or fitting
    patterned = _on_pattern(prints, planes, colours, swatches)
    if patterned is not None:
        return patterned
    ties.sort(key=lambda tie: tie.rank, reverse=True)
    best = next((found for tie in ties if (found := _as_measured(tie)) is not None), None)
    return best or _faint(prints, planes, colours, swatches)


def _on_pattern(
    prints: SeenPrints, planes: Sequence[Plane], colours: TapeColours, swatches: Sequence[int]
) -> TiedToBoard | None:
    """A board on a cloth full of edges, some cells of which have its colour: only one that is sure counts."""
    ties = (tie for tried in planes for tie in _found(prints, tried, colours, swatches, EDGE_STEP, patterned=True))
    return next((tie for tie in ties if tie.is_sure), None)


def _faint(
    prints: SeenPrints, planes: Sequence[Plane], colours: TapeColours, swatches: Sequence[int]
) -> TiedToBoard | None:
    """A board nearly of the table's colour: among so many faint edges only one that is sure counts."""
    ties = (tie for tried in planes for tie in _found(prints, tried, colours, swatches, FAINT_STEP))
    return next((tie for tie in ties if tie.is_sure), None)


@dataclass(frozen=True, eq=False)
class TiedToBoard:
    """Sides of the board, the plane in the parcel's frame, and what is known of parcel and print beside them."""

    prints: SeenPrints
    plane: Plane
    lines: list[StraightLine]

    @property
    def is_sure(self) -> bool:
        """Whether all four sides are straight and as far apart as stated."""
        return len(self.lines) == SIDES and self.is_straight

    @property
    def is_straight(self) -> bool:
        """Whether the sides that are followed are straight and, where they tell it, as far apart as stated."""
        likely = min(self.plane.parcel_chance, self.plane.print_chance) > LIKELY
        return likely and max(self.plane.line_misfit) < STRAIGHT

    @property
    def leaves_picture(self) -> bool:
        """Whether the picture's edge cuts the board for sure."""
        pixels = self.plane.camera.project(parcel_corners(self.plane))
        return bool(np.maximum(-pixels, pixels - np.array(self.prints.size)).max() > SURELY_CUT)

    @property
    def is_possible(self) -> bool:
        """Whether the sides are as far apart as stated, and the print is of the scale that is known."""
        return min(self.plane.parcel_chance, self.plane.print_chance) > ODD

    @property
    def rank(self) -> tuple[bool, int, float]:
        """The better tie has the greater one."""
        return self.is_possible, len(self.lines), -max(self.plane.line_misfit)


def _as_measured(tie: TiedToBoard) -> TiedToBoard | None:
    """Sides that are not as far apart as stated: the board may be cut so, or one of them be no side of it.

    What is stated is then no more certain than they show it to be, so that lengths come from the card.  None where no
    board is cut so badly, or the print is not as known even so.
    """
    return tie if tie.is_possible else _freed(tie)


def _freed(tie: TiedToBoard) -> TiedToBoard | None:
    """The same sides where nothing is known of how far apart they are."""
    setup = tie.prints.setup
    free = tie.prints.at_uncertainty(UNKNOWN).plane(tie.lines, tie.plane)
    stated = {"parcel width": setup.width, "parcel depth": setup.depth}
    apart = max(abs(free.value(name) - size) for name, size in stated.items())
    if apart > _slack(setup):
        return None
    prints = tie.prints.at_uncertainty(max(setup.priors.parcel, apart))
    freed = TiedToBoard(prints, prints.plane(tie.lines, tie.plane), tie.lines)
    return freed if freed.is_possible else None


def _slack(setup: PhotoSetup) -> float:
    """How far a board's size may be off what is stated, mm."""
    return 3.0 + 2 * setup.priors.parcel


def _planes(prints: SeenPrints, plane: Plane) -> Iterator[Plane]:
    """The plane as the usual lens shows it, then as other lenses do.

    The card alone hardly tells a lens; by one that bends otherwise a board's sides are no straight lines.
    """
    yield plane
    if prints.lens.radial is None:
        for terms in OTHER_LENSES:
            nearly = tuple(tuple(row) for row in SURE**2 * np.eye(len(terms)))
            yield replace(prints, lens=replace(prints.lens, radial=terms, radial_covariance=nearly)).plane((), plane)


def _found(
    prints: SeenPrints,
    plane: Plane,
    colours: TapeColours,
    swatches: Sequence[int],
    step: float,
    *,
    patterned: bool = False,
) -> Iterator[TiedToBoard]:
    """What the sides tie that are straight enough in this plane's corrected picture; step: what counts as an edge."""
    setup = prints.setup
    picture, tape, like_tape = _looked_at(prints, plane, colours, swatches)
    board = find_board(picture, (setup.width, setup.depth), tape, _slack(setup), step, patterned=patterned)
    if board is None:
        return
    recognisers: tuple[Recogniser, ...] = (like_tape, _nothing)
    for recogniser, innermost in product(recognisers, (None, True)):
        tied = _tied(prints, plane, board.corners, recogniser, innermost)
        if tied is not None:
            yield tied


def _looked_at(
    prints: SeenPrints, plane: Plane, colours: TapeColours, swatches: Sequence[int]
) -> tuple[Rectified, FloatArray, Recogniser]:
    """The corrected picture, where tape lies in it (n, 2) mm, and what tells tape's colours."""
    setup = prints.setup
    low, high = visible_region(plane, prints.size, setup)
    picture = rectify(prints.bgr, plane.camera, low, high, COARSE)
    classes = classify(picture.bgr, colours, swatches, COARSE)
    tape = tape_places(
        picture,
        classes,
        print_mask(picture, plane, prints.tags),
        rims(picture, plane, prints.tags),
        (setup.width, setup.depth),
    )
    return picture, tape, partial(classes.like_tape, most=MOST_TAPE * setup.width * setup.depth / COARSE**2)


def is_cut_off(prints: SeenPrints, plane: Plane, colours: TapeColours, swatches: Sequence[int]) -> bool:
    """Whether sides that show, where no board is found for sure, are those of a board that the picture's edge cuts."""
    setup = prints.setup
    for tried in _planes(prints, plane):
        picture, tape, like_tape = _looked_at(prints, tried, colours, swatches)
        size = (setup.width, setup.depth)
        for patterned in (False, True):
            boards = cut_boards(picture, size, tape, _slack(setup), EDGE_STEP, patterned=patterned)
            if boards and boards[0].is_sure:
                return True
            for board, recogniser in product(boards[:MOST_CUT], (like_tape, _nothing)):
                tie = _tied(prints, tried, board.corners, recogniser, None, FEWEST_CUT)
                if tie is not None and tie.is_straight and tie.leaves_picture:
                    return True
    return False


def _nothing(bgr: NDArray[np.uint8]) -> NDArray[np.bool_]:
    """Take no colour for tape's: a board's edge may be of a tape's colour."""
    return np.zeros(bgr.shape[:-1], dtype=bool)


def _tied(
    prints: SeenPrints,
    plane: Plane,
    corners: FloatArray,
    like_tape: Recogniser,
    innermost: bool | None,
    fewest: int = FEWEST_SIDES,
) -> TiedToBoard | None:
    """Follow the sides, widely and then closely, until sides and card agree; None where they do not.

    innermost: whether the first look takes the innermost edges already, which a shadow beside the board may outdo.
    """
    setup, card = prints.setup, card_outline(plane)
    lines = board_sides(prints.bgr, plane.camera, corners, WIDE_MM, like_tape, prints.shift, card, innermost=innermost)
    if len(lines) < fewest:
        return None
    tied = prints.plane(lines, plane)
    corners = np.array([[0, 0], [setup.width, 0], [setup.width, setup.depth], [0, setup.depth]])
    for _ in range(MOST_FOLLOWED):
        lines = board_sides(prints.bgr, tied.camera, corners, NARROW_MM, like_tape, prints.shift, card_outline(tied))
        if len(lines) < fewest:
            return None
        tied = prints.plane(lines, tied)
        if max(*tied.line_misfit, *tied.tag_misfit.values()) < WORST_MISFIT:
            # Of three sides only one pair is checked by the stated size.
            straight = len(lines) == SIDES or max(tied.line_misfit) < STRAIGHT
            return TiedToBoard(prints, tied, lines) if straight else None
    return None
