"""All attempts of one team on one page: outlines that moved, with names and arrows; rules won and lost; values."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from itertools import pairwise

import numpy as np
import shapely
from reportlab.platypus import Flowable, Table, TableStyle

from calib.printed import Box
from measure.result.result import Result, read_result
from tapeplat.annotate.outline_parts import dashes, has_outline
from tapeplat.archive.attempt_comparison import Fate, rule_changes
from tapeplat.archive.storage.entry import Entry
from tapeplat.paper.pdf.flow import flow, para, section
from tapeplat.paper.pdf.pdf_canvas import FOOTER, HEADER, MARGIN, POINTS_PER_MM, Pages, PaperSize, Point
from tapeplat.paper.pdf.signs import Sign, sign_height
from tapeplat.paper.pdf.tiling import View
from tapeplat.reports.poster_labels import Label, Place, placed_labels
from tapeplat.reports.report_content import TeamContent, content_of, verdict_of
from tapeplat.reports.scale_map import outlines_extent
from tapeplat.wording.rule_value import rule_value

MOST_ATTEMPTS = 6
"""Attempts beside each other; of more, the first and the last ones."""
MOVED = 5.0
"""mm on the model: what is moved by less has no arrow."""
_MAP, _LEAST_MAP = 105.0, 72.0
_ROW, _TABLES = 6.2, 44.0
"""mm: a row of the tables, and all that stands around them on the first page."""
_NAME = 11.0
_SHORTEST = 8.0
"""mm on the page: an arrow is no shorter."""
_ENTRY = 5.0
_MANY = 16
"""Rules beyond which their text is smaller, so that they stay on the page of the drawing."""
_ATTEMPT = 24.0
_MARKS: dict[Fate, str] = {"won": "won", "lost": "lost"}


@dataclass(frozen=True, eq=False)
class Attempt:
    """One attempt: its number, and what was found in it."""

    number: int
    content: TeamContent


def attempts_from(entries: Sequence[Entry]) -> list[Attempt]:
    """The attempts of entries of one team. Raises InputMistakes where files are damaged."""
    return [Attempt(entry.attempt, content_of(read_result(entry.folder))) for entry in entries]


def team_progress_pdf(attempts: Sequence[Attempt], paper: PaperSize) -> bytes:
    """One or more pages, the first with the drawing; attempts in their order, at least one."""
    pages = Pages(paper, attempts[-1].content.title)
    draw_team_progress(pages, attempts)
    return pages.finished()


def draw_team_progress(pages: Pages, attempts: Sequence[Attempt]) -> None:
    """The drawing, then the tables, which go on over further pages where there are many rules."""
    shown = shown_attempts(attempts)
    heading = f"{shown[-1].content.name}: all attempts"
    pages.start(heading)
    placed = [attempt for attempt in shown if attempt.content.plat.frame != "card"]
    width = pages.paper.width - 2 * MARGIN
    top = HEADER + 2.0
    if placed:
        rows = len(shown[-1].content.rules) + len(shown[-1].content.zones) + len(shown[-1].content.lines)
        free = pages.paper.height - FOOTER - top - _ROW * rows - _TABLES
        top = _draw_map(pages, placed, Box(MARGIN, top, width, min(_MAP, max(_LEAST_MAP, free)))) + 6
    left_out = len(attempts) - len(shown)
    story = [
        *_remarks(shown, placed, left_out),
        *_rules(shown, width),
        *section("Areas", room=30),
        _areas(shown, width),
        *([*section("Lines", room=30), _lengths(shown, width)] if any(one.content.lines for one in shown) else []),
    ]
    flow(pages, heading, story, top=top, bottom=FOOTER)


def shown_attempts(attempts: Sequence[Attempt]) -> list[Attempt]:
    """The first and the newest ones."""
    if len(attempts) <= MOST_ATTEMPTS:
        return list(attempts)
    return [attempts[0], *attempts[-(MOST_ATTEMPTS - 1) :]]


def _remarks(shown: Sequence[Attempt], placed: Sequence[Attempt], left_out: int) -> list[Flowable]:
    lines = []
    if left_out:
        lines.append(f"{left_out} attempts between the first and the last {MOST_ATTEMPTS - 1} are not shown.")
    if 0 < len(placed) < len(shown):
        gone = ", ".join(str(one.number) for one in shown if one not in placed)
        lines.append(f"Attempt {gone} is not in the drawing: its photo does not show where the board lies.")
    return [para(line, 9.5) for line in lines]


# ---- the drawing


def _draw_map(pages: Pages, placed: Sequence[Attempt], box: Box) -> float:
    """Earlier outlines dashed, the last one full; an arrow along which each piece moved. Returns where it ends."""
    extents = [outlines_extent(attempt.content.plat) for attempt in placed]
    left, top = min(e.x for e in extents), min(e.y for e in extents)
    width = max(e.x + e.width for e in extents) - left
    height = max(e.y + e.height for e in extents) - top
    scale = min(box.width / width, (box.height - 8) / height)
    view = View(scale, box.x + (box.width - width * scale) / 2 - left * scale, box.y - top * scale)
    parcel = placed[-1].content.plat
    pages.box(view.box(Box(0, 0, parcel.width, parcel.depth)), width=0.5)
    for attempt in placed[:-1]:
        for _, shape in _shapes(attempt, view):
            _draw_dashed(pages, shape)
    last = list(_shapes(placed[-1], view))
    for _, shape in last:
        pages.shape([list(ring.coords)[:-1] for ring in (shape.exterior, *shape.interiors)], width=0.7)
    arrows = [(view.place(start), view.place(end)) for start, end in moves(placed)]
    for start, end in arrows:
        _draw_arrow(pages, start, end)
    below = _draw_names(pages, placed, view, box, arrows)
    y = max(box.y + height * scale + 6, below)
    _draw_key(pages, box.x, y, placed)
    return y


def moves(placed: Sequence[Attempt]) -> list[tuple[Point, Point]]:
    """Where each piece's middle went from one attempt to the next, mm; a piece was the nearest one of its zone."""
    found = []
    for before, after in pairwise(placed):
        old, new = _middles(before), _middles(after)
        for zone in new:
            rest = list(old.get(zone, []))
            for end in new[zone]:
                if rest:
                    start = min(rest, key=partial(math.dist, end))
                    rest.remove(start)
                    if math.dist(start, end) > MOVED:
                        found.append((start, end))
    return found


def _middles(attempt: Attempt) -> dict[str, list[Point]]:
    found: dict[str, list[Point]] = {}
    for name, shape in _shapes(attempt, View(1.0, 0.0, 0.0)):
        found.setdefault(name, []).append((shape.centroid.x, shape.centroid.y))
    return found


def _shapes(attempt: Attempt, view: View) -> Iterator[tuple[str, shapely.Polygon]]:
    shift = np.array([view.dx, view.dy])
    for piece in attempt.content.plat.pieces:
        if has_outline(piece):
            rings = [ring.points * view.scale + shift for ring in (piece.ring, *piece.holes)]
            yield piece.zone, shapely.Polygon(rings[0], rings[1:])


def _draw_dashed(pages: Pages, shape: shapely.Polygon) -> None:
    for ring in (shape.exterior, *shape.interiors):
        for dash in dashes(np.array(ring.coords), 1.6, 1.4):
            for start, end in pairwise(dash):
                pages.line((float(start[0]), float(start[1])), (float(end[0]), float(end[1])), width=0.35, grey=0.35)


def _draw_arrow(pages: Pages, start: Point, end: Point) -> None:
    """Black with a white rim; of a short way longer than it was, about its middle, so that a child sees it."""
    length = math.dist(start, end)
    if length < 1e-6:
        return
    if length < _SHORTEST:
        more = (_SHORTEST / length - 1) / 2
        dx, dy = more * (end[0] - start[0]), more * (end[1] - start[1])
        start, end, length = (start[0] - dx, start[1] - dy), (end[0] + dx, end[1] + dy), _SHORTEST
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    head = min(3.2, 0.6 * length)
    neck = (end[0] - head * ux, end[1] - head * uy)
    side = 0.45 * head
    for width, grey in ((1.8, 1.0), (0.8, 0.0)):
        pages.line(start, neck, width=width, grey=grey)
    barbs = [end, (neck[0] - side * uy, neck[1] + side * ux), (neck[0] + side * uy, neck[1] - side * ux)]
    pages.shape([barbs], width=0.3, grey=1.0, fill=0.0)


def _draw_names(
    pages: Pages, placed: Sequence[Attempt], view: View, box: Box, arrows: Sequence[tuple[Point, Point]]
) -> float:
    """Names over no outline and no arrow, beside their pieces where they find no room there; returns where they end."""
    names = list(dict.fromkeys(name for name, _ in _shapes(placed[-1], view)))
    places = [Place(names.index(name) + 1, name, shape) for name, shape in _shapes(placed[-1], view)]
    lines = [shape.exterior for attempt in placed for _, shape in _shapes(attempt, view)]
    lines += [shapely.LineString(arrow) for arrow in arrows]
    parcel = view.box(Box(0, 0, placed[-1].content.plat.width, placed[-1].content.plat.depth))
    lines.append(shapely.box(parcel.x, parcel.y, parcel.x + parcel.width, parcel.y + parcel.height).exterior)
    labels = placed_labels(places, Box(box.x, box.y, box.width, box.height), _NAME, lines)
    for label in labels:
        _draw_name(pages, label)
    entries = dict.fromkeys(f"{label.text} {names[label.number - 1]}" for label in labels if label.is_number)
    y = box.y + box.height
    for entry in sorted(entries, key=lambda entry: int(entry.split()[0])):
        y += _ENTRY
        pages.fitted(box.x, y, entry, box.width, size=_NAME)
    return y + 6 if entries else y


def _draw_name(pages: Pages, label: Label) -> None:
    if label.leader is not None:
        pages.line(*label.leader, width=0.3, grey=0.2)
    middle = (label.box.x + label.box.width / 2, label.box.y + label.box.height / 2 + 0.36 * _NAME * 25.4 / 72)
    pages.text(*middle, label.text, size=_NAME, bold=label.is_number, align="centre")


def _draw_key(pages: Pages, x: float, y: float, placed: Sequence[Attempt]) -> None:
    last = placed[-1].number
    if len(placed) > 1:
        for n in range(4):
            pages.line((x + 3 * n, y - 1), (x + 3 * n + 1.6, y - 1), width=0.35, grey=0.35)
        pages.text(x + 14, y, "earlier attempts", size=10)
    pages.line((x + 50, y - 1), (x + 60, y - 1), width=0.7)
    pages.text(x + 62, y, f"attempt {last}", size=10)
    if len(placed) > 1:
        _draw_arrow(pages, (x + 95, y - 1), (x + 105, y - 1))
        pages.text(x + 107, y, "moved", size=10)


# ---- the tables


def _rules(shown: Sequence[Attempt], width: float) -> list[Flowable]:
    """Every rule of the last attempt with its sign and value in each, and which were won and lost on the way."""
    last = shown[-1].content
    if not last.rules:
        return []
    fates = [
        {change.text: change.fate for change in rule_changes(one.content.result, two.content.result)}
        for one, two in pairwise(shown)
    ]
    size = 9.5 if len(last.rules) <= _MANY else 8.0
    rows: list[list[object]] = [["", para("rule", 9, bold=True, after=0), *(_head(one) for one in shown)]]
    for rule in last.result.rules:
        cells = [
            _cell(attempt.content.result, rule.text, _fate(fates, n, rule.text)) for n, attempt in enumerate(shown)
        ]
        rows.append([para(str(len(rows)), size, bold=True, after=0), para(rule.text, size, after=0), *cells])
    met = [sum(verdict_of(rule) == "met" for rule in one.content.result.rules) for one in shown]
    of = [len(one.content.result.rules) for one in shown]
    count = [para(f"{a} of {b}", 9.5, bold=True, after=0) for a, b in zip(met, of, strict=True)]
    rows.append(["", para("rules met", 9.5, bold=True, after=0), *count])
    return [*section("Rules", room=40), _table(rows, (8.0, width - 8 - _ATTEMPT * len(shown)), len(shown))]


def _fate(fates: Sequence[dict[str, Fate]], n: int, text: str) -> str:
    return _MARKS.get(fates[n - 1].get(text, "as before"), "") if n else ""


def _cell(result: Result, text: str, mark: str) -> list[Flowable]:
    """The sign, what happened, and the measured value."""
    rule = next((rule for rule in result.rules if rule.text == text), None)
    if rule is None:
        return [para("–", 9, after=0)]
    value = rule_value(rule, result.numbers)
    words = [para(value, 8.5, after=0)] if value else []
    if mark:
        words.append(para(mark, 9, bold=True, after=0))
    sign = Sign(verdict_of(rule), sign_height(9.5))
    return [_side_by_side(sign, words)] if words else [sign]


def _side_by_side(first: Flowable, second: list[Flowable]) -> Flowable:
    """In one line, which keeps rules and areas on one page."""
    bare: list[tuple[object, ...]] = [
        (f"{side}PADDING", (0, 0), (-1, -1), 0) for side in ("LEFT", "RIGHT", "TOP", "BOTTOM")
    ]
    style = TableStyle([*bare, ("VALIGN", (0, 0), (-1, -1), "TOP")])
    return Table([[first, second]], colWidths=[14, _ATTEMPT * POINTS_PER_MM - 18], style=style, hAlign="LEFT")


def _areas(shown: Sequence[Attempt], width: float) -> Flowable:
    """Every zone's area in each attempt, in the class's numbers."""
    return _sizes("zone", [{zone.name: zone.area for zone in one.content.zones} for one in shown], shown, width)


def _lengths(shown: Sequence[Attempt], width: float) -> Flowable:
    """Every line's length in each attempt."""
    return _sizes("length of", [{line.name: line.length for line in one.content.lines} for one in shown], shown, width)


def _sizes(of: str, sizes: Sequence[Mapping[str, str]], shown: Sequence[Attempt], width: float) -> Flowable:
    """A row for every name in any attempt, those of the latest first."""
    rows: list[list[object]] = [["", para(of, 9, bold=True, after=0), *(_head(one) for one in shown)]]
    for name in dict.fromkeys(name for known in reversed(sizes) for name in known):
        said = (para(known.get(name, "–"), 8.5, after=0) for known in sizes)
        rows.append(["", para(name, 9.5, after=0), *said])
    return _table(rows, (1.0, width - 1 - _ATTEMPT * len(shown)), len(shown))


def _head(attempt: Attempt) -> Flowable:
    return para(f"attempt {attempt.number}", 9, bold=True, after=0)


def _table(rows: Sequence[Sequence[object]], widths: Sequence[float], attempts: int) -> Flowable:
    style = TableStyle(
        [
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 1),
            ("RIGHTPADDING", (0, 0), (-1, -1), 2),
            ("TOPPADDING", (0, 0), (-1, -1), 2),
            ("BOTTOMPADDING", (0, 0), (-1, -1), 2),
            ("LINEBELOW", (0, 0), (-1, -1), 0.4, (0.65, 0.65, 0.65)),
            ("LINEBELOW", (0, 0), (-1, 0), 0.9, (0.2, 0.2, 0.2)),
        ]
    )
    columns = [width * POINTS_PER_MM for width in (*widths, *(_ATTEMPT for _ in range(attempts)))]
    return Table([list(row) for row in rows], colWidths=columns, repeatRows=1, style=style, hAlign="LEFT")
