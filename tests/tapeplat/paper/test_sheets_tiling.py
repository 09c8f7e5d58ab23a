"""Sharing a drawing out over pages."""

from __future__ import annotations

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from calib.printed import Box
from tapeplat.paper.pdf.pdf_canvas import A4, LETTER
from tapeplat.paper.pdf.tiling import LEAST_OVERLAP, OVERLAP, SCALES, fewest, fitting_scale, parts, window_of

LENGTHS = st.floats(20, 1200)


@given(LENGTHS, LENGTHS, st.sampled_from([A4, LETTER]))
def test_pages_cover_the_drawing_and_neighbours_overlap(width, height, paper):
    extent = Box(-5, -5, width, height)
    pages = parts(extent, paper)
    covered = shapely.union_all([shapely.Polygon(page.window.corners) for page in pages])
    assert covered.buffer(1e-6).covers(shapely.box(-5, -5, width - 5, height - 5))
    at = {(p.row, p.column): p.window for p in pages}
    columns, rows = max(column for _, column in at), max(row for row, _ in at)
    for (row, column), window in at.items():
        if (row, column + 1) in at:
            check_overlap(window.x + window.width - at[row, column + 1].x, columns, window.width, width)
        if (row + 1, column) in at:
            check_overlap(window.y + window.height - at[row + 1, column].y, rows, window.height, height)


def check_overlap(overlap: float, count: int, window: float, length: float) -> None:
    """It is the less one only where as many pages with the usual one do not reach."""
    if overlap != pytest.approx(OVERLAP):
        assert overlap == pytest.approx(LEAST_OVERLAP)
        assert count * (window - OVERLAP) + OVERLAP < length


@given(LENGTHS, LENGTHS, st.sampled_from([A4, LETTER]))
def test_no_page_is_wasted(width, height, paper):
    """The last row and column show something that the pages before do not."""
    extent = Box(0, 0, width, height)
    for part in parts(extent, paper):
        assert part.column == 1 or part.window.x + OVERLAP < width
        assert part.row == 1 or part.window.y + OVERLAP < height
        assert part.drawn.width > 0
        assert part.drawn.height > 0


@given(LENGTHS, LENGTHS)
def test_scale_is_the_largest_usual_one_that_fits(width, height):
    area = window_of(A4)
    n = fitting_scale(width, height, area)
    assert width / n <= area.width + 1e-9
    assert height / n <= area.height + 1e-9
    larger = [scale for scale in SCALES if scale < n]
    if larger:
        assert width / larger[-1] > area.width or height / larger[-1] > area.height


@given(LENGTHS, LENGTHS, st.sampled_from([A4, LETTER]))
def test_the_paper_lies_the_way_that_needs_fewer_sheets(width, height, paper):
    extent = Box(0, 0, width, height)
    upright, turned = len(parts(extent, paper)), len(parts(extent, paper.turned))
    assert len(parts(extent, fewest(extent, paper))) == min(upright, turned)
    assert upright > turned or fewest(extent, paper) == paper


def test_a_parcel_of_eighteen_by_fourteen_inches_takes_four_sheets_of_either_paper():
    extent = Box(-3, -3, 18 * 25.4 + 6, 14 * 25.4 + 6)
    assert {len(parts(extent, fewest(extent, paper))) for paper in (A4, LETTER)} == {4}
    assert len(parts(extent, LETTER)) == 6
