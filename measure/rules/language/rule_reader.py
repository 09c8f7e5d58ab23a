"""Reading one rule sentence: tokens through the grammar to a rule, or a mistake that says what could stand there."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from lark import Lark, Token, UnexpectedInput
from lark.exceptions import VisitError

from measure.rules.language.rule_tokens import Word, plain, split
from measure.rules.language.rule_transformer import RuleTransformer
from measure.rules.language.suggestions import not_understood
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.sentence_parts import Sentence
from measure.units import Unit

_GRAMMAR = Path(__file__).with_name("grammar.lark")


def read_rule(sentence: str, zones: ZoneNames, unit: Unit) -> tuple[Rule, tuple[str, ...]]:
    """The rule that a sentence states, and warnings about what was inferred in reading it.

    unit is the challenge's, for lengths that name none. Raises RuleMistake.
    """
    text = plain(sentence)
    words = split(text, zones, vocabulary())
    said = Sentence(text, unit)
    tree = _tree(text, words, zones)
    try:
        rule: Rule = RuleTransformer(said).transform(tree)
    except VisitError as error:
        raise error.orig_exc from None
    return rule, said.warnings


@cache
def grammar() -> Lark:
    """The grammar's parser; lark keeps its tables in the temporary folder, because making them takes 0.1 s."""
    return Lark(
        _GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer="basic", maybe_placeholders=False, cache=True
    )


@cache
def vocabulary() -> Mapping[str, str]:
    """Every word of the grammar with its terminal."""
    return {
        word: terminal.name
        for terminal in grammar().terminals
        if terminal.pattern is not None
        for word in _spelled(terminal.pattern.to_regexp())
    }


def _spelled(pattern: str) -> list[str]:
    """The words of a terminal; the grammar's terminals are plain alternatives."""
    return [re.sub(r"\\(.)", r"\1", word) for word in re.sub(r"\(\?:|(?<!\\)\)", "", pattern).split("|")]


def _tree(text: str, words: tuple[Word, ...], zones: ZoneNames) -> Any:
    """The parse tree; the parser is fed by hand because a word may have to be taken in one of several ways."""
    parser: Any = grammar().parse_interactive()  # lark types this class only in part
    for index, word in enumerate(words):
        further = _after(parser, word)
        if further is None:
            raise not_understood(text, word, parser.accepts(), zones, words[:index], vocabulary())
        parser = further
    try:
        return parser.feed_eof()
    except UnexpectedInput:
        end = words[-1].end if words else 0
        stop = Word("", end, end + 1, ())
        raise not_understood(text, stop, parser.accepts(), zones, words, vocabulary()) from None


def _after(parser: Any, word: Word) -> Any:
    """The parser after the word in the first reading that it can take; None where it can take none."""
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
