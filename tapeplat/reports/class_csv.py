"""The class as tables for a spreadsheet: a row a team, and a row a team and rule.

UTF-8 with a byte order mark, which spreadsheets need to read names with accents.  Numbers are decimals in the
challenge's unit, rounded to their uncertainty: a fraction would be made into a date.  Text that a spreadsheet might run
as a formula is marked as text.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence

from measure.result.result import RuleResult
from measure.result.result_values import Value
from measure.rules.verdict import VERDICTS
from measure.units import format_number
from tapeplat.output.spreadsheet import csv_text
from tapeplat.reports.class_page import ClassContent
from tapeplat.reports.report_content import verdict_of

TEAMS_FILE, RULES_FILE = "class.csv", "class-rules.csv"


def class_tables(content: ClassContent) -> dict[str, bytes]:
    """Both files by name."""
    return {TEAMS_FILE: _written(_team_rows(content)), RULES_FILE: _written(_rule_rows(content))}


def _team_rows(content: ClassContent) -> Iterable[Sequence[str]]:
    """Team, photos, counts of verdicts, every rule's verdict, areas and lines' lengths with their uncertainty."""
    texts = content.rules
    unit = content.results[0].unit if content.results else ""
    zones = tuple(dict.fromkeys(zone.name for result in content.results for zone in result.zones))
    lines = tuple(dict.fromkeys(line.name for result in content.results for line in result.lines))
    units = [*((zone, f"sq {unit}") for zone in zones), *((line, unit) for line in lines)]
    sizes = [head for name, of in units for head in (f"{name} ({of})", f"{name} u95 ({of})")]
    yield ["team", "state", "photos", *VERDICTS, *(f"{n}. {text}" for n, text in enumerate(texts, 1)), *sizes]
    for result in content.results:
        known = {rule.text: rule for rule in result.rules}
        counts = Counter(verdict_of(rule) for rule in result.rules)
        verdicts = [_verdict(known.get(text)) for text in texts]
        areas = {zone.name: zone.area for zone in result.zones}
        lengths = {line.name: line.length for line in result.lines}
        found = [*map(areas.get, zones), *map(lengths.get, lines)]
        cells = [cell for value in found for cell in _numbers(value)]
        photos = ", ".join(photo.file for photo in result.photos)
        yield [result.team, "measured", photos, *(str(counts[v]) for v in VERDICTS), *verdicts, *cells]
    blank = [""] * (len(VERDICTS) + len(texts) + len(sizes))
    for photos_of in content.unmeasured:
        state = f"not measured: {photos_of.reason or 'failed'}"
        yield [photos_of.team, state, ", ".join(photos_of.files), *blank]


def _rule_rows(content: ClassContent) -> Iterable[Sequence[str]]:
    head = ("team", "rule", "sentence", "verdict", "from the photo", "by hand", "reason", "value", "u95", "unit")
    yield [*head, "limit from", "limit to", "chance", "note", "allowed", "structures measured", "disagreements"]
    numbers = {text: str(n) for n, text in enumerate(content.rules, 1)}
    for result in content.results:
        for rule in result.rules:
            word, reason = (rule.by_hand.verdict, rule.by_hand.reason) if rule.by_hand else ("", "")
            start = [result.team, numbers[rule.text], rule.text, verdict_of(rule), rule.verdict, word, reason]
            value = Value(rule.value, rule.u95 or 0.0) if rule.value is not None else None
            chance = "" if rule.chance is None else f"{rule.chance:.3g}"
            built = (" and ".join(rule.measured_by), "; ".join(rule.doubts))
            yield [*start, *_numbers(value), rule.unit, *_limits(rule), chance, rule.note, rule.allowed, *built]


def _verdict(rule: RuleResult | None) -> str:
    if rule is None:
        return ""
    return f"{verdict_of(rule)} (by hand)" if rule.by_hand else rule.verdict


def _numbers(value: Value | None) -> tuple[str, str]:
    if value is None:
        return "", ""
    return format_number(value.value, value.u95), format_number(value.u95, value.u95) if value.u95 else "0"


def _limits(rule: RuleResult) -> tuple[str, str]:
    ends = rule.limit if isinstance(rule.limit, tuple) else (rule.limit, rule.limit)
    low, high = ("" if end is None else f"{end:.6g}" for end in ends)
    return low, high


def _written(rows: Iterable[Sequence[str]]) -> bytes:
    return csv_text(rows).encode("utf-8-sig", "replace")
