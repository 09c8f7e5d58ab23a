"""Judging filed attempts again, after the challenge's rules, tolerances, aliases or zones changed.

The outlines stay as they were measured; the verdicts by hand stay with their rules.  What was said before
is kept in the attempt's `revisions`, with the challenge that it was judged by.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from measure.challenge import Challenge, parse_challenge
from measure.errors import InputMistakes
from measure.file_content import FileContent
from measure.result.result import Result, parse_result, read_result
from measure.rules.allowance import Allowance
from tapeplat.archive.attempt_comparison import RuleChange, rule_changes
from tapeplat.archive.attempt_files import CHALLENGE, CORRECTED
from tapeplat.archive.storage.entry import RESULT, Entry
from tapeplat.archive.store import Archive
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.workers.carrying import JobPool
from tapeplat.workers.worker_pool import WorkerFailed

STRUCTURES = "structures.csv"
NOTE = "judged again by the challenge as it is now"


@dataclass(frozen=True)
class Judgement:
    """What is said of an attempt by another challenge, as files; the rules that fare otherwise, what is worth knowing;
    or the problem for which it cannot be judged.
    """

    files: Mapping[str, bytes]
    changes: tuple[RuleChange, ...] = ()
    remarks: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True)
class JudgedAgain:
    """What became of one attempt (id and name are its own): the rules that fare otherwise now, what is worth knowing;
    or the problem for which it was left alone.
    """

    id: str
    name: str
    changes: tuple[RuleChange, ...] = ()
    remarks: tuple[str, ...] = ()
    problem: str = ""


def is_judged_by(entry: Entry, challenge: str) -> bool:
    """Whether an attempt was judged by this challenge's text; its title and its comments do not count."""
    try:
        filed = (entry.folder / CHALLENGE).read_text(encoding="utf-8-sig", errors="replace")
    except OSError:
        return False
    return filed == challenge or (_judges(filed) is not None and _judges(filed) == _judges(challenge))


@dataclass(frozen=True)
class JudgeJob:
    """An attempt's outlines to be judged by a challenge; nothing is filed by it."""

    entry: Entry
    challenge: FileContent

    def run(self) -> Judgement:
        """What is said now. Raises InputMistakes where the challenge cannot be used."""
        import tapeplat

        known = tapeplat.read_challenge(self.challenge)
        try:
            before = read_result(self.entry.folder)
            file = self.entry.folder / STRUCTURES
            table = FileContent(STRUCTURES, file.read_bytes()) if file.is_file() else None
            made = tapeplat.check(known, self.entry.folder, structures=table)
            files = {name: data for name, data in made.files.items() if name != CORRECTED}
            remarks = (*_remarks(self.entry, known), *_of_verdicts_by_hand(before, made.result))
        except (InputMistakes, OSError) as fault:
            return Judgement({}, problem=str(fault))
        changes = rule_changes(before, parse_result(files[RESULT], RESULT))
        other = tuple(change for change in changes if change.fate != "as before")
        return Judgement(files, other, remarks)

    def input_files(self) -> Mapping[str, Path]:
        """The attempt's files."""
        return {file.name: file for file in sorted(self.entry.folder.iterdir()) if file.is_file()}

    def moved(self, places: Mapping[str, Path], out: Path) -> JudgeJob:
        """The same with the attempt's files in another folder, all of them in one."""
        folders = {place.parent for place in places.values()}
        return replace(self, entry=replace(self.entry, folder=folders.pop()))

    def output_folder(self) -> None:
        """Nothing is written."""


def judge_again(archive: Archive, entry: Entry, challenge: FileContent) -> JudgedAgain:
    """Judge an attempt's outlines by a challenge and file what is said now; a fault of the attempt is in the answer.

    Raises InputMistakes where the challenge cannot be used.
    """
    return file_judgement(archive, entry, challenge, JudgeJob(entry, challenge).run())


def file_judgement(archive: Archive, entry: Entry, challenge: FileContent, said: Judgement) -> JudgedAgain:
    """File what is said of an attempt now, and tell what is other than before."""
    problem = said.problem
    if not problem:
        try:
            archive.replace_result(entry, {**said.files, CHALLENGE: challenge.data}, NOTE)
        except (InputMistakes, FolderNotWritable, OSError) as fault:
            problem = str(fault)
    if problem:
        return JudgedAgain(entry.id, entry.name, problem=problem)
    return JudgedAgain(entry.id, entry.name, said.changes, said.remarks)


def judge_all(archive: Archive, entries: Sequence[Entry], challenge: FileContent, pool: JobPool) -> list[JudgedAgain]:
    """As judge_again for several attempts, the judging itself done by a pool; in their order."""
    waiting = [pool.submit(JudgeJob(entry, challenge)) for entry in entries]
    judged = []
    for entry, future in zip(entries, waiting, strict=True):
        try:
            judged.append(file_judgement(archive, entry, challenge, future.result()))
        except WorkerFailed as failure:
            judged.append(JudgedAgain(entry.id, entry.name, problem=str(failure)))
    return judged


def _remarks(entry: Entry, known: Challenge) -> list[str]:
    """What judging again cannot take into account."""
    before = parse_challenge((entry.folder / CHALLENGE).read_text(encoding="utf-8-sig"), CHALLENGE)
    measured_by = [(c.card, c.priors, c.parcel, [zone.tape_height for zone in c.zones]) for c in (before, known)]
    if measured_by[0] == measured_by[1]:
        return []
    return ["card, parcel or tape are stated otherwise now, and the outlines are as they were measured before"]


def _of_verdicts_by_hand(before: Result, after: Result) -> Iterator[str]:
    """Which of them wait for their rule from now on, and which came back."""
    waited = {rule.text for rule in before.set_aside}
    for rule in after.set_aside:
        if rule.text not in waited and rule.by_hand:
            said = f'your verdict "{rule.by_hand.verdict}" on "{rule.text}" is not counted'
            yield f"{said}: the challenge has no such rule now; it comes back with the rule"
    for rule in after.rules:
        if rule.text in waited and rule.by_hand:
            yield f'your verdict "{rule.by_hand.verdict}" on "{rule.text}" is back'


@lru_cache(maxsize=64)
def _judges(text: str) -> tuple[Challenge, tuple[tuple[str, Allowance | None], ...]] | None:
    """What of a challenge's text judges, wherever in the text it stands; None where it is no challenge."""
    try:
        known = parse_challenge(text, CHALLENGE)
    except InputMistakes:
        return None
    return replace(known, title="", rules=()), tuple((line.text, line.allowance) for line in known.rules)
