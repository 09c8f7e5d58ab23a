"""Files whose picture is damaged are refused, whether or not a decoder minds; odd files that are whole are read."""

from __future__ import annotations

import io
from functools import cache

import cv2
import numpy as np
import pytest
import simplejpeg
from numpy.typing import NDArray
from PIL import Image

from calib.photo_refused import PhotoRefused
from tests.helpers.damaged_copies import damaged, saved, whole_but_odd
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.village import village
from vision.picture.photo import photo_from_bytes

COPIES = {
    "as a phone saves it": {"quality": 90},
    "coarse": {"quality": 60},
    "full colour": {"quality": 90, "subsampling": 0},
    "half colour": {"quality": 85, "subsampling": 1},
    "progressive": {"quality": 85, "progressive": True},
    "restarted each row": {"quality": 90, "restart_marker_rows": 1},
    "restarted often": {"quality": 80, "restart_marker_blocks": 37},
}
SEEN = 8
"""A change in grey levels that may matter."""


@cache
def picture() -> Image.Image:
    return Image.fromarray(draw(village())[..., ::-1])


@cache
def jpeg(copy: str = "as a phone saves it") -> bytes:
    return saved(picture(), **COPIES[copy])


def read(data: bytes) -> NDArray[np.uint8]:
    return photo_from_bytes(data, "photo.jpg").bgr


def reason(data: bytes) -> str:
    """Why a file is refused, empty where it is not."""
    try:
        read(data)
    except PhotoRefused as refused:
        return refused.reason
    return ""


def decoded(data: bytes) -> NDArray[np.uint8]:
    return np.asarray(cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR), np.uint8)


@pytest.mark.parametrize("copy", COPIES)
def test_whole_copies_are_read_as_they_are(copy: str) -> None:
    assert np.array_equal(read(jpeg(copy)), decoded(jpeg(copy)))


@pytest.mark.parametrize("odd", whole_but_odd(saved(Image.new("RGB", (400, 300)))))
def test_what_phones_write_besides_is_no_damage(odd: str) -> None:
    assert np.array_equal(read(whole_but_odd(jpeg())[odd]), decoded(jpeg()))


def test_a_grey_and_a_cmyk_file_are_read() -> None:
    for mode in ("L", "CMYK"):
        file = saved(picture().convert(mode), quality=90)
        assert np.array_equal(read(file), decoded(file))


@pytest.mark.parametrize("copy", COPIES)
@pytest.mark.parametrize("kind", ["zeroed", "cut", "blocks dropped"])
def test_missing_and_wrong_data_are_refused(copy: str, kind: str) -> None:
    """A few bytes may hit what nobody sees: hardly any units of 16 px differ then."""
    whole = decoded(jpeg(copy))
    for seed in range(4):
        file = damaged(jpeg(copy), kind, seed)
        assert reason(file) == "damaged" or differing_units(read(file), whole) <= 5, seed


def differing_units(one: NDArray[np.uint8], other: NDArray[np.uint8]) -> int:
    apart = np.abs(one.astype(int) - other).max(axis=2)
    return int((apart.reshape(apart.shape[0] // 16, 16, apart.shape[1] // 16, 16).max(axis=(1, 3)) > SEEN).sum())


@pytest.mark.parametrize("copy", ["as a phone saves it", "full colour", "restarted each row"])
def test_damage_that_the_decoder_takes_for_a_picture_is_refused(copy: str) -> None:
    """A changed byte may leave data that decode without any complaint and shift all colours that follow."""
    silent = []
    for seed in range(60):
        file = damaged(jpeg(copy), "bytes changed", seed)
        try:
            wrong = simplejpeg.decode_jpeg(file, "BGR")
        except ValueError:
            assert reason(file) == "damaged"
            continue
        if differing_units(np.asarray(wrong), decoded(jpeg(copy))) > 60:
            silent.append(reason(file))
    assert silent
    assert set(silent) == {"damaged"}


def test_a_png_with_a_wrong_byte_is_refused() -> None:
    buffer = io.BytesIO()
    picture().save(buffer, "PNG", compress_level=0)
    file = bytearray(buffer.getvalue())
    assert reason(bytes(file)) == ""
    file[len(file) // 2] ^= 4
    assert reason(bytes(file)) == "damaged"
    assert reason(bytes(file[: len(file) // 2])) == "damaged"


def test_a_heic_that_ends_early_is_refused() -> None:
    buffer = io.BytesIO()
    picture().resize((800, 600)).save(buffer, "HEIF", quality=80)
    assert reason(buffer.getvalue()) == ""
    assert reason(buffer.getvalue()[: len(buffer.getvalue()) // 2]) == "damaged"


def test_a_level_edge_right_across_the_picture_is_no_damage() -> None:
    """A table's far edge, level and on the border of two rows of blocks, is as long as damage but never as sharp."""
    grey = np.full((1200, 1600, 3), 190, np.uint8)
    grey[608:] = 90
    noise = np.random.default_rng(1).normal(0, 3, grey.shape)
    soft = np.clip(cv2.GaussianBlur(grey, (0, 0), 1.2) + noise, 0, 255).astype(np.uint8)
    assert reason(saved(Image.fromarray(soft), quality=85)) == ""
