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
from vision.picture.photo_formats import register_heif
from vision.picture.scan_damage import Scan, scan_is_damaged

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


@pytest.mark.parametrize(
    "body", [b"", b"unreadable", b"II*\0\x08\0\0\0" + b"\xff" * 40], ids=["none", "words", "numbers"]
)
def test_a_list_of_further_pictures_that_cannot_be_read_is_passed_over(body: bytes) -> None:
    listed = b"MPF\0" + body
    segment = b"\xff\xe2" + (len(listed) + 2).to_bytes(2, "big") + listed
    file = jpeg()[:2] + segment + jpeg()[2:]
    assert np.array_equal(read(file), decoded(jpeg()))


@pytest.mark.parametrize("thick", [144, 150, 155, 159, 161, 10])
@pytest.mark.parametrize("colour", ["black", "white"])
@pytest.mark.parametrize("copy", ["as a phone saves it", "coarse", "restarted each row"])
def test_a_plain_bar_or_border_is_no_damage(copy: str, colour: str, thick: int) -> None:
    """Its edge is as sharp as damage, whether it lies between two rows of blocks or within one."""
    width, height = picture().size
    for beside in (0, thick):
        barred = Image.new("RGB", (width + 2 * beside, height + 2 * thick), colour)
        barred.paste(picture(), (beside, thick))
        assert reason(saved(barred, **COPIES[copy])) == "", beside


def test_damage_in_a_picture_with_bars_is_refused() -> None:
    """A shift of all that follows from within a row on, between plain bars."""
    barred = np.zeros((1200, 1600, 3), np.uint8)
    rng = np.random.default_rng(2)
    barred[160:1040] = np.clip(rng.normal(120, 3, (880, 1600, 3)), 0, 255).astype(np.uint8)
    assert reason(saved(Image.fromarray(barred), quality=90)) == ""
    barred[640:656, 480:] += 12
    barred[656:1040] += 12
    assert reason(saved(Image.fromarray(barred), quality=90)) == "damaged"


@pytest.mark.parametrize("width", [1216, 1208])
def test_the_end_of_one_row_of_blocks_is_told_where_the_last_block_reaches_beyond_the_picture(width: int) -> None:
    """Between two restarts all lies in one row; its blocks are counted as in the scan, which has whole ones."""
    plain = np.clip(np.random.default_rng(3).normal(120, 3, (1200, width, 3)), 0, 255).astype(np.uint8)
    assert reason(saved(Image.fromarray(plain), quality=90, restart_marker_rows=1)) == ""
    plain[640:656, 480:] += 12
    assert reason(saved(Image.fromarray(plain), quality=90, restart_marker_rows=1)) == "damaged"


@pytest.mark.parametrize("copy", ["as a phone saves it", "half colour", "full colour", "progressive"])
def test_a_shift_of_one_colour_alone_is_refused(copy: str) -> None:
    """Colours are kept for two lines together, and blended by the decoder: their step is no sharp one."""
    rng = np.random.default_rng(3)
    colours = np.clip(rng.normal((130, 120, 140), (20, 2, 2), (1200, 1600, 3)), 0, 255).round()
    unit = 8 if COPIES[copy].get("subsampling") in (0, 1) else 16
    colours[640 : 640 + unit, 480:, 2] -= 8
    colours[640 + unit :, :, 2] -= 8
    shifted = cv2.cvtColor(colours.astype(np.uint8), cv2.COLOR_YCrCb2RGB)
    assert reason(saved(Image.fromarray(shifted), **COPIES[copy])) == "damaged"


def test_a_level_edge_between_two_colours_is_no_damage() -> None:
    """A table's far edge, on the border of two rows of blocks, right across: light shows that a lens drew it."""
    for above, below in (((190, 150, 110), (90, 80, 100)), ((60, 120, 60), (150, 150, 150))):
        bgr = np.full((1200, 1600, 3), above, np.uint8)
        bgr[608:] = below
        noise = np.random.default_rng(1).normal(0, 3, bgr.shape)
        soft = np.clip(cv2.GaussianBlur(bgr, (0, 0), 1.2) + noise, 0, 255).astype(np.uint8)
        for quality in (60, 85, 95):
            assert reason(saved(Image.fromarray(soft), quality=quality)) == ""


def with_changed_table(data: bytes, table: int, place: int, by: float) -> bytes:
    """A copy with one value of a quantisation table, at a place in zigzag order, multiplied."""
    at = -1
    for _ in range(table + 1):
        at = data.index(b"\xff\xdb", at + 1)
    changed = bytearray(data)
    changed[at + 5 + place] = int(np.clip(round(changed[at + 5 + place] * by), 1, 255))
    return bytes(changed)


@pytest.mark.parametrize("copy", ["as a phone saves it", "half colour", "progressive"])
@pytest.mark.parametrize(("table", "place"), [(0, 0), (0, 1), (0, 8), (1, 0), (1, 4)])
def test_a_wrong_value_in_a_quantisation_table_is_refused(copy: str, table: int, place: int) -> None:
    """The decoder multiplies by what is there: one pattern lies over the whole picture, or its contrast is wrong."""
    assert reason(with_changed_table(jpeg(copy), table, place, 8.0)) == "damaged"


@pytest.mark.parametrize("peak", [1, 12])
def test_odd_tables_that_the_picture_was_saved_with_are_no_damage(peak: int) -> None:
    for value in (1, 60):
        odd = [8] * 64
        odd[peak] = value
        assert reason(saved(picture(), qtables=[odd, odd])) == ""
    for quality in (1, 10, 30, 75, 100):
        assert reason(saved(picture(), quality=quality)) == ""


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
    register_heif()
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


@pytest.mark.parametrize("sharpened", [0.0, 0.45])
@pytest.mark.parametrize("thick", [3, 4, 6])
def test_a_dark_seam_between_planks_is_no_damage(thick: int, sharpened: float) -> None:
    """Wherever the seam lies to the blocks that a photo is saved in."""
    grain = np.random.default_rng(3).normal(0.0, 6.0, (256, 1200, 3))
    planks = 135 + 8 * cv2.GaussianBlur(grain, (0, 0), 8.0) + 0.3 * grain
    for place in range(120, 136):
        board = planks.copy()
        board[place : place + thick] *= 0.6
        soft = cv2.GaussianBlur(board, (0, 0), 0.9)
        sharp = soft + sharpened * (soft - cv2.GaussianBlur(soft, (0, 0), 1.1))
        assert not scan_is_damaged(np.clip(sharp, 0, 255).astype(np.uint8), Scan(16, 16)), place
