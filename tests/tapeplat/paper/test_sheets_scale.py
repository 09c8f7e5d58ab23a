"""The print-scale test: sheets rasterised at 300 dpi, tags and lines found and compared with their nominal sizes."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
import shapely

from calib.card.card_view import CardView
from calib.card.swatch_boxes import read_boxes
from calib.printed import (
    CARD,
    CARD_MARK,
    CARD_SQUARE,
    CARD_TAG,
    CHECK_LINE_ALONG,
    CHECK_LINE_UP,
    DOT_DIAMETER,
    DOT_GREY,
    LENS_COLUMNS,
    LENS_MARKER,
    LENS_ROWS,
    LENS_SQUARE,
    LENS_TAGS,
    SELF_CHECK_BAND,
    SELF_CHECK_OUTLINES,
    SWATCHES,
    Box,
    swatch_dots,
    team_tag,
)
from tapeplat.paper.pdf.check_lines import ALONG, UP
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.pdf.tiling import OVERLAP, parts, window_of
from tests.helpers.rendered_sheets import Rendered, dark_runs, tags
from tests.helpers.scenes.card_plane import plane_of
from tests.helpers.scenes.view import looking

DPI = 300.0
PX = DPI / 25.4
NEAR = 0.1
"""mm: what a print may be off by before the printer comes to it."""


def sides(square: np.ndarray) -> np.ndarray:
    return np.linalg.norm(square - np.roll(square, -1, axis=0), axis=1)


def along_row(picture: np.ndarray, y: float, left: float = 0.0, right: float = 1e9) -> list[float]:
    """Where lines cross a row of the page: x in mm."""
    row = picture[round(y * PX - 0.5)].astype(float)
    return [x for x, _ in dark_runs(row, DPI) if left <= x <= right]


def along_column(picture: np.ndarray, x: float, top: float = 0.0, bottom: float = 1e9) -> list[float]:
    column = picture[:, round(x * PX - 0.5)].astype(float)
    return [y for y, _ in dark_runs(column, DPI) if top <= y <= bottom]


@pytest.fixture
def card_page(quarry, paper, render):
    """The card's page, and the card's top-left corner on it from its square."""
    picture = render(quarry, paper, "card").picture(0, DPI)
    square = tags(picture, DPI)[CARD_TAG][0]
    return picture, square, square[0] - [CARD_SQUARE.x, CARD_SQUARE.y]


def test_reference_square_is_80_mm_and_upright(card_page):
    _, square, _ = card_page
    assert sides(square) == pytest.approx([80.0] * 4, abs=NEAR)
    assert square[1, 0] > square[0, 0]  # the tag's first corner is at the top left of the print
    assert square[3, 1] > square[0, 1]


def test_cutting_line_and_swatch_boxes_lie_where_they_are_designed(card_page):
    picture, _, (left, top) = card_page
    edges = along_row(picture, top + 20, left - 1, left + CARD.width + 1)
    assert (edges[0], edges[-1]) == (pytest.approx(left, abs=NEAR), pytest.approx(left + CARD.width, abs=NEAR))
    edges = along_column(picture, left + 178, top - 1, top + CARD.height + 1)
    assert edges == pytest.approx([top, top + CARD.height], abs=NEAR)
    for box in SWATCHES:
        x = along_row(picture, top + box.y + 9, left + box.x - 0.9, left + box.x + box.width + 0.9)
        y = along_column(picture, left + box.x + 15.5, top + box.y - 0.4, top + box.y + box.height + 0.4)
        assert x == pytest.approx([left + box.x, left + box.x + box.width], abs=NEAR)
        assert y == pytest.approx([top + box.y, top + box.y + box.height], abs=NEAR)


def test_check_lines_have_their_lengths_and_a_tick_every_10_mm(card_page):
    picture, _, (left, top) = card_page
    (x0, y0), (x1, _) = CHECK_LINE_ALONG
    ticks = along_row(picture, top + y0 + 0.9, left + x0 - 1, left + x1 + 1)
    assert ticks == pytest.approx([left + x0 + 10 * n for n in range(11)], abs=NEAR)
    line = along_column(picture, left + x0 + 5, top + y0 - 3, top + y0 + 3)
    assert line == pytest.approx([top + y0], abs=NEAR)
    (x0, y0), (_, y1) = CHECK_LINE_UP
    ticks = along_column(picture, left + x0 - 0.9, top + y0 - 1, top + y1 + 1)
    assert ticks == pytest.approx([top + y0 + 10 * n for n in range(9)], abs=NEAR)
    line = along_row(picture, top + y0 + 5, left + x0 - 1.5, left + x0 + 3)
    assert line == pytest.approx([left + x0], abs=NEAR)


def test_quiet_zone_is_white_and_so_is_every_box_between_its_dots(card_page):
    picture, square, (left, top) = card_page
    quiet = picture.copy()
    x0, y0, x1, y1 = (round(v * PX) for v in (*square[0], *square[2]))
    quiet[y0 - 1 : y1 + 2, x0 - 1 : x1 + 2] = 255  # the square itself
    lines = ((left + 6.2, top + 25), (left + 8.3, top + 107)), ((left + 13, top + 111.7), (left + 115, top + 113.8))
    for (xa, ya), (xb, yb) in lines:  # the two check lines stand in the quiet zone by design
        quiet[round(ya * PX) : round(yb * PX), round(xa * PX) : round(xb * PX)] = 255
    cell = round(10 * PX)
    assert quiet[y0 - cell : y1 + cell, x0 - cell + 3 : x1 + cell].min() == 255
    for box in SWATCHES:
        x, y = left + box.x + 0.2, top + box.y + 0.2
        inside = picture[round(y * PX) : round((y + 17.6) * PX), round(x * PX) : round((x + 33.6) * PX)]
        assert (inside == 255).mean() == pytest.approx(1 - 66 * np.pi * 0.6**2 / (17.6 * 33.6), abs=0.03)


def test_dots_lie_where_the_reader_looks_for_them_in_their_grey(card_page):
    picture, _, (left, top) = card_page
    dots = np.concatenate([CARD_MARK, *(swatch_dots(n).reshape(-1, 2) for n in range(1, 9))])
    assert len(dots) == 5 + 8 * 66
    assert dots[:2].tolist() == [[150.0, 112.0], [153.0, 112.0]]
    assert dots[5].tolist() == [SWATCHES[0].x + 2.0, SWATCHES[0].y + 1.5]
    for x, y in dots + np.array([left, top]):
        cut = picture[round((y - 1.4) * PX) : round((y + 1.4) * PX), round((x - 1.4) * PX) : round((x + 1.4) * PX)]
        ink = 255.0 - cut
        assert cut.min() == pytest.approx(DOT_GREY, abs=2)
        assert ink.sum() / (255 - DOT_GREY) / PX**2 == pytest.approx(np.pi / 4 * DOT_DIAMETER**2, rel=0.04)
        middle = (np.argwhere(ink > -1) * ink.reshape(-1, 1)).sum(axis=0) / ink.sum()
        assert middle == pytest.approx([(cut.shape[0] - 1) / 2, (cut.shape[1] - 1) / 2], abs=1.0)


def test_the_printed_card_is_read_box_by_box(card_page):
    """Printed, with tapes in four boxes, photographed aslant: the program that measures says which hold tape."""
    picture, _, (left, top) = card_page
    page = cv2.cvtColor(picture, cv2.COLOR_GRAY2BGR)
    tapes = {2: (238, 238, 234), 3: (160, 206, 226), 5: (40, 44, 200), 8: (34, 30, 30)}
    for number, colour in tapes.items():
        box = SWATCHES[number - 1]
        x, y = ((left + box.x) * PX, (top + box.y) * PX)
        page[round(y) : round(y + box.height * PX), round(x) : round(x + box.width * PX)] = colour
    photo = photographed(page[: round((top + 130) * PX)])
    plane = plane_of(photo)
    assert plane is not None
    boxes = read_boxes(CardView(photo, plane))
    assert boxes is not None
    assert {b.number: b.state for b in boxes} == {n: "filled" if n in tapes else "empty" for n in range(1, 9)}


def photographed(page: np.ndarray) -> np.ndarray:
    """The page on a grey table, seen aslant by a slightly blurred camera."""
    height, width = page.shape[:2]
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]], np.float32)
    view = looking((1600, 1200), corners.astype(float) / PX, tilt=8, azimuth=30, roll=2)
    matrix = cv2.getPerspectiveTransform(corners, view.project(corners.astype(float) / PX).astype(np.float32))
    smooth = cv2.GaussianBlur(page, (0, 0), 1.0)
    photo = cv2.warpPerspective(smooth, matrix, (1600, 1200), flags=cv2.INTER_AREA, borderValue=(110, 116, 120))
    noise = np.random.default_rng(3).normal(0, 2, photo.shape)
    return np.clip(0.9 * cv2.GaussianBlur(photo, (0, 0), 0.7) + noise, 0, 255).astype(np.uint8)


def test_page_check_lines(quarry, paper, render):
    picture = render(quarry, paper, "card").picture(0, DPI)
    height = PAPERS[paper].height
    ticks = along_row(picture, height - 19 - 0.9, 20)[:16]  # then the words "150 mm"
    assert np.diff(ticks) == pytest.approx(np.full(15, 10.0), abs=NEAR)
    assert ticks[-1] - ticks[0] == pytest.approx(ALONG, abs=NEAR)
    ticks = along_column(picture, 9 + 0.9, 30, 250)
    assert ticks[-1] - ticks[0] == pytest.approx(UP, abs=NEAR)


@pytest.mark.parametrize(("sheet", "side", "expected"), [
    ("tiles", 24.0, {1: 3, 2: 3, 3: 3, 4: 3}),
    ("zonetiles", 18.0, {50: 4, 51: 4}),
    ("labels", 32.0, {team_tag(n): 1 for n in range(1, 9)}),
])  # fmt: skip
def test_tags_of_tiles_and_labels(quarry, paper, render, sheet, side, expected):
    found = tags(render(quarry, paper, sheet).picture(0, DPI), DPI)
    assert {tag: len(squares) for tag, squares in found.items()} == expected
    for squares in found.values():
        for square in squares:
            assert sides(square) == pytest.approx([side] * 4, abs=NEAR)
            assert square[0] == pytest.approx(square.min(axis=0))


def test_corner_tiles_are_32_mm_with_the_tag_in_the_middle(quarry, paper, render):
    picture = render(quarry, paper, "tiles").picture(0, DPI)
    for squares in tags(picture, DPI).values():
        for square in squares:
            x, y = square[0]
            cuts = along_row(picture, y - 2, x - 5, x + 29)
            assert cuts == pytest.approx([x - 4, x + 28], abs=NEAR)
            cuts = along_column(picture, x - 2, y - 5, y + 29)
            assert cuts == pytest.approx([y - 4, y + 28], abs=NEAR)


def test_lens_sheet_is_the_board_that_opencv_knows(quarry, paper, render):
    """Against OpenCV's own ChArUco board of the same numbers, found by OpenCV's own detector."""
    picture = render(quarry, paper, "lens").picture(0, DPI)
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    ids = np.array(LENS_TAGS[: LENS_COLUMNS * LENS_ROWS // 2])
    board = cv2.aruco.CharucoBoard((LENS_COLUMNS, LENS_ROWS), LENS_SQUARE, LENS_MARKER, dictionary, ids)
    corners, found, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(picture)
    assert len(found) == (LENS_COLUMNS - 1) * (LENS_ROWS - 1)
    nominal = board.getChessboardCorners()[found.ravel(), :2]
    measured = corners.reshape(-1, 2) / PX
    offset = (measured - nominal).mean(axis=0)
    assert measured - offset == pytest.approx(nominal, abs=NEAR)


def test_self_check_bands_have_the_known_sizes(quarry, paper, render):
    picture = render(quarry, paper, "selfcheck").picture(0, DPI)
    left, top = tags(picture, DPI)[CARD_TAG][0][0] - [CARD_SQUARE.x, CARD_SQUARE.y]
    for outline in SELF_CHECK_OUTLINES:
        middle = shapely.Polygon([(left + x, top + y) for x, y in outline.points])
        x0, y0, x1, y1 = (round(v * PX) for v in middle.buffer(11, join_style="mitre").bounds)
        part = 255 - picture[y0:y1, x0:x1]
        # The largest dark thing of the window is the band; text and neighbours are apart from it.
        labels, marks = cv2.connectedComponents((part > 127).astype(np.uint8))[::1]
        band = marks == np.argmax(np.bincount(marks.ravel())[1:]) + 1
        expected = middle.length * SELF_CHECK_BAND  # a mitred band of width w about a closed line of length L: w L
        assert labels > 1
        assert band.sum() / PX**2 == pytest.approx(expected, abs=2 * middle.length * 0.025)
        y, x = np.nonzero(band)
        bounds = np.array([x.min() + x0, y.min() + y0, x.max() + 1 + x0, y.max() + 1 + y0]) / PX
        outer = middle.buffer(SELF_CHECK_BAND / 2, join_style="mitre").bounds
        assert bounds == pytest.approx(outer, abs=NEAR)


@pytest.mark.parametrize(
    ("sheet", "unit", "side"),
    [("grid", "in", 12.7), ("finegrid", "in", 6.35), ("grid", "cm", 10.0), ("finegrid", "mm", 5.0)],
)
def test_clear_grids_are_of_the_class_s_unit(quarry, paper, render, sheet, unit, side):
    picture = render(replace(quarry, unit=unit), paper, sheet).picture(0, DPI)
    xs = along_row(picture, 32.5, 5)
    ys = along_column(picture, xs[3] + side / 2, 29.0)
    ys = [y for y in ys if y < PAPERS[paper].height - 12]  # below are the footer's words
    for found in (xs, ys):
        assert len(found) > 10
        assert found == pytest.approx(found[0] + side * np.arange(len(found)), abs=NEAR)


def test_scale_drawing_is_to_its_printed_scale(quarry, paper, render):
    page = render(quarry, paper, "drawing")
    assert "Scale1:3.Onesquarehereis1inontheparcel." in page.text(0)
    picture = page.picture(0, DPI)
    xs = along_row(picture, 62.0, 20)  # above the keep-clear area
    assert xs[-1] - xs[0] == pytest.approx(18 * 25.4 / 3, abs=NEAR)
    assert np.diff(xs) == pytest.approx(np.full(18, 25.4 / 3), abs=NEAR)


def test_full_size_plan_is_true_and_its_pages_join(quarry, paper, render):
    plan = render(quarry, paper, "planning")
    assert len(plan) == 4  # on its side; upright paper would take six
    assert plan.size(0)[0] > plan.size(0)[1]
    window = window_of(PAPERS[paper].turned)
    first, second = plan.picture(0, DPI), plan.picture(1, DPI)
    xs = along_row(first, window.y + 20, window.x)
    assert xs == pytest.approx(xs[0] + 25.4 * np.arange(len(xs)), abs=NEAR)
    # The right end of one page and the left end of the next show the same strip of the parcel.
    rows = slice(round((window.y + 1) * PX), round((window.y + window.height - 1) * PX))
    width = round(OVERLAP * PX)
    end = round((window.x + window.width) * PX)
    left = first[rows, end - width : end].astype(np.float32)
    right = second[rows, round(window.x * PX) : round(window.x * PX) + width].astype(np.float32)
    assert left.min() < 50  # the crosses are there
    (dx, dy), response = cv2.phaseCorrelate(255 - left, 255 - right)
    assert response > 0.5
    assert np.hypot(dx, dy) / PX < NEAR + 0.5 / PX  # the window's edges fall between pixels


def test_a_print_that_was_scaled_would_be_noticed(quarry, render):
    """The test above can fail: the same page at 99.5 % is off by more than the limit."""
    picture = render(quarry, "a4", "card").picture(0, DPI * 0.995)
    square = tags(picture, DPI)[CARD_TAG][0]
    assert sides(square) != pytest.approx([80.0] * 4, abs=NEAR)


def test_rendered_reads_page_sizes():
    """The helper itself, on the smallest PDF that reportlab makes (ISO 216: A4 is 210 mm x 297 mm)."""
    import io

    from reportlab.pdfgen.canvas import Canvas

    file = io.BytesIO()
    canvas = Canvas(file, pagesize=(210 * 72 / 25.4, 297 * 72 / 25.4))
    canvas.showPage()
    canvas.save()
    assert Rendered(file.getvalue()).size(0) == pytest.approx((210, 297), abs=0.01)


def test_a_strip_takes_no_page_of_its_own_where_pages_may_overlap_less():
    """A parcel of 38.1 x 50.8 cm on A4: 194 mm across a page, so two with 5 mm in common are 383."""
    a4 = PAPERS["a4"]
    two = parts(Box(0, 0, 381, 508), a4)
    assert len(two) == 4
    assert {part.overlap for part in two} == {(5.0, 8.0)}
    assert len(parts(Box(0, 0, 384, 508), a4)) == 6
