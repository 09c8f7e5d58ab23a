"""What a file is, told by its content: so that a wrong file is named for what it is, not for how reading it failed."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Literal

Kind = Literal[
    "photo", "drawing", "document", "office", "film", "challenge", "result", "outlines", "outline table", "hand table",
    "structures table", "class record", "attempt record", "lens profile", "page", "empty", "other JSON",
]  # fmt: skip

WORDS: dict[Kind, str] = {
    "photo": "a photo or picture",
    "drawing": "a drawing (SVG)",
    "document": "a PDF document",
    "office": "a ZIP archive or a spreadsheet's own file",
    "film": "a film",
    "challenge": "a challenge",
    "result": "a result",
    "outlines": "outlines (GeoJSON)",
    "outline table": "a table of outlines",
    "hand table": "a table of hand measurements",
    "structures table": "a table of structures",
    "class record": "a class's record",
    "attempt record": "an attempt's record",
    "lens profile": "a lens profile",
    "page": "a web page",
    "empty": "an empty file",
    "other JSON": "JSON of another kind",
}
_STARTS: tuple[tuple[int, bytes, Kind], ...] = (
    (0, b"\xff\xd8\xff", "photo"), (0, b"\x89PNG", "photo"), (0, b"GIF8", "photo"), (0, b"BM", "photo"),
    (0, b"II*\0", "photo"), (0, b"MM\0*", "photo"), (8, b"WEBP", "photo"), (4, b"ftyphe", "photo"),
    (4, b"ftypmi", "photo"), (4, b"ftypms", "photo"), (4, b"ftypavif", "photo"), (4, b"ftyp", "film"),
    (0, b"\x1aE\xdf\xa3", "film"), (8, b"AVI ", "film"), (0, b"%PDF-", "document"), (0, b"PK\x03\x04", "office"),
    (0, b"\xd0\xcf\x11\xe0", "office"),
)  # fmt: skip
_FORMATS: tuple[tuple[str, Kind], ...] = (
    ("tapeplat/result-", "result"), ("tapeplat/class-", "class record"), ("tapeplat/attempt-", "attempt record"),
    ("tapeplat/lens-", "lens profile"),
)  # fmt: skip
_BINARY = 4096
_READ = 400_000
"""Bytes that are looked at: a result says its format at its start, outlines may be long."""


def kind_of_file(path: Path) -> Kind | None:
    """What a file is; None where it cannot be read or is nothing that is known."""
    try:
        with path.open("rb") as file:
            return kind_of(file.read(_READ))
    except (OSError, ValueError):
        return None


def kind_of(content: bytes) -> Kind | None:
    """What a file with this content, or this beginning, is; None where that is not known."""
    if not content.strip():
        return "empty"
    for at, start, kind in _STARTS:
        if content[at : at + len(start)] == start:
            return kind
    if b"\0" in content[:_BINARY] and content[:2] not in (b"\xff\xfe", b"\xfe\xff"):
        return None
    encoding = "utf-16" if content[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
    return _kind_of_text(content.decode(encoding, "replace").lstrip())


def _kind_of_text(text: str) -> Kind | None:
    if not text:  # letters that count as space in text, though not as bytes
        return "empty"
    if re.match(r"(<\?xml[^>]*>\s*)?(<!--.*?-->\s*|<!DOCTYPE svg[^>]*>\s*)*<svg\b", text, re.DOTALL | re.IGNORECASE):
        return "drawing"
    if re.match(r"<!doctype html|<html\b", text, re.IGNORECASE):
        return "page"
    if text.startswith("{"):
        return _kind_of_json(text)
    first = text.splitlines()[0]
    cells = {cell.strip(' "').casefold() for cell in re.split(r"[,;\t]", first)}
    if {"quantity", "value"} <= cells:
        return "hand table"
    if {"zone", "solid"} <= cells:
        return "structures table"
    if {"zone", "wkt"} <= cells:
        return "outline table"
    if re.search(r"^\s*(```|~~~)", text, re.MULTILINE):  # a page that tells of challenges, as a README
        return None
    toml = re.search(r"^\s*\[+(zone|parcel|card|priors)\]+\s*(#.*)?$", text, re.MULTILINE)
    return "challenge" if toml or re.search(r"^\s*(rules|title)\s*=", text, re.MULTILINE) else None


def _kind_of_json(text: str) -> Kind | None:
    said = re.search(r'"format"\s*:\s*"([^"]*)"', text[:_BINARY])
    for start, kind in _FORMATS:
        if said and said[1].startswith(start):
            return kind
    if re.search(r'"type"\s*:\s*"(FeatureCollection|Feature|Polygon|MultiPolygon)"', text):
        return "outlines"
    try:
        json.loads(text)
    except (ValueError, RecursionError):
        return None
    return "other JSON"
