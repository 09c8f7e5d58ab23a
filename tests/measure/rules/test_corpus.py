"""Sentences of teachers with their meanings: read as meant, or refused; never read as something else."""

from __future__ import annotations

import json
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


def read(entry: dict[str, Any]) -> list[Rule] | None:
    """The rules that the sentence is read as; None where it is refused."""
    try:
        found = read_rules(entry["sentence"], ZoneNames(dict.fromkeys(entry["zones"], ())), "in")
    except RuleMistake:
        return None
    return [part.rule for part in found]


@pytest.mark.parametrize("entry", [e for e in ENTRIES if "rules" in e], ids=lambda entry: entry["sentence"])
def test_a_sentence_is_read_as_it_is_meant(entry: dict[str, Any]):
    rules = read(entry)
    assert rules is not None
    assert [data_of(rule) for rule in rules] == entry["rules"]


@pytest.mark.parametrize("entry", [e for e in ENTRIES if "rules" not in e], ids=lambda entry: entry["sentence"])
def test_what_is_not_read_as_meant_is_refused(entry: dict[str, Any]):
    assert read(entry) is None


@pytest.mark.parametrize("entry", [e for e in ENTRIES if "rules" not in e], ids=lambda entry: entry["sentence"])
def test_who_is_refused_is_told_a_sentence_that_would_do(entry: dict[str, Any]):
    zones = ZoneNames(dict.fromkeys(entry["zones"], ()))
    with pytest.raises(RuleMistake) as refused:
        read_rules(entry["sentence"], zones, "in")
    assert refused.value.offers
    for offer in refused.value.offers:
        assert len(read_rules(offer.text, zones, "in")) == 1
    assert "could stand" not in refused.value.message


def test_what_cannot_be_measured_is_never_read():
    assert [e["sentence"] for e in ENTRIES if not e["measurable"] and read(e) is not None] == []
