"""Rules said in many ways, and sentences with a word more: read as the same rule or refused, never as another."""

from __future__ import annotations

import json
import random
from collections.abc import Callable

import pytest

from measure.rules.language.rule_reader import read_rules
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake
from tests.helpers.paths import ROOT

NAMES = ("park", "school", "lake", "factory", "fire station", "market")
ZONES = ZoneNames(dict.fromkeys((*NAMES, "homes"), ()))
MUST = ("must", "has to", "needs to", "should", "shall", "is supposed to", "ought to")
BEFORE = ("", "", "", "Please make sure that ", "Rule 4: ", "Boys and girls, remember: ", "We require that ")
AFTER = ("", "", "", ".", "!", ", please.", ", so everyone can play.")

FILE = ROOT / "tests" / "measure" / "rules" / "speech" / "said_in_other_words.txt"
SAID: dict[str, list[str]] = {}
for line in FILE.read_text("utf-8").splitlines()[1:]:
    if line[0] != " ":
        SAID[line] = []
    else:
        list(SAID.values())[-1].append(line.strip())


def read(sentence: str) -> tuple[Rule, ...] | None:
    """The rules that a sentence is read as; None where it is refused."""
    try:
        return tuple(part.rule for part in read_rules(sentence, ZONES, "in"))
    except RuleMistake:
        return None


def filled(random_: random.Random) -> Callable[[str], str]:
    a, b, c = random_.sample(NAMES, 3)
    size, few = random_.randint(5, 60), random_.randint(2, 9)
    length = random_.choice(("3 inches", "2 1/2 in", "7 cm", "half a foot", "4.5 in"))
    area = random_.choice((f"{size} square inches", f"{size} sq. in.", f"{size} cm²", f"{size} sq in"))
    must = random_.choice(MUST)
    return lambda text: text.format(
        a=a, b=b, c=c, s=area, l=length, p=size, n=random_.choice((2, 3, 1.5)), k=few, must=must
    )


@pytest.mark.parametrize(("canonical", "ways"), SAID.items(), ids=list(SAID))
def test_what_is_said_in_other_words_is_the_same_rule_or_refused(canonical: str, ways: list[str]):
    for seed in range(4):
        random_ = random.Random(seed)
        for way in ways:
            state = random_.getstate()
            meant = filled(random_)(canonical)
            random_.setstate(state)
            said = random_.choice(BEFORE) + filled(_again(state))(way) + random_.choice(AFTER)
            found, wanted = read(said), read(meant)
            assert wanted is not None, meant
            assert found in (None, wanted), (said, found)


def _again(state: object) -> random.Random:
    made = random.Random()
    made.setstate(state)  # type: ignore[arg-type]
    return made


def test_most_of_what_is_said_in_other_words_is_read():
    random_ = random.Random(7)
    said = [filled(random_)(way) for ways in SAID.values() for way in ways]
    assert sum(read(sentence) is not None for sentence in said) >= 0.95 * len(said)


TURNING = (
    *("not", "never", "half", "almost", "usually", "except the lake", "twice"),
    *("mostly", "rarely", "at most", "if", "two", "hardly"),
)


def test_a_turning_word_put_into_a_sentence_is_never_passed_over():
    entries = [
        json.loads(line)
        for line in (ROOT / "tests/measure/rules/corpus/second_half.jsonl").read_text("utf-8").splitlines()
    ]
    random_ = random.Random(3)
    for entry in random_.sample([entry for entry in entries if "rules" in entry], 25):
        zones = ZoneNames(dict.fromkeys((*entry["zones"], "lake"), ()))
        words = entry["sentence"].split()
        before = _read_with(entry["sentence"], zones)
        for word in TURNING:
            at = random_.randint(1, len(words))
            turned = " ".join((*words[:at], word, *words[at:]))
            assert before is None or _read_with(turned, zones) != before, turned


def _read_with(sentence: str, zones: ZoneNames) -> tuple[Rule, ...] | None:
    try:
        return tuple(part.rule for part in read_rules(sentence, zones, "in"))
    except RuleMistake:
        return None
