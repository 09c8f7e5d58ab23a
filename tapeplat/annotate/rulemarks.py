"""Where a rule is broken or in doubt: the gap as a dimension line, the overlap hatched, the zone tagged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from shapely.geometry import Point, Polygon, box
from shapely.ops import nearest_points

from measure.plat.plat import Piece
from measure.quantity import FloatArray
from measure.rules.verdict import Verdict
from tapeplat.annotate.labels import LabelBoard, Spot
from tapeplat.annotate.outline_drawing import draw_halo, draw_line_halo
from tapeplat.annotate.outline_parts import dashes, has_outline
from tapeplat.annotate.palette import PAPER, TEXT, VERDICT_COLOURS
from tapeplat.annotate.picture_canvas import Canvas
from tapeplat.annotate.style import text_width
from tapeplat.annotate.symbols import draw_symbol
from tapeplat.wording.notes import GapMark, LineMark, Mark, OverlapMark, RuleNote, ZoneMark

SHOWN: tuple[Verdict, ...] = ("not met", "too close to call")
"""The verdicts whose place is marked on the picture, the gravest first."""


@dataclass(frozen=True, eq=False)
class Tag:
    """A placed tag: where, what it points at (a point or a ring, in px), for which rule, with which words."""

    spot: Spot
    target: FloatArray
    rule: RuleNote
    text: str


def marked(rules: tuple[RuleNote, ...]) -> list[RuleNote]:
    """The rules to show on the picture, the gravest first."""
    return sorted((rule for rule in rules if rule.verdict in SHOWN), key=lambda rule: SHOWN.index(rule.verdict))


def draw_halos(canvas: Canvas, pieces: tuple[Piece, ...], rules: tuple[RuleNote, ...]) -> None:
    """Bands around the pieces that rules are about; the gravest verdict wins."""
    worst: dict[int, Verdict] = {}
    for rule in marked(rules):
        for mark in rule.marks:
            if isinstance(mark, ZoneMark):
                for index in _indices(pieces, mark):
                    worst.setdefault(index, rule.verdict)
            elif isinstance(mark, LineMark):
                draw_line_halo(canvas, mark.points, rule.verdict)
    for index, verdict in worst.items():
        draw_halo(canvas, pieces[index], verdict)


def draw_overlaps(canvas: Canvas, rules: tuple[RuleNote, ...]) -> None:
    """Dense stripes over every area where two zones overlap and should not."""
    for rule in marked(rules):
        for mark in rule.marks:
            if isinstance(mark, OverlapMark):
                for rings in mark.polygons:
                    _hatch(canvas, [canvas.frame.to_px(ring) for ring in rings], rule.verdict)


def draw_gap_lines(canvas: Canvas, rules: tuple[RuleNote, ...]) -> None:
    """Dimension lines, whole where the rule is broken, dashed where it is in doubt."""
    for rule in marked(rules):
        for mark in rule.marks:
            if isinstance(mark, GapMark):
                _dimension_line(canvas, canvas.frame.to_px(np.array(mark.ends)), rule.verdict)


def place_tags(canvas: Canvas, board: LabelBoard, pieces: tuple[Piece, ...], rules: tuple[RuleNote, ...]) -> list[Tag]:
    """Find places for the tags, one at every mark; a tag for which there is no room is left out."""
    tags = []
    for rule in marked(rules):
        for mark in rule.marks:
            for target in _targets(canvas, pieces, mark):
                spot = board.place(_tag_size(canvas, rule, mark.text), _inside(target))
                if spot is not None:
                    tags.append(Tag(spot, target, rule, mark.text))
    return tags


def draw_leader(canvas: Canvas, tag: Tag) -> None:
    """A thin line from a tag to what it is about, where it does not lie on it."""
    near, target = nearest_points(box(*tag.spot.bounds), _geometry(tag.target))
    if near.distance(target) > 0.3 * canvas.style.text:
        line = np.array([near.coords[0], target.coords[0]])
        canvas.line(line, PAPER, canvas.style.line + 2)
        canvas.line(line, TEXT, max(1, canvas.style.line - 1))
        canvas.disc((target.x, target.y), canvas.style.line + 1, TEXT)


def draw_tag(canvas: Canvas, tag: Tag) -> None:
    """The verdict's symbol, the rule's number in the list, and the value."""
    size, pad = canvas.style.text, canvas.style.pad
    left, middle = tag.spot.left, tag.spot.centre[1]
    canvas.box(left, tag.spot.top, tag.spot.width, tag.spot.height, PAPER, VERDICT_COLOURS[tag.rule.verdict])
    draw_symbol(canvas, (left + pad + 0.55 * size, middle), 0.42 * size, tag.rule.verdict)
    after_symbol = left + 2 * pad + 1.1 * size
    canvas.text((after_symbol, middle), str(tag.rule.number), bold=True)
    canvas.text((after_symbol + _number_width(canvas, tag.rule), middle), tag.text)


def lines_of(canvas: Canvas, rules: tuple[RuleNote, ...]) -> Iterator[FloatArray]:
    """The dimension lines (2, 2) in px, that labels should leave free."""
    for rule in marked(rules):
        for mark in rule.marks:
            if isinstance(mark, GapMark):
                yield canvas.frame.to_px(np.array(mark.ends))


def _indices(pieces: tuple[Piece, ...], mark: ZoneMark) -> list[int]:
    """The places in the plat of the pieces that a mark means."""
    of_zone = [i for i, piece in enumerate(pieces) if piece.zone == mark.zone]
    meant = of_zone if mark.piece is None else of_zone[mark.piece - 1 : mark.piece]
    return [i for i in meant if has_outline(pieces[i])]


def _hatch(canvas: Canvas, rings: list[FloatArray], verdict: Verdict) -> None:
    canvas.hatch(rings, VERDICT_COLOURS[verdict], period=canvas.style.hatch, share=0.4, rising=False)
    for ring in rings:
        canvas.line(ring, TEXT, 1, closed=True)


def _dimension_line(canvas: Canvas, ends: FloatArray, verdict: Verdict) -> None:
    """A cased line with a bar across each end; a ring around it where it is too short to be seen."""
    style = canvas.style
    length = float(np.hypot(*(ends[1] - ends[0])))
    along = (ends[1] - ends[0]) / length if length > 0 else np.array([1.0, 0.0])
    across = np.array([-along[1], along[0]]) * 0.45 * style.text
    bars = [np.array([end - across, end + across]) for end in ends]
    whole = verdict == "not met"
    parts = [ends] if whole or length == 0 else dashes(ends, 2 * style.line, 2 * style.line)
    for part in (ends, *bars):
        canvas.line(part, PAPER, style.casing)
    for part in (*parts, *bars):
        canvas.line(part, VERDICT_COLOURS["not met"] if whole else TEXT, style.line)
    if length < style.text:
        centre = ends.mean(axis=0)
        canvas.disc((centre[0], centre[1]), style.text, PAPER, style.casing)
        canvas.disc((centre[0], centre[1]), style.text, VERDICT_COLOURS["not met"] if whole else TEXT, style.line)


def _targets(canvas: Canvas, pieces: tuple[Piece, ...], mark: Mark) -> list[FloatArray]:
    """What a mark's tag belongs to: a point (1, 2) or a ring (n, 2), in px."""
    if isinstance(mark, LineMark):
        return [canvas.frame.to_px(mark.points[len(mark.points) // 2][None])]
    if isinstance(mark, GapMark):
        return [canvas.frame.to_px(np.array(mark.ends)).mean(axis=0, keepdims=True)]
    if isinstance(mark, OverlapMark):
        return [canvas.frame.to_px(rings[0]) for rings in mark.polygons[:1]]
    return [canvas.frame.to_px(pieces[index].ring.points) for index in _indices(pieces, mark)[:1]]


def _geometry(target: FloatArray) -> Point | Polygon:
    return Point(target[0]) if len(target) < 3 else Polygon(target)


def _inside(target: FloatArray) -> tuple[float, float]:
    point = _geometry(target).representative_point()
    return float(point.x), float(point.y)


def _tag_size(canvas: Canvas, rule: RuleNote, text: str) -> tuple[float, float]:
    size, pad = canvas.style.text, canvas.style.pad
    return 3 * pad + 1.1 * size + _number_width(canvas, rule) + text_width(text, size), 1.4 * size


def _number_width(canvas: Canvas, rule: RuleNote) -> float:
    return text_width(f"{rule.number} ", canvas.style.text, bold=True)
