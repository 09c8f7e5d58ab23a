"""What a worker does with one team's model: measure it, write its folder, and answer in a few words."""

from __future__ import annotations

import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from calib.errors import PhotoRefused
from measure.errors import InputMistakes
from measure.result.result import Result, read_result
from measure.teams import team_key
from tapeplat.classroom.class_record import PhotoRead, Refusal
from tapeplat.output.result_folder import FolderNotWritable, write_folder

if TYPE_CHECKING:
    from tapeplat.measuring.measured_model import Measured

_ANEW = "to measure the photos anew, move the team's folder away"


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
    except UnicodeError:
        problem = "the photo's name has letters that cannot be written down; rename the file"
        return ModelAnswer(False, problem=problem, seconds=time.perf_counter() - start)
    except (InputMistakes, FolderNotWritable) as error:
        return ModelAnswer(False, problem=str(error), seconds=time.perf_counter() - start)


def _measured(job: ModelJob) -> tuple[tuple[Refusal, ...], tuple[str, ...], str]:
    """The photos that were left out, warnings, and how many rules are met."""
    from tapeplat.measuring.measured_model import CORRECTED_FILE
    from tapeplat.reports.report_content import tally
    from tapeplat.reports.report_files import team_files

    measured, warnings = _made(job)
    files = dict(measured.files)
    result = files.pop("result.json")
    if job.reports:
        beside = measured.files if CORRECTED_FILE in files else {CORRECTED_FILE: _kept(job.folder), **measured.files}
        files |= team_files(result, beside, job.paper)
    write_folder(job.folder, {**files, "result.json": result})
    count = tally([rule.verdict for rule in measured.notes.rules])
    return _left_out(job.photos, measured.warnings), (*warnings, *_other_labels(job)), count


def _made(job: ModelJob) -> tuple[Measured, tuple[str, ...]]:
    """The model measured, or judged again where somebody repaired its outlines by hand; and warnings."""
    from tapeplat.measuring.measured_model import measure_model

    try:
        earlier = read_result(job.folder)
    except InputMistakes:
        return measure_model(job.challenge, job.photos, team=job.team, structures=job.structures), ()
    same = {photo.sha256 for photo in earlier.photos} <= {read.sha256 for read in job.reads}
    if same and _repaired(earlier):
        return _judged_again(job), (f"its outlines were repaired by hand and stay; {_ANEW}",)
    made = measure_model(
        job.challenge, job.photos, team=job.team, structures=job.structures, earlier=earlier if same else None
    )
    return made, () if same else _lost(earlier)


def _repaired(result: Result) -> bool:
    """Whether somebody changed outlines; of one that was taken away only a warning is left."""
    changed = any(piece.repaired for zone in result.zones for piece in zone.pieces)
    return changed or any(warning.endswith("was taken away by hand") for warning in result.warnings)


def _judged_again(job: ModelJob) -> Measured:
    from measure.challenge import read_challenge
    from measure.structures.structures_table import read_structures
    from tapeplat.measuring.repaired_model import Request, repaired_model, result_version

    challenge = read_challenge(job.challenge)
    table = None if job.structures is None else read_structures(job.structures, challenge)
    return repaired_model(job.folder, challenge, Request(result_version(job.folder), ()), table=table)


def _lost(earlier: Result) -> tuple[str, ...]:
    """A warning where the result that is replaced holds something that somebody did by hand."""
    done = [f'"{rule.text}"' for rule in earlier.rules if rule.by_hand]
    done += ["the repaired outlines"] if _repaired(earlier) else []
    if not done:
        return ()
    return (f"the photos have changed, so what was done by hand is gone: {', '.join(done)}; look again",)


def _kept(folder: Path) -> bytes:
    """The corrected photo that stays in the folder."""
    from tapeplat.measuring.measured_model import CORRECTED_FILE

    return (folder / CORRECTED_FILE).read_bytes()


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
    from tapeplat.classroom.team_labels import labels_in

    key = team_key(job.team)
    if not key.isdigit():
        return ()
    seen = {photo.name: labels_in(photo).teams for photo in job.photos}
    return tuple(
        f"{name} counts for team {job.team}, and team {teams[0]}'s label is in it; if it is theirs, rename it"
        for name, teams in seen.items()
        if len(teams) == 1 and str(teams[0]) != key
    )
