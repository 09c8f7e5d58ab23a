"""Plain, self-contained pages that print well: text, tables, nothing from elsewhere and no script."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

_STYLE = """
body { font: 15px/1.45 system-ui, sans-serif; color: #1d2326; background: #fff; max-width: 62rem; margin: 1.5rem auto;
  padding: 0 1rem; }
h1 { font-size: 1.5rem; margin: 0 0 .2rem; } h2 { font-size: 1.15rem; margin: 1.6rem 0 .4rem; }
p { margin: .3rem 0 .6rem; }
table { border-collapse: collapse; width: 100%; }
th, td { border: 1px solid #9aa5a8; padding: .3rem .5rem; text-align: left; vertical-align: top; }
th { background: #eef1ee; } td.number { text-align: right; white-space: nowrap; }
tr.again td:nth-child(1) { border-left: 4px solid #8a4b08; } tr.fits td:nth-child(1) { border-left: 4px solid #2c6b4f; }
td.mark { white-space: nowrap; font-weight: 600; }
ul { margin: .2rem 0 .6rem 1.2rem; padding: 0; } footer { margin-top: 2rem; font-size: .85rem; color: #4c5659; }
@media screen and (max-width: 44rem) { thead { position: absolute; clip-path: inset(50%); }
  table, tbody, tr, td { display: block; } tr { border: 1px solid #9aa5a8; margin: .5rem 0; padding: .3rem 0; }
  td { border: 0; padding: .1rem .6rem; } td:empty { display: none; }
  td.number { text-align: left; white-space: normal; }
  td[data-head]:not([data-head=""])::before { content: attr(data-head) ": "; color: #4c5659; } }
@media print { body { font-size: 11pt; margin: 0; max-width: none; } tr { break-inside: avoid; }
  h2 { break-after: avoid; } thead { display: table-header-group; } th { background: none; } }
"""


@dataclass(frozen=True)
class Cell:
    """A table's cell: its text, the class that it is set in, and the address that it leads to."""

    text: str
    style: str = ""
    link: str = ""


@dataclass(frozen=True)
class Row:
    """A table's row, and the class that it is set in."""

    cells: Sequence[Cell | str]
    style: str = ""


def page(title: str, parts: Sequence[str], foot: str = "") -> str:
    """A whole page of parts that are HTML already; title and foot are text."""
    head = f'<meta charset="utf-8"><meta name="viewport" content="width=device-width"><title>{escape(title)}</title>'
    below = [f"<footer>{escape(foot)}</footer>"] if foot else []
    body = "\n".join(["<main>", heading(title, 1), *parts, "</main>", *below])
    start = f'<!doctype html>\n<html lang="en">\n<head>{head}\n<style>{_STYLE}</style></head>'
    return f"{start}\n<body>\n{body}\n</body></html>\n"


def heading(text: str, level: int = 2) -> str:
    """A heading."""
    return f"<h{level}>{escape(text)}</h{level}>"


def para(text: str) -> str:
    """A paragraph."""
    return f"<p>{escape(text)}</p>"


def bullets(lines: Sequence[str]) -> str:
    """A list; nothing where there are no lines."""
    return "<ul>" + "".join(f"<li>{escape(line)}</li>" for line in lines) + "</ul>" if lines else ""


def table(head: Sequence[str], rows: Sequence[Row]) -> str:
    """A table with a row of headings."""
    top = "".join(f'<th scope="col">{escape(text)}</th>' for text in head)
    body = "\n".join(_row(row, head) for row in rows)
    return f"<table><thead><tr>{top}</tr></thead>\n<tbody>\n{body}\n</tbody></table>"


def _row(row: Row, head: Sequence[str]) -> str:
    """Each cell carries its heading, for screens too narrow for a table."""
    cells = (cell if isinstance(cell, Cell) else Cell(cell) for cell in row.cells)
    named = zip(cells, head, strict=True)
    inner = "".join(f'<td{_class(c.style)} data-head="{escape(h)}">{_inner(c)}</td>' for c, h in named)
    return f"<tr{_class(row.style)}>{inner}</tr>"


def _inner(cell: Cell) -> str:
    return f'<a href="{escape(cell.link)}">{escape(cell.text)}</a>' if cell.link else escape(cell.text)


def _class(style: str) -> str:
    return f' class="{style}"' if style else ""
