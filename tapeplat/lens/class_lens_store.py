"""What photos of one camera say of its lens: kept beside the lens profiles, told to other photos of it.

A file for each camera holds what every photo said, by the photo's checksum, so that no photo is ever told its own and
measuring a photo again adds nothing.
"""

from __future__ import annotations

import hashlib
import json
import re
import secrets
from collections.abc import Collection, Iterable
from dataclasses import asdict, dataclass, replace
from pathlib import Path
from typing import Literal

from pydantic import TypeAdapter, ValidationError

from calib.lens.class_lens import RadialEvidence, ToldByOthers, told_by_all
from measure.plat.plat import PhotoRecord, Rows, Terms
from tapeplat.lens.lens_store import folder, write_whole

FORMAT: Literal["tapeplat/class-lens-1"] = "tapeplat/class-lens-1"
MOST_PHOTOS = 200
"""More of a camera tell nothing new; the oldest give way."""


@dataclass(frozen=True)
class PhotoSays:
    """What one photo says: information (rows) and vector of its radial terms."""

    sha256: str
    information: Rows
    vector: Terms

    @property
    def evidence(self) -> RadialEvidence:
        """The same in arrays."""
        return RadialEvidence.kept(self.information, self.vector)


@dataclass(frozen=True)
class ClassLens:
    """What photos of one camera (all that tells it, and its name for people) say of its lens, the oldest first."""

    camera: str
    title: str
    photos: tuple[PhotoSays, ...]
    format: Literal["tapeplat/class-lens-1"] = FORMAT

    @property
    def name(self) -> str:
        """Maker and model, as profiles have it."""
        return self.camera.split(" | ", maxsplit=1)[0]

    def without(self, photos: Iterable[str]) -> tuple[PhotoSays, ...]:
        """What all photos but those of these checksums say."""
        own = set(photos)
        return tuple(says for says in self.photos if says.sha256 not in own)


_FILE = TypeAdapter(ClassLens)


def class_lenses() -> tuple[ClassLens, ...]:
    """All that can be read, by camera; `damaged_class_lenses` names the others."""
    read = (lens for path in _files() if (lens := _read(path)) is not None)
    return tuple(sorted(read, key=lambda lens: lens.camera.casefold()))


def damaged_class_lenses() -> tuple[Path, ...]:
    """The files that cannot be read as one: nobody is told anything by them, and the next class writes them anew."""
    return tuple(path for path in _files() if _read(path) is None)


def what_is_kept() -> tuple[tuple[str, int], ...]:
    """Another one whenever photos have said more of any lens."""
    return tuple((path.name, path.stat().st_mtime_ns) for path in _files())


def kept_says(camera: str, without: Iterable[str]) -> tuple[PhotoSays, ...]:
    """What the kept photos of a camera say, but for those of these checksums."""
    lens = _read(_path(camera))
    return () if lens is None else lens.without(without)


def lens_told(camera: str, without: Iterable[str]) -> ToldByOthers | None:
    """What the kept photos of a camera, but for those of these checksums, say together; None where they say nothing."""
    return told_by_all([says.evidence for says in kept_says(camera, without)])


def remember(photos: Iterable[PhotoRecord]) -> None:
    """Add what measured photos say of their cameras' lenses to what is kept; one that is known is kept once.

    Raises FolderNotWritable.
    """
    cameras: dict[tuple[str, str], list[PhotoSays]] = {}
    for photo in photos:
        if photo.radial is not None:
            says = PhotoSays(photo.sha256, photo.radial.information, photo.radial.vector)
            cameras.setdefault((photo.radial.camera, photo.radial.title), []).append(says)
    for (camera, title), new in cameras.items():
        path = _path(camera)
        known = _read(path)
        before = () if known is None else known.photos
        kept = {says.sha256: says for says in (*before, *sorted(new, key=lambda says: says.sha256))}
        _write(path, ClassLens(camera, title, tuple(kept.values())[-MOST_PHOTOS:]))


def forget_class_lenses(camera: str) -> int:
    """Delete what photos of a camera say of its lenses; returns how many lenses that were."""
    wanted = camera.strip().casefold()
    read = ((path, _read(path)) for path in _files())
    files = [path for path, lens in read if lens is not None and lens.name.strip().casefold() == wanted]
    for path in files:
        path.unlink()
    return len(files)


def unlink_photos(sums: Collection[str], *, forget: bool = False) -> None:
    """Let nothing tell any more which photos said it, of those with these checksums; or forget what they said.

    A lens that was learned outlives the photos that were erased, under names made at random. Raises FolderNotWritable.
    """
    for path in _files():
        lens = _read(path)
        if lens is None or not any(says.sha256 in sums for says in lens.photos):
            continue
        left = [says for says in lens.photos if not (forget and says.sha256 in sums)]
        named = [replace(says, sha256=secrets.token_hex(32)) if says.sha256 in sums else says for says in left]
        if named:
            _write(path, replace(lens, photos=tuple(named)))
        else:
            path.unlink()


def _write(path: Path, lens: ClassLens) -> None:
    write_whole(path, json.dumps(asdict(lens), indent=1, ensure_ascii=False, allow_nan=False) + "\n")


def _files() -> list[Path]:
    return sorted(folder().glob("class/*.json"))


def _path(camera: str) -> Path:
    words = re.sub(r"[^0-9a-z]+", "-", camera.casefold()).strip("-")
    return folder() / "class" / f"{words[:60]}-{hashlib.sha256(camera.encode()).hexdigest()[:6]}.json"


def _read(path: Path) -> ClassLens | None:
    try:
        return _FILE.validate_json(path.read_bytes())
    except (OSError, ValidationError):
        return None
