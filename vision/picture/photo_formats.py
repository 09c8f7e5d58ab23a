"""The kinds of files that photos come in, and what other files are called: told by the content, or by a name's ending.

To measure photos of one more kind, add it to FORMATS: reading, uploads and a class's folder go by these.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass


@dataclass(frozen=True)
class PhotoFormat:
    """One kind: Pillow's name for it, the endings of its files, and what stands at a place near the file's start.

    The first ending is the one that we give to such a file.
    """

    name: str
    endings: tuple[str, ...]
    signatures: tuple[bytes, ...]
    at: int = 0

    @property
    def ending(self) -> str:
        """The ending of a file of ours."""
        return self.endings[0]


_HEIF_BRANDS = (b"heic", b"heix", b"hevc", b"hevx", b"heim", b"heis", b"mif1", b"msf1", b"heif")
FORMATS = (
    PhotoFormat("JPEG", (".jpg", ".jpeg", ".jpe", ".jfif", ".mpo"), (b"\xff\xd8\xff", b"\xff\xd8\0")),
    PhotoFormat("PNG", (".png",), (b"\x89PNG\r\n\x1a\n",)),
    PhotoFormat("HEIF", (".heic", ".heif"), tuple(b"ftyp" + brand for brand in _HEIF_BRANDS), at=4),
)
"""Pillow opens MPO, a phone's JPEG with a second picture in it, as JPEG."""
FORMATS_IN_WORDS = "JPEG, PNG or HEIC"
PILLOW_NAMES = tuple(kind.name for kind in FORMATS)
MEASURABLE_ENDINGS = frozenset(ending for kind in FORMATS for ending in kind.endings)
OTHER_PICTURE_ENDINGS = frozenset((".webp", ".gif", ".tif", ".tiff", ".bmp", ".avif", ".dng", ".cr2", ".nef", ".arw"))
"""Pictures that cannot be measured."""
VIDEO_ENDINGS = frozenset((".mp4", ".mov", ".m4v", ".avi", ".3gp", ".3g2", ".mkv", ".webm", ".mts", ".wmv"))


def raise_warnings() -> None:
    """Make what Pillow warns of an exception, inside warnings.catch_warnings.

    Not that a list of further pictures cannot be read: the photo itself is opened all the same.
    """
    warnings.simplefilter("error")
    warnings.filterwarnings("ignore", "Image appears to be a malformed MPO file")


def format_of(content: bytes) -> PhotoFormat | None:
    """The kind of photo that a file's content starts as; None where it is none."""
    return next((kind for kind in FORMATS if content[kind.at : kind.at + 20].startswith(kind.signatures)), None)


def register_heif(kind: PhotoFormat | None = None) -> None:
    """Teach Pillow to open HEIC, which takes a while to load, unless the kind is known to be another that it opens."""
    if kind is None or kind.name == "HEIF":
        from pillow_heif import register_heif_opener

        register_heif_opener()


_OTHER_STARTS: tuple[tuple[bytes, str], ...] = (
    (b"%PDF-", "a PDF document"),
    (b"PK\x03\x04", "a ZIP archive or an office document"),
    (b"GIF8", "a GIF picture"),
    (b"RIFF", "a sound, film or WebP file"),
    (b"MZ", "a Windows program"),
    (b"\x7fELF", "a program"),
    (b"BM", "a BMP picture"),
    (b"II*\0", "a TIFF or raw picture"),
    (b"MM\0*", "a TIFF or raw picture"),
)


def other_kind(content: bytes) -> str:
    """What a file that is no photo is, as far as its beginning tells."""
    known = next((said for start, said in _OTHER_STARTS if content.startswith(start)), "")
    if known:
        return known
    start = content[:4096].lower()
    if b"<svg" in start:
        return "an SVG drawing"
    if b"<html" in start or b"<!doctype" in start or b"<script" in start:
        return "a web page"
    return "a film" if content[4:8] == b"ftyp" else "something else"
