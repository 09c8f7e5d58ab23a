"""What a page of the kit is made of; the document and the PDF are both made from this."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

Reader = Literal["teacher", "children"]


@dataclass(frozen=True)
class Heading:
    """A heading inside a page."""

    text: str


@dataclass(frozen=True)
class Text:
    """A paragraph."""

    text: str


@dataclass(frozen=True)
class Bullets:
    """A list with dots, or with numbers."""

    lines: tuple[str, ...]
    numbered: bool = False


@dataclass(frozen=True)
class Grid:
    """A table: its first row is its head; widths are parts of the page's width; height is the least of a row, mm."""

    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    height: float = 0.0


@dataclass(frozen=True)
class Lines:
    """So many lines to write on."""

    count: int


@dataclass(frozen=True)
class Drawing:
    """A picture as PNG, so wide on paper (mm); alt says what it shows."""

    png: bytes
    width: float
    height: float
    alt: str


Block = Heading | Text | Bullets | Grid | Lines | Drawing


@dataclass(frozen=True)
class KitPage:
    """One sheet of the kit, by the name under which it is asked for."""

    name: str
    title: str
    reader: Reader
    blocks: tuple[Block, ...]


def texts(page: KitPage) -> list[str]:
    """Every sentence, cell and line of a page, to be read."""
    found = [page.title]
    for block in page.blocks:
        match block:
            case Heading(text) | Text(text):
                found.append(text)
            case Bullets(lines):
                found += lines
            case Grid(rows):
                found += [cell for row in rows for cell in row if cell]
            case _:
                pass
    return found
