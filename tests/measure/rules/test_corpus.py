"""Sentences of teachers with their meanings: read as meant, or refused; never read as something else."""

from __future__ import annotations

import json
from functools import cache
from typing import Any

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake
from tests.helpers.paths import ROOT
from tests.measure.rules.rule_data import data_of

FOLDER = ROOT / "tests" / "measure" / "rules" / "corpus"
ENTRIES: list[dict[str, Any]] = [
    json.loads(line) for file in sorted(FOLDER.glob("*.jsonl")) for line in file.read_text("utf-8").splitlines()
]


@cache
def outcome(sentence: str, zones: tuple[str, ...]) -> tuple[Rule, ...] | RuleMistake:
    """The rules that the sentence is read as, or why it is refused; read once for all tests."""
    try:
        found = read_rules(sentence, ZoneNames(dict.fromkeys(zones, ())), "in")
    except RuleMistake as mistake:
        return mistake
    return tuple(part.rule for part in found)


def of(entry: dict[str, Any]) -> tuple[Rule, ...] | RuleMistake:
    return outcome(entry["sentence"], tuple(entry["zones"]))


@pytest.mark.parametrize("entry", [e for e in ENTRIES if "rules" in e], ids=lambda entry: entry["sentence"])
def test_a_sentence_is_read_as_it_is_meant(entry: dict[str, Any]):
    rules = of(entry)
    assert isinstance(rules, tuple)
    assert [data_of(rule) for rule in rules] == entry["rules"]


@pytest.mark.parametrize("entry", [e for e in ENTRIES if "rules" not in e], ids=lambda entry: entry["sentence"])
def test_what_is_not_read_as_meant_is_refused_with_a_sentence_that_would_do(entry: dict[str, Any]):
    mistake = of(entry)
    assert isinstance(mistake, RuleMistake)
    assert mistake.offers
    zones = ZoneNames(dict.fromkeys(entry["zones"], ()))
    for offer in mistake.offers:
        for part in read_rules(offer.text, zones, "in"):
            assert [back.rule for back in read_rules(part.rule.reads_as(), zones, "in")] == [part.rule]
    assert "could stand" not in mistake.message


def test_every_reading_reads_as_the_same_rule():
    for entry in ENTRIES:
        rules = of(entry)
        zones = ZoneNames(dict.fromkeys(entry["zones"], ()))
        for rule in rules if isinstance(rules, tuple) else ():
            assert [part.rule for part in read_rules(rule.reads_as(), zones, "in")] == [rule], entry["sentence"]


def test_what_cannot_be_measured_is_never_read():
    assert [e["sentence"] for e in ENTRIES if not e["measurable"] and "rules" in e] == []


def test_no_sentence_stands_there_twice():
    assert len({(e["sentence"], tuple(e["zones"])) for e in ENTRIES}) == len(ENTRIES)
