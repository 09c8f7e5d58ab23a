"""Attempts in the folders of many schools' archives, quickly: what an index is read from, and no more."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

from tapeplat.archive.storage.checksums import sums_of
from tapeplat.archive.storage.entry import Record, record_json
from tapeplat.archive.storage.folder_names import attempt_folder, attempt_id, challenge_folder, team_folder
from tests.helpers.made.attempts import as_bytes, result


def file_one(schools: Path, school: str, *, title="Heron Marsh", team="3", year=2026, rules=None) -> None:
    """As an archive files it, without waiting for the disk."""
    made = result(title=title, team=team)
    if rules is not None:
        made["rules"] = [{"text": text, "verdict": word, "reads_as": text, "kind": "share"} for text, word in rules]
    home = schools / school / challenge_folder(title) / team_folder(team)
    number = 1 + (len(list(home.iterdir())) if home.is_dir() else 0)
    taken = datetime(year, 3, 5, 10, 30).astimezone()
    name = attempt_id(home.parent.name, home.name, number)
    record = record_json(Record(name, title, team, number, taken, taken))
    files = {"result.json": as_bytes(made), "attempt.json": record}
    folder = home / attempt_folder(number, taken)
    folder.mkdir(parents=True)
    for file, content in {**files, "SHA256SUMS": sums_of(files)}.items():
        (folder / file).write_bytes(content)
