"""What a worker does with one team's model: measure it, write its folder, and answer in a few words."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from calib.errors import PhotoRefused
from measure.errors import InputMistakes
from measure.result import Result, read_result
from measure.structures import team_key
from tapeplat.classroom.record import PhotoRead, Refusal
from tapeplat.output import FolderNotWritable, write_folder


@dataclass(frozen=True)
class ModelJob:
    """One model to measure. photos and reads belong together; the results go into folder; paper names a paper size.

    reports: the team's page and the scale map are made, too. key says what the result depends on; see record.Basis.
    """

    challenge: Path
    team: str
    photos: tuple[Path, ...]
    reads: tuple[PhotoRead, ...]
    folder: Path
    structures: Path | None = None
    paper: str = "letter"
    reports: bool = True
    key: str = ""


@dataclass(frozen=True)
class ModelAnswer:
    """What became of a model: whether it has a result, what was refused, what else went wrong, how long it took.

    tally says how many rules are met.
    """

    measured: bool
    refusals: tuple[Refusal, ...] = ()
    problem: str = ""
    warnings: tuple[str, ...] = ()
    seconds: float = 0.0
    tally: str = ""


def measure_job(job: ModelJob) -> ModelAnswer:
    """Measure a model and write its folder; whatever a photo or a file does wrong is in the answer."""
    start = time.perf_counter()
    try:
        refusals, warnings, count = _measured(job)
        return ModelAnswer(True, refusals, "", warnings, time.perf_counter() - start, count)
    except PhotoRefused as refusal:
        told = Refusal(tuple(path.name for path in job.photos), refusal.reason, refusal.advice)
        return ModelAnswer(False, (told,), seconds=time.perf_counter() - start)
    except (InputMistakes, FolderNotWritable) as error:
        return ModelAnswer(False, problem=str(error), seconds=time.perf_counter() - start)


def _measured(job: ModelJob) -> tuple[tuple[Refusal, ...], tuple[str, ...], str]:
    """The photos that were left out, warnings, and how many rules are met."""
    from tapeplat.measuring import measure_model
    from tapeplat.reports.content import tally
    from tapeplat.reports.files import team_files

    earlier, lost = _earlier(job)
    measured = measure_model(job.challenge, job.photos, team=job.team, structures=job.structures, earlier=earlier)
    files = dict(measured.files)
    result = files.pop("result.json")
    if job.reports:
        files |= team_files(result, measured.files, job.paper)
    write_folder(job.folder, {**files, "result.json": result})
    count = tally([rule.verdict for rule in measured.notes.rules])
    return _left_out(job.photos, measured.warnings), (*lost, *_other_labels(job)), count


def _earlier(job: ModelJob) -> tuple[Result | None, tuple[str, ...]]:
    """The result that is there, if it is of the same photos; else a warning where it had verdicts set by hand."""
    try:
        result = read_result(job.folder)
    except InputMistakes:
        return None, ()
    if {photo.sha256 for photo in result.photos} <= {read.sha256 for read in job.reads}:
        return result, ()
    by_hand = [f'"{rule.text}"' for rule in result.rules if rule.by_hand]
    if not by_hand:
        return None, ()
    return None, (f"the photos have changed, so what was set by hand is gone: {', '.join(by_hand)}; decide again",)


def _left_out(photos: Sequence[Path], warnings: Sequence[str]) -> tuple[Refusal, ...]:
    """The photos of the model that were refused while others could be used, from the warnings that say so."""
    found = []
    for photo in photos:
        start = f"{photo.name} is left out ("
        for warning in warnings:
            if warning.startswith(start):
                reason, _, advice = warning.removeprefix(start).partition("): ")
                found.append(Refusal((photo.name,), reason, advice))
    return tuple(found)


def _other_labels(job: ModelJob) -> tuple[str, ...]:
    """A warning for every photo that shows another team's label than that of the team it counts for."""
    from tapeplat.classroom.labels import labels_in

    key = team_key(job.team)
    if not key.isdigit():
        return ()
    seen = {photo.name: labels_in(photo).teams for photo in job.photos}
    return tuple(
        f"{name} counts for team {job.team}, and team {teams[0]}'s label is in it; if it is theirs, rename it"
        for name, teams in seen.items()
        if len(teams) == 1 and str(teams[0]) != key
    )
