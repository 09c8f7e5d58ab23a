"""The scale map: true to scale as printed, readable in grey, the same as a drawing."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace
from itertools import combinations

import cv2
import numpy as np
import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from measure.result.result import ParcelResult
from tapeplat.paper.pdf.pdf_canvas import PAPERS, Pages
from tapeplat.reports.map_page import draw_map_page, map_svg
from tapeplat.reports.patterns import DOT_RADIUS, KEEP_CLEAR, PATTERNS, filled
from tapeplat.reports.report_content import TeamContent, content_of
from tests.helpers.examples import examples
from tests.helpers.made.results import crowded, ordinary, zone
from tests.helpers.rendered_sheets import Rendered, dark_runs

DPI = 300.0
SVG = "{http://www.w3.org/2000/svg}"


def page_of(content: TeamContent, paper: str = "letter") -> Rendered:
    pages = Pages(PAPERS[paper], content.title)
    draw_map_page(pages, content)
    return Rendered(pages.finished())


def scale_of(pages: Rendered) -> float:
    found = re.search(r"Scale1:([\d.]+)", pages.text(0))
    assert found
    return float(re.match(r"\d+(\.\d)?", found[1])[0])  # type: ignore[index]


def frame_of(pages: Rendered) -> tuple[list[float], list[float]]:
    """Where the parcel's thick lines cross the page's middle rows and columns, mm."""
    grey = pages.picture(0, DPI).astype(float)
    row = grey[round(50 * DPI / 25.4) : round(110 * DPI / 25.4)].max(axis=0)
    across = [middle for middle, width in dark_runs(row, DPI) if width > 0.4]
    column = grey[:, round((across[0] + 2) * DPI / 25.4) : round((across[-1] - 2) * DPI / 25.4)].max(axis=1)
    down = [middle for middle, width in dark_runs(column, DPI) if width > 0.4]
    return across, [y for y in down if y > 25]


@pytest.mark.parametrize("paper", ["letter", "a4"])
@pytest.mark.parametrize(("unit", "mm"), [("in", 25.4), ("cm", 10.0)])
def test_the_parcel_is_true_to_the_scale_that_the_map_states(paper, unit, mm):
    base = ordinary(unit=unit)
    factor = 1 if unit == "in" else 2.5
    content = content_of(replace(base, parcel=ParcelResult(18 * factor, 14 * factor, 252 * factor**2, "tiles")))
    pages = page_of(content, paper)
    n = scale_of(pages)
    across, down = frame_of(pages)
    assert across[-1] - across[0] == pytest.approx(18 * factor * mm / n, abs=0.1)
    assert down[-1] - down[0] == pytest.approx(14 * factor * mm / n, abs=0.1)


def test_the_scale_bar_is_as_long_as_its_number_says():
    pages = page_of(content_of(ordinary()))
    n = scale_of(pages)
    words = [box for box in pages.text_boxes(0) if re.fullmatch(r"\d+(\.\d+)? in", box.text.strip())]
    end = max(words, key=lambda box: box.top)
    length = float(end.text.split()[0])
    assert length in (1, 2, 5, 10)
    zero = next(box for box in pages.text_boxes(0) if box.text.strip() == "0" and abs(box.top - end.top) < 1.5)
    grey = pages.picture(0, DPI).astype(float)
    y = end.bottom + 2.2
    stretch = slice(round((zero.left - 4) * DPI / 25.4), round((end.right + 4) * DPI / 25.4))
    strip = grey[round(y * DPI / 25.4), stretch]
    runs = dark_runs(strip, DPI, 128)
    starts, ends = [m - w / 2 for m, w in runs], [m + w / 2 for m, w in runs]
    line = 0.25  # the bar's own outline stands half outside it on either side
    assert max(ends) - min(starts) - line == pytest.approx(length * 25.4 / n, abs=0.1)


def test_grid_lines_are_whole_units_apart():
    pages = page_of(content_of(ordinary()))
    n = scale_of(pages)
    across, down = frame_of(pages)
    grey = pages.picture(0, DPI).astype(float)
    row = grey[round((down[-1] - 5) * DPI / 25.4)]
    lines = [m for m, w in dark_runs(row, DPI, 20) if across[0] - 0.2 < m < across[-1] + 0.2]
    steps = np.diff(lines) * n / 25.4
    assert np.abs(steps - np.round(steps)).max() < 0.1 * n / 25.4
    numbers = {box.text.strip() for box in pages.text_boxes(0)}
    assert {"0", "2", "4", "16", "18", "N", "in"} <= numbers | set(
        pages.document[0].get_textpage().get_text_range().split()
    )


def test_zones_lie_where_the_plat_has_them():
    """The crusher's outline, 9 to 14 in across and 8 to 12 in down, counted from the parcel's corner."""
    pages = page_of(content_of(ordinary()))
    n = scale_of(pages)
    across, down = frame_of(pages)
    grey = pages.picture(0, DPI).astype(float)
    y0, y1 = ((down[0] + y * 25.4 / n) * DPI / 25.4 for y in (8.3, 11.7))
    column = grey[round(y0) : round(y1)].max(axis=0)
    edges = [m for m, w in dark_runs(column, DPI) if w > 0.35 and across[0] + 1 < m < across[-1] - 1]
    assert [(m - across[0]) * n / 25.4 for m in edges[-2:]] == pytest.approx([9, 14], abs=0.1 * n / 25.4)


def test_everything_named_is_in_the_legend_and_nothing_leaves_the_page():
    from tests.tapeplat.reports.test_report_pages import check_sound, squeezed

    for result in (ordinary(), crowded()):
        pages = page_of(content_of(result), "a4")
        check_sound(pages)
        assert len(pages) == 1
        for part in content_of(result).zones:
            assert squeezed(part.name) in pages.text(0)
            assert squeezed(part.size) in pages.text(0)


def swatch(pattern) -> np.ndarray:
    """A 40 mm square of the pattern at 100 dpi, grey."""
    pages = Pages(PAPERS["letter"], "")
    pages.start()
    from tapeplat.reports.scale_map import _draw_pattern

    square = [[(40.0, 40.0), (80.0, 40.0), (80.0, 80.0), (40.0, 80.0)]]
    _draw_pattern(pages, filled(pattern, shapely.box(40, 40, 80, 80)), square)
    side = slice(round(42 * 100 / 25.4), round(78 * 100 / 25.4))
    return Rendered(pages.finished()).picture(0, 100)[side, side]


def test_patterns_stay_apart_in_a_grey_print():
    """No two agree at any shift: nowhere does a part of one look like the other, unless one is clearly darker."""
    drawn = [swatch(pattern) for pattern in (*PATTERNS, KEEP_CLEAR)]
    for (i, a), (j, b) in combinations(enumerate(drawn), 2):
        if abs(float(a.mean()) - float(b.mean())) > 12:
            continue
        part = b[30:90, 30:90]
        if part.std() < 2 or a.std() < 2:
            assert (part.std() < 2) != (a.std() < 2), f"patterns {i} and {j} are both plain"
            continue
        match = float(cv2.matchTemplate(a, part, cv2.TM_CCOEFF_NORMED).max())
        assert match < 0.8, f"patterns {i} and {j} agree by {match:.2f}"


PLACES_ON_A_PAGE = st.integers(0, 60_000).map(lambda micrometres: micrometres / 1000)


@examples(40)
@given(
    st.sampled_from([*PATTERNS, KEEP_CLEAR]),
    st.lists(st.tuples(PLACES_ON_A_PAGE, PLACES_ON_A_PAGE), min_size=3, max_size=9),
)
def test_a_pattern_stays_inside_its_shape(pattern, points):
    shape = shapely.make_valid(shapely.Polygon(points))
    made = filled(pattern, shape)
    near = shape.buffer(1e-6)
    assert all(near.covers(shapely.LineString(line)) for line in made.lines)
    assert all(shape.buffer(-DOT_RADIUS).covers(shapely.Point(dot)) for dot in made.dots)


def test_a_hole_keeps_no_pattern():
    ring = shapely.box(0, 0, 40, 40).difference(shapely.box(10, 10, 30, 30))
    for pattern in PATTERNS:
        made = filled(pattern, ring)
        hole = shapely.box(10, 10, 30, 30).buffer(-1e-6)
        assert not any(hole.intersects(shapely.LineString(line)) for line in made.lines)
        assert not any(hole.contains(shapely.Point(dot)) for dot in made.dots)


def test_the_drawing_is_the_page_at_true_size_with_names_in_any_script():
    result = replace(ordinary("青い鷺 & <co>"), zones=(zone("мост <b>", 1, 1, 5, 4), *ordinary().zones[1:]))
    text = map_svg(content_of(result), PAPERS["a4"])
    root = ET.fromstring(text)
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("210mm", "297mm", "0 0 210 297")
    words = [node.text for node in root.iter(f"{SVG}text")]
    assert "мост <b>" in words
    assert any("青い鷺 & <co>" in (word or "") for word in words)
    tags = {node.tag.removeprefix(SVG) for node in root.iter()}
    assert tags == {"svg", "title", "metadata", "rect", "path", "line", "text"}
    paths = [shapely.LineString(_points(node.get("d"))) for node in root.iter(f"{SVG}path") if _is_frame(node)]
    n = float(next(word for word in words if word and word.startswith("Scale 1 : ")).removeprefix("Scale 1 : "))
    left, top, right, bottom = paths[0].bounds
    assert (right - left, bottom - top) == pytest.approx((18 * 25.4 / n, 14 * 25.4 / n), abs=0.002)


def _is_frame(node: ET.Element) -> bool:
    return node.get("stroke-width") == "0.60"


def _points(path: str | None) -> list[tuple[float, float]]:
    pairs = re.findall(r"(-?[\d.]+),(-?[\d.]+)", path or "")
    return [(float(x), float(y)) for x, y in pairs]


def test_without_the_parcel_s_place_the_map_says_so():
    base = ordinary()
    pages = page_of(content_of(replace(base, parcel=replace(base.parcel, frame="card"))))
    assert "doesnottellwheretheparcellies" in pages.text(0)


def test_a_map_of_nothing_is_a_page_with_a_grid():
    nothing = replace(ordinary(), zones=())
    assert len(page_of(content_of(nothing))) == 1
