"""One model of the page's queue: measured in a worker, and filed in the archive."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

import tapeplat
from measure.file_content import FileContent
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.base.process_lock import lock_filing
from tapeplat.workers.model_job import ModelAnswer, ModelJob

if TYPE_CHECKING:
    from measure.result.result import Result
    from tapeplat.archive import Archive
    from tapeplat.archive.storage.entry import Entry
    from tapeplat.measuring.measured_model import MeasuredModel

STRUCTURES = "structures.csv"


@dataclass(frozen=True, kw_only=True)
class FilingJob(ModelJob):
    """The challenge and the structures are filed with the result as they were given.

    data is the page's own folder, in which processes that file wait for each other; class_id names whose model it is.
    """

    challenge: FileContent
    archive: Path
    data: Path
    structures: FileContent | None = None
    class_id: str = ""

    def keep_result(self) -> ModelAnswer:
        """File the model, unless the same was filed before; and keep what its photos say of their lens."""
        from tapeplat.archive import Archive, NewAttempt
        from tapeplat.archive.filing import taken_at
        from tapeplat.lens.class_lens_store import remember

        made = tapeplat.measure(self.challenge, self.photos, team=self.team, structures=self.structures)
        table = {STRUCTURES: self.structures.data} if self.structures else {}
        archive = Archive(self.archive)
        with lock_filing(self.data):
            before = _of_team(archive, self, made.result)
            entry = _filed_before(before, self, made.result)
            made = made if entry else with_marks(made, before)
            result = made.result
            if not entry:
                taken = taken_at(self.photos)
                files = {**made.files, **table}
                new = NewAttempt(
                    result.title,
                    self.team,
                    self.challenge.data,
                    files,
                    self.photos,
                    taken=taken,
                    class_id=self.class_id,
                )
                entry = archive.save(new).id
            with suppress(FolderNotWritable):
                remember(result.photos)
        return ModelAnswer(True, entry=entry)


def _of_team(archive: Archive, job: FilingJob, result: Result) -> tuple[Entry, ...]:
    """The team's entries, the last one last."""
    of_title = archive.entries(result.title, job.team)
    return archive.of_class(job.class_id, job.team) if job.class_id else of_title


def with_marks(made: MeasuredModel, before: tuple[Entry, ...]) -> MeasuredModel:
    """The model with the heights that were marked in the same photos, on the last of the team's entries before."""
    from measure.errors import InputMistakes
    from measure.result.result import read_result
    from tapeplat.measuring.marked_heights import with_marks_of

    if not before:
        return made
    try:
        marked = with_marks_of(made.plat, read_result(before[-1].folder))
    except InputMistakes:  # a damaged entry has none
        return made
    return made if marked is made.plat else tapeplat.repair(replace(made, plat=marked), ())


def _filed_before(entries: tuple[Entry, ...], job: FilingJob, result: Result) -> str:
    """The team's last entry, where it is of the same photos and rules: the program was ended before it could say so."""
    from measure.result.result import read_result

    if not entries or (entries[-1].folder / "challenge.toml").read_bytes() != job.challenge.data:
        return ""
    photos = {photo.sha256 for photo in result.photos}
    same = photos == {photo.sha256 for photo in read_result(entries[-1].folder).photos}
    return entries[-1].id if same else ""
