"""A class's run: what is to be measured, sharing it out, keeping what is finished.

Nothing is printed here: whoever runs it hears of every finished model.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, wait
from dataclasses import dataclass
from pathlib import Path

from measure.challenge import read_challenge
from measure.errors import InputMistakes, Mistake
from measure.structures.structure_rows import StructuresFile
from measure.structures.structures_table import read_structures
from measure.teams import team_key
from tapeplat.archive.storage.entry import team_name
from tapeplat.archive.storage.folder_names import team_folder
from tapeplat.classroom.better_results import is_better_known
from tapeplat.classroom.class_record import (
    Basis,
    ClassRecord,
    ModelRecord,
    basis_of,
    photo_read,
    read_record,
    write_record,
)
from tapeplat.classroom.earlier_class import about_record, check_earlier_class
from tapeplat.classroom.grouping import Group, grouped, nameless
from tapeplat.classroom.photo_folder import photos_in
from tapeplat.classroom.team_job import TeamJob
from tapeplat.classroom.team_labels import LabelJob
from tapeplat.output.result_folder import clear_unfinished
from tapeplat.wording.notice_words import words
from tapeplat.workers.carrying import JobPool, Pools
from tapeplat.workers.model_job import ModelAnswer, Refusal
from tapeplat.workers.worker_pool import WorkerFailed
from vision.picture.photo import name_of

_LOOK = 0.2
"""Seconds between two looks at whether to stop."""
MOST_WORKERS = 8
"""Each holds a photo of up to 60 megapixels; more of them fill a school computer's memory before its cores."""


@dataclass(frozen=True)
class ClassTask:
    """What a class is measured by and where the results go."""

    challenge: Path
    photos: Path
    out: Path
    structures: Path | None = None
    paper: str = "letter"


@dataclass(frozen=True)
class Plan:
    """A class before measuring: what is to do, what is known already, what was inferred and left out.

    photos are those of every model, by the name of its results' folder.
    """

    title: str
    jobs: tuple[TeamJob, ...]
    record: ClassRecord
    photos: Mapping[str, tuple[Path, ...]]
    warnings: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def total(self) -> int:
        """How many models there are."""
        return len(self.photos)


@dataclass(frozen=True)
class Finished:
    """One finished model, as it happens: its job, what became of it, its place in the record."""

    job: TeamJob
    answer: ModelAnswer
    record: ModelRecord


def cores() -> int:
    """How many workers to use where nobody says."""
    usable = len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
    return min(usable, MOST_WORKERS)


def plan_class(task: ClassTask, workers: Pools, *, again: bool = False, replace: bool = False) -> Plan:
    """Find the photos, group them by team, and see what is new or changed; again: or could be surer of its lens now.

    workers: makes a pool for so many jobs. replace: another's results in the folder may be written over.

    Raises InputMistakes where challenge, structures or folder cannot be used.
    """
    challenge = read_challenge(task.challenge)
    table = None if task.structures is None else read_structures(task.structures, challenge)
    found = photos_in(task.photos, without=task.out)
    if not found.photos:
        do = "copy the photos into it, named by team (team-3.jpg) or in subfolders with the teams' names"
        raise InputMistakes([Mistake(str(task.photos), "there is no photo in it", do)])
    unnamed = nameless(found.photos)
    grouping = grouped(found.photos, _labels(unnamed, workers) if unnamed else {})
    basis, before = basis_of(task.challenge, task.structures), read_record(task.out)
    jobs = [_job(task, group, basis) for group in grouping.groups]
    if not replace:
        check_earlier_class(task.out, before, {read.sha256 for job in jobs for read in job.reads})
    todo = tuple(job for job in jobs if not _known(before.of(job.folder.name), job, task.out, again=again))
    kept = before.only((job.folder.name for job in jobs if job not in todo), challenge.title)
    here = {job.folder.name for job in jobs}
    gone = [_gone(model, task.out) for model in before.models if model.folder not in here]
    record = filter(None, [about_record(task.out)])
    said = (*record, *challenge.warnings, *_about_table(table, grouping.groups), *grouping.warnings, *_twice(jobs))
    photos = {job.folder.name: job.photos for job in jobs}
    return Plan(challenge.title, todo, kept, photos, said, (*found.notes, *gone))


def run_class(
    jobs: Sequence[TeamJob],
    record: ClassRecord,
    out: Path,
    workers: JobPool,
    *,
    finished: Callable[[Finished], ModelRecord],
    stop: Callable[[], int],
) -> ClassRecord:
    """Do the jobs; the record of all that is known, which is written beside the results after every model.

    finished hears of each model as it is done and may change its place in the record. stop says how often somebody
    asked to stop: once lets the models in hand be finished, twice ends them.
    """
    for folder in (out, *(out / job.folder.name for job in jobs)):
        clear_unfinished(folder)
    write_record(out, record)
    for job, answer in _answers(jobs, workers, stop):
        record = record.having(finished(Finished(job, answer, _recorded(job, answer))))
        write_record(out, record)
    return record


def _answers(
    jobs: Sequence[TeamJob], workers: JobPool, stop: Callable[[], int]
) -> Iterator[tuple[TeamJob, ModelAnswer]]:
    """Every job that was done with its answer, in the order in which they are done."""
    waiting: dict[Future[ModelAnswer], TeamJob] = {workers.submit(job): job for job in jobs}
    while waiting:
        done, _ = wait(waiting, _LOOK, FIRST_COMPLETED)
        if stop() > 0:
            waiting = {future: job for future, job in waiting.items() if not future.cancel()}
        if stop() > 1:
            workers.kill()
            return
        for future in done & waiting.keys():
            yield waiting.pop(future), _answer(future)


def _answer(future: Future[ModelAnswer]) -> ModelAnswer:
    try:
        return future.result()
    except WorkerFailed as failure:
        return ModelAnswer(False, problem=f"{failure}; run the command again")


def _job(task: ClassTask, group: Group, basis: Basis) -> TeamJob:
    reads = tuple(map(photo_read, group.photos))
    folder, key = task.out / team_folder(group.team), basis.key(group.team, reads)
    return TeamJob(
        challenge=task.challenge,
        team=group.team,
        photos=group.photos,
        structures=task.structures,
        reads=reads,
        folder=folder,
        paper=task.paper,
        key=key,
    )


def _known(model: ModelRecord | None, job: TeamJob, out: Path, *, again: bool) -> bool:
    """Whether a model needs no measuring: nothing that its result depends on has changed, and the result is there.

    again: nor is its lens known better by now.
    """
    if model is None or model.key != job.key or model.state == "failed":
        return False
    if model.state == "refused":
        return True
    there = (out / model.folder / "result.json").is_file()
    return there and not (again and is_better_known(out / model.folder))


def _about_table(table: StructuresFile | None, groups: Sequence[Group]) -> Iterator[str]:
    """The warnings of the structures' table, and one about teams in it that have no photo: likely a name misspelt."""
    if table is None:
        return
    yield from map(words, table.notices)
    here = {team_key(group.team) for group in groups}
    without = [team for team in table.teams if team_key(team) not in here]
    if without:
        yield f"{table.name} has structures of {', '.join(map(team_name, without))}, and there is no photo of them"


def _gone(model: ModelRecord, out: Path) -> str:
    return f"team {model.team} has no photos here any more; its results stay in {out / model.folder}"


def _twice(jobs: Sequence[TeamJob]) -> Iterator[str]:
    """A warning for every photo that several teams have: one of them has handed in another's."""
    owners: dict[str, list[str]] = {}
    for job in jobs:
        for read in job.reads:
            owners.setdefault(read.sha256, []).append(f"{read.file} of team {job.team}")
    for names in owners.values():
        if len(names) > 1:
            yield f"{' and '.join(names)} are the same photo"


def _recorded(job: TeamJob, answer: ModelAnswer) -> ModelRecord:
    refusals = answer.refusals
    if answer.state == "failed":
        refusals = (Refusal(tuple(map(name_of, job.photos)), "", answer.problem),)
    return ModelRecord(job.team, job.folder.name, job.key, answer.state, job.reads, refusals)


def _labels(photos: Sequence[Path], workers: Pools) -> dict[Path, tuple[int, ...]]:
    """The team labels in photos."""
    with workers(len(photos)) as reading:
        futures = {path: reading.submit(LabelJob(path)) for path in photos}
        return {path: _label(future) for path, future in futures.items()}


def _label(future: Future[tuple[int, ...]]) -> tuple[int, ...]:
    try:
        return future.result()
    except WorkerFailed:
        return ()
