"""The verdicts as a table in plain text, for a terminal or a message."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Sequence

from measure.rules.verdict import VERDICTS
from tapeplat.wording.notes import RuleNote

_VERDICT_WIDTH = max(map(len, VERDICTS))
_NARROWEST_RULE = 24


def verdict_table(rules: Sequence[RuleNote], width: int = 100) -> str:
    """One rule a row: its number, verdict, sentence and what was measured; then how many rules got which verdict."""
    if not rules:
        return "The challenge has no rules."
    number = max(len(str(rule.number)) for rule in rules)
    room = width - number - _VERDICT_WIDTH - 6
    detail = max(len("measured"), min(max(len(rule.detail) for rule in rules), room // 2))
    text = max(_NARROWEST_RULE, min(max(len(rule.text) for rule in rules), room - detail))
    widths = (number, _VERDICT_WIDTH, text, detail)
    rows = [line for rule in rules for line in _row(rule, widths)]
    return "\n".join([*_cells(("", "verdict", "rule", "measured"), widths), *rows, "", _summary(rules)])


def _row(rule: RuleNote, widths: tuple[int, ...]) -> list[str]:
    return _cells((str(rule.number), rule.verdict, rule.text, rule.detail), widths)


def _cells(texts: Sequence[str], widths: Sequence[int]) -> list[str]:
    """A row's lines: every cell wrapped to its column."""
    wrapped = [textwrap.wrap(text, width) or [""] for text, width in zip(texts, widths, strict=True)]
    height = max(map(len, wrapped))
    lines = []
    for index in range(height):
        cells = (cell[index] if index < len(cell) else "" for cell in wrapped)
        lines.append("  ".join(f"{cell:{width}}" for cell, width in zip(cells, widths, strict=True)).rstrip())
    return lines


def _summary(rules: Sequence[RuleNote]) -> str:
    counts = Counter(rule.verdict for rule in rules)
    parts = ", ".join(f"{counts[verdict]} {verdict}" for verdict in VERDICTS if counts[verdict])
    return f"{len(rules)} rules: {parts}" if len(rules) > 1 else f"1 rule: {parts}"
