"""What a district publishes, as files: a table for programs, a page that prints well. No team, no picture."""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping, Sequence
from datetime import date
from html import escape
from itertools import groupby

from tapeplat.district.disclosure import Row
from tapeplat.output.plain_page import Cell, heading, page, para, table
from tapeplat.output.plain_page import Row as PageRow
from tapeplat.output.spreadsheet import csv_text

TABLE, PAGE = "district.csv", "district.html"
ALL, HIDDEN = "all schools", "hidden"
_RULES_A_TABLE = 8


def numbered(schools: Sequence[str], shuffle: Callable[[list[int]], None]) -> dict[str, str]:
    """`school 1`, `school 2` for the schools' names, in an order that only shuffle knows."""
    numbers = list(range(1, len(schools) + 1))
    shuffle(numbers)
    return {name: f"school {number}" for name, number in zip(sorted(schools), numbers, strict=True)}


def own_names(schools: Sequence[str]) -> dict[str, str]:
    """The schools' own names; one that is called as the total is stays apart from it."""
    return {name: f"{name} (a school)" if name == ALL else name for name in schools}


def key_table(called: Mapping[str, str]) -> bytes:
    """Which number is whose school's: for the district alone."""
    return csv_text([["school", "name"], *([said, name] for name, said in called.items())]).encode("utf-8-sig")


def district_files(
    rows: Sequence[Row], called: Mapping[str, str], threshold: int, unread: int, as_of: date
) -> dict[str, bytes]:
    """The files to publish; called says how each school is named in them, unread how many attempts are not counted.

    as_of is the day whose state of the archives is told.
    """
    named = [(row, called[row.school] if row.school else ALL) for row in rows]
    return {TABLE: _csv(named), PAGE: _page(named, threshold, unread, as_of)}


def counts_in(written: bytes) -> list[list[str]]:
    """A table's rows without the schools, which may be numbered in another order: the counts that it tells, sorted."""
    lines = csv.reader(written.decode("utf-8-sig", "replace").splitlines())
    return sorted(row[:3] + row[4:] for row in lines)


def _csv(rows: Sequence[tuple[Row, str]]) -> bytes:
    """A row for each rule and school; hidden counts are empty."""
    head = ["year", "challenge", "rule", "school", "teams", "teams that met it", "hidden"]
    body = [
        [
            str(row.year),
            row.title,
            row.rule,
            said,
            *map(_number, (row.teams, row.met)),
            "yes" if row.met is None else "",
        ]
        for row, said in sorted(rows, key=_order)
    ]
    return csv_text([head, *body]).encode("utf-8-sig")


def _page(rows: Sequence[tuple[Row, str]], threshold: int, unread: int, as_of: date) -> bytes:
    parts = [para(_explained(threshold))]
    if unread:
        parts.append(para(f"Attempts that cannot be read, and so are not counted: {unread}."))
    for (year, title), own in groupby(rows, key=lambda one: (one[0].year, one[0].title)):
        found = list(own)
        rules = list(dict.fromkeys(row.rule for row, _ in found))
        parts.append(heading(f"{title}, {year}"))
        parts.append("<ol>" + "".join(f"<li>{escape(rule)}</li>" for rule in rules) + "</ol>")
        for first in range(0, len(rules), _RULES_A_TABLE):
            parts.append(_table(found, rules, range(first, min(first + _RULES_A_TABLE, len(rules)))))
    foot = f"Made by Tapeplat from the schools' archives as they were on {as_of}."
    return page("How many teams met each rule", parts, foot).encode("utf-8")


def _table(rows: Sequence[tuple[Row, str]], rules: Sequence[str], numbers: range) -> str:
    """A row for all schools and for each; a column for each of these rules: teams that met it, of those that had it."""
    known = {(said, row.rule): row for row, said in rows}
    names = sorted({said for _, said in rows}, key=_by_number)
    body = [PageRow([said, *(Cell(_said(known.get((said, rules[n]))), "number") for n in numbers)]) for said in names]
    return table(["Met, of teams", *(f"Rule {n + 1}" for n in numbers)], body)


def _said(row: Row | None) -> str:
    if row is None:
        return "no such rule"
    return HIDDEN if row.met is None else f"{row.met} of {row.teams}"


def _number(count: int | None) -> str:
    return "" if count is None else str(count)


def _order(one: tuple[Row, str]) -> tuple[object, ...]:
    row, said = one
    return (row.year, row.title, row.rule, *_by_number(said))


def _by_number(school: str) -> tuple[bool, int, str]:
    """All schools first, then by their numbers or names."""
    last = school.rpartition(" ")[2]
    return (school != ALL, int(last) if last.isdecimal() else 0, school)


def _explained(threshold: int) -> str:
    return (
        "A team counts once a year for each challenge, with its last attempt; those that did not meet a rule and those "
        f"of which it is undecided are not told apart. A count is hidden where fewer than {threshold} teams met the "
        f"rule or all but fewer than {threshold}, and where a hidden count could be had from it by subtraction."
    )
