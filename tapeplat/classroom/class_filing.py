"""Filing a class's models in the archive as they are measured, each state once."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from measure.errors import InputMistakes
from tapeplat.archive import Archive, NewAttempt
from tapeplat.classroom.class_record import ClassRecord, ModelRecord, write_record
from tapeplat.output.result_folder import FolderNotWritable


class Filer:
    """Files models in an archive, or none where there is no archive; warnings say what could not be filed."""

    def __init__(self, archive: Archive | None, challenge: Path, out: Path, title: str) -> None:
        self.archive, self.out, self.title = archive, out, title
        self.challenge = challenge.read_bytes()
        self.filed = 0
        self.warnings: list[str] = []

    def file(self, model: ModelRecord, photos: tuple[Path, ...]) -> ModelRecord:
        """The model's record with the name under which it is filed; as it was where it has no result or is filed."""
        if self.archive is None or model.state != "measured" or model.archived:
            return model
        try:
            attempt = NewAttempt(self.title, model.team, self.challenge, _files(self.out / model.folder), photos)
            entry = self.archive.save(attempt)
        except (FolderNotWritable, InputMistakes, OSError, ValueError) as error:
            self.warnings.append(f"team {model.team} is not in the archive: {error}")
            return model
        self.filed += 1
        return replace(model, archived=entry.id)

    def file_known(self, record: ClassRecord, photos: Mapping[str, tuple[Path, ...]]) -> ClassRecord:
        """File what an earlier run measured without an archive; photos by folder."""
        for model in record.models:
            filed = self.file(model, photos.get(model.folder, ()))
            if filed != model:
                record = record.having(filed)
                write_record(self.out, record)
        return record


def _files(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in sorted(folder.iterdir()) if path.is_file()}
