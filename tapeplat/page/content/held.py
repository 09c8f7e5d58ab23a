"""What is held of a class, team by team, and erasing it for good: from archive, trash, queue and the page's file."""

from __future__ import annotations

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass, fields

from measure.errors import InputMistakes
from measure.plat.plat import PhotoRecord
from measure.result.result import read_result
from measure.teams import team_key
from tapeplat.archive import Entry
from tapeplat.lens.class_lens_store import unlink_photos
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.base.page_errors import PageError
from tapeplat.page.session.services import services
from tapeplat.page.store.erasing import erase_attempts, erase_class, erase_team
from tapeplat.page.store.hand_numbers import HandEntries
from tapeplat.page.store.plans import Plans


@dataclass(frozen=True)
class Held:
    """How much there is of one team: models in the archive and in its trash, models whose photos are kept, plans,
    numbers, tables of structures.
    """

    team: str
    name: str
    models: int
    trashed: int
    photos: int
    plans: int
    numbers: int
    structures: int

    @property
    def nothing(self) -> bool:
        """Whether nothing is left."""
        return not any(getattr(self, field.name) for field in fields(self) if field.name != "team")

    @property
    def total(self) -> int:
        """How many things that is, whatever they are."""
        return self.models + self.trashed + self.photos + self.plans + self.numbers + self.structures

    @property
    def in_words(self) -> list[str]:
        """What there is, `2 plans`; what there is not is left out."""
        counts = (
            (self.models, "model", "models"),
            (self.trashed, "model in the trash", "models in the trash"),
            (self.plans, "plan", "plans"),
            (self.numbers, "number", "numbers"),
            (self.structures, "table of structures", "tables of structures"),
        )
        photos = f"photos of {self.photos} model{'' if self.photos == 1 else 's'} that wait or were refused"
        found = [f"{count} {one if count == 1 else many}" for count, one, many in counts if count]
        return [*found, *([photos] if self.photos else [])]


def held_of_class(slug: str) -> list[Held]:
    """Every team of which there is anything, by number."""
    teams = {str(number) for number in range(1, services().classes.of(slug).teams + 1)}
    teams |= {team_key(entry.team) for entry in _entries(slug)} | {job.team for job in services().jobs.all_of(slug)}
    found = [held_of_team(slug, team) for team in sorted(teams, key=lambda team: (not team.isdigit(), team.zfill(4)))]
    return [held for held in found if not held.nothing]


def held_of_team(slug: str, team: str) -> Held:
    """What there is of one team."""
    house, number = services(), int(team) if team.isdigit() else 0
    entries = [entry for entry in _entries(slug) if team_key(entry.team) == team_key(team)]
    jobs = [job for job in house.jobs.all_of(slug) if job.team == team and job.state != "done"]
    return Held(
        team,
        house.classes.team_names(slug).get(number, ""),
        sum(not entry.removed for entry in entries),
        sum(entry.removed for entry in entries),
        len(jobs),
        len(Plans(house.database).of(slug, number)),
        len(HandEntries(house.database).of(slug, number)),
        int(bool(house.tables.structures(slug, team))),
    )


def erase_held_team(slug: str, team: str) -> None:
    """Erase one team for good. Raises PageError while a photo of it is being measured."""
    _check_idle(slug, team)
    _erase([entry for entry in _entries(slug) if team_key(entry.team) == team_key(team)])
    services().jobs.erase_photos(slug, team)
    erase_team(services().database, slug, team)


def erase_held_class(slug: str, *, forget_lens: bool = False) -> None:
    """Erase a challenge's class for good; the challenge stays. Raises PageError while a photo is being measured.

    What its photos told of their cameras' lenses stays, without telling which photos they were, or is forgotten, too.
    """
    _check_idle(slug, None)
    _erase(_entries(slug), forget_lens=forget_lens)
    services().jobs.erase_photos(slug, None)
    erase_class(services().database, slug)
    services().teams_taken.forget()


def erase_model(entry: Entry) -> None:
    """Erase one attempt for good, with the numbers that were compared with it."""
    _erase([entry])
    erase_attempts(services().database, [entry.id])


def _erase(entries: Sequence[Entry], *, forget_lens: bool = False) -> None:
    sums = {photo.sha256 for entry in entries for photo in _photos(entry)}
    services().archive.erase(entries)
    with suppress(FolderNotWritable):
        unlink_photos(sums, forget=forget_lens)


def _photos(entry: Entry) -> tuple[PhotoRecord, ...]:
    try:
        return read_result(entry.folder).photos
    except (InputMistakes, OSError):  # a damaged attempt is erased like any other
        return ()


def _entries(slug: str) -> list[Entry]:
    """The class's attempts, those in the trash folder, too."""
    owner, archive = services().classes.of(slug).id, services().archive
    return [entry for entry in (*archive.entries(), *archive.removed()) if entry.class_id == owner]


def _check_idle(slug: str, team: str | None) -> None:
    busy = [j for j in services().jobs.all_of(slug) if j.state == "measuring" and team in (None, j.team)]
    if busy:
        what = "A photo is being measured just now, and its model would be filed after all was erased."
        raise PageError(409, "Nothing was erased yet", what, "Wait until it is measured, then erase.")
