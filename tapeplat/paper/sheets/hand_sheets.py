"""Sheets for measuring by hand, one for each way: counting squares, ruler and formula, cubes.

The columns are the fields that hand measurements are entered from, under the same names; what holds for a whole table
(team, who, unit, method, division) stands once above it.  A column "side 3" means quantity side, other 3.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import shapely
from reportlab.platypus import Flowable

from calib.printed import Box
from measure.challenge import Challenge
from tapeplat.paper.exercises.rule_facts import EDGES, named_pairs
from tapeplat.paper.pdf.flow import PUPIL, flow_fitted, numbered, para, section, set_in_box, space, table
from tapeplat.paper.pdf.pdf_canvas import HEADER, MARGIN, Pages, Point
from tapeplat.paper.sheets.sheet_job import Job

SQUARES_HEADING = "Measuring sheet: count squares"
RULER_HEADING = "Measuring sheet: ruler and formula"
CUBES_HEADING = "Measuring sheet: count cubes"
_SIDES = 6
_ROW = 10.0
_SPARE_ROWS = 3
"""For further pieces of a zone."""
_PIECE = 15.0
_EXAMPLE: tuple[Point, ...] = ((0, 0), (28, 0), (28, 15), (50, 15), (50, 34), (0, 34))
"""An outline that belongs to no challenge, in mm on the page."""
_EXAMPLE_WIDTH = 62.0
_INTRO = 66.0
"""Height of the steps and the numbered example."""
_NO_BREAK = "\u00a0"

Rows = list[Sequence[Flowable | str]]


def draw_squares(pages: Pages, job: Job) -> None:
    """For areas by counting the squares of a clear grid."""
    steps = [
        f"Lay the clear grid on the outline. Go by the tape's {EDGES[job.challenge.tape_edge]}.",
        "Count the whole squares. Then count the squares that are cut: two of them make about one.",
        "Work out the area: squares times the area of one square.",
    ]
    _start(pages, SQUARES_HEADING, steps)
    width = _width(pages)
    widths = (width - _PIECE - 22 - 3 * 32, _PIECE, 22, 32, 32, 32)
    rows: Rows = [("zone", "piece", "quantity", "whole squares", "cut squares", "value (area)")]
    rows += [(name, "", "area", "", "", "") for name in _zones_and_spares(job.challenge)]
    fields = _sheet_fields(job.challenge.unit, "squares", "side of one square")
    _flow(pages, SQUARES_HEADING, lambda factor: [fields, table(rows, widths, row_height=_ROW * factor)])


def draw_ruler(pages: Pages, job: Job) -> None:
    """For sides, perimeters and gaps with a ruler, areas and shares by formula."""
    steps = [
        f"Measure every side along the tape's {EDGES[job.challenge.tape_edge]}, from corner to corner.",
        "Add the sides: that is the perimeter.",
        "Cut the shape into shapes you know. Work out each area, then add them.",
    ]
    _start(pages, RULER_HEADING, steps)
    challenge, width = job.challenge, _width(pages)
    pairs = named_pairs(challenge)

    def story(factor: float) -> list[Flowable]:
        made = [_sheet_fields(challenge.unit, "ruler", "smallest division"), _sides_table(challenge, width, factor)]
        if pairs:
            heading = f"Gaps: the shortest way, between the tapes' {EDGES[challenge.tape_edge]}s"
            made += [space(5 * factor), *section(heading), _gaps_table(pairs, width, factor)]
        fields = _sheet_fields(challenge.unit, "formula", "smallest division")
        return [
            *made,
            space(5 * factor),
            *section("Areas by formula", room=90),
            fields,
            _formula_table(challenge, width, factor),
        ]

    _flow(pages, RULER_HEADING, story)


def draw_cubes(pages: Pages, job: Job) -> None:
    """For volumes by counting unit cubes, and for heights."""
    steps = [
        "Build each structure again from cubes, or fill it with cubes.",
        "Count the cubes in one layer, then count the layers. Multiply.",
        "Measure each height with a ruler that stands on the board.",
    ]
    _start(pages, CUBES_HEADING, steps)
    width = _width(pages)
    widths = (width - _PIECE - 24 - 64 - 32, _PIECE, 24, 64, 32)
    rows: Rows = [("zone", "piece", "quantity", "cubes in a layer × layers", "value")]
    rows += [(name, "", "volume", "", "") for name in _zones_and_spares(job.challenge)]
    tall: Rows = [("zone", "piece", "quantity", "which structure", "value")]
    tall += [(name, "", "height", "", "") for name in _zones_and_spares(job.challenge)]
    counted = _sheet_fields("", "cubes", "side of one cube")
    ruled = _sheet_fields(job.challenge.unit, "ruler", "smallest division")

    def story(factor: float) -> list[Flowable]:
        made = [counted, table(rows, widths, row_height=_ROW * factor), space(5 * factor)]
        return [*made, *section("Heights"), ruled, table(tall, widths, row_height=_ROW * factor)]

    _flow(pages, CUBES_HEADING, story)


def _flow(pages: Pages, heading: str, story: Callable[[float], Sequence[Flowable]]) -> None:
    """Tables below the steps and the example; their last rows never go alone on a page."""
    flow_fitted(pages, heading, story, top=HEADER + _INTRO)


def _start(pages: Pages, heading: str, steps: list[str]) -> None:
    """A page with the steps at the left and a numbered example at the right."""
    pages.start(heading)
    set_in_box(pages, Box(MARGIN, HEADER, _width(pages) - _EXAMPLE_WIDTH - 4, _INTRO - 2), numbered(steps, PUPIL))
    _draw_example(pages, pages.paper.width - MARGIN - _EXAMPLE_WIDTH + 6, HEADER + 8)
    words = para("Corner 1 is the one nearest the parcel's top left. Count on clockwise. Side 1 starts at corner 1.", 9)
    set_in_box(pages, Box(pages.paper.width - MARGIN - _EXAMPLE_WIDTH, HEADER + 48, _EXAMPLE_WIDTH, 13), [words])


def _draw_example(pages: Pages, left: float, top: float) -> None:
    points = [(left + x, top + y) for x, y in _EXAMPLE]
    pages.shape([points], width=1.6, grey=0.6)
    inner = shapely.Polygon(points)
    for n, (start, end) in enumerate(zip(points, points[1:] + points[:1], strict=True), start=1):
        pages.circle(start, 0.8, width=0.8)
        x, y = _beside(inner, start, start, 4.5)
        pages.text(x, y + 1.2, str(n), size=10, bold=True, align="centre")
        x, y = _beside(inner, start, end, -4.5)
        pages.text(x, y + 1, f"side {n}", size=7, align="centre")


def _beside(shape: shapely.Polygon, start: Point, end: Point, distance: float) -> Point:
    """A point beside the middle of a side or, where start is end, beside a corner; outside where distance > 0."""
    middle = shapely.Point((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    ring = shape.buffer(distance, join_style="mitre").exterior
    nearest = ring.interpolate(ring.project(middle)) if start != end else _nearest_corner(ring, middle)
    return nearest.x, nearest.y


def _nearest_corner(ring: shapely.LinearRing, point: shapely.Point) -> shapely.Point:
    return min((shapely.Point(corner) for corner in ring.coords), key=point.distance)


def _sides_table(challenge: Challenge, width: float, factor: float) -> Flowable:
    rows: Rows = [("zone", "piece", *(f"side {n}" for n in range(1, _SIDES + 1)), "perimeter")]
    rows += [(name, *("" for _ in range(_SIDES + 2))) for name in _zones_and_spares(challenge)]
    widths = (width - _PIECE - _SIDES * 17 - 27, _PIECE, *(17.0 for _ in range(_SIDES)), 27)
    return table(rows, widths, row_height=_ROW * factor)


def _gaps_table(pairs: Sequence[tuple[str, str]], width: float, factor: float) -> Flowable:
    rows: Rows = [("zone", "quantity", "other", "value")]
    rows += [(zone, "gap", other, "") for zone, other in pairs]
    half = (width - 24 - 40) / 2
    return table(rows, (half, 24, half, 40), row_height=_ROW * factor)


def _formula_table(challenge: Challenge, width: float, factor: float) -> Flowable:
    rows: Rows = [("zone", "piece", "working", "value (area)", "value (share)")]
    rows += [(name, "", "", "", "") for name in _zones_and_spares(challenge)]
    widths = (48, _PIECE, width - 48 - _PIECE - 2 * 30, 30, 30)
    return table(rows, widths, row_height=18 * factor)


def _sheet_fields(unit: str, method: str, division: str) -> Flowable:
    """What holds for every row of the table below."""
    line = "_" * 7
    fields = (f"team: {line}", f"who (initials): {line}", f"unit: {unit or line}", f"method: {method}")
    return para((_NO_BREAK * 3).join((*fields, f"division ({division}): {line}")), 9.5, after=3)


def _zones_and_spares(challenge: Challenge) -> list[str]:
    return [zone.name for zone in challenge.zones] + [""] * _SPARE_ROWS


def _width(pages: Pages) -> float:
    return pages.paper.width - 2 * MARGIN
