"""Tables that open in any spreadsheet and cannot run there."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterable, Sequence

_RUNS = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""What a spreadsheet may take for the start of a formula."""


def csv_text(rows: Iterable[Sequence[str]]) -> str:
    """Rows as CSV (RFC 4180's line ends), every cell made harmless."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([harmless(cell) for cell in row] for row in rows)
    return out.getvalue()


def harmless(cell: str) -> str:
    """A cell as a spreadsheet shows it and does not run it: text that may be a formula gets an apostrophe.

    (OWASP, CSV Injection.) Plain negative numbers stay numbers.
    """
    if not cell.lstrip().startswith(_RUNS) and not cell.startswith(_RUNS):
        return cell
    try:
        return cell if math.isfinite(float(cell)) and cell[0] in "-0123456789" else f"'{cell}"
    except ValueError:
        return f"'{cell}"
