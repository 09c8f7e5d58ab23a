from __future__ import annotations

import time
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import cv2
import numpy as np
import pytest

from calib.photo_refused import PhotoRefused
from calib.photo_setup import PhotoSetup
from calib.printed import CARD_TAG, COVERING_TAG
from measure.numbers import round_length
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import FloatArray, Quantity
from tapeplat.annotate.outline_drawing import rings_of
from tapeplat.annotate.outline_parts import seen_and_inferred
from tapeplat.annotate.palette import FAINT, INK, PAPER, TEXT, VERDICT_COLOURS
from tapeplat.annotate.picture import annotated, png
from tapeplat.annotate.picture_canvas import Canvas
from tapeplat.annotate.plat_svg import plat_svg
from tapeplat.annotate.rulelist import lay_out, wrapped
from tapeplat.annotate.style import SMALLEST_TEXT, Style, text_width
from tapeplat.annotate.symbols import draw_symbol
from tapeplat.wording.notes import RuleNote, ZoneMark
from tapeplat.wording.verdict_table import VERDICTS
from tests.helpers.made.drawn_plats import corrected
from tests.helpers.reading_back import read_back
from vision.picture.our_mark import check_not_drawn
from vision.picture.photo import photo_from_bytes
from vision.picture.rectified import Rectified
from vision.tape_check import check_tapes


def deviations(image: np.ndarray, picture, plat: Plat) -> list[FloatArray]:
    rings = [ring for piece in plat.pieces for ring in rings_of(piece)]
    return [read_back(image, picture.to_px(np.vstack([ring.points, ring.points[:1]]))) for ring in rings]


@pytest.mark.parametrize("quality", [50, 90])
@pytest.mark.parametrize("screen", [(1080, 2340), (2340, 1080), (1920, 1080)])
@pytest.mark.parametrize("around", [0, 30, 255])
def test_a_screenshot_of_an_annotated_picture_is_no_photo(plat, notes, screen, around, quality):
    """Nor is a copy from a messenger: what its file said is gone, and its lines are as sharp as damage."""
    image = annotated(corrected(1500), plat, notes)
    scale = min(screen[0] / image.shape[1], 0.9 * screen[1] / image.shape[0])
    small = cv2.resize(image, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    shown = np.full((screen[1], screen[0], 3), around, np.uint8)
    top, left = (screen[1] - small.shape[0]) // 2, (screen[0] - small.shape[1]) // 2
    shown[top : top + small.shape[0], left : left + small.shape[1]] = small
    data = cv2.imencode(".jpg", shown, [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
    with pytest.raises(PhotoRefused) as refused:
        check_tapes(photo_from_bytes(data, "screenshot.jpg"), PhotoSetup(400, 300), [1, 2])
    assert refused.value.reason == "our-own-picture"


@pytest.mark.parametrize("quality", [50, 90])
def test_a_part_of_an_annotated_picture_is_no_photo(plat, notes, quality):
    """Cut out around the model, its list and the tag there are gone: the card's own tag is another's, too."""
    picture = corrected(1500)
    tag = cv2.aruco.generateImageMarker(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11), 0, 220)
    bgr = picture.bgr.copy()
    bgr[930:1210, 1230:], bgr[960:1180, 1255:1475] = 255, tag[..., None]
    image = annotated(replace(picture, bgr=bgr), plat, notes)
    data = cv2.imencode(".jpg", image[20:1225, 20:1500], [cv2.IMWRITE_JPEG_QUALITY, quality])[1].tobytes()
    with pytest.raises(PhotoRefused) as refused:
        check_tapes(photo_from_bytes(data, "part.jpg"), PhotoSetup(400, 300), [1, 2])
    assert refused.value.reason == "our-own-picture"
    on_the_table = [SimpleNamespace(tag=COVERING_TAG, side=60.0), SimpleNamespace(tag=CARD_TAG, side=240.0)]
    check_not_drawn(on_the_table)  # printed, beside the card


@pytest.mark.parametrize("size", [700, 1000, 1600])
def test_outlines_read_back_from_the_png_agree_within_two_pixels(plat, notes, size):
    picture = corrected(size)
    image = cv2.imdecode(np.frombuffer(png(annotated(picture, plat, notes)), np.uint8), cv2.IMREAD_COLOR)
    for piece_off in deviations(image, picture, plat):
        seen = piece_off[~np.isnan(piece_off)]
        assert len(seen) > 0.5 * len(piece_off)
        assert np.abs(seen).max() < 2
        assert abs(np.median(seen)) < 0.3


def test_reading_back_notices_an_outline_that_is_off(plat, notes, picture):
    aside = replace(picture, origin=picture.origin - 4 * picture.mm_per_px)
    image = annotated(aside, plat, notes)
    assert all(np.nanmax(np.abs(off)) > 2 for off in deviations(image, picture, plat))


def test_inferred_stretches_are_dashed_and_seen_ones_whole(plat, notes):
    picture = corrected(1600)
    image = annotated(picture, plat, replace(notes, rules=notes.rules[:1]))
    shown = {
        part.inferred: np.isfinite(read_back(image, picture.to_px(part.points))).mean()
        for part in seen_and_inferred(plat.pieces[0].ring)
    }
    assert shown[False] > 0.9
    assert 0.3 < shown[True] < 0.8


def test_the_photo_is_at_the_top_left_pixel_for_pixel_and_not_written_to(plat, picture, notes):
    before = picture.bgr.copy()
    image = annotated(picture, plat, notes)
    np.testing.assert_array_equal(picture.bgr, before)
    np.testing.assert_array_equal(image[2:40, 2:40], before[2:40, 2:40])
    height, width = before.shape[:2]
    assert image.shape[0] >= height
    assert image.shape[1] >= width


def test_a_gap_is_drawn_where_it_is(plat, picture, notes):
    image = annotated(picture, plat, notes)
    (x, y), _ = picture.to_px(np.array([[132.0, 60.0], [160.0, 60.0]]))
    assert tuple(image[round(y), round(x)]) == VERDICT_COLOURS["not met"]


def test_an_overlap_is_striped_and_a_keep_clear_zone_sparsely(plat, picture, notes):
    image = annotated(picture, plat, notes)

    def share(box: list[list[float]], colour: tuple[int, ...]) -> float:
        (x0, y0), (x1, y1) = np.rint(picture.to_px(np.array(box))).astype(int)
        return float((image[y0:y1, x0:x1] == colour).all(axis=2).mean())

    assert 0.25 < share([[152, 214], [168, 228]], VERDICT_COLOURS["not met"]) < 0.6
    assert 0.03 < share([[240, 235], [310, 255]], TEXT) < 0.2
    assert share([[330, 175], [370, 290]], TEXT) == 0


def test_the_list_names_every_rule_with_its_verdict_and_fits_the_page(notes):
    for size in ((1600, 900), (900, 1600), (300, 250)):
        style = Style.for_picture(*size)
        listing = lay_out(notes, style, size)
        rows = [row for column in listing.columns for row in column]
        assert [row.rule for row in rows] == list(notes.rules)
        assert [" ".join(row.text) for row in rows] == [rule.text for rule in notes.rules]
        beside = listing.page[0] > size[0]
        assert beside == (size[1] >= 0.8 * size[0])
        for row in rows:
            widest = max(text_width(line, style.text) for line in (*row.text, f"{row.rule.number}  {row.rule.verdict}"))
            assert widest + 2.5 * style.text <= listing.column_width


def test_wrapping_keeps_every_word_and_breaks_what_is_too_long():
    assert " ".join(wrapped("one two three four", 12, 60)) == "one two three four"
    parts = wrapped("x" * 200, 12, 100)
    assert "".join(parts) == "x" * 200
    assert all(text_width(part, 12) <= 100 for part in parts)


def symbol(verdict, grey: bool = True) -> np.ndarray:
    style = Style.for_picture(1600, 1600)
    canvas = Canvas(Rectified(np.full((41, 41, 3), 255, np.uint8), 1, np.zeros(2)), style, (41, 41))
    draw_symbol(canvas, (20, 20), 15, verdict)
    image = canvas.finished()
    return cv2.cvtColor(image, cv2.COLOR_BGR2GRAY) if grey else image


def test_every_verdict_has_a_symbol_of_its_own_shape_in_grey():
    shapes = {verdict: symbol(verdict) < 200 for verdict in VERDICTS}
    for a, b in combinations(VERDICTS, 2):
        both, either = (shapes[a] & shapes[b]).sum(), (shapes[a] | shapes[b]).sum()
        assert both / either < 0.75, (a, b)


def luminance(bgr: tuple[int, int, int]) -> float:
    """Relative luminance of sRGB as WCAG 2.2 defines it."""
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in np.array(bgr[::-1]) / 255]
    return float(np.dot([0.2126, 0.7152, 0.0722], linear))


def contrast(a, b) -> float:
    """Contrast ratio as WCAG 2.2 defines it."""
    lighter, darker = sorted((luminance(a), luminance(b)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


def test_texts_and_lines_have_the_contrast_that_wcag_asks_for():
    # WCAG 2.2, criteria 1.4.3 (text, 4.5 : 1) and 1.4.11 (graphics, 3 : 1); black on white is 21 : 1 there.
    assert contrast((0, 0, 0), (255, 255, 255)) == pytest.approx(21)
    assert min(contrast(TEXT, PAPER), contrast(FAINT, PAPER), contrast(INK, PAPER)) > 4.5
    for verdict, colour in VERDICT_COLOURS.items():
        edge = TEXT if verdict == "too close to call" else colour  # the pale diamond has a dark edge
        assert contrast(edge, PAPER) > 3
    assert contrast(TEXT, VERDICT_COLOURS["too close to call"]) > 4.5


def test_sizes_grow_with_the_picture_and_stay_readable():
    small, large = Style.for_picture(300, 200), Style.for_picture(3200, 2400)
    assert small.text == SMALLEST_TEXT
    assert large.text == 50
    assert large.line > small.line


def test_a_plat_without_pieces_or_rules_still_makes_a_picture(plat, picture, notes):
    image = annotated(picture, replace(plat, pieces=()), replace(notes, pieces=(), rules=()))
    assert image.shape[2] == 3


def test_the_scale_bar_is_a_round_length():
    assert [round_length(x) for x in (3.9, 4.99, 12.0, 0.34, 0.01)] == [2.0, 2.0, 10.0, 0.2, 0.1]


def test_is_fast(plat, notes):
    picture = corrected(1600)
    spent = []
    for _ in range(3):
        start = time.process_time()
        png(annotated(picture, plat, notes))
        spent.append(time.process_time() - start)
    assert min(spent) < 0.5  # of processor time; about 0.2 s on a plain two-core machine


def test_a_zone_without_an_outline_is_left_out_of_the_drawings(plat, picture, notes):
    unread = Piece("stables", Ring(np.zeros((0, 2)), np.zeros((0, 2, 0))), Quantity(0.0), status="not measurable")
    pieces = (*plat.pieces[:1], unread, *plat.pieces[2:])
    mark = RuleNote(1, "stables cover at least 9 sq in", "not met", "", (ZoneMark("stables", "amiss"),))
    shown = replace(plat, pieces=pieces)
    without = replace(plat, pieces=(*pieces[:1], *pieces[2:]))
    fewer = replace(notes, pieces=(*notes.pieces[:1], *notes.pieces[2:]), rules=(mark,))
    drawn, wanted = annotated(picture, shown, replace(notes, rules=(mark,))), annotated(picture, without, fewer)
    np.testing.assert_array_equal(drawn, wanted)
    assert plat_svg(shown, notes.pieces, "x").count('class="ring"') == 5
