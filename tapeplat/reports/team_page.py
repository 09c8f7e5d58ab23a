"""One team's page for the wall or the parents' evening: picture, rules, areas, room for the team's own words."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass

from PIL import Image
from reportlab.platypus import Flowable, Table, TableStyle

from calib.printed import Box
from tapeplat.paper.pdf.flow import para, set_in_box, space
from tapeplat.paper.pdf.fonts import printable
from tapeplat.paper.pdf.pdf_canvas import FOOTER, MARGIN, POINTS_PER_MM, Pages
from tapeplat.paper.pdf.signs import Sign, sign_height
from tapeplat.reports.report_content import RuleLine, TeamContent, ZoneLine, tally
from tapeplat.reports.scale_map import draw_map, map_height

_HEAD = 41.0
"""Where the picture begins, below the challenge's title, the team's name and the count of rules."""
_ZONES = (52.0, 66.0)
"""Widths of the zones' column: the wider one where long names would take two lines each."""
_MANY_ZONES = 7
_GUTTER = 7.0
_WORDS = 36.0
"""The least height of the box for the team's own words."""
_GAP = 5.0
_LINE = 8.5
_FITS = (
    (11.0, 95.0), (10.5, 95.0), (10.0, 95.0), (9.4, 92.0), (8.8, 88.0), (8.2, 82.0), (7.6, 76.0), (7.0, 70.0),
    (6.5, 65.0), (6.0, 60.0), (5.5, 55.0),
)  # fmt: skip
"""Sizes of the text, and the least height of the picture (or what the page's width allows) that each will do with."""
_SIGN = 1.75
"""Width of the column of signs, in sizes of the text."""


@dataclass(frozen=True, eq=False)
class _Layout:
    """Text size, the zones' column's width, heights of picture and zones side by side and of the rules below; mm."""

    size: float
    zones: float
    picture: float
    rules: float


def draw_team_page(pages: Pages, content: TeamContent) -> None:
    """The whole page. Text becomes smaller, and then the picture, where there is much to say."""
    pages.start()
    paper = pages.paper
    width = paper.width - 2 * MARGIN
    _draw_head(pages, content, width)
    layout = _lay_out(pages, content)
    left, half = width - layout.zones - _GUTTER, (width - _GUTTER) / 2
    _draw_picture(pages, Box(MARGIN, _HEAD, left, layout.picture), content)
    beside = Box(MARGIN + left + _GUTTER, _HEAD, layout.zones, layout.picture)
    set_in_box(pages, beside, _zones(content, layout.size, layout.zones))
    top = _HEAD + layout.picture + _GAP
    for n, column in enumerate(_columns(pages, content.rules, layout.size, half)):
        set_in_box(pages, Box(MARGIN + n * (half + _GUTTER), top, half, layout.rules), column)
    words = top + layout.rules + _GAP
    _draw_words(pages, Box(MARGIN, words, width, paper.height - FOOTER - words))


def _draw_head(pages: Pages, content: TeamContent, width: float) -> None:
    """The challenge, the team, the count; a line to write on where the team has no name that can be printed."""
    pages.fitted(MARGIN, 16, content.title, width, size=11, grey=0.3)
    named = any(sign.isalnum() for sign in printable(content.team))
    pages.fitted(MARGIN, 28, content.name if named else "Team", width, size=28, bold=True)
    if not named:
        pages.line((MARGIN + 34, 29), (MARGIN + 120, 29), width=0.3)
    pages.fitted(MARGIN, 36, tally([rule.verdict for rule in content.rules]), width, size=12)
    pages.line((MARGIN, 38.2), (pages.paper.width - MARGIN, 38.2), width=0.4, grey=0.5)


def _lay_out(pages: Pages, content: TeamContent) -> _Layout:
    """The largest text beside which the picture keeps a good size; the words' box gets what the picture cannot use.

    Where even the smallest text is too much, zones and rules shrink alike.
    """
    width = pages.paper.width - 2 * MARGIN
    room = pages.paper.height - _HEAD - FOOTER - 2 * _GAP - _WORDS
    half, zones, rules = (width - _GUTTER) / 2, 0.0, 0.0
    for size, least in _FITS:
        rules = max(_height(pages, column, half) for column in _columns(pages, content.rules, size, half))
        for beside in _ZONES:
            most = _picture_height(content, width - beside - _GUTTER, room)
            zones = _height(pages, _zones(content, size, beside), beside)
            if room - rules >= max(zones, min(most, least)):
                return _Layout(size, beside, min(max(most, zones), room - rules), rules)
    upper = max(zones, _FITS[-1][1])
    share = room / (upper + rules)
    return _Layout(_FITS[-1][0], _ZONES[-1], upper * share, rules * share)


def _picture_height(content: TeamContent, width: float, room: float) -> float:
    """The height of the picture, or of the map in its place, over the whole width."""
    if content.picture is None:
        return map_height(content, width, room)
    across, down = _pixels(content.picture)
    return min(room, width * down / across)


def _height(pages: Pages, story: Sequence[Flowable], width: float) -> float:
    """The height in mm of a story set in a column of this width."""
    points = width * POINTS_PER_MM
    heights = (part.wrapOn(pages.canvas, points, 1e5)[1] + part.getSpaceAfter() for part in story)
    return float(sum(heights)) / POINTS_PER_MM + 0.5


def _columns(pages: Pages, rules: Sequence[RuleLine], size: float, width: float) -> list[list[Flowable]]:
    """The rules in order in two columns of about the same height, the first one under a heading."""
    heights = [_height(pages, [_rules(rules[n : n + 1], size, width)], width) for n in range(len(rules))]
    first = next((n for n in range(len(rules) + 1) if sum(heights[:n]) >= sum(heights[n:])), 0)
    title = para("Our rules", 1.15 * size, bold=True, after=0.6)
    if not rules:
        return [[title, para("The challenge has no rules.", size)], []]
    level = space(_height(pages, [title], width) - 0.5)
    rest = [level, _rules(rules[first:], size, width)] if rules[first:] else []
    return [[title, _rules(rules[:first], size, width)], rest]


def _rules(rules: Sequence[RuleLine], size: float, width: float) -> Flowable:
    """A row each: the sign, the rule with its number, the verdict's word with what was measured."""
    rows = []
    for rule in rules:
        said = f"{rule.word[:1].upper()}{rule.word[1:]}"
        detail = para(rule.detail, 0.9 * size, after=0, lead=f"{said}. " if rule.detail else said)
        sign = Sign(rule.verdict, sign_height(size), drop=0.25 * size)
        rows.append([sign, [para(f"{rule.number}. {rule.text}", size, after=0), detail]])
    sign_width = _SIGN * size / POINTS_PER_MM
    return _lined(rows, (sign_width, width - sign_width), size)


def _zones(content: TeamContent, size: float, width: float) -> list[Flowable]:
    """A row each: the zone's name, its area, its share of the parcel; then every line's name and length."""
    dense = len(content.zones) + len(content.lines) > _MANY_ZONES
    rows = [[_zone(zone, size, dense=dense)] for zone in content.zones]
    title = para("Our zones", 1.15 * size, bold=True, after=0.2)
    table = [para("area, share of the parcel", 0.9 * size, after=0.6), _lined(rows, (width,), size)] if rows else []
    lines = [[_named(line.name, line.brief, size, dense=dense)] for line in content.lines]
    below = [para("Our lines", 1.15 * size, bold=True, after=0.6), _lined(lines, (width,), size)] if lines else []
    return [title, *table, *below]


def _zone(zone: ZoneLine, size: float, *, dense: bool) -> list[Flowable]:
    """Name and area in a line each, or in one where there are many zones."""
    name = f"{zone.name} (keep clear)" if zone.keep_clear else zone.name
    return _named(name, zone.brief, size, dense=dense)


def _named(name: str, said: str, size: float, *, dense: bool) -> list[Flowable]:
    if dense:
        return [para(said, size, after=0, lead=f"{name}:")]
    return [para(name, size, bold=True, after=0), para(said, 0.9 * size, after=0)]


def _lined(rows: Sequence[Sequence[object]], widths: Sequence[float], size: float) -> Flowable:
    """Rows with hairlines between them."""
    pad = 0.22 * size
    style = TableStyle(
        [
            ("LINEABOVE", (0, 0), (-1, -1), 0.4, (0.6, 0.6, 0.6)),
            ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LEFTPADDING", (0, 0), (-1, -1), 0),
            ("RIGHTPADDING", (0, 0), (-1, -1), 0),
            ("TOPPADDING", (0, 0), (-1, -1), pad),
            ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
        ]
    )
    return Table([list(row) for row in rows], colWidths=[w * POINTS_PER_MM for w in widths], style=style, hAlign="LEFT")


def _draw_picture(pages: Pages, box: Box, content: TeamContent) -> None:
    """The picture in the middle of its box, thinly framed; the map where there is no picture."""
    if content.picture is None:
        draw_map(pages, box, content)
        return
    across, down = _pixels(content.picture)
    width = min(box.width, box.height * across / down)
    frame = Box(box.x + (box.width - width) / 2, box.y, width, width * down / across)
    pages.picture(content.picture, frame)
    pages.box(frame, width=0.25, grey=0.3)


def _draw_words(pages: Pages, box: Box) -> None:
    """Lines to write on, as many as there is room for."""
    pages.box(box, width=0.4, grey=0.45)
    pages.text(box.x + 3, box.y + 6, "In our own words", size=11, bold=True)
    pages.fitted(
        box.x + 44,
        box.y + 6,
        "What works well? What surprised us? What would we change?",
        box.width - 47,
        size=9,
        grey=0.35,
    )
    y = box.y + 6 + _LINE
    while y < box.y + box.height - 2:
        pages.line((box.x + 3, y), (box.x + box.width - 3, y), width=0.2, grey=0.55)
        y += _LINE


def _pixels(picture: bytes) -> tuple[int, int]:
    with Image.open(io.BytesIO(picture)) as image:
        return image.size
