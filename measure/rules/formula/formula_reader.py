"""Reading a formula sentence: its tokens through the formula grammar to a formula, or a mistake in words."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache, partial
from pathlib import Path
from typing import Any, NoReturn

from lark import Lark, UnexpectedInput
from lark.exceptions import VisitError

from measure.rules.formula.formula_measures import check_measures
from measure.rules.formula.formula_scope import check_scope
from measure.rules.formula.formula_things import Formula
from measure.rules.formula.formula_tokens import formula_tokens
from measure.rules.formula.formula_transformer import FormulaTransformer
from measure.rules.sentences.parser_steps import parser_after
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_grammar import words_of_grammar
from measure.rules.sentences.sentence_parts import Sentence
from measure.rules.sentences.sentence_words import Word

LONGEST_FORMULA = 600
"""Characters: a formula says more than a plain rule."""
_GRAMMAR = Path(__file__).with_name("formula.lark")


def read_formula(words: Sequence[Word], said: Sentence) -> Formula:
    """The formula that a sentence's tokens (with this grammar's vocabulary) state. Raises RuleMistake."""
    tree = _tree(said, formula_tokens(words))
    try:
        formula: Formula = FormulaTransformer(said).transform(tree)
    except VisitError as error:
        raise error.orig_exc from None
    refuse = partial(_refused, said)
    check_scope(formula, refuse)
    check_measures(formula, refuse)
    return formula


def _refused(said: Sentence, message: str) -> NoReturn:
    said.refuse(message)


@cache
def formula_grammar() -> Lark:
    """The grammar's parser; lark keeps its tables in the temporary folder."""
    return Lark(
        _GRAMMAR.read_text(encoding="utf-8"), parser="lalr", lexer="basic", maybe_placeholders=False, cache=True
    )


@cache
def formula_vocabulary() -> Mapping[str, str]:
    """Every word of the grammar with its terminal."""
    return words_of_grammar(formula_grammar())


def _tree(said: Sentence, words: Sequence[Word]) -> Any:
    parser: Any = formula_grammar().parse_interactive()  # lark types this class only in part
    for word in words:
        further = parser_after(parser, word)
        if further is None:
            raise _not_understood(said, word)
        parser = further
    try:
        return parser.feed_eof()
    except UnexpectedInput:
        end = words[-1].end if words else 0
        raise _not_understood(said, Word("", end, end + 1, ())) from None


def _not_understood(said: Sentence, word: Word) -> RuleMistake:
    where = f"`{word.text}` is not understood here" if word.text else "the rule stops too early"
    return RuleMistake(said.text, word.start, word.end, where)
