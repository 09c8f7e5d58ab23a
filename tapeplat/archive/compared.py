"""What a comparison says: as text for the terminal, as a page for the class."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from measure.numbers import shown
from measure.result import Value
from measure.units import format_number
from tapeplat.archive.compare import Change, Comparison, Fate
from tapeplat.archive.entry import team_name
from tapeplat.archive.pages import day
from tapeplat.verify.html import Row, bullets, heading, page, para, table

_FATES: tuple[tuple[Fate, str], ...] = (
    ("won", "Rules won"),
    ("lost", "Rules lost"),
    ("changed", "Other verdicts that changed"),
    ("new", "Rules that are new"),
    ("gone", "Rules that are gone"),
)


def comparison_text(found: Comparison) -> str:
    """For the terminal: what changed, and how much stayed."""
    lines = [_title(found), *(f"note: {remark}" for remark in found.remarks)]
    for fate, title in _FATES:
        rules = found.of_fate(fate)
        lines += [f"{title.lower()}: {len(rules)}"] if fate in ("won", "lost") or rules else []
        lines += [f"  {rule.text}  ({_from_to(rule.before, rule.after)})" for rule in rules]
    lines.append(f"rules as before: {len(found.of_fate('as before'))}")
    for title, unit, changes in _quantities(found):
        moved = [change for change in changes if change.trend not in ("the same", "not measured")]
        lines.append(f"{title.lower()} that changed: {len(moved)} of {len(changes)}")
        lines += [f"  {'  '.join(filter(None, cells))}" for cells in _rows(moved, unit, found)]
    return "\n".join(lines)


def comparison_page(found: Comparison) -> str:
    """A page with the two outlines over each other and everything that was compared."""
    parts = [para(f"Photographed on {day(found.before.taken)} and {day(found.after.taken)}.")]
    parts += [bullets(found.remarks)] if found.remarks else []
    if found.overlay:
        parts += [f'<div style="max-width: 46rem">{_fluid(found.overlay)}</div>']
    for fate, title in _FATES:
        rules = found.of_fate(fate)
        if rules or fate in ("won", "lost"):
            parts.append(heading(f"{title}: {len(rules)}"))
            parts.append(bullets([f"{rule.text} ({_from_to(rule.before, rule.after)})" for rule in rules]))
    for title, unit, changes in _quantities(found):
        parts.append(heading(title))
        rows = [Row(cells) for cells in _rows(changes, unit, found)]
        parts.append(table(["Zone" if title == "Areas" else "Zones", "Before", "After", "Change", ""], rows))
    foot = "A change is said to be one where it is larger than its uncertainty at 95 %."
    return page(_title(found), parts, foot)


def _title(found: Comparison) -> str:
    one, two = found.before, found.after
    if (one.title, one.team) == (two.title, two.team):
        return f"{two.title}: {team_name(two.team)}, attempts {one.attempt} and {two.attempt}"
    return f"{two.title}: {one.name}, and {two.name}"


def _quantities(found: Comparison) -> Iterator[tuple[str, str, Sequence[Change]]]:
    yield "Areas", f"sq {found.unit}", found.areas
    yield "Gaps", found.unit, found.gaps


def _rows(changes: Sequence[Change], unit: str, found: Comparison) -> Iterator[list[str]]:
    for change in changes:
        before, after = (_shown(value, unit, found) for value in (change.before, change.after))
        yield [change.name, before, after, _difference(change.change, unit), change.trend]


def _shown(value: Value | None, unit: str, found: Comparison) -> str:
    if value is None:
        return "-"
    return shown(value, unit, found.numbers) if value.value else f"0 {unit}"


def _difference(change: Value | None, unit: str) -> str:
    """With its sign, and its uncertainty."""
    if change is None:
        return ""
    sign = "+" if change.value > 0 else "-" if change.value < 0 else ""
    number = format_number(abs(change.value), change.u95)
    return f"{sign}{number} {unit} ± {format_number(change.u95, change.u95)} {unit}"


def _from_to(before: str | None, after: str | None) -> str:
    return " -> ".join(verdict for verdict in (before, after) if verdict is not None)


def _fluid(svg: str) -> str:
    """As wide as there is room for."""
    return svg.replace("<svg ", '<svg style="width: 100%; height: auto" ', 1)
