"""What the outline editor shows of a result, and the form that does the same without a script."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from measure.errors import InputMistakes, Mistake
from measure.repair.line_edits import AddLine, LineEdit, Places, RemoveLine, RenameLine, ReshapeLine, joined_points
from measure.repair.pointing import PictureExtent
from measure.repair.repair import Add, Edit, Remove, Reshape, Rezone
from measure.result.line_results import LinePieceResult
from measure.result.result import CorrectedResult, PieceResult, Result, read_result
from measure.result.result_values import Place
from measure.units import MM_PER, Unit, parse_number
from tapeplat.page.content.repair_request import Request, read_request, result_version

_DIGITS: dict[Unit, int] = {"in": 3, "cm": 3, "mm": 2}
"""Of a corner in the form: rounded by less than placed_rings.SAME_PLACE, so that only moved corners are moved."""
_MOST_LINES = 12


@dataclass(frozen=True)
class Row:
    """One piece in the form: number is its own in its zone, from 1; lines is how many the field shows.

    Of a piece of a line zone is the line's name, and others are the numbers of the line's other pieces.
    """

    name: str
    zone: str
    number: int
    corners: str
    lines: int
    closed: bool = False
    others: tuple[int, ...] = ()


@dataclass(frozen=True)
class Editor:
    """What _outline_editor.html shows: model goes to the script as it is; post takes the changes; swap is what the
    answer's fragment replaces, a CSS selector.
    """

    model: dict[str, Any]
    rows: tuple[Row, ...]
    line_rows: tuple[Row, ...]
    post: str
    swap: str


def editor_of(
    folder: Path, zones: Sequence[str], lines: Sequence[str] = (), *, picture: str, post: str, swap: str
) -> Editor | None:
    """The editor of a result folder, of which `picture` is the corrected picture's address; None without a picture.

    zones and lines are the challenge's. Raises InputMistakes where the result cannot be read.
    """
    result = read_result(folder)
    if result.corrected is None:
        return None
    size = _size(folder / Path(result.corrected.file).name)
    if size is None:
        return None
    model = _model(result_version(folder), result, result.corrected, size)
    model = {**model, "zones": list(zones), "lines": list(lines), "picture": {**model["picture"], "url": picture}}
    return Editor(model, _rows(result), _line_rows(result), post, swap)


def request_of(body: str, form: Mapping[str, str], unit: Unit, *, is_json: bool) -> Request:
    """The changes that the script (JSON) or the form sent. Raises InputMistakes."""
    return read_request(body, unit) if is_json else read_form(form, unit)


def read_form(form: Mapping[str, str], unit: Unit) -> Request:
    """The changes in the form's fields. Raises InputMistakes with every line that is no corner."""
    edits: list[Edit] = []
    mistakes: list[Mistake] = []
    for key in form:
        row = re.fullmatch(r"of-(\d{1,3})", key)
        if row:
            edits += _row_edits(form, row[1], unit, mistakes)
    edits += _line_edits(form, unit, mistakes)
    rings = _rings(form.get("new-corners", ""), "the new outline", unit, mistakes)
    if rings:
        edits.append(Add(form.get("new-zone", ""), rings[0], rings[1:]))
    middle = _points(form.get("new-points", ""), "the new line", unit, mistakes)
    if middle:
        line, closed = form.get("new-line", ""), bool(form.get("new-closed"))
        edits.append(AddLine(line, middle, closed, _width(form.get("new-width", ""), unit, mistakes)))
    if mistakes:
        raise InputMistakes(mistakes)
    return Request(form.get("base", ""), tuple(edits))


def _row_edits(form: Mapping[str, str], row: str, unit: Unit, mistakes: list[Mistake]) -> Iterator[Edit]:
    zone, number = form[f"of-{row}"], form.get(f"piece-{row}", "")
    if not re.fullmatch(r"\d{1,4}", number):
        mistakes.append(Mistake(zone, "its number is missing", "load the page again and repeat the change"))
        return
    if form.get(f"remove-{row}"):
        yield Remove(zone, int(number))
        return
    rings = _rings(form.get(f"corners-{row}", ""), f"piece {number} of {zone}", unit, mistakes)
    if rings:
        yield Reshape(zone, int(number), rings[0], rings[1:])
    to = form.get(f"to-{row}", zone)
    if to != zone:
        yield Rezone(zone, int(number), to)


def _line_edits(form: Mapping[str, str], unit: Unit, mistakes: list[Mistake]) -> Iterator[LineEdit]:
    """Of every row of a line; one that is part of another row's piece is no longer a piece of its own."""
    rows = [row for key in form if (row := key.removeprefix("line-")) != key and re.fullmatch(r"\d{1,3}", row)]
    pieces = {row: (form[f"line-{row}"], form.get(f"number-{row}", "")) for row in rows}
    known = {(line, int(number)): row for row, (line, number) in pieces.items() if re.fullmatch(r"\d{1,4}", number)}
    if len(known) < len(rows):
        mistakes.append(Mistake("a line", "its number is missing", "load the page again and repeat the change"))
        return
    points = {
        of: _points(form.get(f"points-{row}", ""), f"piece {of[1]} of {of[0]}", unit, mistakes)
        for of, row in known.items()
    }
    joins = {of: form.get(f"join-{row}", "") for of, row in known.items()}
    parts = {of: (of[0], int(number)) for of, number in joins.items() if re.fullmatch(r"\d{1,4}", number)}
    for (line, number), row in known.items():
        part = parts.get((line, number))
        if form.get(f"drop-{row}"):
            yield RemoveLine(line, number)
            continue
        if (line, number) in parts.values() and part is None:
            continue
        if part is not None and points.get(part):
            made = joined_points(*(np.array(points[of], dtype=np.float64) for of in ((line, number), part)))
            yield ReshapeLine(line, number, tuple((float(x), float(y)) for x, y in made), (part[1],))
        elif points[line, number]:
            yield ReshapeLine(line, number, points[line, number], closed=bool(form.get(f"closed-{row}")))
        to = form.get(f"other-{row}", line)
        if to != line:
            yield RenameLine(line, number, to)


def _points(text: str, where: str, unit: Unit, mistakes: list[Mistake]) -> Places:
    return tuple(place for ring in _rings(text, where, unit, mistakes) for place in ring)


def _width(text: str, unit: Unit, mistakes: list[Mistake]) -> float | None:
    """In mm; None where nothing was typed."""
    if not text.strip():
        return None
    try:
        return float(parse_number(text)) * MM_PER[unit]
    except ValueError as error:
        mistakes.append(Mistake("the new line's width", str(error)))
        return None


def _rings(text: str, where: str, unit: Unit, mistakes: list[Mistake]) -> tuple[Places, ...]:
    """The outline and the holes, each after an empty line."""
    rings: list[list[Place]] = [[]]
    for number, line in enumerate(text.splitlines(), 1):
        if not line.strip():
            rings.append([])
            continue
        try:
            x, y = (float(parse_number(part)) * MM_PER[unit] for part in _parts(line))
            rings[-1].append((x, y))
        except (ValueError, ZeroDivisionError, OverflowError):
            do = "write how far it is from the left and from the top, as in 4.5, 3.25"
            mistakes.append(Mistake(f"{where}, line {number}", f'"{line.strip()[:40]}" is no corner', do))
    return tuple(tuple(ring) for ring in rings if ring)


def _parts(line: str) -> list[str]:
    """Two numbers with a semicolon, a tab, or a comma between them; with a semicolon commas are decimal."""
    if ";" in line or "\t" in line:
        return [part.replace(",", ".") for part in re.split(r"[;\t]", line)]
    return line.split(",")


def _model(base: str, result: Result, known: CorrectedResult, size: tuple[int, int]) -> dict[str, Any]:
    """What the script needs: places in the result's unit, the picture's in mm."""
    shown = PictureExtent.of(known.origin_mm, known.mm_per_px, size)
    return {
        "base": base,
        "unit": result.unit,
        "mm": MM_PER[result.unit],
        "framed": result.parcel.frame != "card",
        "pieces": [
            *(_piece(zone, number, piece) for zone, number, piece in _pieces(result)),
            *(
                _line_piece(line.name, number, piece)
                for line in result.lines
                for number, piece in enumerate(line.pieces, 1)
            ),
        ],
        "verdicts": [(rule.text, rule.verdict) for rule in result.rules],
        "picture": {
            "left": shown.left,
            "top": shown.top,
            "width": shown.right - shown.left,
            "height": shown.bottom - shown.top,
            "pixels": size[0],
        },
    }


def _piece(zone: str, number: int, piece: PieceResult) -> dict[str, Any]:
    return {
        "zone": zone,
        "number": number,
        "outline": piece.outline,
        "holes": piece.holes,
        "status": piece.status,
        "curved": piece.curved,
    }


def _line_piece(line: str, number: int, piece: LinePieceResult) -> dict[str, Any]:
    """A piece of a line, its middle in the place of an outline; of a closed one the last point repeats the first."""
    return {
        "kind": "line",
        "zone": line,
        "number": number,
        "outline": piece.centreline,
        "holes": [],
        "status": "measured",
        "curved": False,
        "closed": bool(piece.closed),
        "width": piece.width.value,
    }


def _pieces(result: Result) -> Iterator[tuple[str, int, PieceResult]]:
    for zone in result.zones:
        for number, piece in enumerate(zone.pieces, 1):
            yield zone.name, number, piece


def _rows(result: Result) -> tuple[Row, ...]:
    several = {zone.name for zone in result.zones if len(zone.pieces) > 1}
    rows = []
    for zone, number, piece in _pieces(result):
        rings = [_corners(ring, result.unit) for ring in (piece.outline, *piece.holes)]
        corners = "\n\n".join(rings)
        name = f"{zone} {number}" if zone in several else zone
        rows.append(Row(name, zone, number, corners, min(_MOST_LINES, corners.count("\n") + 2)))
    return tuple(rows)


def _line_rows(result: Result) -> tuple[Row, ...]:
    rows = []
    for line in result.lines:
        for number, piece in enumerate(line.pieces, 1):
            points = piece.centreline[:-1] if piece.closed else piece.centreline
            text, several = _corners(points, result.unit), len(line.pieces) > 1
            others = tuple(at for at, other in enumerate(line.pieces, 1) if at != number and not other.closed)
            name = f"{line.name} {number}" if several else line.name
            shown = min(_MOST_LINES, text.count("\n") + 2)
            rows.append(Row(name, line.name, number, text, shown, bool(piece.closed), () if piece.closed else others))
    return tuple(rows)


def _corners(ring: Sequence[Place], unit: Unit) -> str:
    return "\n".join(", ".join(f"{value:.{_DIGITS[unit]}f}" for value in place) for place in ring)


def _size(file: Path) -> tuple[int, int] | None:
    """Width and height in px; None where there is no picture."""
    try:
        with Image.open(file) as image:
            return image.size
    except OSError:
        return None
