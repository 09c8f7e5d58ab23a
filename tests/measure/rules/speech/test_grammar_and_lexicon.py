"""The two data files of the reader of everyday English fit each other, and the functions that they name."""

from __future__ import annotations

import inspect
from pathlib import Path

from measure.rules import speech
from measure.rules.speech.composing_actions import MODULES
from measure.rules.speech.words.chart import Edge, Grammar, Several, productions
from measure.rules.speech.words.phrases import phrases

ROWS = tuple(productions((Path(speech.__file__).parent / "grammar.txt").read_text("utf-8")))
FROM_THE_SENTENCE = {"ZONE", "SOME", "AMOUNT", "TIMES", "FEW", "GROUP", "ANY_OF_GROUP"}
NEVER_IN_A_RULE = {"SKIP", "MUST", "LIGHT", "HEAVY", "OPEN", "CLOSE"}


def test_every_part_of_a_production_is_a_sense_of_the_lexicon_or_made_by_another():
    heads = {head for head, _, _ in ROWS}
    senses = {sense for row in phrases().values() for _, sense, _ in row} | FROM_THE_SENTENCE
    assert {part for _, parts, _ in ROWS for part in parts} - heads - senses == set()


def test_every_sense_of_the_lexicon_is_used():
    used = {part for _, parts, _ in ROWS for part in parts}
    senses = {sense for row in phrases().values() for _, sense, _ in row}
    assert senses - used - NEVER_IN_A_RULE == set()


def test_every_action_is_a_function_and_every_function_an_action_or_called():
    named = {action for _, _, action in ROWS if action}
    functions = {name: value for module in MODULES for name, value in inspect.getmembers(module, inspect.isfunction)}
    assert named - set(functions) == set()
    code = "".join(inspect.getsource(module) for module in MODULES)
    own = {name for name, value in functions.items() if value.__module__ in {m.__name__ for m in MODULES}}
    idle = {name for name in own - named if code.count(f"{name}(") < 2}
    assert idle == set()


def test_a_sentence_has_every_meaning_that_its_words_allow():
    grammar = Grammar("rule: X X -> both\n    | X rule -> both\n    | rule X -> both\n", {"both": lambda a, b: (a, b)})
    edges = [Edge("X", at, at + 1, name) for at, name in enumerate("abc")]
    assert set(grammar.meanings(edges, 3)) == {("a", ("b", "c")), (("a", "b"), "c")}


def test_an_action_may_give_several_meanings_or_none():
    actions = {"two": lambda a: Several((a, a.upper())), "none": lambda a: None}
    assert set(Grammar("rule: X -> two\n", actions).meanings([Edge("X", 0, 1, "a")], 1)) == {"a", "A"}
    assert Grammar("rule: X -> none\n", actions).meanings([Edge("X", 0, 1, "a")], 1) == ()
