"""The self-check and lens profiles on the page."""

from __future__ import annotations

import io
from pathlib import Path

import cv2
import pytest

from tests.helpers.page.browser import Browser
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.selfcheck_sheet import sheet_scene
from tests.tapeplat.page.test_uploads import photo


@pytest.fixture
def sheet() -> bytes:
    done, data = cv2.imencode(".jpg", draw(sheet_scene()), [cv2.IMWRITE_JPEG_QUALITY, 95])
    assert done
    return data.tobytes()


def test_a_photo_of_the_sheet_says_how_far_to_trust(teacher: Browser, sheet: bytes) -> None:
    sent = {"photos": (io.BytesIO(sheet), "sheet.jpg"), "along": "100", "up": ""}
    answer = teacher.post("/teacher/camera/check", sent)
    assert answer.status_code == 200
    assert "as good as the program claims" in answer.text


@pytest.mark.parametrize("along", ["10", "long", "0", "-100"])
def test_an_odd_line_is_told(teacher: Browser, along: str) -> None:
    sent = {"photos": (io.BytesIO(photo()), "sheet.jpg"), "along": along}
    answer = teacher.post("/teacher/camera/check", sent)
    assert answer.status_code == 400
    assert "such as 99.5" in answer.text


def test_photos_without_the_sheet_are_refused_in_the_teachers_words(teacher: Browser, tmp_path: Path) -> None:
    assert "This photo cannot be checked" in teacher.post(
        "/teacher/camera/check", {"photos": (io.BytesIO(photo()), "a.jpg")}
    ).text  # fmt: skip
    several = [(io.BytesIO(photo()), "first.jpg"), (io.BytesIO(photo()), "second.jpg")]
    answer = teacher.post("/teacher/camera/lens", {"photos": several})
    assert answer.status_code == 400
    assert "No lens profile was made" in answer.text
    assert "photo-1" not in answer.text
    assert "None yet" in teacher.text("/teacher/camera")
