"""A grammar of rule sentences: its parser, its words, and the tree of a sentence's tokens."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import Any

from lark import Lark, UnexpectedInput

from measure.rules.sentences.parser_steps import parser_after
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_words import Word

Refuse = Callable[[Word, Collection[str], Sequence[Word]], RuleMistake]
"""The mistake for a word (empty at the sentence's end) where only these terminals could stand, after those words."""


@dataclass(frozen=True)
class SentenceGrammar:
    """A grammar in several files, one text."""

    files: tuple[Path, ...]

    @cached_property
    def parser(self) -> Lark:
        """The parser; lark keeps its tables in the temporary folder, because making them takes 0.1 s."""
        text = "\n".join(file.read_text(encoding="utf-8") for file in self.files)
        return Lark(text, parser="lalr", lexer="basic", maybe_placeholders=False, cache=True)

    @cached_property
    def vocabulary(self) -> Mapping[str, str]:
        """Every word of the grammar with its terminal."""
        return words_of_grammar(self.parser)

    def tree(self, words: Sequence[Word], refuse: Refuse) -> Any:
        """The parse tree; the parser is fed by hand because a word may have to be taken in one of several ways."""
        parser: Any = self.parser.parse_interactive()  # lark types this class only in part
        for index, word in enumerate(words):
            further = parser_after(parser, word)
            if further is None:
                raise refuse(word, parser.accepts(), words[:index])
            parser = further
        try:
            return parser.feed_eof()
        except UnexpectedInput:
            end = words[-1].end if words else 0
            raise refuse(Word("", end, end + 1, ()), parser.accepts(), words) from None


def words_of_grammar(any_grammar: Lark) -> Mapping[str, str]:
    """Every word of a grammar with its terminal."""
    return {
        word: terminal.name
        for terminal in any_grammar.terminals
        if terminal.pattern is not None
        for word in _spelled(terminal.pattern.to_regexp())
    }


def _spelled(pattern: str) -> list[str]:
    """The words of a terminal; the grammar's terminals are plain alternatives."""
    return [re.sub(r"\\(.)", r"\1", word) for word in re.sub(r"\(\?:|(?<!\\)\)", "", pattern).split("|")]
