"""The corrected photo under a grid, from a result folder made here."""

from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest

from measure.errors import InputMistakes
from tapeplat.paper.sheets.photo_sheet import read_corrected

STEP = 0.5
DOT = (71.0, 43.0)
"""mm in the parcel's frame, apart from every grid line."""


@pytest.fixture
def result(tmp_path: Path) -> Path:
    """A grey picture of -10..200 x -10..150 mm with a white dot, and its result file."""
    picture = np.full((320, 420, 3), 90, np.uint8)
    x, y = ((value + 10) / STEP for value in DOT)
    cv2.circle(picture, (round(x), round(y)), 6, (255, 255, 255), -1)
    cv2.imwrite(str(tmp_path / "corrected.jpg"), picture)
    path = tmp_path / "result.json"
    entry = {"file": "corrected.jpg", "mm_per_px": STEP, "origin_mm": [-10, -10]}
    path.write_text(json.dumps({"format": "tapeplat/result-1", "corrected": entry}))
    return path


def test_full_size_photo_is_true_and_the_grid_lies_where_the_parcel_has_it(quarry, paper, render, result):
    pages = render(quarry, paper, "photofull", photo=read_corrected(result))
    picture, scale = pages.picture(0, 300), 300 / 25.4
    # Half-inch lines count from the parcel's corner: find the dot's middle from the lines to its left and above.
    body = picture[: round(200 * scale)]
    dot = (body > 200) & (cv2.blur(body, (15, 15)) > 180)
    count, _, stats, centres = cv2.connectedComponentsWithStats(dot.astype(np.uint8))
    round_ones = [n for n in range(1, count) if 55 < stats[n, 2] < 85 and 55 < stats[n, 3] < 85]
    assert len(round_ones) == 1
    x, y = (centres[round_ones[0]] + 0.5) / scale
    row = picture[round((y + 7) * scale)].astype(float)
    lines = np.flatnonzero(row < 30)
    left = max(px for px in (lines + 0.5) / scale if px < x - 2)
    assert x - left == pytest.approx(DOT[0] % 12.7, abs=0.3)


def test_one_page_photo_prints_its_scale_and_no_other_number(quarry, paper, render, result):
    text = render(quarry, paper, "photo", photo=read_corrected(result)).text(0)
    assert "Scale1:1.5.Thesideofonesquareis0.5inonthemodel." in text
    assert "sqin" not in text


def test_a_large_photo_is_cut_into_pages(quarry, render, result):
    content = json.loads(result.read_text())
    content["corrected"]["mm_per_px"] = 1.0
    result.write_text(json.dumps(content))
    headings = render(quarry, "a4", "photofull", photo=read_corrected(result)).headings()
    assert "row 2 of 2, column 2 of 2" in headings[-1]


@pytest.mark.parametrize(("change", "said"), [
    ({"corrected": None}, "names no corrected photo"),
    ({"corrected": {"file": "corrected.jpg", "mm_per_px": 0, "origin_mm": [0, 0]}}, "cannot be"),
    ({"corrected": {"file": "corrected.jpg", "mm_per_px": 1, "origin_mm": [0]}}, "names no corrected photo"),
    ({"corrected": {"file": "elsewhere.jpg", "mm_per_px": 1, "origin_mm": [0, 0]}}, "is not there"),
])  # fmt: skip
def test_results_without_a_photo_are_refused_plainly(result, change, said):
    result.write_text(json.dumps(change))
    with pytest.raises(InputMistakes, match=said):
        read_corrected(result)


def test_a_results_folder_stands_for_its_result(result):
    assert read_corrected(result.parent) == read_corrected(result)


@pytest.mark.parametrize("content", [b"no json", b"[1, 2]", b"\xff\xfe\x00"])
def test_what_is_no_result_is_refused(tmp_path, content):
    path = tmp_path / "result.json"
    path.write_bytes(content)
    with pytest.raises(InputMistakes):
        read_corrected(path)


def test_a_broken_picture_is_refused(result):
    (result.parent / "corrected.jpg").write_bytes(b"not a picture")
    with pytest.raises(InputMistakes, match="cannot be read as a picture"):
        read_corrected(result)
