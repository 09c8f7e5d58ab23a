"""A team's table of hand measurements as it is filed: other teams' rows left out, children's names made numbers."""

from __future__ import annotations

import csv
import io

from measure.teams import team_key


def filed_hand(content: bytes, team: str) -> bytes:
    """The table with the team's own rows, and in its column `who` child 1, child 2, ... in place of what stood there.

    What each child measured stays together, which the search for a ruler's or a habit's mistake needs.
    """
    marker, rows = _rows(_text(content))
    header = [" ".join(cell.split()).casefold() for cell in rows[0]] if rows else []
    kept = [row for row in rows[1:] if _is_of(_cell(row, header, "team"), team)]
    children: dict[str, str] = {}
    for row in kept:
        who = _cell(row, header, "who")
        if who.strip():
            row[header.index("who")] = children.setdefault(who.strip().casefold(), f"child {len(children) + 1}")
    out = io.StringIO()
    csv.writer(out, delimiter=marker, lineterminator="\r\n").writerows([*rows[:1], *kept])
    return out.getvalue().encode("utf-8-sig")


def _text(content: bytes) -> str:
    if content[:2] in (b"\xff\xfe", b"\xfe\xff"):
        return content.decode("utf-16", "replace")
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError:
        return content.decode("cp1252", "replace")


def _rows(text: str) -> tuple[str, list[list[str]]]:
    """The sign between the cells, and the cells of every row that holds anything."""
    lines = text.splitlines()
    named = lines[0].strip().strip('"').casefold() if lines else ""
    if named.startswith("sep="):
        lines = lines[1:]
    marker = named[4:5] or max(",;\t", key=lambda sign: lines[0].count(sign) if lines else 0)
    rows = csv.reader(lines, delimiter=marker, skipinitialspace=True)
    return marker, [row for row in rows if any(cell.strip() for cell in row)]


def _cell(row: list[str], header: list[str], column: str) -> str:
    at = header.index(column) if column in header else len(row)
    return row[at] if at < len(row) else ""


def _is_of(cell: str, team: str) -> bool:
    return not cell.strip() or not team.strip() or team_key(cell) == team_key(team)
