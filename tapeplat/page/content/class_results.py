"""A class's results: every team's last attempt, as a table."""

from __future__ import annotations

from dataclasses import dataclass

from measure.errors import InputMistakes
from measure.result.result import Result, read_result
from measure.rules.verdict import Verdict
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.classroom.team_names import in_order
from tapeplat.page.session.services import services
from tapeplat.reports.report_content import verdict_of


@dataclass(frozen=True, eq=False)
class TeamRow:
    """One team: its last attempt, what it says of each of the table's rules (None: it has no such rule)."""

    team: str
    last: Entry
    attempts: int
    verdicts: tuple[Verdict | None, ...]
    by_hand: frozenset[int]


@dataclass(frozen=True, eq=False)
class ClassTable:
    """All teams against all rules."""

    rules: tuple[str, ...]
    rows: tuple[TeamRow, ...]
    damaged: tuple[str, ...] = ()


def class_table(slug: str) -> ClassTable:
    """The last attempt of every team of a challenge's class. Attempts whose files are damaged are named instead."""
    last: dict[str, list[Entry]] = {}
    for entry in attempts_of_class(slug):
        last.setdefault(team_key(entry.team), []).append(entry)
    found: list[tuple[list[Entry], Result]] = []
    damaged = []
    for entries in last.values():
        try:
            found.append((entries, read_result(entries[-1].folder)))
        except InputMistakes as wrong:
            damaged.append(f"{entries[-1].name}: {wrong.mistakes[0]}")
    found.sort(key=lambda pair: in_order(pair[0][-1].team))
    rules = tuple(dict.fromkeys(rule.text for _, result in found for rule in result.rules))
    return ClassTable(rules, tuple(_row(entries, result, rules) for entries, result in found), tuple(damaged))


def attempts_of_class(slug: str, team: str | None = None) -> tuple[Entry, ...]:
    """What the class of a challenge owns in the archive, whatever the challenge was called then; of one team."""
    return services().archive.of_class(services().classes.of(slug).id, team)


def last_attempts(slug: str) -> list[Entry]:
    """Every team's last attempt, in the teams' order."""
    last = {team_key(entry.team): entry for entry in attempts_of_class(slug)}
    return sorted(last.values(), key=lambda entry: in_order(entry.team))


def _row(entries: list[Entry], result: Result, rules: tuple[str, ...]) -> TeamRow:
    said = {rule.text: rule for rule in result.rules}
    verdicts = tuple(verdict_of(said[text]) if text in said else None for text in rules)
    hands = frozenset(at for at, text in enumerate(rules) if text in said and said[text].by_hand)
    return TeamRow(entries[-1].team, entries[-1], len(entries), verdicts, hands)
