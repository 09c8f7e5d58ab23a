"""What holds for every kind of rule: it is found by its file, it bears all its own, and nobody asks for its class."""

from __future__ import annotations

import pickle
import re

import pytest
from hypothesis import given

from measure.rules.evaluation.verdict_sentence import sentence_of
from measure.rules.kinds.kind_registry import kinds, sentence_forms
from measure.rules.language.line_reader import line_grammar
from measure.rules.language.rule_reader import grammar, read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Kind, Rule
from measure.rules.verdict import Outcome
from tests.helpers.examples import examples
from tests.helpers.made.rules import RULES
from tests.helpers.paths import ROOT

FOLDER = ROOT / "measure" / "rules" / "kinds"


def test_every_file_with_a_kind_is_found():
    classes = {
        name for file in FOLDER.rglob("*.py") for name in re.findall(r"^class ([A-Z]\w+)\(", file.read_text(), re.M)
    }
    assert classes == {type(kind).__name__ for kind in kinds()}


def test_no_kind_is_named_where_all_are_asked():
    """But by the few that give a rule of one kind, which they then name by its constant."""
    names = "|".join(type(kind).__name__ for kind in kinds())
    for room in ("measure", "tapeplat"):
        for file in (ROOT / room).rglob("*.py"):
            if not file.is_relative_to(FOLDER):
                assert not re.search(rf"\b(?:{names})\b", file.read_text()), file


def test_every_sentence_form_is_a_node_of_the_grammar():
    nodes = {rule.alias or rule.origin.name for each in (grammar(), line_grammar()) for rule in each.rules}
    assert sorted(set(sentence_forms()) - nodes) == []


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: f"{type(kind).__name__}")
def test_a_kind_is_equal_to_itself_in_another_process(kind: Kind):
    assert pickle.loads(pickle.dumps(Rule(kind))) == Rule(kind)
    assert [other for other in kinds() if other == kind] == [kind]


@examples(60)
@given(RULES)
def test_rules_keep_their_meaning_and_their_hash_between_processes(rule: Rule):
    again = pickle.loads(pickle.dumps(rule))
    assert (again, hash(again), again.reads_as()) == (rule, hash(rule), rule.reads_as())


def test_what_a_zero_means_is_the_kinds_to_say_whatever_the_zones_are_called():
    zones = ZoneNames({"overlapper hall": (), "inside the parcel shop": ()})
    for text, means in (
        ("overlapper hall is inside the parcel", "The overlapper hall is inside the parcel. It must be inside."),
        (
            "inside the parcel shop does not overlap overlapper hall",
            "The inside the parcel shop and the overlapper hall do not overlap. They must not overlap.",
        ),
    ):
        rule = read_rule(text, zones, "in")[0]
        over = (*rule.subject.names, *(name for group in rule.others for name in group.names))
        found = Outcome(text, rule.reads_as(), rule.kind_name, "met", 0.0, "in", 0.125, 0.0, 1.0, over)
        assert sentence_of(rule, found, "eighth") == means
