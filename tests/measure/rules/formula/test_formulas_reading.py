"""Formulas are read as they are printed, and what means nothing is refused in words."""

from __future__ import annotations

import re

import pytest
from hypothesis import given
from hypothesis import strategies as st

from measure.rules.formula.formula_reader import formula_grammar, read_formula
from measure.rules.formula.formula_things import Formula
from measure.rules.formula.formula_words import in_words
from measure.rules.language.rule_reader import read_rule, read_rules
from measure.rules.language.rule_tokens import plain, split
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_parts import Sentence
from tests.helpers.examples import examples
from tests.helpers.paths import ROOT
from tests.measure.rules.formula.formulas import ZONES, Maker

NAMES = ZoneNames(dict.fromkeys((*ZONES, "parcel office"), ()))


def read(text: str) -> Formula:
    words = {
        spelled.replace("\\", ""): terminal.name
        for terminal in formula_grammar().terminals
        if terminal.pattern is not None
        for spelled in terminal.pattern.to_regexp().replace("(?:", "").split("|")
    }
    vocabulary = {word.rstrip(")") or ")": name for word, name in words.items()}
    return read_formula(split(plain(text), NAMES, vocabulary, 10_000), Sentence(text, "in"))


@examples(400)
@given(st.integers(0, 10**9))
def test_what_a_formula_reads_as_reads_as_the_same_formula(seed: int):
    formula = Maker(seed).formula()
    assert read(in_words(formula)) == formula


@examples(200)
@given(st.integers(0, 10**9).map(lambda seed: in_words(Maker(seed).formula(2))).filter(lambda text: len(text) <= 600))
def test_a_rule_of_a_formula_reads_as_itself(text: str):
    for made in read_rules(text, NAMES, "in"):
        assert read_rule(made.rule.reads_as(), NAMES, "in")[0] == made.rule


@pytest.mark.parametrize(
    ("sentence", "why"),
    [
        ("for every piece of homes: the area of that piece is at least 5 in", "is an area"),
        ("the area of homes plus the gap from homes to park is at least 5 in", "only like measures"),
        ("that piece touches park", "is not said before"),
        ("for every piece of homes: the first touches park", "which two"),
        ("for every zone: that piece touches park", "is not said before"),
        ("the perimeter of homes and park together is at least 5 in, and homes touches park", "one zone or piece"),
        ("for every piece of homes: the volume of that piece is at least 5 cubic in", "not their pieces"),
        ("not: the gap from homes to homes is at least 5 in", "the same"),
        ("either the area of homes is exactly 5 sq in, or homes touches park", "exactly"),
        ("either the area of homes is at least 5 sq in, within 2%, or homes touches park", "belongs to `exactly`"),
        ("not: the area of homes is a multiple of 3", "never a whole multiple"),
        ("for every piece of homes: that piece is in that half", "that half"),
        ("the height of that structure is at most 4 in", "is not said before"),
        ("the number of pairs of zones is at least 3", "after `where`"),
        ("for some other piece of homes: homes touches park", "is not said before"),
        ("for every piece of homes: that piece touches", "stops too early"),
        ("for every piece of homes: that piece beside park", "not understood"),
        ("for every piece of homes that piece touches park", "`that` is not understood here"),
        ("if homes touches park, then", "stops too early"),
    ],
)
def test_what_means_nothing_is_refused_in_words(sentence: str, why: str):
    with pytest.raises(RuleMistake) as refused:
        read_rule(sentence, NAMES, "in")
    assert why in refused.value.message
    assert refused.value.offers


@pytest.mark.parametrize(
    ("sentence", "reads"),
    [
        ("The area of homes is at least half of the area of shops, and homes touches park",
         "the area of homes is at least 0.5 times the area of shops, and homes touch park"),
        ("for every piece of homes: that piece is within 3 in of the park",
         "for every piece of homes: the gap from that piece to park is at most 3 in"),
        ("for at least 50% of the pieces of homes: that piece is at least 2 cm from the edge",
         "for at least 50% of the pieces of homes: the gap from that piece to the edge is at least 2 cm"),
        ("for each zone except park and lake: that zone covers at least 20% of the area of the parcel",
         "for every zone except park and lake: the area of that zone is at least 0.2 times the area of the parcel"),
        ("homes, shops and park together are in the southern third",
         "homes, shops and park together are in the south third"),
        ("for each piece of homes: for some other piece of homes: that piece is within 2 in of the other piece",
         "for every piece of homes: for some other piece of homes:"
         " the gap from that piece to the other piece is at most 2 in"),
        ("if there is a park, then there is a lake, otherwise there is no homes",
         "if there is a park, then there is a lake, otherwise there is no homes"),
        ("parcel office touches the edge", "parcel office touches the edge"),
        ("parcel office has 4 sides", "the number of sides of parcel office is exactly 4"),
        ("the number of pieces of homes where that piece touches park is at least 2",
         "the number of pieces of homes where (that piece touches park) is at least 2"),
    ],
)  # fmt: skip
def test_other_words_say_the_same(sentence: str, reads: str):
    assert read_rule(sentence, NAMES, "in")[0].reads_as() == reads


def test_what_the_plain_rules_say_too_is_a_plain_rule():
    for sentence in ("the area of homes is at least 5 sq in", "if there is a park, then homes touches park"):
        assert read_rule(sentence, NAMES, "in")[0].kind.name != "formula"


def sentences_of_docs() -> list[str]:
    table = (ROOT / "docs" / "rules.md").read_text("utf-8").split("## Formulas")[1].split("Things are zones")[0]
    return [said for row in table.splitlines()[6:] if row.startswith("|") for said in re.findall(r"`([^`]+)`", row)]


@pytest.mark.parametrize("sentence", sentences_of_docs())
def test_the_formulas_of_the_docs_are_read(sentence: str):
    names = ZoneNames(dict.fromkeys((*ZONES, "school"), ()))
    rule = read_rule(sentence, names, "in")[0]
    assert rule.kind.name == "formula"
    assert read_rule(rule.reads_as(), names, "in")[0] == rule
