"""The photos in a class's folder, and what else lies there and is left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from vision.picture.photo import name_of
from vision.picture.photo_formats import MEASURABLE_ENDINGS, OTHER_PICTURE_ENDINGS, VIDEO_ENDINGS

_PHOTO_ENDINGS = MEASURABLE_ENDINGS | OTHER_PICTURE_ENDINGS
"""Kinds that cannot be measured are here, too: they are refused by name, not passed over."""
_SYSTEM = frozenset(("thumbs.db", "desktop.ini", "ehthumbs.db"))
_THUMBNAILS = frozenset(("thumbnails", "thumbs", "@eadir", "__macosx"))
_PHOTO, _HIDDEN, _THUMBNAIL, _VIDEO = "photo", "hidden file or folder", "thumbnail", "video"
_NESTED, _OTHER = "folder inside a team's folder", "file that is no photo"
_CLOSED = "folder that may not be opened"
_MANY = {
    _HIDDEN: "hidden files or folders",
    _THUMBNAIL: "thumbnails",
    _VIDEO: "videos",
    _NESTED: "folders inside teams' folders",
    _OTHER: "files that are no photos",
    _CLOSED: "folders that may not be opened",
}
_FEW = 5
"""Files that are named in a note; of more only the number is told."""


@dataclass(frozen=True)
class FoundPhoto:
    """One photo; folder is the name of the subfolder that it lies in, empty where it lies in the class's folder."""

    path: Path
    folder: str = ""


@dataclass(frozen=True)
class Found:
    """The photos in order of their names, and notes on what was left out."""

    photos: tuple[FoundPhoto, ...]
    notes: tuple[str, ...]


def photos_in(folder: Path, *, without: Path | None = None) -> Found:
    """The photos in a folder and in its subfolders, one level deep; without is a folder to leave out.

    Raises InputMistakes where the folder cannot be read.
    """
    photos, left_out = [], dict[str, list[str]]()
    avoid = None if without is None else without.resolve()
    for path, inside in _files(folder, avoid, left_out):
        kind = _kind(path)
        if kind == _PHOTO:
            photos.append(FoundPhoto(path, inside))
        else:
            left_out.setdefault(kind, []).append(f"{inside}/{name_of(path)}" if inside else name_of(path))
    notes = [_note(kind, names) for kind, names in left_out.items()]
    return Found(tuple(photos), (*notes, *_of_another_encoding(photos)))


def _files(folder: Path, avoid: Path | None, left_out: dict[str, list[str]]) -> Iterator[tuple[Path, str]]:
    """Every file and the subfolder that it lies in."""
    for path in _listed(folder):
        if not path.is_dir():
            yield path, ""
        elif path.name.startswith(".") or path.name.casefold() in _THUMBNAILS:
            left_out.setdefault(_HIDDEN, []).append(name_of(path))
        elif path.resolve() != avoid:
            for inner in _listed_or_left_out(path, left_out):
                if not inner.is_dir():
                    yield inner, name_of(path)
                elif not inner.name.startswith(".") and inner.name.casefold() not in _THUMBNAILS:
                    left_out.setdefault(_NESTED, []).append(f"{name_of(path)}/{name_of(inner)}")


def _listed_or_left_out(folder: Path, left_out: dict[str, list[str]]) -> list[Path]:
    """A team's folder; one that cannot be opened stops nobody else."""
    try:
        return _listed(folder)
    except InputMistakes:
        left_out.setdefault(_CLOSED, []).append(name_of(folder))
        return []


def _listed(folder: Path) -> list[Path]:
    try:
        return sorted(folder.iterdir(), key=lambda path: (path.name.casefold(), path.name))
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        what = f"it cannot be read: {reason}"
        raise InputMistakes([Mistake(str(folder), what, "name the folder of the photos")]) from error


def _kind(path: Path) -> str:
    name, ending = path.stem.casefold(), path.suffix.casefold()
    if path.exists() and not path.is_file():  # a pipe or a device: whoever reads it waits for ever
        return _OTHER
    if path.name.startswith(".") or path.name.casefold() in _SYSTEM:
        return _HIDDEN
    if name.startswith("thumb") or name.endswith(("_thumb", "-thumb", ".thumb", "thumbnail")):
        return _THUMBNAIL
    if ending in VIDEO_ENDINGS:
        return _VIDEO
    return _PHOTO if ending in _PHOTO_ENDINGS else _OTHER


def _of_another_encoding(photos: Iterable[FoundPhoto]) -> Iterator[str]:
    """A note for every name that holds bytes in place of letters, since teams are named by it."""
    paths = [path for photo in photos for path in ((photo.path.parent, photo.path) if photo.folder else (photo.path,))]
    for path in dict.fromkeys(paths):
        if name_of(path) != path.name:
            yield f"{name_of(path)} was named on a computer with other letters; rename it, and the team has its name"


def _note(kind: str, names: list[str]) -> str:
    """`left out: 2 videos (a.mov, b.mov)`; hidden files mean nothing to anybody, so they are only counted."""
    named = f" ({', '.join(names)})" if len(names) <= _FEW and kind != _HIDDEN else ""
    return f"left out: {len(names)} {kind if len(names) == 1 else _MANY[kind]}{named}"
