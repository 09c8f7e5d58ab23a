"""What a class run remembers beside its results: what was measured from what, so that only the new is measured again.

`class.json` is written anew after every model, whole or not at all.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable
from dataclasses import dataclass
from importlib.metadata import version
from pathlib import Path
from typing import Literal

from pydantic import TypeAdapter, ValidationError
from pydantic.dataclasses import dataclass as checked

from tapeplat.classroom.team_names import in_order
from tapeplat.lens.lens_store import stored
from tapeplat.output.result_folder import write_folder
from tapeplat.workers.model_job import Refusal, State
from vision.picture.photo import name_of

FORMAT: Literal["tapeplat/class-1"] = "tapeplat/class-1"
FILE = "class.json"


@checked(frozen=True)
class PhotoRead:
    """A photo that was given to the measuring, by its content."""

    file: str
    sha256: str


@checked(frozen=True)
class ModelRecord:
    """One team's model: the folder of its results, and the key of all that they depend on.

    failed: it has no result through no fault of the photo, and is tried again the next time.
    """

    team: str
    folder: str
    key: str
    state: State
    photos: tuple[PhotoRead, ...]
    refusals: tuple[Refusal, ...] = ()
    archived: str = ""


@checked(frozen=True)
class ClassRecord:
    """All models, in the teams' order: which was finished first is chance where several are measured at once."""

    format: Literal["tapeplat/class-1"] = FORMAT
    title: str = ""
    models: tuple[ModelRecord, ...] = ()

    def of(self, folder: str) -> ModelRecord | None:
        """The model whose results are in this folder."""
        return next((model for model in self.models if model.folder == folder), None)

    def having(self, model: ModelRecord) -> ClassRecord:
        """The record with this model in place of what it knew of it."""
        kept = (known for known in self.models if known.folder != model.folder)
        ordered = sorted((*kept, model), key=lambda one: (in_order(one.team), one.folder))
        return ClassRecord(FORMAT, self.title, tuple(ordered))

    def only(self, folders: Iterable[str], title: str) -> ClassRecord:
        """The record without models that are no longer there."""
        named = set(folders)
        return ClassRecord(FORMAT, title, tuple(model for model in self.models if model.folder in named))


_RECORD = TypeAdapter(ClassRecord)


def read_record(out: Path) -> ClassRecord:
    """The record of an earlier run; an empty one where there is none, or it cannot be used: then all is measured."""
    try:
        return _RECORD.validate_json((out / FILE).read_bytes())
    except (OSError, ValidationError):
        return ClassRecord()


def damaged_record(out: Path) -> bool:
    """Whether there is a record that cannot be used."""
    try:
        _RECORD.validate_json((out / FILE).read_bytes())
    except (FileNotFoundError, NotADirectoryError):
        return False
    except (OSError, ValidationError):
        return True
    return False


def write_record(out: Path, record: ClassRecord) -> None:
    """Write it. Raises FolderNotWritable."""
    text = json.dumps(vars(record), indent=1, ensure_ascii=False, default=vars)
    write_folder(out, {FILE: (text + "\n").encode("utf-8", "replace")})


@dataclass(frozen=True)
class Basis:
    """What every result of a run depends on apart from its photos, as checksums."""

    challenge: str
    structures: str
    lenses: str
    program: str

    def key(self, team: str, photos: Iterable[PhotoRead]) -> str:
        """Changes when anything does that the team's result depends on; the photos' names do not matter."""
        contents = sorted(photo.sha256 for photo in photos)
        parts = (self.challenge, self.structures, self.lenses, self.program, team, *contents)
        return _digest("\n".join(parts).encode("utf-8", "surrogatepass"))


def basis_of(challenge: Path, structures: Path | None) -> Basis:
    """The basis of a run from its files, the lens profiles that are stored, and the program's version."""
    table = b"" if structures is None else structures.read_bytes()
    lenses = "\n".join(sorted(map(repr, stored())))
    return Basis(_digest(challenge.read_bytes()), _digest(table), _digest(lenses.encode()), version("tapeplat"))


def photo_read(path: Path) -> PhotoRead:
    """A photo by its content, read in parts; an empty checksum where it cannot be read, which measuring will tell."""
    try:
        with path.open("rb") as file:
            return PhotoRead(name_of(path), hashlib.file_digest(file, "sha256").hexdigest())
    except OSError:
        return PhotoRead(name_of(path), "")


def _digest(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
