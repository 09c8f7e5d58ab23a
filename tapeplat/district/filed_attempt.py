"""One attempt of one school's archive, with all that questions about many schools are answered by."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from pathlib import Path
from unicodedata import category

from measure.rules.verdict import Verdict
from tapeplat.archive.storage.checksums import read_regular
from tapeplat.archive.storage.entry import RESULT, DamagedRecord, Entry, rule_verdicts_in
from tapeplat.archive.storage.entry_index import read_entry
from tapeplat.archive.storage.folder_names import challenge_folder, same_key, team_folder

_SURE = {"not met": 0, "met": 2}
"""Among verdicts of one rule the least counts; the undecided ones lie between."""
_BEFORE_PER_CENT = re.compile(r"(?<=\d)\s+(?=%)")
_AFTER_TEXT = "\x01"
"""Sorts before every letter of a name."""


@dataclass(frozen=True)
class Choice:
    """Which attempts are asked about; None for all. school, title and team are compared as people name them.

    exactly: a school's folder has that very name, so that others of which people take the name for the same are not
    meant.
    """

    school: str | None = None
    year: int | None = None
    title: str | None = None
    team: str | None = None
    exactly: bool = False


@dataclass(frozen=True)
class FiledRule:
    """A rule of an attempt: its words, by what words that read alike are told, and its verdict."""

    key: str
    text: str
    verdict: Verdict


@dataclass(frozen=True)
class FiledAttempt:
    """An attempt in its school's archive, which lies in a folder of the school's name.

    The entry's id begins with the school: `hill-school/quarry-lake-village.team-3.2`. folder is relative to the folder
    of all schools. year is that of the photo. place sorts attempts as lists have them, and tells any two apart.
    """

    school: str
    folder: str
    year: int
    place: str
    entry: Entry
    rules: tuple[FiledRule, ...]

    @property
    def title(self) -> str:
        """The challenge's title, as it can be written anywhere."""
        return writable(self.entry.title)

    @property
    def title_key(self) -> str:
        """What titles have in common that people take for the same."""
        return challenge_folder(self.entry.title)

    @property
    def home(self) -> str:
        """The team's folder, relative to the folder of all schools: it stands for the team."""
        return self.folder.rpartition("/")[0]

    @property
    def met(self) -> int:
        """How many of its rules are met."""
        return sum(rule.verdict == "met" for rule in self.rules)

    def is_of(self, choice: Choice) -> bool:
        """Whether it is among what is asked about."""
        return (
            (choice.school is None or _is_named(self.school, choice.school, exactly=choice.exactly))
            and choice.year in (None, self.year)
            and (choice.title is None or challenge_folder(choice.title) == self.title_key)
            and (choice.team is None or team_folder(choice.team) == team_folder(self.entry.team))
        )


def read_filed(schools: Path, folder: str) -> FiledAttempt:
    """The attempt in a folder such as `hill-school/quarry-lake-village/team-3/attempt-001-2026-11-25`.

    Raises DamagedRecord.
    """
    school = folder.split("/", 1)[0]
    try:
        entry = read_entry(schools / school, schools / folder)
    except DamagedRecord as error:
        raise DamagedRecord(f"{school}/{error}") from error
    try:
        rules = rule_verdicts_in(read_regular(schools / folder / RESULT))
    except OSError as error:
        raise DamagedRecord(f"{folder}: {error}") from error
    named = replace(entry, id=f"{school}/{entry.id}")
    return FiledAttempt(school, folder, entry.taken.year, _place(folder, entry), named, tuple(_once(rules)))


def can_be_shown(name: str) -> bool:
    """Whether a folder's name can stand in a line of text and in a database."""
    return writable(name) == name and not any(category(letter) == "Cc" for letter in name)


def shown(name: str) -> str:
    """A folder's name with what cannot be shown of it as its number: `caf\\udce9`."""
    return "".join(
        letter if can_be_shown(letter) else letter.encode("unicode_escape").decode("ascii") for letter in name
    )


def alike(schools: Iterable[str]) -> list[str]:
    """A warning where people take two schools' names for the same: nobody can tell them apart in a list."""
    named: dict[str, list[str]] = {}
    for school in schools:
        named.setdefault(same_key(school), []).append(school)
    pairs = [" and ".join(own) for own in named.values() if len(own) > 1]
    return [f"schools' folders that are named alike are different schools: {'; '.join(pairs)}"] if pairs else []


def _is_named(school: str, asked: str, *, exactly: bool) -> bool:
    return school == asked if exactly else same_key(school) == same_key(asked)


def writable(text: str) -> str:
    """Text without what neither a page nor a database can hold: lone surrogates, and the character of number 0."""
    return text.encode("utf-8", "replace").decode("utf-8").replace("\0", "")


def rule_key(text: str) -> str:
    """What sentences of a rule have in common that differ in nothing but how they are typed: `5%` and `5 %`."""
    return _BEFORE_PER_CENT.sub("", same_key(text))


def _once(rules: Iterable[tuple[str, Verdict]]) -> Iterable[FiledRule]:
    """Each rule once, in the words of the first of those that read alike: met where all of them are."""
    alike: dict[str, list[FiledRule]] = {}
    for text, verdict in rules:
        plain = writable(text)
        alike.setdefault(rule_key(plain), []).append(FiledRule(rule_key(plain), plain, verdict))
    for own in alike.values():
        yield replace(own[0], verdict=min((rule.verdict for rule in own), key=lambda said: _SURE.get(said, 1)))


def _place(folder: str, entry: Entry) -> str:
    """Text that sorts, character by character, as lists have it: team 2 before team 10, then by attempt and day.

    Texts and numbers take turns; a number is written behind the count of its digits.
    """
    home, _, last = folder.rpartition("/")
    parts = re.split(r"(\d+)", home)
    coded = [_number(int(part)) if at % 2 else f"{part}{_AFTER_TEXT}" for at, part in enumerate(parts)]
    return writable("".join([*coded, _number(entry.attempt), entry.taken.isoformat(), last]))


def _number(number: int) -> str:
    digits = str(number)
    return f"{len(digits):04d}{digits}"
