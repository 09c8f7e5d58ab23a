"""The planning sheet: the parcel at full size over several pages, and as a scale drawing on one."""

from __future__ import annotations

import math

from calib.printed import Box
from measure.challenge import Challenge, Zone
from measure.units import MM_PER, format_length
from tapeplat.paper.pdf.flow import PUPIL, para, set_in_box
from tapeplat.paper.pdf.fonts import printable, text_width
from tapeplat.paper.pdf.pdf_canvas import FOOTER, HEADER, MARGIN, Pages, PaperSize
from tapeplat.paper.pdf.tiling import View, draw_tiled, fewest, fitting_scale, parts, readable_step
from tapeplat.paper.sheets.sheet_job import Job

DRAWING_HEADING = "Planning sheet: scale drawing"
FULL_HEADING = "Planning sheet"
_EDGE = 3.0
"""White around the parcel, in mm, so that its edge shows."""
_NOTE = 34.0
"""Height for what is said above the scale drawing."""
_LEAST_CELL = 4.0
_GRID_GREY, _HATCH_GREY = 0.72, 0.6


def draw_scale_drawing(pages: Pages, job: Job) -> None:
    """The parcel on one page, its scale, its sides and what to keep clear."""
    challenge, parcel = job.challenge, job.challenge.parcel
    pages.start(DRAWING_HEADING)
    paper = pages.paper
    top = HEADER + _NOTE
    area = Box(MARGIN + 10, top, paper.width - 2 * MARGIN - 20, paper.height - top - FOOTER - 22)
    n = fitting_scale(parcel.width, parcel.depth, area)
    view = View(1 / n, (paper.width - parcel.width / n) / 2, area.y)
    step = _draw_plan(pages, view, challenge)
    notes = [
        para(f"Scale 1 : {n:g}. One square here is {format_length(step, challenge.unit)} on the parcel.", PUPIL),
        para("Draw your zones. Write the names, and how long the sides are on the parcel.", PUPIL),
    ]
    if any(zone.kind == "keep-clear" and zone.place and zone.size for zone in challenge.zones):
        notes.append(para("Striped: keep clear. Do not build there.", PUPIL, bold=True))
    set_in_box(pages, Box(MARGIN, HEADER, paper.width - 2 * MARGIN, _NOTE - 8), notes)
    _label_sides(pages, view.box(Box(0, 0, parcel.width, parcel.depth)), challenge)


def draw_full_size(pages: Pages, job: Job) -> None:
    """The parcel at full size over several pages."""
    draw_tiled(pages, FULL_HEADING, _extent(job.challenge), lambda p, view: _draw_plan(p, view, job.challenge))


def full_size_pages(challenge: Challenge, paper: PaperSize) -> int:
    """How many pages the parcel takes at full size."""
    return len(parts(_extent(challenge), fewest(_extent(challenge), paper)))


def _extent(challenge: Challenge) -> Box:
    """The parcel and a little white around it."""
    parcel = challenge.parcel
    return Box(-_EDGE, -_EDGE, parcel.width + 2 * _EDGE, parcel.depth + 2 * _EDGE)


def _label_sides(pages: Pages, box: Box, challenge: Challenge) -> None:
    parcel, unit = challenge.parcel, challenge.unit
    pages.text(box.x + box.width / 2, box.y - 2, "top", size=11, align="centre")
    across, down = box.x + box.width / 2, box.y + box.height / 2
    pages.text(across, box.y + box.height + 6, format_length(parcel.width, unit), size=13, align="centre")
    pages.text(box.x - 3, down, format_length(parcel.depth, unit), size=13, upwards=True, align="centre")


def _draw_plan(pages: Pages, view: View, challenge: Challenge) -> float:
    """The parcel with its grid and keep-clear areas; returns the grid's step in mm of the parcel."""
    step = _grid_step(challenge, view.scale)
    parcel = view.box(Box(0, 0, challenge.parcel.width, challenge.parcel.depth))
    for n in range(1, math.ceil(challenge.parcel.width / step - 1e-9)):
        x = view.place((n * step, 0))[0]
        pages.line((x, parcel.y), (x, parcel.y + parcel.height), width=0.15, grey=_GRID_GREY)
    for n in range(1, math.ceil(challenge.parcel.depth / step - 1e-9)):
        y = view.place((0, n * step))[1]
        pages.line((parcel.x, y), (parcel.x + parcel.width, y), width=0.15, grey=_GRID_GREY)
    with pages.clipped(parcel):  # a place that the file puts outside the parcel is drawn nowhere
        for zone in challenge.zones:
            _draw_keep_clear(pages, view, zone)
    pages.box(parcel, width=0.6)
    return step


def _grid_step(challenge: Challenge, scale: float) -> float:
    """One unit (1 cm where the unit is mm), or several where one would be too small to see."""
    unit = MM_PER["in"] if challenge.unit == "in" else MM_PER["cm"]
    return readable_step(unit, scale, _LEAST_CELL)


def _draw_keep_clear(pages: Pages, view: View, zone: Zone) -> None:
    """Stripes over a keep-clear area whose place and size are given; a cross where only its centre is."""
    if zone.kind != "keep-clear" or zone.place is None:
        return
    x, y = zone.place
    if zone.size is None:
        place = view.place((x, y))
        pages.line((place[0] - 3, place[1]), (place[0] + 3, place[1]), width=0.6)
        pages.line((place[0], place[1] - 3), (place[0], place[1] + 3), width=0.6)
        pages.text(place[0], place[1] - 4, zone.name, size=9, align="centre")
        return
    width, depth = zone.size
    box = view.box(Box(x - width / 2, y - depth / 2, width, depth))
    with pages.clipped(box):
        for n in range(int((box.width + box.height) / 4) + 1):
            start = box.x - box.height + n * 4
            pages.line((start, box.y + box.height), (start + box.height, box.y), width=0.4, grey=_HATCH_GREY)
    pages.box(box, width=0.5)
    _label_middle(pages, box, zone.name)


def _label_middle(pages: Pages, box: Box, name: str) -> None:
    """The name on white in the middle of a striped box."""
    size, room = 11.0, max(box.width - 4, 2.0)
    width = min(text_width(printable(name), size), room)
    across, down = box.x + box.width / 2, box.y + box.height / 2
    pages.box(Box(across - width / 2 - 1.5, down - 3, width + 3, 6), width=0, fill=1.0)
    pages.fitted(across, down + 1.4, name, room, size=size, align="centre")
