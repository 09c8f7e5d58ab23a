"""The mark on functions that make a rule of a sentence, or of a part of one: each bears its grammar node's name."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, Protocol, TypeVar

from measure.rules.rule import Rule


class SentenceForm(Protocol):
    """Takes the sentence and what the node's children became."""

    __name__: str

    def __call__(self, *parts: Any) -> Rule: ...  # noqa: D102


_Form = TypeVar("_Form", bound=Callable[..., Rule])
_FORM = "is_sentence_form"


def sentence_form(function: _Form) -> _Form:
    """Mark the function; the node is named as it is."""
    setattr(function, _FORM, True)
    return function


def is_sentence_form(value: object) -> bool:
    """Whether the value bears the mark."""
    return getattr(value, _FORM, False) is True
