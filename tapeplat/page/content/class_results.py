"""A class's results: every team's last attempt, as a table."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from measure.errors import InputMistakes
from measure.result.result import read_result
from measure.rules.verdict import Verdict
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.archive.judging import is_judged_by
from tapeplat.classroom.team_names import in_order
from tapeplat.measuring.measured_model import RESULT_FILE
from tapeplat.page.session.services import services
from tapeplat.reports.report_content import verdict_of


@dataclass(frozen=True, eq=False)
class TeamRow:
    """One team: its last attempt, what it says of each of the table's rules (None: it has no such rule).

    stale: it was judged by the challenge as it was before, so it says nothing of the table's rules.
    """

    team: str
    last: Entry
    attempts: int
    verdicts: tuple[Verdict | None, ...]
    by_hand: frozenset[int]
    stale: bool = False


@dataclass(frozen=True)
class JudgedRule:
    """What a result says of one rule."""

    text: str
    verdict: Verdict
    by_hand: bool


@dataclass(frozen=True, eq=False)
class ClassTable:
    """All teams against all rules."""

    rules: tuple[str, ...]
    rows: tuple[TeamRow, ...]
    damaged: tuple[str, ...] = ()
    same_photo: tuple[str, ...] = ()

    @property
    def stale(self) -> int:
        """How many teams' last attempts were judged by the challenge as it was before."""
        return sum(row.stale for row in self.rows)


def class_table(slug: str) -> ClassTable:
    """The last attempt of every team of a challenge's class. Attempts whose files are damaged are named instead."""
    last: dict[str, list[Entry]] = {}
    for entry in attempts_of_class(slug):
        last.setdefault(team_key(entry.team), []).append(entry)
    found: list[tuple[list[Entry], tuple[JudgedRule, ...]]] = []
    damaged = []
    for entries in last.values():
        try:
            found.append((entries, judged_rules(entries[-1].folder)))
        except InputMistakes as wrong:
            why = wrong.mistakes[0].what
            damaged.append(f"{entries[-1].name}: {why}. Remove it under Archive, and send its photo again.")
    found.sort(key=lambda pair: in_order(pair[0][-1].team))
    current = [is_current(slug, entries[-1]) for entries, _ in found]
    judged = (said for (_, said), now in zip(found, current, strict=True) if now)
    rules = tuple(dict.fromkeys(rule.text for said in judged for rule in said)) or _stated(slug)
    rows = (_row(entries, said, rules, now=now) for (entries, said), now in zip(found, current, strict=True))
    return ClassTable(rules, tuple(rows), tuple(damaged), tuple(_same_photo([entries[-1] for entries, _ in found])))


def _same_photo(last: Sequence[Entry]) -> Iterator[str]:
    """A sentence for teams whose last attempts show the same photo: one of them has another's model."""
    owners: dict[str, list[str]] = {}
    for entry in last:
        for sum_of_file in dict.fromkeys(_read(entry.folder).photos):
            owners.setdefault(sum_of_file, []).append(f"team {entry.team}")
    for teams in dict.fromkeys(tuple(each) for each in owners.values() if len(each) > 1):
        yield f"The same photo was sent for {', '.join(teams[:-1])} and {teams[-1]}: one of them has another's model."


def judged_rules(folder: Path) -> tuple[JudgedRule, ...]:
    """What the result in a folder says of its rules. Raises InputMistakes where it cannot be read."""
    return _read(folder).rules


@dataclass(frozen=True)
class _Read:
    """What is asked of a result: its rules, and the checksums of its photos."""

    rules: tuple[JudgedRule, ...]
    photos: tuple[str, ...]


def _read(folder: Path) -> _Read:
    file = folder / RESULT_FILE
    try:
        facts = file.stat()
    except OSError:
        return _read_once(folder, 0, 0)  # which says what is wrong
    return _read_once(folder, facts.st_mtime_ns, facts.st_size)


@lru_cache(maxsize=512)
def _read_once(folder: Path, changed: int, size: int) -> _Read:
    """Read once for all requests; a result that was filed anew has another time."""
    result = read_result(folder)
    rules = tuple(JudgedRule(rule.text, verdict_of(rule), rule.by_hand is not None) for rule in result.rules)
    return _Read(rules, tuple(photo.sha256 for photo in result.photos))


def is_current(slug: str, entry: Entry) -> bool:
    """Whether an attempt was judged by the challenge as it is now; true where the challenge has mistakes now."""
    stored = services().challenges.get(slug)
    return stored is None or stored.challenge is None or is_judged_by(entry, services().challenges.text(slug))


def _stated(slug: str) -> tuple[str, ...]:
    stored = services().challenges.get(slug)
    return tuple(line.text for line in stored.challenge.rules) if stored and stored.challenge else ()


def attempts_of_class(slug: str, team: str | None = None) -> tuple[Entry, ...]:
    """What the class of a challenge owns in the archive, whatever the challenge was called then; of one team."""
    return services().archive.of_class(services().classes.of(slug).id, team)


def last_attempts(slug: str) -> list[Entry]:
    """Every team's last attempt that was judged by the challenge as it is now, in the teams' order.

    Reports and tables are of these alone, as a report never mixes two lists of rules.
    """
    last = {team_key(entry.team): entry for entry in attempts_of_class(slug)}
    current = (entry for entry in last.values() if is_current(slug, entry))
    return sorted(current, key=lambda entry: in_order(entry.team))


def _row(entries: list[Entry], judged: tuple[JudgedRule, ...], rules: tuple[str, ...], *, now: bool) -> TeamRow:
    if not now:
        return TeamRow(entries[-1].team, entries[-1], len(entries), (), frozenset(), stale=True)
    said = {rule.text: rule for rule in judged}
    verdicts = tuple(said[text].verdict if text in said else None for text in rules)
    hands = frozenset(at for at, text in enumerate(rules) if text in said and said[text].by_hand)
    return TeamRow(entries[-1].team, entries[-1], len(entries), verdicts, hands)
