"""Declared lines in one photo whose model is traced: their middles, lengths and meetings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np
import shapely
from numpy.typing import NDArray

from calib.camera import Camera
from calib.card.colours import TapeColours
from calib.edges import FloatArray
from calib.prints.tags import TagSquare
from vision.find.borrowed_sides import OpenTape
from vision.fit.source_columns import line_over, spread, with_more_causes
from vision.lines.centreline import Centreline, centreline_of, laid_on
from vision.lines.chains import SEEN, Chain, chains_of
from vision.lines.joins import NO_JOINS, Joins, LookAt, joins_of
from vision.lines.line_ends import end_kind
from vision.lines.line_masks import LEAST_SURE, LineColours, LineMask, line_mask, nearer_tape, tape_fits
from vision.lines.line_sources import LineSources, hidden_stretches, line_sources
from vision.lines.meetings import meetings_of
from vision.lines.shown.branches import Branch, net_of
from vision.lines.shown.carrying_on import carried_on
from vision.lines.shown.polylines import length_of, normals
from vision.lines.shown.printed_patterns import shows_pattern
from vision.lines.shown.strands import NOWHERE, Strand, strand_of
from vision.picture.prints import print_mask
from vision.picture.rectified import Rectified, rectify
from vision.picture.remarks import Remark, remark
from vision.picture.traced import Cause, TapeSpec, Traced
from vision.picture.traced_lines import FLAT_MATERIALS, LineEndKind, LineSpec, TracedLine, TracedLines, TwoWays

FINEST = 0.2
"""Millimetres per pixel of the picture in which lines are looked for, at least."""
RIM = 0.5
"""How much of the parcel along its edge is left out, mm."""
BESIDE_TAPE = 1.0
"""What lies no further outside an outline's tape belongs to it, mm."""
LEAST_LENGTH, LEAST_WIDTHS, MEETING_WIDTHS = 12.0, 4.0, 1.8
"""Shorter pieces, mm and widths, are none: a crumb, a corner of paper; and such as meet another."""
THINNEST_PX = 2.5
"""Thinner lines are not measured, px of the photo."""


@dataclass(frozen=True, eq=False)
class LineScene:
    """What is known of a photo (h, w, 3) when its lines are looked for: tags, all the card's colours, the zones' tapes,
    every tape as it was looked at, and the grounds' colours.
    """

    bgr: NDArray[np.uint8]
    tags: Sequence[TagSquare]
    colours: TapeColours
    tapes: Sequence[TapeSpec]
    strips: Sequence[OpenTape]
    grounds: Sequence[NDArray[np.float32]]


def with_lines(traced: Traced, scene: LineScene, specs: Sequence[LineSpec]) -> Traced:
    """The traced model with its lines; as it is where none is declared."""
    if not specs:
        return traced
    found = _every_line(traced, scene, specs)
    causes, pieces = list(traced.causes), []
    for own in found:
        own_pieces, causes = _pieces(own, causes, len(traced.plane.sources))
        pieces.append(own_pieces)
    every = tuple(line_over(p, np.arange(len(p.length_sensitivity)), len(causes)) for own in pieces for p in own)
    firsts = np.cumsum([0, *(len(own) for own in pieces)])
    two_ways = tuple(w for own, first in zip(found, firsts, strict=False) for w in _two_ways(own, int(first)))
    lines = TracedLines(
        every, meetings_of(every), two_ways,
        tuple(f.spec.name for f in found if f.unread), tuple(f.spec.name for f in found if f.too_thin),
    )  # fmt: skip
    said = tuple(_said(found))
    more = causes[len(traced.causes) :]
    return replace(with_more_causes(traced, more), lines=lines, remarks=(*traced.remarks, *said))


@dataclass(frozen=True, eq=False)
class _Piece:
    chain: Chain
    line: Centreline
    sources: LineSources
    ends: tuple[LineEndKind, LineEndKind]


@dataclass(frozen=True, eq=False)
class _Found:
    """What was found of one declared line."""

    spec: LineSpec
    pieces: tuple[_Piece, ...] = ()
    joins: Joins = NO_JOINS
    unread: bool = False
    too_thin: bool = False
    printed: bool = False
    """Whether print has its colour, so that nobody can tell them apart."""


@dataclass(frozen=True, eq=False)
class _View:
    """The photo, its corrected picture, where (h, w) lines may be, where each tape lies, and where the other lines
    show, each by its mask's name.
    """

    bgr: NDArray[np.uint8]
    picture: Rectified
    free: NDArray[np.bool_]
    taped: dict[int, NDArray[np.bool_]]
    others: NDArray[np.bool_]


def _every_line(traced: Traced, scene: LineScene, specs: Sequence[LineSpec]) -> list[_Found]:
    picture = _picture(traced, scene)
    free = _free(traced, scene, picture)
    view = _View(scene.bgr, picture, free, _taped(traced, scene, picture), np.zeros_like(free))
    colours = LineColours(scene.colours, sorted({t.swatch for t in scene.tapes}), specs, scene.grounds)
    read = [s for s in specs if s.swatch is None or scene.colours.of(s.swatch) is not None]
    masks = [(spec, *_mask(view, colours, spec)) for spec in read]
    shown = np.sum([m.thin.astype(np.uint8) for _, m, _ in masks], axis=0) if masks else np.zeros(free.shape)
    found = {}
    for spec, mask, own_tape in masks:
        others = cv2.dilate((shown - mask.thin > 0).astype(np.uint8), np.ones((3, 3), np.uint8)) > 0
        found[spec.name] = _found(traced, replace(view, others=others), spec, mask, own_tape)
    return [found.get(spec.name, _Found(spec, unread=True)) for spec in specs]


def _picture(traced: Traced, scene: LineScene) -> Rectified:
    """The part of the plane that results are drawn on, as finely as lines are looked for."""
    shown = traced.picture
    high = shown.to_mm(np.array(shown.bgr.shape[1::-1]) - 1.0)
    px = max(FINEST, traced.mm_per_px)
    return rectify(scene.bgr, traced.plane.camera, shown.origin, high, px)


def _free(traced: Traced, scene: LineScene, picture: Rectified) -> NDArray[np.bool_]:
    """Where (h, w) lines may be: on the parcel, and on no print."""
    free = ~print_mask(picture, traced.plane, scene.tags)
    if traced.parcel is None:
        return free
    parcel = np.zeros(free.shape, dtype=np.uint8)
    ring = shapely.Polygon(traced.parcel.points).buffer(-RIM, join_style="mitre").exterior
    cv2.fillPoly(parcel, [np.rint(picture.to_px(np.array(ring.coords)[:-1])).astype(np.int32)], 1)
    return np.asarray(free & (parcel > 0), dtype=np.bool_)


def _found(traced: Traced, view: _View, spec: LineSpec, mask: LineMask, own_tape: NDArray[np.bool_]) -> _Found:
    camera, picture, bgr = traced.plane.camera, view.picture, view.bgr
    height = spec.height or 0.0
    branches = [b for b in net_of(mask.thin).branches if _is_sure(b, mask)]
    strands = [s for b in branches if (s := strand_of(bgr, camera, picture, b, height)) is not None]
    strands = carried_on(bgr, camera, [s for s in strands if not _is_tape(s, picture, own_tape)], height)
    strands, joins, chains = _chained(view, camera, strands, height)
    if shows_pattern(strands):
        return _Found(spec, unread=True, printed=True)
    measured = [c for c in chains if c.px >= THINNEST_PX]
    lines = [_centreline(bgr, camera, spec, c, _joined(strands, joins, c)) for c in measured]
    pieces = tuple(
        _piece(traced, view, spec, chain, lines, i, _joined(strands, joins, chain)) for i, chain in enumerate(measured)
    )
    return _Found(spec, pieces, joins, False, len(measured) < len(chains))


def _chained(
    view: _View, camera: Camera, strands: list[Strand], height: float
) -> tuple[list[Strand], Joins, list[Chain]]:
    """The strands that are lines, how they go on, and their chains; what is none says nothing of how others go on."""
    while True:
        joins = joins_of(LookAt(view.bgr, camera, height, view.picture, view.others), strands)
        chains = chains_of(strands, joins)
        kept = [c for c in chains if _is_long(c, strands)]
        if len(kept) == len(chains):
            return strands, joins, kept
        strands = [strands[i] for c in kept for i in c.strands]


def _is_sure(branch: Branch, mask: LineMask) -> bool:
    """Whether the line's colour shows along enough of a branch."""
    x, y = branch.points.astype(np.int64).T
    return bool(mask.sure[y, x].mean() >= LEAST_SURE)


def _is_tape(strand: Strand, picture: Rectified, own_tape: NDArray[np.bool_]) -> bool:
    """Whether a strand is tape of its own colour, or the rim of such tape: one of its sides is no longer on that."""
    aside = (strand.width / 2 + BESIDE_TAPE + RIM) * normals(strand.points)
    on = [_is_in(own_tape, picture.to_px(strand.points + by * aside)) for by in (-1, 0, 1)]
    return bool(on[1].mean() > 0.5 and (on[0] & on[2])[on[1]].mean() < 0.5)


def _is_in(mask: NDArray[np.bool_], pixels: FloatArray) -> NDArray[np.bool_]:
    x, y = np.rint(pixels).astype(np.int64).T
    height, width = mask.shape
    return np.asarray(mask[np.clip(y, 0, height - 1), np.clip(x, 0, width - 1)])


def _taped(traced: Traced, scene: LineScene, picture: Rectified) -> dict[int, NDArray[np.bool_]]:
    """Where (h, w) each tape lies, by its box: around outlines, and strips that close none."""
    swatches = {t.zone: t.swatch for t in scene.tapes}
    bands = [
        (ring.points, True, piece.width, swatches[piece.zone])
        for piece in traced.pieces
        for ring in (piece.ring, *piece.holes)
    ]
    bands += [(s.at(np.array([s.low, s.high])), False, t.width, t.swatch) for t in scene.strips for s in t.strips]
    taped: dict[int, NDArray[np.uint8]] = {}
    for points, closed, width, number in bands:
        mask = taped.setdefault(number, np.zeros(picture.bgr.shape[:2], dtype=np.uint8))
        broad = max(1, round((width + 2 * BESIDE_TAPE) / picture.mm_per_px))
        cv2.polylines(mask, [np.rint(picture.to_px(points)).astype(np.int32)], closed, 1, broad)
    return {number: mask > 0 for number, mask in taped.items()}


def _mask(view: _View, colours: LineColours, spec: LineSpec) -> tuple[LineMask, NDArray[np.bool_]]:
    """Where one line may be, and where (h, w) tape of its own colour lies."""
    own, other = np.zeros(view.free.shape, dtype=bool), np.zeros(view.free.shape, dtype=bool)
    for number, band in view.taped.items():
        if tape_fits(colours, number, spec):
            own |= band
        else:
            other |= band & nearer_tape(view.picture.bgr, spec, number, colours)
    return line_mask(view.picture.bgr, view.free, own, other, spec, colours, view.picture.mm_per_px), own


def _is_long(chain: Chain, strands: Sequence[Strand]) -> bool:
    """Whether enough of a piece shows for it to be one; less where it meets another."""
    step = np.linalg.norm(np.diff(chain.points, axis=0), axis=1)
    seen = float(step[chain.shown[1:] == SEEN].sum())
    meets = any(strands[i].meets[side] != NOWHERE for i, side in chain.ends)
    least = max(LEAST_LENGTH, (MEETING_WIDTHS if meets else LEAST_WIDTHS) * chain.width)
    return seen >= least and chain.sure >= max(LEAST_LENGTH, LEAST_SURE * seen)


def _centreline(
    bgr: NDArray[np.uint8], camera: Camera, spec: LineSpec, chain: Chain, joined: tuple[bool, bool]
) -> Centreline:
    height, _ = _height(spec, chain.width)
    placed = camera.locate(camera.project(chain.points, spec.height or 0.0), height)
    return centreline_of(bgr, camera, replace(chain, points=placed), height, joined)


def _piece(
    traced: Traced, view: _View, spec: LineSpec, chain: Chain, lines: Sequence[Centreline], number: int,
    joined: tuple[bool, bool],
) -> _Piece:  # fmt: skip
    """One of the line's middles as a piece; ends that meet another are laid on that one's middle."""
    line = lines[number]
    for side in (0, 1):
        if joined[side]:
            line = laid_on(line, side, [other for i, other in enumerate(lines) if i != number])
    parcel = None if traced.parcel is None else traced.parcel.points
    first, last = (end_kind(line, joined[side], side, parcel, view.picture, view.taped) for side in (0, 1))
    return _Piece(chain, line, line_sources(traced.plane, line, *_height(spec, chain.width)), (first, last))


def _height(spec: LineSpec, width: float) -> tuple[float, float]:
    """Height of a line's middle above the board, and its standard uncertainty, mm."""
    if spec.height is not None:
        return spec.height, max(0.3, 0.1 * spec.height)
    if spec.made_of and all(m in FLAT_MATERIALS for m in spec.made_of):
        return 0.1, 0.05
    if spec.made_of and not any(m in FLAT_MATERIALS for m in spec.made_of):
        return width / 2, 0.15 * width + 0.2
    # Flat or a cord that lies on the board: even between both (JCGM 100:2008, 4.3.7).
    return width / 4, width / (4 * np.sqrt(3.0)) + 0.2


def _joined(strands: Sequence[Strand], joins: Joins, chain: Chain) -> tuple[bool, bool]:
    """Whether each end of a chain lies where other strands go through."""
    through = {strands[i].meets[side] for pair in joins.crossed for i, side in pair}
    first, last = (strands[i].meets[side] in through for i, side in chain.ends)
    return first, last


def _pieces(own: _Found, causes: list[Cause], common: int) -> tuple[list[TracedLine], list[Cause]]:
    """The line's pieces, their own sources in new columns after those of `causes`."""
    name, pieces = own.spec.name, []
    raised = len(causes)
    if own.pieces:
        causes = [*causes, Cause(f"{name}: height of the line", "height")]
    for number, piece in enumerate(own.pieces, 1):
        sources, line = piece.sources, piece.line
        more = sources.points.shape[2] - common - 1
        columns = np.concatenate([np.arange(common), [raised], len(causes) + np.arange(more)])
        causes = [*causes, *(Cause(f"{name} {number}: edges {i + 1}", "edge") for i in range(more - 1))]
        causes.append(Cause(f"{name} {number}: width", "width"))
        total = len(causes)
        length = length_of(line.points)
        step = np.linalg.norm(np.diff(line.points, axis=0), axis=1)
        # A stretch lies between the points next to the hidden ones.
        segments = sorted({s for a, b in hidden_stretches(line) for s in range(max(0, a - 1), min(b, len(step)))})
        pieces.append(
            TracedLine(
                name, line.points, spread(sources.points, columns, total), length,
                spread(sources.length, columns, total), line.width, spread(sources.width, columns, total),
                tuple((s, 0.0, 1.0) for s in segments), float(step[segments].sum()) / length, piece.ends, line.closed,
            )
        )  # fmt: skip
    return pieces, causes


def _two_ways(own: _Found, first: int) -> list[TwoWays]:
    """What could go on in several ways, by the numbers of the pieces whose ends it concerns."""
    place = {end: (first + i, side) for i, p in enumerate(own.pieces) for side, end in enumerate(p.chain.ends)}
    found = []
    for ends, ways in own.joins.unclear:
        if all(end in place for end in ends):
            numbered = tuple(tuple((ends.index(a), ends.index(b)) for a, b in way) for way in ways)
            found.append(TwoWays(own.spec.name, tuple(place[end] for end in ends), numbered))
    return found


def _said(found: Sequence[_Found]) -> list[Remark]:
    said = [remark("line-unread", line=f.spec.name) for f in found if f.unread and not f.printed]
    said += [remark("line-like-print", line=f.spec.name) for f in found if f.printed]
    said += [remark("line-too-thin", line=f.spec.name) for f in found if f.too_thin]
    return said + [remark("line-two-ways", line=f.spec.name) for f in found if f.joins.unclear]
