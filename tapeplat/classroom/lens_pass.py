"""The first of a class's two passes: what every photo says of its camera's lens, and what the others then tell it.

Only models whose camera took another model's photo, too, are looked at twice; what was traced is put aside, so that the
second pass does not trace again.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import wait
from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from calib.photo_refused import PhotoRefused
from measure.challenge import read_challenge
from measure.errors import InputMistakes
from measure.file_content import Readable
from measure.plat.plat import PhotoRecord
from measure.result.result import read_result
from tapeplat.classroom.team_job import TeamJob
from tapeplat.lens.class_lens_store import PhotoSays, kept_says, remember
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.workers.carrying import JobPool, carried, given_file, numbered
from tapeplat.workers.worker_pool import WorkerFailed

if TYPE_CHECKING:
    from calib.lens.class_lens import ToldByOthers

_LOOK = 0.2
"""Seconds between two looks at whether to stop."""


@dataclass(frozen=True)
class Said:
    """What one photo of a model says of its camera's lens; a lens profile's photos are told nothing."""

    camera: str
    title: str
    says: PhotoSays
    has_profile: bool


@dataclass(frozen=True)
class LookJob:
    """A model's photos to be traced in a worker and put aside in a file."""

    challenge: Readable
    photos: tuple[Path, ...]
    aside: Path

    def run(self) -> tuple[Said, ...]:
        """What each photo says; nothing where they cannot be used, which the second pass will tell."""
        from tapeplat.lens.told_lens import said_by
        from tapeplat.measuring.kept_views import keep_views
        from tapeplat.measuring.survey import look

        try:
            views = look(read_challenge(self.challenge), self.photos)
        except (PhotoRefused, InputMistakes, OSError):
            return ()
        keep_views(views, self.aside)
        return tuple(Said(r.camera, r.title, PhotoSays(s, r.information, r.vector), p) for s, r, p in said_by(views))

    def input_files(self) -> Mapping[str, Path]:
        """The photos and the challenge."""
        return numbered(self.photos) | given_file("challenge", self.challenge)

    def moved(self, places: Mapping[str, Path], out: Path) -> LookJob:
        """The same with the photos elsewhere; what was traced is put aside in out."""
        photos = tuple(places[name] for name in numbered(self.photos))
        return LookJob(carried("challenge", self.challenge, places), photos, out / self.aside.name)

    def output_folder(self) -> Path:
        """Where what was traced is put aside."""
        return self.aside.parent


@dataclass(frozen=True)
class LensPass:
    """The jobs, told of their lenses, and a sentence about every camera that has several models' photos."""

    jobs: tuple[TeamJob, ...]
    notes: tuple[str, ...]


def lens_pass(jobs: Sequence[TeamJob], workers: JobPool, folder: Path, *, stop: Callable[[], int]) -> LensPass:
    """Look at all photos whose camera took another model's, too; folder is where they are put aside."""
    shared = _sharing(jobs)
    looks = {
        job.key: LookJob(job.challenge, job.photos, folder / str(i)) for i, job in enumerate(jobs) if job in shared
    }
    found = _looked(looks, workers, stop)
    told, notes = _told([(key, said) for key, all_said in found.items() for said in all_said])
    made = []
    for job in jobs:
        if found.get(job.key):
            others = tuple((said.says.sha256, told.get(said.says.sha256)) for said in found[job.key])
            job = replace(job, views=looks[job.key].aside, others=others)
        made.append(job)
    return LensPass(tuple(made), tuple(notes))


def keep_lenses(jobs: Sequence[TeamJob], out: Path) -> str:
    """Keep what the photos of the results said of their lenses; a warning where that cannot be written."""
    try:
        remember(photo for job in jobs for photo in _photos_of(out / job.folder.name))
    except FolderNotWritable as error:
        return f"what the photos tell of the lens is not kept: {error}"
    return ""


def _photos_of(folder: Path) -> tuple[PhotoRecord, ...]:
    try:
        return read_result(folder).photos
    except InputMistakes:
        return ()


def _sharing(jobs: Sequence[TeamJob]) -> frozenset[TeamJob]:
    """The jobs of which a photo is by the camera of another job's photo."""
    from vision.picture.one_camera import one_camera_of

    models: dict[object, set[TeamJob]] = defaultdict(set)
    for job in jobs:
        for photo in job.photos:
            camera = one_camera_of(photo)
            if camera is not None:
                models[camera].add(job)
    return frozenset(job for of_camera in models.values() if len(of_camera) > 1 for job in of_camera)


def _looked(looks: Mapping[str, LookJob], workers: JobPool, stop: Callable[[], int]) -> dict[str, tuple[Said, ...]]:
    """What the photos of every job say, by its key; nothing of those that were not looked at before a stop."""
    waiting = {key: workers.submit(job) for key, job in looks.items()}
    while not all(future.done() for future in waiting.values()):
        wait(waiting.values(), timeout=_LOOK)
        if stop() > 0:
            for future in waiting.values():
                future.cancel()
        if stop() > 1:
            workers.kill()
    found = {}
    for key, future in waiting.items():
        try:
            found[key] = () if future.cancelled() else future.result()
        except WorkerFailed:
            found[key] = ()
    return found


def _told(said: Sequence[tuple[str, Said]]) -> tuple[dict[str, ToldByOthers | None], list[str]]:
    """What the others tell each photo, by its checksum; and a sentence about every camera."""
    from calib.lens.class_lens import agreeing, told_by_others

    cameras: dict[str, list[tuple[str, Said]]] = defaultdict(list)
    for model, one in said:
        cameras[one.camera].append((model, one))
    told: dict[str, ToldByOthers | None] = {}
    notes = []
    for camera in sorted(cameras):
        own = sorted(cameras[camera], key=lambda pair: pair[1].says.sha256)
        kept = kept_says(camera, [one.says.sha256 for _, one in own])
        evidence = [one.says.evidence for _, one in own] + [says.evidence for says in kept]
        models = [model for model, _ in own] + [says.sha256 for says in kept]
        for (_, one), others in zip(own, told_by_others(evidence, models), strict=False):
            told[one.says.sha256] = None if one.has_profile else others
        notes.append(lens_note(own[0][1].title, agreeing(evidence)[: len(own)], len(kept)))
    return told, notes


def lens_note(title: str, agree: Sequence[bool], kept: int) -> str:
    """`Invented Phone 1, 26 mm lens: 10 photos tell its lens together`."""
    earlier = f" and {kept} of earlier classes" if kept else ""
    if not any(agree):
        return f"{title}: its {len(agree)} photos do not agree on its lens, so each is measured by itself"
    odd = len(agree) - sum(agree)
    apart = (
        f"; {odd} that {'does' if odd == 1 else 'do'} not agree {'is' if odd == 1 else 'are'} measured alone"
        if odd
        else ""
    )
    if sum(agree) == 1:
        told = f"tell its lens together{apart}" if kept else f"tells its lens by itself{apart}"
        return f"{title}: 1 photo{earlier} {told}"
    return f"{title}: {sum(agree)} photos{earlier} tell its lens together{apart}"
