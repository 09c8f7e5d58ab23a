"""A rule as it was read from a sentence."""

from __future__ import annotations

from dataclasses import dataclass

from measure.rules.rule import Rule


@dataclass(frozen=True)
class ReadRule:
    """A rule, the sentence that states it, and warnings about what was inferred in reading it."""

    text: str
    rule: Rule
    warnings: tuple[str, ...] = ()
