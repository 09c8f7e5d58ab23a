"""One sentence while it is being read: its text, the challenge's unit, what was inferred so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NoReturn

from measure.rules.errors import RuleMistake
from measure.rules.said import Span
from measure.units import Unit


@dataclass
class Sentence:
    """The text that places refer to; warnings say what was inferred."""

    text: str
    unit: Unit
    warnings: list[str] = field(default_factory=list)

    def refuse(self, message: str, span: Span | None = None) -> NoReturn:
        """Raise the RuleMistake for a place in the sentence, or for the whole of it."""
        whole = self.text.rstrip()
        place = (
            span if span is not None and span.end > span.start else Span(len(whole) - len(whole.lstrip()), len(whole))
        )
        raise RuleMistake(whole, place.start, place.end, message)

    def infer(self, message: str) -> None:
        """Note what was read into the sentence."""
        if message not in self.warnings:
            self.warnings.append(message)
