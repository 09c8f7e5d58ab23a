"""Which of a district's counts may be published, so that no small one can be had from them: cells are suppressed.

A count is of a school's teams that met a rule, in one year and challenge, beside how many teams there were; the rest
did not meet it or are undecided.  Hidden are (primary suppression) schools of which fewer teams than the threshold met
the rule, or all but fewer: 0 is small, too, as it tells of every team.  Because a total over all schools is published,
others are hidden beside them (secondary suppression) until nothing is had by subtraction, whoever subtracts, one of the
hidden schools itself, too, which knows its own counts: every hidden count can still be anything in an interval of at
least the threshold's width.  Where hiding all schools does not achieve that, the total is hidden in their place.

The least and the largest value of a hidden count are those of a table of two rows with known margins (Fréchet).  Terms
as in Hundepool et al., Statistical Disclosure Control, 2012 (primary and secondary cell suppression, feasibility
interval, threshold rule); from memory.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tapeplat.archive.storage.folder_names import challenge_folder
from tapeplat.district.figures import ChallengeFigures, RuleFigures
from tapeplat.district.filed_attempt import rule_key

_FEWEST = 3
"""Hidden schools beside a total: each of two would know the other's count."""


@dataclass(frozen=True)
class Row:
    """What is published of a rule: of a school, or of all where school is empty. None is hidden."""

    year: int
    title: str
    rule: str
    school: str
    teams: int | None
    met: int | None


@dataclass(frozen=True)
class _Cell:
    """A school's teams that had a rule, and how many of them met it."""

    school: str
    teams: int
    met: int


def published(
    figures: Iterable[RuleFigures], challenges: Iterable[ChallengeFigures], threshold: int
) -> tuple[Row, ...]:
    """What may be published, by year, challenge and rule; of each the total first, then all schools by name.

    challenges say how many teams each school had: no rule of a challenge need be one that all of them had.
    """
    teams: dict[tuple[int, str], dict[str, int]] = {}
    for whole in challenges:
        teams.setdefault((whole.year, challenge_folder(whole.title)), {})[whole.school] = whole.teams
    groups: dict[tuple[int, str], dict[str, list[RuleFigures]]] = {}
    for one in figures:
        group = groups.setdefault((one.year, challenge_folder(one.title)), {})
        group.setdefault(rule_key(one.rule), []).append(one)
    rows = list[Row]()
    for (year, called), rules in sorted(groups.items()):
        title = min(one.title for own in rules.values() for one in own)
        cells = {min(one.rule for one in own): [_Cell(o.school, o.teams, o.met) for o in own] for own in rules.values()}
        having = {cell.school: teams[year, called][cell.school] for own in cells.values() for cell in own}
        rows += _of_challenge(year, title, dict(sorted(cells.items())), having, threshold)
    return tuple(rows)


def _of_challenge(
    year: int, title: str, rules: Mapping[str, Sequence[_Cell]], teams: Mapping[str, int], threshold: int
) -> Iterable[Row]:
    unlisted = _unlisted(teams, threshold)
    for rule, cells in rules.items():
        total, shown = _shown(cells, teams, unlisted, threshold)
        numbers = (sum(c.teams for c in cells), sum(c.met for c in cells)) if total else (None, None)
        yield Row(year, title, rule, "", *numbers)
        for cell in sorted(cells, key=lambda cell: cell.school):
            known = (cell.teams, cell.met) if cell.school in shown else (None, None)
            yield Row(year, title, rule, cell.school, *known)


def _unlisted(teams: Mapping[str, int], threshold: int) -> frozenset[str] | None:
    """The schools of which no rule is published, nor how many teams they have: none of their rows could be.

    Others join them until their number of teams cannot be had from the total, either; None where that needs more
    schools than there are, and then there are no totals.
    """
    hidden = {school for school, count in teams.items() if count < 2 * threshold}
    for school in sorted(teams.keys() - hidden, key=lambda name: (teams[name], name)):
        if _many_enough([teams[name] for name in hidden], threshold):
            break
        hidden.add(school)
    return frozenset(hidden) if _many_enough([teams[name] for name in hidden], threshold) else None


def _many_enough(counts: Sequence[int], threshold: int) -> bool:
    """Whether hidden numbers of teams, whose sum is known, stay open, also to the largest of these schools.

    Each has a team at least: of what is left, all but one for each other school may be any one's.
    """
    others = len(counts) - 1
    return not counts or (len(counts) >= _FEWEST and sum(counts) - max(counts) - others >= threshold)


def _shown(
    cells: Sequence[_Cell], teams: Mapping[str, int], unlisted: frozenset[str] | None, threshold: int
) -> tuple[bool, frozenset[str]]:
    """Whether the total of a rule is published, and of which schools the counts are.

    A rule that only a part of a school's teams had is often another's other wording: the rest would be had from both.
    """
    small = {cell.school for cell in cells if not _large(cell.met, cell.teams, threshold)}
    partly = {cell.school for cell in cells if cell.teams != teams[cell.school]}
    hidden = small | partly | {cell.school for cell in cells if cell.school in (unlisted or ())}
    all_of_them = frozenset(cell.school for cell in cells)
    met, every = sum(cell.met for cell in cells), sum(cell.teams for cell in cells)
    told_of_all = not partly and unlisted is not None and _in_all(cells, unlisted)
    if unlisted is not None and told_of_all and _large(met, every, threshold):
        growing = set(hidden)
        for cell in [None, *sorted(cells, key=lambda cell: (cell.teams, cell.school))]:
            if cell is not None:
                if cell.school in growing:
                    continue
                growing.add(cell.school)
            if _protected([cell for cell in cells if cell.school in growing], unlisted, threshold):
                return True, all_of_them - growing
    return False, all_of_them - hidden


def _large(met: int, teams: int, threshold: int) -> bool:
    return met >= threshold and teams - met >= threshold


def _in_all(cells: Sequence[_Cell], unlisted: frozenset[str]) -> bool:
    """Whether all unlisted schools have this rule, too: two totals could be subtracted."""
    return unlisted <= {cell.school for cell in cells}


def _protected(hidden: Sequence[_Cell], unlisted: frozenset[str], threshold: int) -> bool:
    """Whether nobody learns a hidden count from the sums over them, who knows the counts of at most one of them."""
    if not hidden:
        return True
    if len(hidden) < _FEWEST:
        return False
    teams = np.array([cell.teams for cell in hidden])
    met = np.array([cell.met for cell in hidden])
    known = np.array([cell.school not in unlisted for cell in hidden])
    others = ~np.eye(len(hidden), dtype=bool)
    return all(_open(teams[rest], met[rest], known[rest], threshold) for rest in others)


def _open(teams: np.ndarray, met: np.ndarray, known: np.ndarray, threshold: int) -> bool:
    """Whether each count can be anything in an interval of the threshold's width, if their sums are known.

    Where a school's teams are known, it met the rule with at most all of them and at least as many as the others' unmet
    leave. Of the others only the sum of teams is known; one alone is known by it.
    """
    sum_met, sum_unmet = int(met.sum()), int(teams.sum() - met.sum())
    if (~known).sum() == 1:
        known = np.ones_like(known)
    width = np.minimum(teams[known], sum_met) - np.maximum(0, teams[known] - sum_unmet)
    if (width < threshold).any():
        return False
    free = int(teams[~known].sum())
    return bool(known.all()) or min(free, sum_met, sum_unmet) >= threshold
