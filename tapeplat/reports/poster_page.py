"""A poster for the wall and the parents' evening: the model across the page, what is right, what is next.

The exact report is a page of its own.  Everything is black on white but the photo, and reads in a grey print.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from reportlab.platypus import Flowable

from calib.printed import Box
from tapeplat.paper.pdf.flow import para, set_in_box
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import FOOTER, MARGIN, POINTS_PER_MM, Pages
from tapeplat.paper.pdf.signs import draw_sign
from tapeplat.paper.pdf.tiling import View
from tapeplat.reports.poster_labels import SIZE, Label, Place, placed_labels
from tapeplat.reports.poster_words import MOST_RIGHT, PosterWords, poster_words
from tapeplat.reports.report_content import TeamContent
from tapeplat.reports.scale_map import Land, draw_lands, lands_of, outlines_extent

_TOP = 34.0
"""Where the picture begins, below challenge and team."""
_GAP = 4.0
_COLUMN, _INDENT = 0.6, 14.0
"""The part of the width for what is right; what its column has free of text, mm."""
_TEXT = (14.0, 13.0, 12.0, 11.0, 10.0)
_WORDS, _SIGNATURE = 38.0, 12.0
_WORDS_BESIDE = 54.0
"""Width of the team's words beside a model that is taller than wide, or as wide."""
_LINE = 8.6
_LEGEND_ROW = 6.6
_LEGEND_SIZES = (SIZE, 12.0, 10.0, 8.5, 7.0)
_MOST_LEGEND = 0.4
"""Of the model's height: what a legend of many long names may take before its text becomes smaller than the names'."""
_BETWEEN = "\u00a0\u00a0\u00a0 "
_LEAST_PICTURE = 70.0
_TRIES = 6


def draw_poster(pages: Pages, content: TeamContent, own_words: str = "") -> None:
    """One page. own_words are printed in the box that else has lines to write on."""
    pages.start()
    paper = pages.paper
    width = paper.width - 2 * MARGIN
    _draw_head(pages, content, width)
    words = poster_words(content)
    size, said = _fitting(pages, words, width)
    foot = paper.height - FOOTER - _SIGNATURE
    above = Box(MARGIN, _TOP, width, foot - _TOP - said - _WORDS - 2 * _GAP)
    left = Box(MARGIN, _TOP, width - _WORDS_BESIDE - _GAP, foot - _TOP - said - _GAP)
    beside = _scale(content, left) > _scale(content, above)
    below = _draw_model(pages, content, left if beside else above)
    _draw_said(pages, words, Box(MARGIN, below + _GAP, width, said), size)
    top = below + said + 2 * _GAP
    own = Box(MARGIN + width - _WORDS_BESIDE, _TOP, _WORDS_BESIDE, below - _TOP)
    _draw_words(pages, own if beside else Box(MARGIN, top, width, foot - top), own_words)
    _draw_signature(pages, foot + 9)


def _scale(content: TeamContent, box: Box) -> float:
    """How large the model is in a box."""
    extent = outlines_extent(content.plat)
    return min(box.width / extent.width, box.height / extent.height)


def _draw_head(pages: Pages, content: TeamContent, width: float) -> None:
    """The challenge and the team; a line to write on where the team has no name that can be printed."""
    pages.fitted(MARGIN, 15, content.title, width, size=14, grey=0.25)
    named = any(sign.isalnum() for sign in printable(content.team))
    pages.fitted(MARGIN, 29, content.name if named else "Team", width, size=34, bold=True)
    if not named:
        pages.line((MARGIN + 40, 30), (MARGIN + 140, 30), width=0.3)


# ---- the model


@dataclass(frozen=True, eq=False)
class _Model:
    """How the model lies on the page: its view, the pieces of land, their labels, the lines of the legend below."""

    view: View
    picture: Box
    lands: tuple[Land, ...]
    labels: tuple[Label, ...]
    legend: tuple[str, ...]
    size: float
    """Of the legend's text, points."""

    @property
    def bottom(self) -> float:
        """Where it ends, mm."""
        end = self.picture.y + self.picture.height
        return end + 2 + len(self.legend) * _row(self.size) if self.legend else end


def _row(size: float) -> float:
    return _LEGEND_ROW * size / SIZE


def _draw_model(pages: Pages, content: TeamContent, box: Box) -> float:
    """The photo, or the outlines where there is none, with the zones' names; returns where it ends."""
    model = _laid_out(content, box)
    if content.photo is not None:
        with pages.clipped(model.picture):
            pages.picture(content.photo.jpeg, model.view.box(content.photo.extent))
            _draw_outlines(pages, [land.shape for land in model.lands])
    else:
        draw_lands(pages, model.lands, content)
    pages.box(model.picture, width=0.4)
    for label in model.labels:
        _draw_label(pages, label)
    for n, line in enumerate(model.legend, start=1):
        y = model.picture.y + model.picture.height + 2 + (n - 0.2) * _row(model.size)
        pages.fitted(box.x, y, line, box.width, size=model.size)
    return model.bottom


def _laid_out(content: TeamContent, box: Box) -> _Model:
    """As large as the box allows; names that find no room in the picture take lines below it."""
    model = _model_in(content, box, box.height)
    for _ in range(_TRIES):
        over = model.bottom - box.y - box.height
        if over <= 1e-6:
            break
        kept = box.height - (model.bottom - model.picture.y - model.picture.height)
        model = _model_in(content, Box(box.x, box.y, box.width, kept), box.height)
    return model


def _model_in(content: TeamContent, box: Box, whole: float) -> _Model:
    """The picture in a box, and what stands below it, of a whole height."""
    extent = outlines_extent(content.plat)
    scale = _scale(content, box)
    left = box.x + (box.width - extent.width * scale) / 2
    view = View(scale, left - extent.x * scale, box.y - extent.y * scale)
    picture, lands = view.box(extent), tuple(lands_of(content, view))
    labels = placed_labels([Place(land.number, _name(content, land.number), land.shape) for land in lands], picture)
    numbers = sorted({(label.number, label.text) for label in labels if label.is_number})
    entries = [f"{text} {_name(content, number)}" for number, text in numbers]
    for size in _LEGEND_SIZES:
        legend = _legend_lines(entries, box.width, size)
        if len(legend) * _row(size) <= _MOST_LEGEND * whole:
            break
    return _Model(view, picture, lands, tuple(labels), tuple(legend), size)


def _name(content: TeamContent, number: int) -> str:
    return content.zones[number - 1].name


def _draw_outlines(pages: Pages, shapes: Sequence[shapely.Geometry]) -> None:
    """Black with a white rim, so that they show on light and dark."""
    for width, grey in ((1.3, 1.0), (0.5, 0.0)):
        for shape in shapes:
            for part in shapely.get_parts(shape):
                if isinstance(part, shapely.Polygon):
                    for ring in (part.exterior, *part.interiors):
                        pages.shape([list(ring.coords)[:-1]], width=width, grey=grey)


def _draw_label(pages: Pages, label: Label) -> None:
    box = label.box
    if label.leader is not None:
        for width, grey in ((1.4, 1.0), (0.5, 0.0)):
            pages.line(*label.leader, width=width, grey=grey)
    pages.box(box, width=0.3, fill=1.0)
    size = SIZE + 2 if label.is_number else SIZE
    pages.text(box.x + box.width / 2, box.y + box.height / 2 + 0.36 * size * 25.4 / 72, label.text, size=size,
               bold=label.is_number, align="centre")  # fmt: skip


def _legend_lines(entries: Sequence[str], width: float, size: float) -> list[str]:
    """As many entries on a line as it holds."""
    lines: list[str] = []
    for entry in entries:
        longer = f"{lines[-1]}{_BETWEEN}{entry}" if lines else entry
        if lines and text_width(printable(longer), size) <= width:
            lines[-1] = longer
        else:
            lines.append(entry)
    return lines


# ---- the words


def _fitting(pages: Pages, words: PosterWords, width: float) -> tuple[float, float]:
    """The largest text whose height leaves the picture its room, and that height in mm."""
    most = pages.paper.height - FOOTER - _TOP - _WORDS - _SIGNATURE - 2 * _GAP - _LEAST_PICTURE
    for size in _TEXT:
        height = max(
            _height(pages, _right(words, size), _COLUMN * width - _INDENT),
            _height(pages, _coming(words, size), (1 - _COLUMN) * width - 12) + 5,
        )
        if height <= most:
            return size, height
    return _TEXT[-1], most


def _height(pages: Pages, story: Sequence[Flowable], width: float) -> float:
    points = width * POINTS_PER_MM
    return float(sum(p.wrapOn(pages.canvas, points, 1e5)[1] + p.getSpaceAfter() for p in story)) / POINTS_PER_MM + 1


def _right(words: PosterWords, size: float) -> list[Flowable]:
    count = {1: "One thing that is right", 2: "Two things that are right"}
    title = para(count.get(len(words.right), "Three things that are right"), 1.15 * size, bold=True, after=2)
    return [title, *(para(text, size, after=2.5) for text in words.right[:MOST_RIGHT])]


def _coming(words: PosterWords, size: float) -> list[Flowable]:
    rule = [para(words.rule, 0.9 * size, after=0)] if words.rule else []
    return [para("What we try next", 1.15 * size, bold=True, after=2), para(words.next, size, after=2), *rule]


def _draw_said(pages: Pages, words: PosterWords, box: Box, size: float) -> None:
    """What is right with its ticks on the left, what is next in a frame on the right."""
    wide = _COLUMN * box.width
    title, *right = _right(words, size)
    set_in_box(pages, Box(box.x, box.y, wide - _INDENT, box.height), [title])
    y = box.y + _height(pages, [title], wide - _INDENT) - 1
    for text in right:
        height = _height(pages, [text], wide - _INDENT)
        centre = ((box.x + 3.2) * POINTS_PER_MM, (pages.paper.height - y - 0.23 * size) * POINTS_PER_MM)
        draw_sign(pages.canvas, centre, 0.5 * size, "met")
        set_in_box(pages, Box(box.x + 9, y, wide - _INDENT, box.height - (y - box.y) + 2), [text])
        y += height - 1
    frame = Box(box.x + wide, box.y, box.width - wide, box.height)
    pages.box(frame, width=0.6)
    set_in_box(pages, Box(frame.x + 5, frame.y + 3, frame.width - 10, frame.height - 4), _coming(words, size))


def _draw_words(pages: Pages, box: Box, own_words: str) -> None:
    """The team's words as they were given, or lines to write on."""
    pages.box(box, width=0.4, grey=0.45)
    pages.text(box.x + 4, box.y + 7, "In our own words", size=14, bold=True)
    if own_words.strip():
        set_in_box(pages, Box(box.x + 4, box.y + 10, box.width - 8, box.height - 12), [para(own_words, 14)])
        return
    y = box.y + 8 + _LINE
    while y < box.y + box.height - 2:
        pages.line((box.x + 4, y), (box.x + box.width - 4, y), width=0.2, grey=0.5)
        y += _LINE


def _draw_signature(pages: Pages, y: float) -> None:
    """Who made it, in initials or a drawing, and when."""
    pages.text(MARGIN, y, "Signed by the team:", size=12)
    pages.line((MARGIN + 46, y + 0.8), (MARGIN + 128, y + 0.8), width=0.3)
    pages.text(MARGIN + 134, y, "Date:", size=12)
    pages.line((MARGIN + 148, y + 0.8), (pages.paper.width - MARGIN, y + 0.8), width=0.3)
