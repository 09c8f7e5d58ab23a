from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tapeplat.wording.notes import RuleNote
from tapeplat.wording.verdict_table import VERDICTS, verdict_table

RULES = st.lists(
    st.builds(
        RuleNote,
        st.integers(1, 99),
        st.lists(st.sampled_from(["library", "covers", "at most", "1/5"]), min_size=1, max_size=14).map(" ".join),
        st.sampled_from(VERDICTS),
        st.sampled_from(["", "16.1 % +- 0.1 %", "1.26 in, where at least 4 in is asked for"]),
    ),
    min_size=1,
    max_size=9,
)


@given(RULES, st.integers(80, 160))
def test_lines_fit_and_no_word_is_lost(rules, width):
    text = verdict_table(rules, width)
    assert max(map(len, text.splitlines())) <= width
    for rule in rules:
        assert all(word in text for word in f"{rule.text} {rule.verdict} {rule.detail}".split())


def test_reads_as_a_table(notes):
    lines = verdict_table(notes.rules, 120).splitlines()
    assert lines[0].split() == ["verdict", "rule", "measured"]
    assert lines[1].startswith("1  met")
    assert lines[2].split("  ")[1].strip() == "not met"
    assert lines[-1] == "6 rules: 1 met, 2 not met, 1 too close to call, 1 not measured, 1 by eye"


def test_no_rules():
    assert verdict_table([]) == "The challenge has no rules."
