"""One team's model of a class: measured in a worker, its result and pages written into the team's folder."""

from __future__ import annotations

import shutil
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import tapeplat
from measure.challenge import read_challenge
from measure.errors import InputMistakes
from measure.notices import Notice
from measure.repair.repair import REMOVED
from measure.result.kept_structures import without_structures
from measure.result.result import Result, read_result
from measure.structures.structures_table import read_structures
from measure.teams import team_key
from tapeplat.classroom.class_record import PhotoRead
from tapeplat.output.result_folder import write_folder
from tapeplat.workers.carrying import BEFORE, carried, given_file, numbered
from tapeplat.workers.model_job import ModelAnswer, ModelJob, Refusal
from vision.picture.photo import name_of

if TYPE_CHECKING:
    from calib.lens.class_lens import ToldByOthers
    from tapeplat.measuring.measured_model import MeasuredModel

_OURS = (".json", ".png", ".jpg", ".svg", ".csv", ".html", ".pdf", ".toml")
"""Endings of what a team's folder holds of ours: a film that somebody put there is not sent about."""
_ANEW = "to measure the photos anew, move the team's folder away"


@dataclass(frozen=True, kw_only=True)
class TeamJob(ModelJob):
    """photos and reads belong together; the results go into folder; paper names a paper size.

    key says what the result depends on; see class_record.Basis.  Where other models' photos tell of the lens, views is
    the file in which what was traced is put aside, and others what they say, by a photo's checksum.
    """

    reads: tuple[PhotoRead, ...]
    folder: Path
    paper: str = "letter"
    key: str = ""
    views: Path | None = None
    others: tuple[tuple[str, ToldByOthers | None], ...] = field(default=(), compare=False)

    def keep_result(self) -> ModelAnswer:
        """Write the team's folder. What somebody did by hand with a result of the same photos stays."""
        from tapeplat.reports.report_content import tally
        from tapeplat.reports.report_files import team_files

        model, warnings = _made(self)
        files = dict(model.files)
        result = files.pop("result.json")
        files |= team_files(result, files, self.paper)
        write_folder(self.folder, {**files, "result.json": result})
        count = tally([rule.verdict for rule in model.notes.rules])
        refusals = left_out(self.photos, model.result.notices)
        return ModelAnswer(True, refusals, warnings=(*warnings, *_other_labels(self)), tally=count)

    def input_files(self) -> Mapping[str, Path]:
        """The photos, the challenge, the structures, what was put aside, and the team's folder as it is."""
        there = [file for file in self.folder.iterdir() if file.is_file()] if self.folder.is_dir() else []
        aside = {} if self.views is None else {f"aside/{self.views.name}": self.views}
        kept = {f"{BEFORE}{file.name}": file for file in there if file.suffix.casefold() in _OURS}
        given = given_file("challenge", self.challenge) | given_file("structures", self.structures)
        return numbered(self.photos) | given | aside | kept

    def moved(self, places: Mapping[str, Path], out: Path) -> TeamJob:
        """The same with those files elsewhere; the team's folder is out, and holds what the team's folder holds."""
        for name, place in places.items():
            if name.startswith(BEFORE):
                shutil.copyfile(place, out / place.name)
        return replace(
            self,
            photos=tuple(places[name] for name in numbered(self.photos)),
            challenge=carried("challenge", self.challenge, places),
            structures=carried("structures", self.structures, places),
            views=None if self.views is None else places[f"aside/{self.views.name}"],
            folder=out,
        )

    def output_folder(self) -> Path:
        """The team's folder."""
        return self.folder


def _made(job: TeamJob) -> tuple[MeasuredModel, tuple[str, ...]]:
    """The model measured, or judged again where somebody repaired its outlines by hand; and warnings."""
    measure = partial(_measured, job)
    try:
        earlier = read_result(job.folder)
    except InputMistakes:
        return measure(), ()
    same = {photo.sha256 for photo in earlier.photos} <= {read.sha256 for read in job.reads}
    if same and _repaired(earlier):
        there = tapeplat.check(job.challenge, job.folder, structures=job.structures)
        if job.structures is None:
            there = replace(there, result=without_structures(there.result))
        return tapeplat.repair(there, ()), (f"its outlines were repaired by hand and stay; {_ANEW}",)
    return (measure(earlier=earlier), ()) if same else (measure(), _lost(earlier))


def _measured(job: TeamJob, *, earlier: Result | None = None) -> MeasuredModel:
    """The model, told of its lens by other models' photos where there are any."""
    if job.views is None:
        return tapeplat.measure(job.challenge, job.photos, team=job.team, structures=job.structures, earlier=earlier)
    from tapeplat.measuring.kept_views import kept_views
    from tapeplat.measuring.marked_heights import with_marks_of
    from tapeplat.measuring.measured_model import judged
    from tapeplat.measuring.survey import surveyed

    challenge = read_challenge(job.challenge)
    table = None if job.structures is None else read_structures(job.structures, challenge)
    found = surveyed(challenge, kept_views(job.views, job.photos), dict(job.others))
    plat = found.plat if earlier is None else with_marks_of(found.plat, earlier)
    return judged(challenge, plat, found.picture, team=job.team, table=table, earlier=earlier)


def _repaired(result: Result) -> bool:
    """Whether somebody changed outlines or lines; of one that was taken away only a notice is left."""
    return result.has_repaired_pieces or any(notice.code == REMOVED for notice in result.notices)


def _lost(earlier: Result) -> tuple[str, ...]:
    """A warning where the result that is replaced holds something that somebody did by hand."""
    done = [f'"{rule.text}"' for rule in earlier.rules if rule.by_hand]
    done += ["the repaired outlines"] if _repaired(earlier) else []
    if not done:
        return ()
    return (f"the photos have changed, so what was done by hand is gone: {', '.join(done)}; look again",)


def left_out(photos: Sequence[Path], notices: Sequence[Notice]) -> tuple[Refusal, ...]:
    """The photos of the model that were refused while others could be used."""
    there = set(map(name_of, photos))
    refused = (notice for notice in notices if notice.code == "photo-left-out" and notice.subject.photo in there)
    return tuple(Refusal((n.subject.photo,), str(n.facts["reason"]), str(n.facts["advice"])) for n in refused)


def _other_labels(job: TeamJob) -> tuple[str, ...]:
    """A warning for every photo that shows another team's label than that of the team it counts for."""
    from tapeplat.classroom.team_labels import labels_in

    key = team_key(job.team)
    if not key.isdigit():
        return ()
    seen = {name_of(photo): labels_in(photo) for photo in job.photos}
    return tuple(
        f"{name} counts for team {job.team}, and team {teams[0]}'s label is in it; if it is theirs, rename it"
        for name, teams in seen.items()
        if len(teams) == 1 and str(teams[0]) != key
    )
