"""The archive's own pages, which open from the disk in any browser: one for each attempt, one that lists all."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

from tapeplat.archive.entry import Entry, Record, team_name
from tapeplat.verify.html import page, para

PAGE, README = "index.html", "README.txt"


def attempt_page(record: Record, files: Mapping[str, bytes]) -> bytes:
    """The page of one attempt; it shows and links only the files that are there."""
    title = f"{record.title}: {team_name(record.team)}, attempt {record.attempt}"
    return page(title, [para(f"{record.taken:%d %B %Y}")]).encode("utf-8")


def root_page(entries: Sequence[Entry], root: Path) -> bytes:
    """The page that lists all attempts."""
    lines = [para(f"{entry.title}: {entry.name}") for entry in entries]
    return page("Archive", lines).encode("utf-8")


def readme() -> bytes:
    """What the folder is, for somebody who finds it without the program."""
    return b"This folder was filed by Tapeplat.\n"
