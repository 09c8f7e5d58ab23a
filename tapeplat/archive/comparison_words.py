"""What a comparison says: as text for the terminal, as a page for the class."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from measure.result.result_values import Value
from measure.voice import difference_said, value_said
from tapeplat.archive.archive_pages import day
from tapeplat.archive.attempt_comparison import Change, Comparison, Fate, RuleChange
from tapeplat.archive.storage.entry import team_name
from tapeplat.output.plain_page import Row, bullets, heading, page, para, table

Line = tuple[str, str, str, str, str]
"""Name, before, after, change and its trend, in words."""
_FATES: tuple[tuple[Fate, str], ...] = (
    ("won", "Rules won"),
    ("lost", "Rules lost"),
    ("changed", "Other verdicts that changed"),
    ("new", "Rules that are new"),
    ("gone", "Rules that are gone"),
)


@dataclass(frozen=True)
class Quantities:
    """One table: areas or gaps; `of` says what its rows are about."""

    title: str
    of: str
    rows: tuple[Line, ...]


def comparison_text(found: Comparison) -> str:
    """For the terminal: what changed, and how much stayed."""
    lines = [_title(found), *(f"note: {remark}" for remark in found.remarks)]
    for fate, title in _FATES:
        rules = found.of_fate(fate)
        lines += [f"{title.lower()}: {len(rules)}"] if fate in ("won", "lost") or rules else []
        lines += [f"  {rule.text}  ({_how(rule)})" for rule in rules]
    edited = [rule for rule in found.of_fate("as before") if rule.formerly]
    lines += ["edited rules, their verdicts as before:"] if edited else []
    lines += [f"  {rule.text}  ({_how(rule)})" for rule in edited]
    lines.append(f"rules as before: {len(found.of_fate('as before'))}")
    for table_ in quantities(found):
        moved = [row for row in table_.rows if row[-1] not in ("the same", "not measured")]
        lines.append(f"{table_.title.lower()} that changed: {len(moved)} of {len(table_.rows)}")
        lines += [f"  {'  '.join(filter(None, row))}" for row in moved]
    return "\n".join(lines)


def judged_text(name: str, changes: Sequence[RuleChange], remarks: Sequence[str], problem: str) -> str:
    """For the terminal: what judging an attempt again changed."""
    if problem:
        return f"{name} is left as it was: {problem}"
    lines = [name if changes else f"{name}: no verdict changed"]
    lines += [f"  {change.text}  ({_from_to(change.before, change.after)})" for change in changes]
    return "\n".join([*lines, *(f"  note: {remark}" for remark in remarks)])


def comparison_page(found: Comparison) -> str:
    """A page with the two outlines over each other and everything that was compared."""
    one, two = found.before, found.after
    parts = [para(f"Attempt {one.attempt} is of {day(one.taken)}, attempt {two.attempt} of {day(two.taken)}.")]
    parts += [bullets(found.remarks)] if found.remarks else []
    if found.overlay:
        parts += [f'<div style="max-width: 46rem">{_fluid(found.overlay)}</div>']
    for fate, title in _FATES:
        rules = found.of_fate(fate)
        if rules or fate in ("won", "lost"):
            parts.append(heading(f"{title}: {len(rules)}"))
            parts.append(bullets([f"{rule.text} ({_how(rule)})" for rule in rules]))
    for table_ in quantities(found):
        parts.append(heading(table_.title))
        parts.append(table([table_.of, "Before", "After", "Change", "Trend"], [Row(row) for row in table_.rows]))
    foot = "A change is said to be one where it is larger than its uncertainty at 95 %."
    return page(_title(found), parts, foot)


def _how(rule: RuleChange) -> str:
    """From which verdict to which, and how the rule read before where it was edited."""
    formerly = f'; it was "{rule.formerly}"' if rule.formerly else ""
    return f"{_from_to(rule.before, rule.after)}{formerly}"


def _title(found: Comparison) -> str:
    one, two = found.before, found.after
    if (one.title, one.team) == (two.title, two.team):
        return f"{two.title}: {team_name(two.team)}, attempts {one.attempt} and {two.attempt}"
    return f"{two.title}: {one.name}, and {two.name}"


def quantities(found: Comparison) -> tuple[Quantities, ...]:
    """The tables of a comparison, those without rows left out."""
    tables = (
        Quantities("Areas", "Zone", tuple(_row(change, f"sq {found.unit}", found) for change in found.areas)),
        Quantities("Gaps", "Between", tuple(_row(change, found.unit, found) for change in found.gaps)),
        Quantities("Lines", "Length of", tuple(_row(change, found.unit, found) for change in found.lengths)),
    )
    return tuple(table for table in tables if table.rows)


def _row(change: Change, unit: str, found: Comparison) -> Line:
    before, after = (_shown(value, unit, found) for value in (change.before, change.after))
    return change.name, before, after, _difference(change, unit, found), change.trend


def _shown(value: Value | None, unit: str, found: Comparison) -> str:
    if value is None:
        return "-"
    return value_said(value, unit, found.numbers)


def _difference(change: Change, unit: str, found: Comparison) -> str:
    """How much more or less, as the trend says; nothing where it is no larger than its uncertainty."""
    if change.change is None or change.trend == "the same":
        return ""
    assert change.before is not None
    assert change.after is not None
    return difference_said(change.before, change.after, unit, found.numbers)


def _from_to(before: str | None, after: str | None) -> str:
    return " -> ".join(verdict for verdict in (before, after) if verdict is not None)


def _fluid(svg: str) -> str:
    """As wide as there is room for."""
    return svg.replace("<svg ", '<svg style="width: 100%; height: auto" ', 1)
