"""What is kept of a photo's file: nothing but its picture."""

from __future__ import annotations

import io
import struct
import zlib

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image, PngImagePlugin

from tapeplat.archive.cleaning.clean_pictures import NoPicture, cleaned
from vision.picture.photo import register_heif

SECRETS = [
    b"SERIAL-4711", b"OWNER-NAME", b"MAKER-NOTE", b"XMP-SECRET", b"COMMENT-SECRET", b"IPTC-SECRET", b"MPF-SECRET",
    b"ICC-SECRET", b"JFXX-THUMB", b"AFTER-THE-END", b"2026:03:05", b"PHONE-MODEL", b"EXIF-THUMB", b"JFIF-THUMB",
]  # fmt: skip
TRACES = [b"Exif", b"http://ns.adobe.com", b"MPF\0", b"ICC_PROFILE", b"Photoshop", b"JFXX", b"GPS"]


def scene(width: int = 96, height: int = 64) -> Image.Image:
    """Blotches, so that a turn, a mirror and a lossy step all show."""
    rough = np.random.default_rng(3).integers(0, 255, (height // 8, width // 8, 3), dtype=np.uint8)
    return Image.fromarray(cv2.resize(rough, (width, height), interpolation=cv2.INTER_LINEAR))


def exif(orientation: int = 1) -> Image.Exif:
    """A place, times, a serial number, an owner, a maker's note: what phones write, and more."""
    made = Image.Exif()
    made[ExifTags.Base.Orientation] = orientation
    made[ExifTags.Base.Make], made[ExifTags.Base.Model] = "PHONE-MODEL", "PHONE-MODEL 9"
    made[ExifTags.Base.DateTime] = "2026:03:05 10:30:00"
    details = made.get_ifd(ExifTags.IFD.Exif)
    details[0xA431], details[0xA430] = "SERIAL-4711", "OWNER-NAME"
    details[ExifTags.Base.MakerNote] = b"MAKER-NOTE" + b"EXIF-THUMB\xff\xd8\xff\xdb"
    details[ExifTags.Base.DateTimeOriginal] = "2026:03:05 10:30:00"
    place = made.get_ifd(ExifTags.IFD.GPSInfo)
    place[1], place[2], place[3], place[4] = "N", (52.0, 30.0, 1.25), "E", (13.0, 24.0, 2.5)
    return made


def segment(marker: int, content: bytes) -> bytes:
    return struct.pack(">BBH", 0xFF, marker, len(content) + 2) + content


def telling_jpeg(orientation: int = 1, **options: object) -> bytes:
    """A JPEG that carries all that a file can tell, also what no program writes all at once."""
    out = io.BytesIO()
    scene().save(out, "JPEG", exif=exif(orientation), quality=90, **options)
    plain = out.getvalue()
    extra = [
        segment(0xE0, b"JFIF\0\x01\x02\x00\x00\x48\x00\x48\x04\x01" + b"JFIF-THUMB\0\0"),
        segment(0xE0, b"JFXX\0\x10JFXX-THUMB\xff\xd8"),
        segment(0xE1, b"http://ns.adobe.com/xap/1.0/\0<x>XMP-SECRET</x>"),
        segment(0xE2, b"MPF\0MPF-SECRET"),
        segment(0xE2, b"ICC_PROFILE\0\x01\x01ICC-SECRET"),
        segment(0xED, b"Photoshop 3.0\0IPTC-SECRET"),
        segment(0xFE, b"COMMENT-SECRET"),
    ]
    return plain[:2] + b"".join(extra) + b"\xff\xff\xff" + plain[3:] + b"AFTER-THE-END" + plain


def assert_tells_nothing(data: bytes) -> None:
    found = [mark for mark in SECRETS + TRACES if mark in data]
    assert found == []
    with Image.open(io.BytesIO(data)) as image:
        assert not image.getexif()
        assert set(image.info) <= {"jfif", "jfif_version", "jfif_unit", "jfif_density", "progressive", "progression"}


def decoded(data: bytes) -> np.ndarray:
    return cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR | cv2.IMREAD_IGNORE_ORIENTATION)


@pytest.mark.parametrize("options", [{}, {"progressive": True}, {"subsampling": 0}, {"restart_marker_rows": 1}])
def test_an_upright_jpeg_loses_all_it_tells_and_not_a_bit_of_its_picture(options):
    data = telling_jpeg(**options)
    assert all(mark in data for mark in SECRETS), "the test's own picture must tell everything"
    kept, ending = cleaned(data)
    assert ending == ".jpg"
    assert_tells_nothing(kept)
    assert kept.count(b"\xff\xd8\xff") == 1
    assert kept.endswith(b"\xff\xd9")
    assert np.array_equal(decoded(kept), decoded(data))


@pytest.mark.parametrize("orientation", range(2, 9))
def test_a_photo_that_is_to_be_turned_is_turned(orientation):
    data = telling_jpeg(orientation)
    kept, _ = cleaned(data)
    assert_tells_nothing(kept)
    # OpenCV turns by EXIF on its own.
    upright = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR).astype(int)
    assert decoded(kept).shape == upright.shape
    assert np.abs(decoded(kept).astype(int) - upright).mean() < 3.0


def test_grey_and_four_colour_jpegs_keep_their_picture():
    for mode in ("L", "CMYK"):
        out = io.BytesIO()
        scene().convert(mode).save(out, "JPEG", comment=b"COMMENT-SECRET", exif=exif())
        kept, _ = cleaned(out.getvalue())
        assert_tells_nothing_but_adobe(kept)
        with Image.open(io.BytesIO(kept)) as one, Image.open(io.BytesIO(out.getvalue())) as two:
            assert np.array_equal(np.asarray(one), np.asarray(two))


def assert_tells_nothing_but_adobe(data: bytes) -> None:
    assert [mark for mark in SECRETS + TRACES if mark in data] == []


@pytest.mark.parametrize("orientation", [1, 6])
def test_a_png_keeps_its_picture_alone(orientation):
    facts = PngImagePlugin.PngInfo()
    facts.add_text("Author", "OWNER-NAME")
    facts.add_text("Long", "COMMENT-SECRET" * 50, zip=True)
    facts.add_itxt("XML:com.adobe.xmp", "XMP-SECRET")
    out = io.BytesIO()
    scene().save(out, "PNG", pnginfo=facts, exif=exif(orientation), icc_profile=b"ICC-SECRET", dpi=(72, 72))
    data = out.getvalue() + b"AFTER-THE-END"
    kept, ending = cleaned(data)
    assert ending == ".png"
    assert_tells_nothing(kept)
    with Image.open(io.BytesIO(kept)) as image:
        expected = scene() if orientation == 1 else scene().transpose(Image.Transpose.ROTATE_270)
        assert np.array_equal(np.asarray(image.convert("RGB")), np.asarray(expected))
    assert set(chunks(kept)) <= {b"IHDR", b"IDAT", b"IEND"}


def chunks(data: bytes) -> list[bytes]:
    """Names of a PNG's chunks; every checksum is right (W3C PNG, 5.3)."""
    names, at = [], 8
    while at < len(data):
        length, name = struct.unpack(">I4s", data[at : at + 8])
        assert struct.unpack(">I", data[at + 8 + length : at + 12 + length])[0] == zlib.crc32(
            data[at + 4 : at + 8 + length]
        )
        names.append(name)
        at += 12 + length
    return names


def test_heic_becomes_a_jpeg_that_tells_nothing():
    register_heif()
    out = io.BytesIO()
    scene(128, 96).save(out, "HEIF", exif=exif().tobytes(), quality=90)
    kept, ending = cleaned(out.getvalue())
    assert ending == ".jpg"
    assert_tells_nothing(kept)
    assert np.abs(decoded(kept)[..., ::-1].astype(int) - np.asarray(scene(128, 96)).astype(int)).mean() < 6.0


@pytest.mark.parametrize("data", [b"", b"\xff\xd8", b"\xff\xd8\xff", b"not a picture", b"\x89PNG\r\n\x1a\n"])
def test_what_is_no_picture_is_refused(data):
    with pytest.raises(NoPicture):
        cleaned(data)


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_a_picture_that_ends_early_is_refused(form):
    out = io.BytesIO()
    scene().save(out, form)
    for end in range(40, len(out.getvalue()) - 2, 97):
        with pytest.raises(NoPicture):
            cleaned(out.getvalue()[:end])


@given(st.binary(max_size=300), st.integers(0, 600))
def test_damage_never_lets_anything_but_a_picture_or_a_refusal_through(junk, at):
    data = telling_jpeg()
    spoilt = data[:at] + junk + data[at + len(junk) :]
    try:
        kept, _ = cleaned(spoilt)
    except NoPicture:
        return
    assert b"AFTER-THE-END" not in kept
