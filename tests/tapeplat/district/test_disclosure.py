"""What a district publishes: no hidden count is had from it, tried by linear programming with all that is published."""

from __future__ import annotations

import random
from collections.abc import Iterator

import numpy as np
import pytest
from scipy.optimize import linprog

from tapeplat.district.disclosure import Row, published
from tapeplat.district.figures import ChallengeFigures, RuleFigures

Counts = dict[str, list[tuple[int, int]]]
"""Of each school, for each rule: how many teams met it, and how many did not."""


def figures(counts: Counts, year: int = 2026) -> list[RuleFigures]:
    return [
        RuleFigures(school, year, "Quarry", f"rule {number}", met + other, met, other)
        for school, rules in counts.items()
        for number, (met, other) in enumerate(rules)
    ]


def shown_of(made: list[RuleFigures], threshold: int, teams: dict[str, int] | None = None) -> tuple[Row, ...]:
    """What is published where a school has as many teams as its commonest rule, or as many as are given."""
    most: dict[tuple[int, str, str], int] = {}
    for one in made:
        whose = (one.year, one.title, one.school)
        most[whose] = max(most.get(whose, 0), one.teams, (teams or {}).get(one.school, 0))
    challenges = [ChallengeFigures(s, year, title, n, n, (0, 0), (0, 0)) for (year, title, s), n in most.items()]
    return published(made, challenges, threshold)


def district(seed: int) -> tuple[Counts, int]:
    """Schools of all sizes; rules that nearly all, nearly none and half of the teams met."""
    dice = random.Random(seed)
    rules, threshold = dice.randint(1, 3), dice.choice([3, 5, 10])
    ease = [dice.choice([0.03, 0.5, 0.5, 0.97]) for _ in range(rules)]
    counts: Counts = {}
    for number in range(dice.randint(1, 6)):
        teams = dice.choice([1, threshold - 1, threshold, 2 * threshold, 3 * threshold, 60])
        met = [sum(dice.random() < share for _ in range(teams)) for share in ease]
        counts[f"school {number}"] = [(m, teams - m) for m in met]
    return counts, threshold


class Attack:
    """Everything that can be worked out from rows and one school's own counts, as linear equations.

    The unknowns are how many teams of each school met each rule, and how many did not; that a school's teams are as
    many under every rule is known, too.
    """

    def __init__(self, rows: tuple[Row, ...], schools: list[str], rules: list[str], own: Counts) -> None:
        self.schools, self.rules = schools, rules
        self.left: list[np.ndarray] = []
        self.right: list[float] = []
        for row in rows:
            rule = rules.index(row.rule)
            if row.met is None or row.teams is None:
                continue
            whom = [row.school] if row.school else schools
            self.know([(school, rule, True) for school in whom], row.met)
            self.know([(school, rule, False) for school in whom], row.teams - row.met)
        for school, counts in own.items():
            for rule, (met, other) in enumerate(counts):
                self.know([(school, rule, True)], met)
                self.know([(school, rule, False)], other)
        for school in schools:
            for rule in range(1, len(rules)):
                self.left.append(self.teams(school, rule) - self.teams(school, 0))
                self.right.append(0)

    def cell(self, school: str, rule: int, met: bool) -> np.ndarray:
        unknowns = np.zeros(2 * len(self.schools) * len(self.rules))
        unknowns[2 * (self.schools.index(school) * len(self.rules) + rule) + met] = 1
        return unknowns

    def teams(self, school: str, rule: int) -> np.ndarray:
        return self.cell(school, rule, True) + self.cell(school, rule, False)

    def know(self, cells: list[tuple[str, int, bool]], value: int) -> None:
        self.left.append(np.sum([self.cell(*cell) for cell in cells], axis=0))
        self.right.append(value)

    def width(self, what: np.ndarray) -> float:
        """How wide the interval is in which a sum of unknowns must lie."""
        known = np.array(self.left).reshape(-1, len(what))
        some = {
            "A_ub": -np.array([self.teams(school, 0) for school in self.schools]),
            "b_ub": -np.ones(len(self.schools)),
        }
        ends = []
        for sign in (1, -1):
            found = linprog(sign * what, A_eq=known, b_eq=np.array(self.right), bounds=(0, 10_000), **some)
            assert found.status == 0, found.message
            ends.append(sign * found.fun)
        return ends[1] - ends[0]


def hidden_widths(counts: Counts, threshold: int, insider: str = "") -> Iterator[float]:
    """Of every hidden count that the attacker does not know anyway."""
    rows = shown_of(figures(counts), threshold)
    rules = list(dict.fromkeys(row.rule for row in rows))
    attack = Attack(rows, list(counts), rules, {insider: counts[insider]} if insider else {})
    listed = {row.school for row in rows if row.teams is not None}
    for row in rows:
        if row.school and row.met is None and row.school != insider:
            rule = rules.index(row.rule)
            yield attack.width(attack.cell(row.school, rule, True))
            yield attack.width(attack.cell(row.school, rule, False))
            if row.school not in listed:
                yield attack.width(attack.teams(row.school, rule))


@pytest.mark.parametrize("seed", [*range(12), *(pytest.param(n, marks=pytest.mark.long) for n in range(12, 200))])
def test_no_hidden_count_is_had_from_what_is_shown_of(seed: int) -> None:
    counts, threshold = district(seed)
    for insider in ("", *counts):
        widths = list(hidden_widths(counts, threshold, insider))
        assert all(width > threshold - 1e-6 for width in widths)


def test_how_many_teams_small_schools_have_is_open_to_a_hidden_one() -> None:
    """Each has one at least, so that a sum of as many teams as the threshold leaves too few numbers."""
    counts: Counts = {"a": [(6, 29)], "b": [(2, 4)], "c": [(0, 5)], "d": [(27, 24)], "e": [(30, 30)], "f": [(30, 30)]}
    assert all(width > 10 - 1e-6 for insider in counts for width in hidden_widths(counts, 10, insider))


def wordings(parts: dict[str, tuple[int, int]], others: int) -> dict[tuple[str, str], tuple[int | None, int | None]]:
    """The rows of a school of 33 teams that had a rule in these wordings, beside other schools with the first."""
    first = next(iter(parts))
    own = [RuleFigures("s", 2026, "Quarry", rule, n, met, 0) for rule, (met, n) in {"other": (15, 33), **parts}.items()]
    rest = [
        RuleFigures(f"school {number}", 2026, "Quarry", rule, 30, 15, 0)
        for number in range(others)
        for rule in ("other", first)
    ]
    return {(row.rule, row.school): (row.teams, row.met) for row in shown_of([*own, *rest], 10)}


def test_another_wording_in_part_of_a_school_is_not_had_by_subtraction() -> None:
    """33 teams had the other rule: whoever reads that 30 had one wording knows of the 3 that had the second."""
    rows = wordings({"at most 1/5": (15, 30), "at most 20%": (1, 3)}, others=3)
    assert rows["other", "s"] == (33, 15)
    assert rows["other", ""] == (123, 60)
    assert rows["at most 1/5", "school 1"] == (30, 15)
    for hidden in (("at most 1/5", "s"), ("at most 20%", "s"), ("at most 1/5", ""), ("at most 20%", "")):
        assert rows[hidden] == (None, None)
    assert wordings({"at most 1/5": (15, 33)}, others=3)["at most 1/5", "s"] == (33, 15), "all of them had it"


def test_a_rule_that_no_other_shows_to_be_of_a_part_is_hidden_too() -> None:
    """No rule was one of all 40 teams; another challenge of that year may tell that there were 40."""
    made = [RuleFigures("s", 2026, "Quarry", rule, n, met, 0) for rule, n, met in (("old", 37, 18), ("new", 3, 1))]
    made += [RuleFigures(f"school {number}", 2026, "Quarry", "old", 40, 20, 0) for number in range(3)]
    rows = {(row.rule, row.school): row.met for row in shown_of(made, 10, {"s": 40})}
    assert (rows["old", "s"], rows["new", "s"], rows["old", ""]) == (None, None, None)
    assert rows["old", "school 1"] == 20
    assert {row.school: row.met for row in shown_of(made, 10) if row.rule == "old"}["s"] == 18, "all 37 had it"


def test_the_attack_finds_what_one_hidden_row_beside_a_total_gives_away() -> None:
    """The test itself can fail: with a row taken away at will, a count is found."""
    counts: Counts = {"a": [(30, 30)], "b": [(25, 30)], "c": [(1, 40)]}
    every = [Row(2026, "Quarry", "rule 0", s, m + o, m) for s, ((m, o),) in counts.items()]
    total = Row(2026, "Quarry", "rule 0", "", 156, 56)
    naive = (total, *every[:2], Row(2026, "Quarry", "rule 0", "c", None, None))
    attack = Attack(naive, list(counts), ["rule 0"], {})
    assert attack.width(attack.cell("c", 0, True)) == pytest.approx(0, abs=1e-6)


def test_counts_that_are_large_are_published_and_nothing_is_invented() -> None:
    for seed in range(40):
        counts, threshold = district(seed)
        for row in shown_of(figures(counts), threshold):
            if row.met is None or row.teams is None:
                assert (row.met, row.teams) == (None, None)
                continue
            rule = int(row.rule.removeprefix("rule "))
            own = [counts[row.school]] if row.school else list(counts.values())
            assert row.met == sum(rules[rule][0] for rules in own) >= threshold
            assert row.teams - row.met == sum(rules[rule][1] for rules in own) >= threshold


def shown(counts: Counts, threshold: int = 10) -> dict[str, int | None]:
    return {row.school: row.met for row in shown_of(figures(counts), threshold)}


def test_what_is_hidden_by_example() -> None:
    plain: Counts = {name: [(30, 30)] for name in "abcdef"}
    assert shown(plain) == {"": 180, **dict.fromkeys("abcdef", 30)}
    assert shown({**plain, "f": [(58, 2)]}) == {"": 208, "a": None, "b": None, "c": 30, "d": 30, "e": 30, "f": None}
    assert shown({**plain, "f": [(0, 60)]})["f"] is None, "that no team met it tells of every team"
    few: Counts = {name: [(4, 4)] for name in "abcdef"}
    assert shown(few) == {"": 24, **dict.fromkeys("abcdef")}, "small schools stand in the total"
    assert shown({"a": [(30, 30)], "b": [(1, 59)]}) == {"": None, "a": 30, "b": None}, "a total would give away b"
    assert shown({"a": [(3, 2)]}) == {"": None, "a": None}


def test_years_and_challenges_are_apart_and_titles_that_read_alike_together() -> None:
    plain: Counts = {name: [(30, 30)] for name in "abc"}
    other = [RuleFigures("d", 2026, "QUARRY", "Rule  0", 60, 30, 20)]
    rows = shown_of([*figures(plain), *other, *figures(plain, 2025)], 10)
    totals = [(row.year, row.title, row.rule, row.met, row.teams) for row in rows if not row.school]
    assert totals == [(2025, "Quarry", "rule 0", 90, 180), (2026, "QUARRY", "Rule  0", 120, 240)]


def test_a_rule_that_small_schools_have_not_all_has_no_total() -> None:
    """Two totals over different schools would be subtracted."""
    counts: Counts = {name: [(30, 30), (30, 30)] for name in "abcd"} | {n: [(4, 5), (4, 5)] for n in "wxyz"}
    made = [one for one in figures(counts) if (one.school, one.rule) != ("w", "rule 1")]
    rows = {(row.rule, row.school): row.met for row in shown_of(made, 10)}
    assert rows["rule 0", ""] == 136
    assert rows["rule 1", ""] is None
    assert rows["rule 1", "a"] == 30
