"""Rule sentences: the documented table, generated rules, words that mean the same, and anything at all."""

from __future__ import annotations

import logging
import subprocess
import sys
from fractions import Fraction
from pathlib import Path

import lark
import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from measure.rules.amounts import Amount, Limit
from measure.rules.kinds.kind_registry import kinds, sentence_forms
from measure.rules.kinds.places.centre_distance import CENTRE_DISTANCE
from measure.rules.kinds.places.gap_distance import DISTANCE
from measure.rules.language.rule_reader import grammar, not_with_itself, read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.rule import Rule
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.setting import KEEP_CLEAR
from measure.rules.zone_groups import Group
from tests.helpers.examples import examples
from tests.helpers.made.rules import NAMES, RULES
from tests.helpers.paths import ROOT

DOCS = ROOT / "docs" / "rules.md"
ZONES = ZoneNames(dict.fromkeys(NAMES, ()) | {"library": ("libraries", "reading room")})
ROWS = [
    [cell.strip().strip("`") for cell in line.strip("|\n ").split(" | ")]
    for line in DOCS.read_text(encoding="utf-8").split("## Formulas")[0].splitlines()
    if line.startswith("| ") and "`" in line
]


def read(sentence: str):
    return read_rule(sentence, ZONES, "in")


# ---- the table of the docs


def test_the_docs_table_has_every_kind_but_what_no_sentence_states():
    of_lines = {kind for kind in kinds() if type(kind).__module__.startswith("measure.rules.kinds.lines")}
    stated = {kind for kind in kinds() if kind.name != KEEP_CLEAR} - of_lines
    assert {read(row[1])[0].kind for row in ROWS} == stated


@pytest.mark.parametrize(("kind", "sentence", "reads_as"), ROWS, ids=[row[1] for row in ROWS])
def test_a_sentence_of_the_docs_reads_as_the_docs_say_and_back_again(kind, sentence, reads_as):
    rule, warnings = read(sentence)
    assert (rule.kind_name, rule.reads_as(), warnings) == (kind, reads_as, ())
    again, warnings = read(rule.reads_as())
    assert (again, warnings) == (rule, ())


@pytest.mark.parametrize(
    ("name", "written"),
    [("İzmir", "İZMİR"), ("İzmir", "izmir"),
     ("Straße", "Straße"), ("Straße", "STRASSE"), ("Strasse", "straße"), ("Messestraße", "the Messestraßes"),
     ("büffel", "Büﬀel"), ("Kiesstraße Süd", "kiesstrasse  süd")],
)  # fmt: skip
def test_a_letter_that_is_two_small_ones_is_read_in_sentences_as_in_names(name: str, written: str) -> None:
    rule, _ = read_rule(f"{written} covers at least 2 sq in", ZoneNames({name: ()}), "in")
    assert rule.reads_as() == f"the area of {name} is at least 2 sq in"


DESIGN = """there is a school · there are at least 2 orchards · there are exactly 3 pieces of cottages
library covers at most 1/5 of the parcel · meadow covers between 20% and 30% of the parcel
market covers exactly 1/6 of the parcel, within 2% · cottages and workshops together cover at most half of the parcel
landing covers at least 12 sq in · the perimeter of meadow is at most 40 in · greenhouse covers less than market
market covers at least 40% more than stables · orchard covers at least 1.4 times landing
school covers half as much as meadow, within 10% · stables are at least 4 1/2 in from library
landing is at most 3 in from market · school is within 4 in of meadow · every zone is at least 1 in from the edge
meadow does not touch landing · school touches orchard · nothing overlaps crusher · no zones overlap
every zone is inside the parcel · crusher is within 1 in of the centre of the parcel
there are at least 2 cylinders · workshops use at least 3 different solids · no structure is taller than 7 in
stables hold at least 200 cubic cm · cottages house at least 600 people at 8 people per cubic cm
by eye: every street can be walked from end to end"""


def test_the_sentences_that_were_promised_are_all_in_the_docs():
    promised = {sentence.strip() for line in DESIGN.splitlines() for sentence in line.split("·")}
    assert promised <= {row[1] for row in ROWS}


# ---- generated rules


@examples(250)
@given(RULES)
def test_any_rule_printed_and_read_again_is_the_same_rule(rule):
    again, warnings = read(rule.reads_as())
    assert again == not_with_itself(rule)
    assert warnings == ()


# ---- words that mean the same


SAME = [
    (
        "library covers at most 1/5 of the parcel",
        "LIBRARY COVERS NO MORE THAN 20% OF THE PARCEL.",
        "libraries cover up to 0.2 of the parcel",
        "reading room covers a fifth of the parcel or less",
        "the reading room must cover no more than a fifth of the parcel",
        "the library is at most 20 percent of the board",
        "library takes up not more than 20 per cent of the whole parcel",
    ),
    (
        "stables are at least 4 1/2 in from library",
        "stables are at least 4.5 inches away from the library",
        'stables are 4½" or more from library',
        "stables must be no closer than four and a half inches to library",
        "the stables are not less than 4-1/2 in. from library",
    ),
    (
        "school is next to orchard",
        "school touches orchard",
        "school must touch the orchard",
        "the school is beside the orchard",
        "school and orchard touch each other",
        "school and orchard touch",
    ),
    (
        "meadow does not touch landing",
        "meadow must not touch landing",
        "meadow can't touch landing",
        "meadow never touches landing",
        "meadow is not next to landing",
        "meadow and landing don't touch",
    ),
    (
        "landing covers at least 12 sq in",
        "landing covers 12 square inches or more",
        "landing is at least 12 in² in area",
        "landing has an area of at least 12 in^2",
        "the landing's area is no less than 12 sq. in.",
    ),
    (
        "market covers at least 40% more than stables",
        "market covers at least 1.4 times stables",
        "market is at least 1.4 x as large as stables",
        "the area of market is at least 1.4 times that of stables",
    ),
    ("no zones overlap", "zones do not overlap", "no zone overlaps another zone", "no zone overlaps any other zone"),
    (
        "there is a school",
        "there is at least one school",
        "school exists",
        "there must be a school",
        "school is present",
    ),
    (
        "cottages, workshops and school together cover at most half of the parcel",
        "cottages and workshops and school combined cover at most 1/2 the parcel",
    ),
    ("no structure is taller than 7 in", "nothing is taller than 7 in", "every structure is at most 7 inches high"),
    (
        "cottages house at least 600 people at 8 people per cubic cm",
        "cottages hold at least 600 people at 8 persons per cc",
        "cottages house at least 600 people at one person per 1/8 cm³",
    ),
]


@pytest.mark.parametrize("sentences", SAME, ids=[row[0] for row in SAME])
def test_everyday_ways_of_saying_it_are_the_same_rule(sentences):
    assert len({read(sentence)[0] for sentence in sentences}) == 1


@pytest.mark.parametrize(
    ("said", "number"),
    [
        ("4 1/2", "9/2"),
        ("4½", "9/2"),
        ("four and a half", "9/2"),
        ("4.5", "9/2"),
        ("a quarter", "1/4"),
        ("3/4", "3/4"),
        ("three quarters", "3/4"),
        ("two-thirds", "2/3"),
        ("twelve", "12"),
        ("zero", "0"),
        ("1,200", "1200"),
        (".5", "1/2"),
        ("half", "1/2"),
        ("2 and three eighths", "19/8"),
        ("1e3", "1000"),
    ],
)
def test_numbers_as_people_write_them(said, number):
    rule, _ = read(f"stables are at most {said} cm from library")
    assert rule.limit.amount == Amount(Fraction(number), "length", "cm")


@pytest.mark.parametrize(
    ("said", "number", "unit"),
    [
        ("half an inch", "1/2", "in"),
        ("an inch", "1", "in"),
        ("a quarter of an inch", "1/4", "in"),
        ("a foot", "1", "ft"),
    ],
)
def test_a_unit_with_an_article(said, number, unit):
    rule, _ = read(f"stables are at least {said} from library")
    assert rule.limit.amount == Amount(Fraction(number), "length", unit)


def test_within_two_per_cent_is_relative_and_two_points_are_not():
    relative = read("market covers exactly 20% of the parcel, within 2%")[0].limit
    absolute = read("market covers exactly 20% of the parcel, within 2 points")[0].limit
    length = read("school is exactly 10 cm from meadow, within 5 mm")[0].limit
    assert (relative.low, relative.high) == pytest.approx((0.196, 0.204))
    assert (absolute.low, absolute.high) == pytest.approx((0.18, 0.22))
    assert (length.low, length.high) == pytest.approx((9.5, 10.5))


@pytest.mark.parametrize(
    ("sentence", "warning"),
    [
        ("there are two orchards", "read as exactly 2; write `at least 2` where more are welcome"),
        ("stables are at least 4 from library", "read as 4 in, the challenge's unit"),
        ("landing covers at least 12", "read as 12 sq in, the challenge's unit"),
        ("landing covers at most 20%", "read as a share of the parcel"),
        ("any zone covers at most 20% of the parcel", "`any zone` is read as every zone"),
        (
            "school and market cover at most 20% of the parcel",
            "read as school and market together; write `each of` where each is meant",
        ),
    ],
)
def test_what_was_inferred_is_a_warning(sentence, warning):
    assert read(sentence)[1] == (warning,)


def test_zone_names_win_over_words_of_the_rules_and_the_longest_wins():
    zones = ZoneNames({"school": (), "new school": (), "school yard": ("at the centre",), "parcel office": ()})
    rule, _ = read_rule("new school is at least 2 in from the school yard", zones, "in")
    assert rule == Rule(
        DISTANCE,
        Group(("new school",)),
        Limit("at least", Amount(Fraction(2), "length", "in")),
        (Group(("school yard",)),),
    )
    rule, _ = read_rule("parcel office covers at most 1/5 of the parcel", zones, "in")
    assert rule.subject == Group(("parcel office",))
    rule, _ = read_rule("at the centre is within 2 in of the centre", zones, "in")
    assert rule == Rule(CENTRE_DISTANCE, Group(("school yard",)), Limit("at most", Amount(Fraction(2), "length", "in")))


# ---- mistakes


BLOCKS = Path(__file__).with_name("rule_mistakes.txt").read_text(encoding="utf-8").strip().split("\n\n")


def test_there_are_enough_wrong_sentences():
    assert len(BLOCKS) >= 60
    assert len({block.split("\n")[1] for block in BLOCKS}) >= 60


@pytest.mark.parametrize("block", BLOCKS, ids=[block.split("\n")[1] for block in BLOCKS])
def test_a_wrong_sentence_gets_this_message_and_this_caret(block):
    sentence = block.split("\n")[1]
    zones = ZoneNames(dict.fromkeys(NAMES[:5], ()) | {"orchard": (), "cottages": (), "library": ("reading room",)})
    with pytest.raises(RuleMistake) as caught:
        read_rule(sentence, zones, "in")
    assert caught.value.shown(indent="") == block


@pytest.mark.parametrize("empty", ["", "   ", ".", "the"])
def test_an_empty_rule(empty):
    with pytest.raises(RuleMistake, match="the rule is empty"):
        read(empty)


def test_an_endless_rule():
    with pytest.raises(RuleMistake, match="at most 300 letters"):
        read("library covers at most " + "1" * 400)


# ---- anything at all


SENTENCES = [row[1] for row in ROWS]
BITS = sorted(
    {bit for sentence in SENTENCES for bit in sentence.split()} | {"1/0", "½", "or", ",", "°", "\x00", "-3", "'"}
)


def either_reads_or_says_why(sentence: str) -> None:
    try:
        rule, _ = read(sentence)
    except RuleMistake as caught:
        mistake = caught
    else:
        assert read(rule.reads_as())[0] == rule
        return
    assert mistake.message
    assert 0 <= mistake.start < mistake.end <= max(len(sentence), len(mistake.sentence)) + 2


@examples(200)
@given(st.text(max_size=60))
@example("library covers at most ² of the parcel")
@example("library covers at most ٣ sq in")
@example("by eye:\x00\n")
@example("'")
@example("İ covers ß")
def test_no_text_breaks_the_reader(text):
    either_reads_or_says_why(text)


@examples(250)
@given(
    st.sampled_from(SENTENCES),
    st.lists(st.tuples(st.integers(0, 20), st.integers(0, 3), st.sampled_from(BITS)), max_size=3),
)
def test_no_mangled_sentence_breaks_the_reader(sentence, changes):
    words = sentence.split()
    for place, change, bit in changes:
        at = place % (len(words) + 1)
        words[at : at + (change != 3)] = [bit] * (change % 3) if change else []
    either_reads_or_says_why(" ".join(words))


# ---- the grammar and its cost


@pytest.mark.parametrize("file", ["grammar.lark", "lines.lark"])
def test_the_grammar_has_no_conflict_but_the_harmless_one(caplog, file):
    folder = ROOT / "measure" / "rules" / "language"
    text = "\n".join((folder / name).read_text(encoding="utf-8") for name in (file, "amounts.lark"))
    level = lark.logger.level
    lark.logger.setLevel(logging.DEBUG)
    try:
        with caplog.at_level(logging.DEBUG, logger=lark.logger.name):
            lark.logger.propagate = True
            lark.Lark(text, parser="lalr", lexer="basic", maybe_placeholders=False, debug=True)
    finally:
        lark.logger.setLevel(level)
    conflicts = [record.getMessage() for record in caplog.records if "onflict" in record.getMessage()]
    assert conflicts == ["Shift/Reduce conflict for terminal OR: (resolving as shift)"]


def test_every_node_of_the_grammar_has_its_method():
    from measure.rules.language.rule_transformer import RuleTransformer

    nodes = {rule.alias or rule.options.template_source or rule.origin.name for rule in grammar().rules}
    nodes -= {name for name in nodes if name.startswith("_") or name in ("sentence",)}
    kept = {name for name in nodes if not (rule_of(name) and rule_of(name).options.expand1)}
    assert sorted(name for name in kept if not hasattr(RuleTransformer, name) and name not in sentence_forms()) == []


def rule_of(name: str):
    return next((rule for rule in grammar().rules if rule.origin.name == name and not rule.alias), None)


def test_reading_is_quick_and_leaves_the_statistics_library_alone():
    grammar()  # its tables are in lark's cache from here on
    script = (
        "import sys, time; import numpy\n"
        "start = time.process_time(); import measure.challenge\n"
        "from measure.rules.language.rule_reader import read_rule\n"
        "from measure.rules.language.zone_names import ZoneNames\n"
        f"names = ZoneNames({{name: () for name in {NAMES!r}}})\n"
        f"for sentence in {SENTENCES[:25]!r}: read_rule(sentence, names, 'in')\n"
        "print(time.process_time() - start, 'scipy.stats' in sys.modules)"
    )
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    seconds, statistics = run.stdout.split()
    assert statistics == "False"
    assert float(seconds) < 1.0  # about 0.15 on a quiet machine; the bound leaves room for a busy one
