"""Questions, their answers and changed limits, against numbers worked out by hand for a parcel of 18 x 14 in."""

from __future__ import annotations

from dataclasses import replace

import pytest

from measure.rules.sheet_text import limit_text
from tapeplat.paper.exercises.question_making import questions
from tapeplat.paper.exercises.rule_facts import limit_of, named_pairs, speaks_of_structures, zones_of
from tapeplat.paper.exercises.tuning import tuned
from tapeplat.paper.sheets.zone_key_sheet import rule_numbers
from tests.helpers.made.challenges import challenge
from tests.helpers.made.rules import NAMES
from tests.measure.rules.test_rules_reading import ROWS as DOCUMENTED


def answers(challenge) -> dict[int, list[str]]:
    found: dict[int, list[str]] = {}
    for question in questions(challenge):
        found.setdefault(question.rule, []).append(question.answer)
    return found


@pytest.mark.parametrize("sentence", [row[1] for row in DOCUMENTED])
def test_every_documented_rule_can_be_asked_about_and_its_zones_told(sentence):
    task = challenge(sentence, zones=NAMES, unit="in")
    assert all(asked.text and asked.answer and asked.working for asked in questions(task))
    assert isinstance(zones_of(task.rules[0].rule, task), frozenset)
    tuned(task.rules[0])


def test_all_zones_together_are_asked_about_by_that_name():
    task = challenge("all zones together cover at most half of the parcel", zones=NAMES, unit="in")
    assert [q.text for q in questions(task) if q.rule] == [
        "All zones together may cover at most 1/2 of the parcel. How many square inches is that?"
    ]


def test_answers_are_right(quarry):
    """By hand: 18 x 14 = 252; 2 (18 + 14) = 64; 252/5; a fifth and three tenths of 252; 42 less and more 2 %; 252/2;
    the root of 12 (3.4641); (40/4)^2; 1.4 x 25; 4.5 in x 2.54 cm (16 CFR 500.19: one inch is 2.54 cm exactly); 16 x 12;
    14 cubes of half an inch; 200/20; 600/8; 252 less 20 % and less 98 % of a sixth.
    """
    assert answers(quarry) == {
        0: ["252 sq in", "64 in", "160.44 sq in"],
        3: ["50.4 sq in"],
        4: ["50.4 sq in to 75.6 sq in"],
        5: ["41.16 sq in to 42.84 sq in"],
        6: ["126 sq in"],
        7: ["4 in"],
        8: ["100 sq in"],
        9: ["35 sq in"],
        10: ["9 half inches"],
        11: ["192 sq in"],
        14: ["14"],
        15: ["10 cm"],
        16: ["75 cubic cm"],
    }


def test_two_rules_about_one_zone_are_two_questions_and_a_formula_is_asked_as_it_is_written(challenge_of):
    from tests.helpers.made.sheet_challenges import QUARRY

    written = "if library covers more than 1/50 of the parcel then meadow covers more than 1/50 of the parcel"
    rules = f'["library covers at least 1/12 of the parcel", "library covers at least 3/40 of the parcel", "{written}"]'
    text = f"{QUARRY[: QUARRY.index('rules = [')]}rules = {rules}\n{QUARRY[QUARRY.index('[parcel]') :]}"
    asked = [question.text for question in questions(challenge_of(text))]
    assert len(set(asked)) == len(asked)
    assert any(written in text for text in asked)
    assert not any("0.02" in text for text in asked)


@pytest.mark.parametrize(("rule", "numbers", "asked"), [
    ("library covers as much as meadow, within 10%", "quarter",
     ("22 1/2 sq in to 27 1/2 sq in", "25 × 1, then 10% less and more")),
    ("library covers between 1.2 and 1.5 times meadow", "quarter",
     ("30 sq in to 37 1/2 sq in", "25 × 1.2, and the same with 1.5")),
    ("every zone covers at least 4% of the parcel", "quarter", ("just over 10 sq in", "4% of 252 sq in")),
    ("library covers at least 7 sq in", "eighth", ("3 1/2 in", "7 sq in ÷ 2")),
    ("library is at least 1/2 in from meadow", "half", ("1 1/2 in", "3 × 1/2 in")),
])  # fmt: skip
def test_the_way_leads_to_the_answer_and_no_answer_breaks_its_rule(challenge_of, rule, numbers, asked):
    from tests.helpers.made.sheet_challenges import QUARRY

    head, tail = QUARRY[: QUARRY.index("rules = [")], QUARRY[QUARRY.index("[parcel]") :]
    made = challenge_of(f'numbers = "{numbers}"\n{head}rules = ["{rule}"]\n{tail}')
    question = next(question for question in questions(made) if question.rule)
    assert (question.answer, question.working) == asked


def test_questions_give_no_answer_away_and_speak_of_their_rule(quarry):
    for question in questions(quarry):
        assert question.answer not in question.text
        assert "?" in question.text or "Say from what to what." in question.text
    shares = [q.text for q in questions(quarry) if q.rule == 3]
    assert shares == ["The library may cover at most 1/5 of the parcel. How many square inches is that?"]


def test_answers_take_the_class_s_form_of_numbers(quarry):
    found = answers(replace(quarry, numbers="half"))
    assert found[3] == ["50 2/5 sq in"]
    assert found[6] == ["126 sq in"]


@pytest.mark.parametrize(
    ("unit", "limit", "answer"),
    [
        ("in", "1 1/4 in", "5 quarter inches"),
        ("in", "4 in", "8 half inches"),
        ("in", "3/8 in", "3 eighths of an inch"),
        ("in", "1.1 in", "3 3/10 in"),
        ("cm", "12 cm", "120 mm"),
        ("mm", "15 mm", "45 mm"),
    ],
)
def test_a_gap_s_question_is_fit_for_the_grade(quarry, challenge_of, unit, limit, answer):
    """No inches in centimetres, nothing that makes a smaller number of units."""
    from tests.helpers.made.sheet_challenges import QUARRY

    start, end = QUARRY.index("rules = ["), QUARRY.index("[parcel]")
    text = f'{QUARRY[:start]}rules = ["library is at least {limit} from meadow"]\n{QUARRY[end:]}'
    found = answers(challenge_of(text.replace('unit = "in"', f'unit = "{unit}"')))
    assert found[1] == [answer]


def test_answers_in_metric(challenge_of):
    """By hand: 40 x 30 = 1200; a quarter is 300; 12 cm is 120 mm."""
    challenge = challenge_of("""
title = "Upper Pond"
unit = "cm"
rules = ["pond covers at most a quarter of the parcel", "mill is at least 12 cm from pond",
         "pond covers at least 3 sq cm more than mill"]
[parcel]
width = 40
depth = 30
[[zone]]
name = "pond"
swatch = 1
[[zone]]
name = "mill"
swatch = 2
""")
    assert answers(challenge) == {0: ["1200 sq cm", "140 cm"], 1: ["300 sq cm"], 2: ["120 mm"], 3: ["123 sq cm"]}


@pytest.mark.parametrize(("rule", "easier", "harder"), [
    ("library covers at most 1/5 of the parcel", "at most 1/4 of the parcel", "at most 1/6 of the parcel"),
    ("library covers at least 1/12 of the parcel", "at least 1/14 of the parcel", "at least 1/10 of the parcel"),
    ("library covers at least 3/40 of the parcel", "at least 1/16 of the parcel", "at least 1/10 of the parcel"),
    ("library covers at most 11/12 of the parcel", "at most 23/24 of the parcel", "at most 3/4 of the parcel"),
    ("library covers as much as meadow, within 5%", "exactly as much as the other, within 10%",
     "exactly as much as the other, within 2.5%"),
    ("library covers between 20% and 30% of the parcel", "between 18% and 33% of the parcel",
     "between 21% and 28% of the parcel"),
    ("library covers exactly 1/6 of the parcel, within 2%", "exactly 1/6 of the parcel, within 4%",
     "exactly 1/6 of the parcel, within 1%"),
    ("library covers at least 12 sq in", "at least 10 sq in", "at least 15 sq in"),
    ("the perimeter of library is at most 40 in", "at most 50 in", "at most 32 in"),
    ("library is at least 4 1/2 in from meadow", "at least 3 1/2 in", "at least 5 1/2 in"),
    ("library is at least 1/4 in from the edge", "at least 1/8 in", "at least 1/2 in"),
    ("the perimeter of library is at most 24 in", "at most 30 in", "at most 19 in"),
    ("library covers at least 1.4 times meadow", "at least 1.1 times the other", "at least 1.8 times the other"),
    ("library covers at least 1.2 times meadow", "at least as much as the other", "at least 1.5 times the other"),
    ("there are exactly 3 pieces of library", "at least 3", "exactly 4"),
    ("there are at least 2 cylinders", "at least 1", "at least 3"),
    ("library houses at least 600 people at 8 people per cubic cm", "at least 480 people", "at least 750 people"),
])  # fmt: skip
def test_changed_limits(quarry, challenge_of, rule, easier, harder):
    from tests.helpers.made.sheet_challenges import QUARRY

    start = QUARRY.index("rules = [")
    text = f'{QUARRY[:start]}rules = ["{rule}"]\n{QUARRY[QUARRY.index("[parcel]") :]}'
    change = tuned(challenge_of(text).rules[0])
    assert change is not None
    assert (change.easier, change.harder) == (easier, harder)


def test_rules_without_a_limit_are_not_changed(quarry):
    unchanged = [n for n, stated in enumerate(quarry.rules, start=1) if tuned(stated) is None]
    assert unchanged == [1, 12, 13, 17]  # presence, touching, overlap, by eye


def test_zones_that_a_rule_speaks_of(quarry):
    assert rule_numbers(quarry, "meadow") == "4, 8, 11, 12, 13, 17"  # 11 every zone; 13 nothing; 17 by its name
    assert rule_numbers(quarry, "crusher") == "13"
    assert zones_of(quarry.rules[5].rule, quarry) == {"cottages", "workshops"}


def test_gaps_are_those_that_rules_name(quarry):
    assert named_pairs(quarry) == (("stables", "library"), ("meadow", "market"))


def test_structures_are_noticed(quarry):
    assert speaks_of_structures(quarry)
    assert not speaks_of_structures(replace(quarry, rules=quarry.rules[:13]))


def test_limits_read_as_the_sentence_has_them(quarry):
    assert [limit_text(limit) for limit in map(limit_of, quarry.rules[2:5]) if limit] == [
        "at most 1/5", "between 20% and 30%", "exactly 1/6, within 2%"]  # fmt: skip
