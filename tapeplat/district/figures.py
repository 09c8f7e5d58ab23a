"""How the schools' teams did: by school, year and challenge, and rule by rule.

A team counts once in a year's challenge: with its last attempt, and with its first where the two are compared.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from tapeplat.district.filed_attempt import FiledAttempt


@dataclass(frozen=True)
class ChallengeFigures:
    """A school's year with one challenge. first and last: rules met of how many, in teams' first and last attempts."""

    school: str
    year: int
    title: str
    teams: int
    attempts: int
    first: tuple[int, int]
    last: tuple[int, int]


@dataclass(frozen=True)
class RuleFigures:
    """How many of a school's teams had a rule in a year's challenge, and met it or not; the others are undecided."""

    school: str
    year: int
    title: str
    rule: str
    teams: int
    met: int
    not_met: int

    @property
    def undecided(self) -> int:
        """Too close to call, not measured, or by eye."""
        return self.teams - self.met - self.not_met


def challenge_figures(attempts: Iterable[FiledAttempt]) -> tuple[ChallengeFigures, ...]:
    """The figures of each school's years and challenges, by school, year and title."""
    found = []
    for (school, year, _), teams in _grouped(attempts).items():
        first, last = [own[0] for own in teams.values()], [own[-1] for own in teams.values()]
        every = [attempt for own in teams.values() for attempt in own]
        title = min(attempt.title for attempt in every)
        found.append(ChallengeFigures(school, year, title, len(teams), len(every), _met(first), _met(last)))
    return tuple(sorted(found, key=lambda f: (f.school, f.year, f.title)))


def rule_figures(attempts: Iterable[FiledAttempt]) -> tuple[RuleFigures, ...]:
    """The figures of each rule, by school, year, title and rule."""
    found = []
    for (school, year, _), teams in _grouped(attempts).items():
        title = min(attempt.title for own in teams.values() for attempt in own)
        last = [rule for own in teams.values() for rule in own[-1].rules]
        for key in dict.fromkeys(rule.key for rule in last):
            own = [rule for rule in last if rule.key == key]
            counts = [sum(rule.verdict == verdict for rule in own) for verdict in ("met", "not met")]
            text = min(rule.text for rule in own)
            found.append(RuleFigures(school, year, title, text, len(own), *counts))
    return tuple(sorted(found, key=lambda f: (f.school, f.year, f.title, f.rule)))


def _grouped(
    attempts: Iterable[FiledAttempt],
) -> Mapping[tuple[str, int, str], Mapping[str, list[FiledAttempt]]]:
    """By school, year and challenge, and there by team, each team's in their order."""
    groups: dict[tuple[str, int, str], dict[str, list[FiledAttempt]]] = {}
    for one in sorted(attempts, key=lambda attempt: attempt.place):
        group = groups.setdefault((one.school, one.year, one.title_key), {})
        group.setdefault(one.home, []).append(one)
    return groups


def _met(attempts: Iterable[FiledAttempt]) -> tuple[int, int]:
    every = list(attempts)
    return sum(one.met for one in every), sum(len(one.rules) for one in every)
