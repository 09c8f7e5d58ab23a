"""One step of a parser whose words may each be taken in one of several ways."""

from __future__ import annotations

from typing import Any

from lark import Token, UnexpectedInput

from measure.rules.sentences.sentence_words import Word


def parser_after(parser: Any, word: Word) -> Any:
    """The interactive parser after the word in the first reading that it can take; None where it can take none."""
    for reading in word.readings:
        trial = parser.copy(deepcopy_values=False)
        token = Token(reading.terminal, word.text, start_pos=word.start, end_pos=word.end)
        token.value = reading.value
        try:
            trial.feed_token(token)
        except UnexpectedInput:
            continue
        return trial
    return None
