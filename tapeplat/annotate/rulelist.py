"""The rule list beside or below the photo: symbol, verdict in words, the rule's number and text, what was measured."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from tapeplat.annotate.drawn_mark import draw_mark, mark_side
from tapeplat.annotate.palette import FAINT
from tapeplat.annotate.picture_canvas import Canvas
from tapeplat.annotate.style import Style, text_width
from tapeplat.annotate.symbols import draw_symbol
from tapeplat.wording.notes import Notes, RuleNote

_COLUMN_EMS = 27
"""Width of a column of the list, in text sizes."""
_LEADING = 1.35


@dataclass(frozen=True)
class _Row:
    rule: RuleNote
    text: tuple[str, ...]
    detail: tuple[str, ...]

    def height(self, style: Style) -> float:
        lines = (1 + len(self.text)) * style.text + len(self.detail) * style.small
        return _LEADING * lines + 0.7 * style.text


@dataclass(frozen=True)
class RuleList:
    """The list laid out for a photo: the page that holds both (width, height) and where the list starts, in px."""

    page: tuple[int, int]
    left: float
    top: float
    title: tuple[str, ...]
    columns: tuple[tuple[_Row, ...], ...]
    remarks: tuple[str, ...]
    column_width: float


def lay_out(notes: Notes, style: Style, photo: tuple[int, int]) -> RuleList:
    """Lay the list out beside an upright photo, below a wide one. photo is (width, height)."""
    width, height = photo
    column = float(_COLUMN_EMS * style.text)
    beside = height >= 0.8 * width
    count = 1 if beside else max(1, int(width // column))
    if not beside:
        column = width / count
    inner = column - 2 * style.text
    columns = _balanced([_row(rule, style, inner) for rule in notes.rules], count, style)
    title = tuple(wrapped(notes.title, round(1.2 * style.text), inner * count, bold=True))
    remarks = tuple(line for text in notes.remarks for line in wrapped(text, style.small, inner * count))
    left, top = (float(width), 0.0) if beside else (0.0, float(height))
    tall = _height(columns, style) + 1.2 * _LEADING * style.text * len(title) + _LEADING * style.small * len(remarks)
    tall += 3 * style.text + mark_side(style)
    page = (round(width + column), round(max(height, tall))) if beside else (width, round(height + tall))
    return RuleList(page, left, top, title, columns, remarks, column)


def draw_rule_list(canvas: Canvas, listing: RuleList) -> None:
    """Draw the list on the page that it was laid out for."""
    style = canvas.style
    x, y = listing.left + style.text, listing.top + style.text
    title = round(1.2 * style.text)
    for line in listing.title:
        canvas.text((x, y), line, size=title, bold=True, anchor="la")
        y += _LEADING * title
    for index, rows in enumerate(listing.columns):
        below = y + 0.4 * style.text
        for row in rows:
            _draw_row(canvas, row, x + index * listing.column_width, below)
            below += row.height(style)
    y += _height(listing.columns, style)
    for line in listing.remarks:
        canvas.text((x, y), line, size=style.small, colour=FAINT, anchor="la")
        y += _LEADING * style.small
    draw_mark(canvas, (x, y + style.text))


def _draw_row(canvas: Canvas, row: _Row, x: float, y: float) -> None:
    style = canvas.style
    draw_symbol(canvas, (x + 0.55 * style.text, y + 0.5 * style.text), 0.5 * style.text, row.rule.verdict)
    indent = x + 1.5 * style.text
    canvas.text((indent, y), f"{row.rule.number}  {row.rule.verdict}", bold=True, anchor="la")
    y += _LEADING * style.text
    for line in row.text:
        canvas.text((indent, y), line, anchor="la")
        y += _LEADING * style.text
    for line in row.detail:
        canvas.text((indent, y), line, size=style.small, colour=FAINT, anchor="la")
        y += _LEADING * style.small


def _row(rule: RuleNote, style: Style, width: float) -> _Row:
    inner = width - 1.5 * style.text
    detail = wrapped(rule.detail, style.small, inner) if rule.detail else []
    return _Row(rule, tuple(wrapped(rule.text, style.text, inner)), tuple(detail))


def _balanced(rows: list[_Row], count: int, style: Style) -> tuple[tuple[_Row, ...], ...]:
    """Deal the rows out to columns in order, each about as tall as the others."""
    share = sum(row.height(style) for row in rows) / count
    columns: list[list[_Row]] = [[] for _ in range(count)]
    filled = 0.0
    for row in rows:
        columns[min(count - 1, int((filled + row.height(style) / 2) / share))].append(row)
        filled += row.height(style)
    return tuple(tuple(column) for column in columns)


def _height(columns: tuple[tuple[_Row, ...], ...], style: Style) -> float:
    return 0.4 * style.text + max(sum(row.height(style) for row in column) for column in columns)


def wrapped(text: str, size: int, width: float, *, bold: bool = False) -> list[str]:
    """Break a text into lines that fit a width in px; a word that is wider than that is broken."""
    lines = [""]
    for word in _breakable(text, size, width, bold):
        longer = f"{lines[-1]} {word}".lstrip()
        if text_width(longer, size, bold) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    return [line for line in lines if line]


def _breakable(text: str, size: int, width: float, bold: bool) -> Iterator[str]:
    for word in text.split():
        while text_width(word, size, bold) > width and len(word) > 1:
            fits = max(1, int(len(word) * width / text_width(word, size, bold)) - 1)
            yield word[:fits]
            word = word[fits:]
        yield word
