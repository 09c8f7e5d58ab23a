"""One photo to traced outlines: the whole way from pixels to polygons with their uncertainty."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import cv2
import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.ops import unary_union

from calib.card.card_view import CardView
from calib.card.colours import TapeColours, read_colours
from calib.edges import FloatArray
from calib.estimate.adjustment import StraightLine
from calib.estimate.plane import Plane
from calib.photo_setup import Lens, PhotoSetup
from calib.printed import CORNER_TAGS, SWATCHES
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import find_tags, with_small
from vision.board.parcel_frame import is_cut_off, tie_to_board, visible_region
from vision.card_curl import check_curl
from vision.colour.colour_classes import Classes, classify
from vision.find.arrangement import are_all, faces
from vision.find.borrowed_sides import OpenTape, leaning_outlines
from vision.find.closed_bands import closed_bands, straight_sided
from vision.find.closing import CLOSED, Candidate, clockwise, complete_outlines
from vision.find.common_strips import parted
from vision.find.doubts import Doubt, doubtful_outlines, unexplained
from vision.find.glare import Scenery, glared_outlines
from vision.find.ground_between import without_gaps
from vision.find.laid_twice import with_doubled
from vision.find.own_paper import without_own_paper
from vision.find.rough_outlines import TAPE_THICKNESS, Found
from vision.find.strips import Strip, find_strips
from vision.find.tape_mask import TapeMask, clean, with_prints_on_it
from vision.fit.curves import is_bowed, is_curved
from vision.fit.inner_support import LEAST_SHARE, SURE_SHARE, inner_edge_share, with_doubtful_widths
from vision.fit.paper_rims import with_rims
from vision.fit.parcel_sides import parcel_corners
from vision.fit.traced_pieces import assemble, straight_lines
from vision.looks.line_outlines import without_line_outlines
from vision.looks.strange_outlines import without_strangers
from vision.naming import like_board, name_outlines, not_measured, tile_places, unsure, what_bounds, without_board
from vision.other_challenge import at_measured_size, check_challenge, check_other_parcel
from vision.picture.photo import Photo
from vision.picture.prints import is_corner_tile, print_mask, rims
from vision.picture.rectified import RIM, Rectified, rectify
from vision.picture.remarks import Remark, remark
from vision.picture.seen_prints import SeenPrints
from vision.picture.traced import TapeSpec, Traced
from vision.picture.traced_lines import LineSpec
from vision.plane_remarks import disagreements, top_taken
from vision.refusals import (
    check_parcel,
    check_plane,
    check_proportions,
    check_size,
    check_tags,
    no_swatches,
    nothing_found,
    parcel_cut_off,
    unread_box,
)
from vision.tape_check import look_remarks, looking_alike
from vision.unfit_pictures import check_colour, check_not_covered, check_not_ours, check_picture

FINE = 0.5
"""Millimetres per pixel of the picture in which tape is told by colour; edges are measured in the photo itself."""
OVERHANG = 1.0
"""How far tape may hang over the parcel's edge, mm."""
LARGEST_ZONE = 0.6
"""Share of the parcel that one zone full of paper covers at most."""
ONE_ROLL = 0.15
"""How much the width of a curved band may differ from that of the outlines closed by strips of its roll."""
MOST_IN_A_ROW = 4
"""Zones in a row, each of which leans on the one before."""
SHOWN_SIDE = 1500
"""Longer side of the picture that is drawn on, px, where the photo has as many."""


def trace(
    photo: Photo, setup: PhotoSetup, tapes: Sequence[TapeSpec], lens: Lens | None = None, *, board: bool = True,
    lines: Sequence[LineSpec] = (),
) -> Traced:  # fmt: skip
    """Find and measure every taped outline in one photo, and every line that is declared.

    lens overrides what the photo's file says; without `board` no board's edges are looked for.  Raises PhotoRefused.
    """
    boxes = tuple(line.swatch for line in lines if line.swatch is not None)
    scene = _scene(photo, setup, tapes, photo.lens if lens is None else lens, board, boxes)
    scenery = _scenery(scene)
    found, looked_at = _find(scene, scenery)
    wrong = doubtful_outlines(found, looked_at, LARGEST_ZONE * setup.width * setup.depth)
    left = unexplained(found, looked_at, all_read=not scene.unread)
    if not found and not left:
        raise nothing_found(scene.plane, photo.size)
    found, strangers = without_strangers(found, scenery, tapes, scene.unread)
    found, drawn, like_lines = without_line_outlines(found, scenery, scene.every_colour, tapes, lines)
    kept = [f for f in found if all(f is not w for w, _ in wrong)]
    kept = without_board(kept, [*(doubt for _, doubt in wrong), *left], tapes, scenery.classes.like_board)
    found, measured = _with_straight_tape(scene, with_doubled(with_doubtful_widths(kept), looked_at))
    found, rimmed = with_rims(photo.bgr, scene.plane.camera, found)
    named, remarks = name_outlines(found, scene.plane, scene.prints.tags, tapes)
    surely = [*strangers, *like_lines, *like_board(named, tapes, scenery.classes.like_board)]
    doubted = not_measured(
        [*(doubt for _, doubt in wrong), *left, *(Doubt(f.swatch, "paper-of-its-colour") for f in rimmed)],
        surely, named, tapes, scenery.classes.swallowed, in_sight=scene.frame != "card",
        besides=unsure(named, found, scene.prints.tags, tapes, looking_alike(scene.colours, found)),
    )  # fmt: skip
    doubted = [said for said in doubted if said.zone not in scene.unread]
    unread = dict.fromkeys((*scene.unread, *(said.zone for said in doubted)))
    remarks += [*doubted, *drawn]
    remarks += look_remarks(scene.prints, scene.plane, scene.colours, tapes, found, parcel=scene.frame != "card")
    traced = assemble(
        photo.bgr, scene.plane, measured, named, frame=scene.frame, picture=_shown(photo, measured, scene),
        unread=tuple(unread), remarks=(*disagreements(measured, setup), *remarks, *what_bounds(named), *scene.remarks),
    )  # fmt: skip
    if not lines:
        return traced
    from vision.lines.find_lines import LineScene, with_lines  # most challenges declare none

    own = LineScene(photo.bgr, scene.prints.tags, scene.every_colour, tapes, looked_at, scenery.classes.ground_tones)
    return with_lines(traced, own, lines)


@dataclass(frozen=True, eq=False)
class _Scene:
    """Everything known of a photo before its tape is looked for."""

    photo: Photo
    prints: SeenPrints
    tapes: Sequence[TapeSpec]
    plane: Plane
    board: list[StraightLine]
    colours: TapeColours
    every_colour: TapeColours
    frame: Literal["tiles", "board", "card"]
    unread: tuple[str, ...]
    remarks: tuple[Remark, ...]

    def colours_at(self, places: FloatArray) -> NDArray[np.uint8]:
        """The photo's colours (n, m, 3) where it shows the face of tape at places (n, m, 2) in mm."""
        pixels = self.plane.camera.project(places.reshape(-1, 2), TAPE_THICKNESS).astype(np.float32)
        x, y = pixels.reshape(places.shape).transpose(2, 0, 1)
        return np.asarray(cv2.remap(self.photo.bgr, x, y, cv2.INTER_LINEAR), dtype=np.uint8)


def _scene(
    photo: Photo, setup: PhotoSetup, tapes: Sequence[TapeSpec], lens: Lens, look_for_board: bool,
    boxes: Sequence[int] = (),
) -> _Scene:  # fmt: skip
    """boxes: those of the card that hold what is no zone's tape."""
    grey = np.asarray(cv2.cvtColor(photo.bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = with_small(grey, find_tags(grey), [t.tile for t in tapes if t.tile is not None])
    check_picture(photo.bgr, tags, None if photo.camera else setup)
    check_tags(grey, photo.bgr, tags)
    numbers = sorted({t.swatch for t in tapes})
    if len(numbers) > 1:
        check_colour(photo.bgr)
    prints = SeenPrints(photo.bgr, tags, edge_shift(grey, tags), setup, lens)
    plane = prints.plane()
    check_proportions(prints, plane)
    check_other_parcel(prints, plane, tapes, boxes)
    check_size(plane, tiles=len(tags) > 1)
    check_plane(plane, photo.size, numbers)
    stated, view = plane, CardView(photo.bgr, plane)
    check_curl(prints, plane, view)
    prints, plane = at_measured_size(prints, plane)
    all_colours = read_colours(photo.bgr, plane, range(1, len(SWATCHES) + 1), view if plane is stated else None)
    colours = all_colours.only(numbers)
    if not colours.swatches:
        raise no_swatches(colours, all_colours)
    unread = tuple(t.zone for t in tapes if colours.of(t.swatch) is None)
    remarks = [unread_box(colours, t.swatch, t.zone) for t in tapes if t.zone in unread]
    board: list[StraightLine] = []
    frame: Literal["tiles", "board", "card"] = "tiles"
    if not any(t.tag in CORNER_TAGS for t in tags):
        tied = tie_to_board(prints, plane, colours, numbers) if look_for_board else None
        frame = "board" if tied else "card"
        if look_for_board and not (tied and tied.is_sure) and is_cut_off(prints, plane, colours, numbers):
            raise parcel_cut_off()
        if look_for_board:
            check_challenge(prints, plane, all_colours, tapes, board_found=tied is not None, besides=boxes)
        if tied is not None:
            prints, plane, board = tied.prints, tied.plane, tied.lines
        remarks += top_taken(tags, plane) if tied else [remark("no-parcel-edges")]
    else:
        check_challenge(prints, plane, all_colours, tapes, board_found=True, besides=boxes)
    check_not_ours(plane, photo.camera, photo.size, setup, parcel=frame != "card")
    check_not_covered(photo.bgr, plane, parcel=frame != "card")
    if frame != "card":
        check_parcel(plane, photo.size)
    return _Scene(photo, prints, tapes, plane, board, colours, all_colours, frame, unread, tuple(remarks))


def _find(scene: _Scene, scenery: Scenery) -> tuple[list[Found], list[OpenTape]]:
    """Rough outlines of every tape, and every tape as it was looked at."""
    tapes = _tapes(scene, scenery)
    enclosed = [faces(t.strips, t.width, t.tape) for t in tapes]
    closed = [_closed(t, every) for every, t in zip(enclosed, tapes, strict=True)]
    every_closed = [(_found(t, o), _bends(o, t)) for t, own in zip(tapes, closed, strict=True) for o in own]
    straight = [outline for outline, bends in every_closed if not bends]
    pale = glared_outlines(tapes, [outline for outline, _ in every_closed], scenery)
    leaning = [*pale, *_leaning(scene, tapes, [*straight, *pale])]
    found = list(leaning)
    for tape, own, every in zip(tapes, closed, enclosed, strict=True):
        gaps = [o for o in every if o not in own]
        found += _of_tape(tape, own, [f for f in leaning if f.swatch == tape.swatch], gaps)
        found = parted(found, tape)
    found += _leaning(scene, tapes, found)
    if scene.frame == "tiles":
        found = [f for f in found if not is_corner_tile(f.corners, parcel_corners(scene.plane))]
    return found, tapes


def _closed(own: OpenTape, enclosed: Sequence[Candidate]) -> list[Candidate]:
    """The outlines that a tape closes alone, also where strips show only one of their edges; then nothing is leant on.

    enclosed: all that its strips with both edges enclose.
    """
    closed = without_gaps(enclosed, own.width)
    whole = complete_outlines(own.strips, closed, own.width, own.tape) if own.strips else []
    inside = unary_union([Polygon(c.corners).buffer(0) for c in closed])
    return closed + [
        o for o in whole
        if o.shown >= CLOSED and all(o is not c for c in closed) and not inside.contains(Polygon(o.corners))
    ]  # fmt: skip


def _scenery(scene: _Scene) -> Scenery:
    """The corrected picture in which tape is looked for, what is what in it by colour, and where tape may be."""
    picture = rectify(scene.photo.bgr, scene.plane.camera, *_region(scene), FINE)
    smooth = np.asarray(cv2.GaussianBlur(picture.bgr, (0, 0), 0.8), dtype=np.uint8)
    parcel = _on_parcel(scene, picture)
    numbers = sorted({t.swatch for t in scene.tapes})
    classes = classify(smooth, scene.colours, numbers, FINE, parcel)
    prints = np.asarray(print_mask(picture, scene.plane, scene.prints.tags), dtype=np.bool_)
    return Scenery(picture, smooth, classes, scene.colours, ~prints & parcel, prints)


def _tapes(scene: _Scene, scenery: Scenery) -> list[OpenTape]:
    """Every tape's mask and strips."""
    classes = scenery.classes
    places = tile_places(scene.prints.tags, scene.plane)
    largest = LARGEST_ZONE * scene.prints.setup.width * scene.prints.setup.depth
    around, tapes = rims(scenery.picture, scene.plane, scene.prints.tags), []
    for number in classes.tapes:
        zones = [t for t in scene.tapes if t.swatch == number]
        own = around.left_out(classes.tape(number) & scenery.free)
        seen = with_prints_on_it(own, scenery.prints, scenery.picture)
        mask = clean(seen, classes.ground, scenery.picture)
        flat = zones[0].height == 0
        tape, strips, width = _bands(mask, scene, classes, largest) if flat else (mask, *find_strips(mask))
        tiles = [places[t.tile] for t in zones if t.tile in places]
        tapes.append(OpenTape(tape, strips, width, zones[0].height, number, np.array(tiles).reshape(-1, 2)))
    return tapes


def _bands(tape: TapeMask, scene: _Scene, classes: Classes, largest: float) -> tuple[TapeMask, list[Strip], float]:
    """A tape's mask without paper of its own colour, its strips and its width, mm; largest: area of a zone, mm2."""
    strips, width = find_strips(tape)
    inner = 1.0 if are_all(strips, width, tape) else inner_edge_share(faces(strips, width, tape), width, tape)
    seen = width if inner >= LEAST_SHARE else 0.0
    peeled = without_own_paper(tape, classes, scene.colours_at, seen, largest, sure=inner >= SURE_SHARE)
    return (tape, strips, width) if peeled is tape else (peeled, *find_strips(peeled))


def _leaning(scene: _Scene, tapes: Sequence[OpenTape], found: Sequence[Found]) -> list[Found]:
    """Outlines that lean on those found and on the parcel's edges, and outlines that lean on such ones in turn."""
    parcel = None if scene.frame == "card" else parcel_corners(scene.plane)
    leaning: list[Found] = []
    for _ in range(MOST_IN_A_ROW):
        if not (more := [f for t in tapes for f in leaning_outlines(t, [*found, *leaning], parcel)]):
            break
        leaning += more
    return leaning


def _on_parcel(scene: _Scene, picture: Rectified) -> NDArray[np.bool_]:
    """Where tape can be: on the parcel, if its place is known; a dark table is no black tape."""
    height, width = picture.bgr.shape[:2]
    if scene.frame == "card":
        return np.ones((height, width), dtype=bool)
    x = picture.origin[0] + np.arange(width)[None, :] * picture.mm_per_px
    y = picture.origin[1] + np.arange(height)[:, None] * picture.mm_per_px
    size = [scene.plane.value(f"parcel {name}") + OVERHANG for name in ("width", "depth")]
    return np.asarray((x > -OVERHANG) & (x < size[0]) & (y > -OVERHANG) & (y < size[1]))


def _of_tape(
    own: OpenTape, closed: Sequence[Candidate], leaning: Sequence[Found], gaps: Sequence[Candidate]
) -> list[Found]:
    """A tape's outlines that lean on no others, closed or partly hidden; gaps: what lies closed around between some."""
    lean = [Candidate(f.corners, 1.0) for f in leaning]
    outlines = complete_outlines(own.strips, [*closed, *lean], own.width, own.tape) if own.strips else []
    outlines = [o for o in outlines if o not in lean]
    # A curve is followed from the band itself, as the short strips that it falls into cut its tight ends off; but not
    # where something of its colour leans on it from within, which takes land from the band and not from the strips.
    bends = {id(o): _bends(o, own) for o in outlines}
    bands = closed_bands(own.tape, [*lean, *gaps, *(o for o in outlines if o.shown >= CLOSED and not bends[id(o)])])
    bands = [(b, w) for b, w in bands if not closed or abs(w - own.width) < ONE_ROLL * own.width + 0.5]
    better = [(b, w) for b, w in bands if all(o.shown < CLOSED or _land(o) < _land(b) for o in _over(b, outlines))]
    kept = [o for o in outlines if not any(o in _over(b, outlines) for b, _ in better)]
    sided = [straight_sided(b, own.strips, w, own.tape) for b, w in better]
    return [replace(_found(own, o), curved=bends[id(o)]) for o in kept] + [
        replace(_found(own, s or b), width=w, curved=s is None) for s, (b, w) in zip(sided, better, strict=True)
    ]


def _found(own: OpenTape, outline: Candidate) -> Found:
    return Found(own.swatch, clockwise(outline.corners), own.width, own.height, False, own.tape)


def _bends(outline: Candidate, own: OpenTape) -> bool:
    return is_curved(outline.corners) or is_bowed(outline.corners, own.width, own.tape)


def _over(band: Candidate, outlines: Sequence[Candidate]) -> list[Candidate]:
    """The outlines that enclose mostly the same land as a band."""
    land = Polygon(band.corners).buffer(0)
    return [o for o in outlines if Polygon(o.corners).buffer(0).intersection(land).area > 0.5 * land.area]


def _land(outline: Candidate) -> float:
    return float(Polygon(outline.corners).buffer(0).area)


def _region(scene: _Scene) -> tuple[FloatArray, FloatArray]:
    """Parcel and rim, or all that a parcel could reach where its place is unknown: low and high corner, mm."""
    if scene.frame == "card":
        return visible_region(scene.plane, scene.photo.size, scene.prints.setup)
    size = np.array([scene.plane.value("parcel width"), scene.plane.value("parcel depth")])
    return np.array([-RIM, -RIM]), size + RIM


def _with_straight_tape(scene: _Scene, found: Sequence[Found]) -> tuple[list[Found], Plane]:
    """The plane once more, now with every side of tape as a straight line that the lens must keep straight."""
    settled, sides = straight_lines(scene.photo.bgr, scene.plane, found)
    return settled, scene.prints.plane([*scene.board, *sides], scene.plane)


def _shown(photo: Photo, plane: Plane, scene: _Scene) -> Rectified:
    """The corrected picture that results are drawn on, in the final plane."""
    low, high = _region(scene)
    per_px = max(float(np.max(high - low)) / SHOWN_SIDE, plane.camera.mm_per_px((low + high) / 2))
    return rectify(photo.bgr, plane.camera, low, high, per_px, outside=255)
