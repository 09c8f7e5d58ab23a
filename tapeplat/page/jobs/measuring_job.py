"""What a worker process does with one model: measure it, judge the rules, file it in the archive."""

from __future__ import annotations

import os
import tempfile
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Literal

from calib.errors import PhotoRefused
from measure.errors import InputMistakes
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.base.process_lock import lock_filing

if TYPE_CHECKING:
    from tapeplat.archive import Archive

_NICE = 10
"""How far a worker steps back behind the page's own work."""


@dataclass(frozen=True)
class Task:
    """A model to measure: the challenge's text and name, the photos, the team's table of structures (empty: none).

    data is the page's own folder, in which processes that file wait for each other.
    """

    challenge: str
    name: str
    team: str
    photos: tuple[Path, ...]
    structures: str
    archive: Path
    data: Path


@dataclass(frozen=True)
class Answer:
    """What became of it: the archive's entry, or what is wrong and what to do."""

    state: Literal["done", "refused", "failed"]
    message: str = ""
    entry: str = ""


def measure_task(task: Task) -> Answer:
    """Measure and file one model; whatever is wrong with photo, challenge or disk is in the answer."""
    try:
        return Answer("done", entry=_filed(task))
    except PhotoRefused as refusal:
        return Answer("refused", _sentence(refusal.advice))
    except (InputMistakes, FolderNotWritable) as error:
        return Answer("failed", _sentence(str(error)))


def measure_in_worker(task: Task) -> Answer:
    """As measure_task, in a process of its own, which lets the page's own work go first."""
    _step_back()
    return measure_task(task)


def _filed(task: Task) -> str:
    from tapeplat.archive import Archive, NewAttempt
    from tapeplat.archive.filing import taken_at

    files = _measured(task)
    archive, title = Archive(task.archive), _title(task.challenge)
    with lock_filing(task.data):
        known = _filed_before(archive, title, task, files["result.json"])
        if known:
            return known
        challenge = task.challenge.encode("utf-8")
        new = NewAttempt(title, task.team, challenge, files, task.photos, taken=taken_at(task.photos))
        return archive.save(new).id


def _measured(task: Task) -> dict[str, bytes]:
    """The files of the measured model, its structures among them where it has any."""
    from tapeplat.measuring.measured_model import measure_model

    with tempfile.TemporaryDirectory(prefix="tapeplat-") as folder:
        challenge = Path(folder) / f"{task.name}.toml"
        challenge.write_text(task.challenge, encoding="utf-8")
        structures = _written(Path(folder) / "structures.csv", task.structures)
        files = dict(measure_model(challenge, task.photos, team=task.team, structures=structures).files)
    return files | ({"structures.csv": task.structures.encode("utf-8")} if task.structures else {})


def _filed_before(archive: Archive, title: str, task: Task, result: bytes) -> str:
    """The team's last entry, where it is of the same photos and rules: the program was ended before it could say so."""
    from measure.result.result import parse_result, read_result

    entries = archive.entries(title, task.team)
    if not entries or (entries[-1].folder / "challenge.toml").read_text(encoding="utf-8") != task.challenge:
        return ""
    photos = {photo.sha256 for photo in parse_result(result).photos}
    same = photos == {photo.sha256 for photo in read_result(entries[-1].folder).photos}
    return entries[-1].id if same else ""


def _title(challenge: str) -> str:
    from measure.challenge import parse_challenge

    return parse_challenge(challenge).title


def _written(file: Path, text: str) -> Path | None:
    if not text:
        return None
    file.write_text(text, encoding="utf-8")
    return file


_stepped_back = False


def _step_back() -> None:
    """Once in a worker process: let the page's own work go first, where the system knows such a thing."""
    global _stepped_back
    if not _stepped_back and hasattr(os, "nice"):
        os.nice(_NICE)
    _stepped_back = True


def _sentence(text: str) -> str:
    return text[:1].upper() + text[1:] + ("" if text.endswith(".") else ".")
