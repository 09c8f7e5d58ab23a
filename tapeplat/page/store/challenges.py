"""The challenges: TOML files in one folder, which are the truth; a file that a text editor puts there is one too."""

from __future__ import annotations

import os
import re
import tempfile
import threading
import tomllib
import unicodedata
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from measure.challenge import Challenge, read_challenge
from measure.errors import InputMistakes, Mistake
from tapeplat.archive.storage.folder_names import is_device_name

_SLUG = re.compile(r"[a-z0-9](?:[a-z0-9-]{0,58}[a-z0-9])?")
_REMOVED = "removed"


@dataclass(frozen=True)
class StoredChallenge:
    """A challenge's file: its slug (the file's name without .toml), and the challenge or what is wrong with it."""

    slug: str
    challenge: Challenge | None
    mistakes: tuple[Mistake, ...] = ()
    stated: str = ""

    @property
    def title(self) -> str:
        """What the teacher called it, also where something else in it has to be put right."""
        return self.challenge.title if self.challenge else self.stated or self.slug


class Challenges:
    """The folder of challenge files."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir(parents=True, exist_ok=True)
        self.folder = folder
        self._naming = threading.Lock()

    def all(self) -> list[StoredChallenge]:
        """Every challenge, the one changed last first."""
        files = [file for file in self.folder.glob("*.toml") if _SLUG.fullmatch(file.stem)]
        return [self._read(file) for file in sorted(files, key=lambda file: -file.stat().st_mtime)]

    def get(self, slug: str) -> StoredChallenge | None:
        """One challenge; None where there is none."""
        file = self.file(slug)
        return self._read(file) if file else None

    def file(self, slug: str) -> Path | None:
        """Its file; None where there is none, or where the slug is no plain name."""
        file = self.folder / f"{slug}.toml"
        return file if _SLUG.fullmatch(slug) and file.is_file() else None

    def text(self, slug: str) -> str:
        """The file's text. Raises KeyError where there is none."""
        file = self.file(slug)
        if file is None:
            raise KeyError(slug)
        return file.read_text(encoding="utf-8-sig", errors="replace")

    def save(self, slug: str, text: str) -> None:
        """Write a challenge's text, whole or not at all."""
        if not _SLUG.fullmatch(slug):
            raise ValueError(f"{slug!r} is no name for a challenge's file")
        with tempfile.NamedTemporaryFile("w", encoding="utf-8", dir=self.folder, suffix=".part", delete=False) as part:
            try:
                part.write(text)
                part.flush()
                os.fsync(part.fileno())
            except BaseException:  # the disk is full: what was written in part is of no use
                Path(part.name).unlink(missing_ok=True)
                raise
        os.replace(part.name, self.folder / f"{slug}.toml")

    def create(self, title: str, text: str) -> str:
        """Keep a new challenge; returns its slug."""
        with self._naming:
            slug = self._free(title)
            self.save(slug, text)
        return slug

    def erase(self, slug: str) -> None:
        """Delete the file for good."""
        file = self.file(slug)
        if file is None:
            raise KeyError(slug)
        file.unlink()

    def remove(self, slug: str) -> None:
        """Move the file into a folder of removed ones."""
        file = self.file(slug)
        if file is None:
            raise KeyError(slug)
        removed = self.folder / _REMOVED
        removed.mkdir(exist_ok=True)
        number = 1
        while (target := removed / f"{slug}-{number}.toml").exists():
            number += 1
        os.replace(file, target)

    def removed(self) -> list[StoredChallenge]:
        """The removed ones that can be brought back under their slug, the last one removed of each."""
        last = {
            file.stem.rpartition("-")[0]: file for file in sorted((self.folder / _REMOVED).glob("*.toml"), key=_number)
        }
        return [replace(self._read(file), slug=slug) for slug, file in sorted(last.items()) if self.file(slug) is None]

    def bring_back(self, slug: str) -> None:
        """Undo the removal of a challenge; its class finds what is held of it. Raises KeyError where there is none."""
        if not _SLUG.fullmatch(slug) or self.file(slug) is not None:
            raise KeyError(slug)
        files = sorted((self.folder / _REMOVED).glob(f"{slug}-*.toml"), key=_number)
        found = [file for file in files if file.stem.rpartition("-")[0] == slug]
        if not found:
            raise KeyError(slug)
        os.replace(found[-1], self.folder / f"{slug}.toml")

    def _read(self, file: Path) -> StoredChallenge:
        facts = file.stat()
        return _stored(file, facts.st_mtime_ns, facts.st_size, facts.st_ino)

    def _free(self, title: str) -> str:
        plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode().lower()
        base = re.sub(r"[^a-z0-9]+", "-", plain).strip("-")[:50].strip("-") or "challenge"
        if is_device_name(base):
            base = f"challenge-{base}"
        slug, number = base, 2
        while self._taken(slug):
            slug, number = f"{base}-{number}", number + 1
        return slug

    def _taken(self, slug: str) -> bool:
        """A removed challenge's class, its numbers and what was open to it, must not come back with a new challenge."""
        return any((self.folder / name).exists() for name in (f"{slug}.toml", f"{_REMOVED}/{slug}-1.toml"))


def _number(removed: Path) -> int:
    number = removed.stem.rpartition("-")[2]
    return int(number) if number.isdigit() else 0


@lru_cache(maxsize=128)
def _stored(file: Path, changed: int, size: int, node: int) -> StoredChallenge:
    """Read once for all requests; a file that was saved again is another one, or has another time."""
    try:
        return StoredChallenge(file.stem, read_challenge(file))
    except InputMistakes as wrong:
        return StoredChallenge(file.stem, None, wrong.mistakes, _stated_title(file))


def _stated_title(file: Path) -> str:
    """The title in a file that has mistakes elsewhere; empty where it cannot be told."""
    try:
        stated = tomllib.loads(file.read_text("utf-8-sig")).get("title")
    except (OSError, ValueError):
        return ""
    return " ".join(stated.split())[:80] if isinstance(stated, str) else ""
