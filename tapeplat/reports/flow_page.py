"""The flow sheet: which zones each line joins in the model as measured, for children to say what flows, and which way.

A diagram, not to scale: zones lie about as on the map, every net is one stroke or one star between the zones that it
reaches.  Arrows, and what flows, are left to the children.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from calib.printed import Box
from measure.lines.net import net_of
from measure.plat.measures import Measures
from measure.quantity import FloatArray
from tapeplat.annotate.outline_parts import has_outline
from tapeplat.paper.pdf.pdf_canvas import Pages, Point
from tapeplat.reports.map_lines import draw_letter, draw_sample
from tapeplat.reports.report_content import TeamContent
from tapeplat.reports.scale_map import outlines_extent

_NODE = (34.0, 11.0)
"""mm: the box of a zone."""
_APART = 2.5
"""mm between strokes of two lines that run between the same zones."""
_STUB, _SPARE = 16.0, 4.0
_ROW = 13.0
_PUSHES = 60
_SAMPLE = 16.0


@dataclass(frozen=True)
class Flow:
    """One net of a line: the line's place among the declared ones, and the zones that the net surely reaches."""

    line: int
    zones: tuple[str, ...]


def draw_flow_page(pages: Pages, content: TeamContent) -> None:
    """One team's flow sheet on a page of its own; nothing where the challenge has no lines."""
    if not content.result.lines:
        return
    pages.start(f"{content.name}: what flows where")
    body = pages.paper.body
    told = "Draw arrow heads: which way does it flow? Add what is missing with a pencil."
    pages.fitted(body.x, body.y + 4, told, body.width, size=11)
    key = _ROW * (len(content.result.lines) + 1)
    room = Box(body.x, body.y + 8, body.width, body.height - key - 30)
    places = _places(content, room)
    _draw_nets(pages, places, flows_of(content), content)
    for name, place in places.items():
        _draw_node(pages, place, name)
    _draw_key(pages, Box(body.x, room.y + room.height + 4, body.width, key), content)
    left = body.y + body.height - 16
    pages.fitted(
        body.x, left, "What would happen if one of these lines were cut? Who would notice first?", body.width, size=11
    )
    for step in (8.0, 16.0):
        pages.line((body.x, left + step), (body.x + body.width, left + step), width=0.2, grey=0.5)


def flows_of(content: TeamContent) -> tuple[Flow, ...]:
    """Every net of every line, as measured; pieces of one line hang together as rules have it, within 3 mm."""
    net = net_of(Measures(content.plat, content.result.tape_edge))
    found = []
    for at, line in enumerate(content.result.lines):
        for pieces in net.nets(line.name):
            reached = [zone for number in pieces for zone in line.pieces[number - 1].reaches]
            found.append(Flow(at, tuple(dict.fromkeys(reached))))
    return tuple(found)


def _places(content: TeamContent, room: Box) -> dict[str, Point]:
    """Where each zone's box has its middle: as on the map, and pushed apart until none lies on another."""
    extent = outlines_extent(content.plat)
    inner = Box(room.x + _NODE[0] / 2, room.y + _NODE[1] / 2, room.width - _NODE[0], room.height - _NODE[1])
    middles: dict[str, list[FloatArray]] = {}
    for piece in content.plat.pieces:
        if has_outline(piece):
            middles.setdefault(piece.zone, []).append(piece.ring.points.mean(axis=0))
    names = list(middles)
    if not names:
        return {}
    start = np.array([extent.x, extent.y])
    share = np.array([(of[0] - start) / [extent.width, extent.height] for of in middles.values()])
    size, corner = np.array([inner.width, inner.height]), np.array([inner.x, inner.y])
    at = corner + _pushed_apart(share * size).clip(0, size)
    return {name: (float(x), float(y)) for name, (x, y) in zip(names, at, strict=True)}


def _pushed_apart(at: FloatArray) -> FloatArray:
    """Boxes that overlap move from each other along the way that is shorter, again and again."""
    least = np.array([_NODE[0] + 8.0, _NODE[1] + 8.0])
    for _ in range(_PUSHES):
        for a in range(len(at)):
            for b in range(a):
                away = at[a] - at[b]
                missing = least - np.abs(away)
                if (missing > 0).all():
                    axis = int(np.argmin(missing))
                    step = 0.5 * missing[axis] * (1.0 if away[axis] >= 0 else -1.0)
                    at[a, axis] += step
                    at[b, axis] -= step
    return at


def _draw_nets(pages: Pages, places: Mapping[str, Point], flows: tuple[Flow, ...], content: TeamContent) -> None:
    """Strokes from every zone that a net reaches to its hub; of one zone alone a stub that leads nowhere."""
    count = len(content.result.lines)
    for flow in flows:
        ends = [places[zone] for zone in flow.zones if zone in places]
        if ends:
            shift = (flow.line - (count - 1) / 2) * _APART
            hub = _hub(ends, shift, tuple(places.values()))
            for x, y in ends:
                draw_sample(pages, (x + shift, y + shift), hub, flow.line)
            draw_letter(pages, hub, flow.line)


def _hub(ends: list[Point], shift: float, boxes: tuple[Point, ...]) -> Point:
    """The middle between the ends, below every box that would lie on it."""
    if len(ends) == 1:
        return ends[0][0] + shift, ends[0][1] + _NODE[1] / 2 + _STUB
    x, y = (float(part) + shift for part in np.mean(ends, axis=0))
    for box_x, box_y in sorted(boxes, key=lambda box: box[1]):
        if abs(x - box_x) < _NODE[0] / 2 + _SPARE and abs(y - box_y) < _NODE[1] / 2 + _SPARE:
            y = box_y + _NODE[1] / 2 + _STUB / 2 + shift
    return x, y


def _draw_node(pages: Pages, centre: Point, name: str) -> None:
    (x, y), (width, height) = centre, _NODE
    left, top = x - width / 2, y - height / 2
    corners = [(left, top), (left + width, top), (left + width, top + height), (left, top + height)]
    pages.shape([corners], width=0.5, fill=1.0)
    pages.fitted(x, y + 1.4, name, width - 3, size=11, bold=True, align="centre")


def _draw_key(pages: Pages, box: Box, content: TeamContent) -> None:
    """A row a line: its stroke and name, and room for what flows, from where, to where."""
    columns = (box.x, box.x + 62, box.x + 112, box.x + 152)
    for x, words in zip(columns, ("line", "what flows", "from", "to"), strict=True):
        pages.fitted(x, box.y + 5, words, 40, size=10, grey=0.3)
    for at, line in enumerate(content.result.lines):
        y = box.y + (at + 1) * _ROW
        draw_letter(pages, (box.x + 3, y), at)
        draw_sample(pages, (box.x + 7, y), (box.x + 7 + _SAMPLE, y), at)
        pages.fitted(box.x + 10 + _SAMPLE, y + 1.3, line.name, columns[1] - box.x - 12 - _SAMPLE, size=10.5, bold=True)
        for start, end in zip(columns[1:], (*columns[2:], box.x + box.width + 3), strict=True):
            pages.line((start, y + 3), (end - 3, y + 3), width=0.2, grey=0.4)
