"""What belongs where on a command line, and what was given there, told by content: wrong places are answered at once.

Whatever the order, a line whose files only stand in each other's places is answered with the line that was meant.
"""

from __future__ import annotations

import difflib
import errno
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import permutations
from pathlib import Path
from typing import Literal

import click
from click.shell_completion import CompletionItem

from measure.content_kinds import WORDS, kind_of_file

Role = Literal["challenge", "photo", "photos", "result", "plat", "hand", "structures"]

_TAKES: dict[Role, frozenset[str]] = {
    "challenge": frozenset({"challenge"}),
    "photo": frozenset({"photo"}),
    "photos": frozenset({"folder of photos", "folder", "result folder", "class folder"}),
    "result": frozenset({"result", "result folder"}),
    "plat": frozenset({"result", "result folder", "outlines", "outline table"}),
    "hand": frozenset({"hand table"}),
    "structures": frozenset({"structures table"}),
}
_BELONGS: dict[Role, str] = {
    "challenge": "the challenge",
    "photo": "a photo",
    "photos": "the folder of photos",
    "result": "a result",
    "plat": "the plat",
    "hand": "the table of hand measurements",
    "structures": "the table of structures",
}
_FOLDERS = {
    "folder of photos": "a folder of photos",
    "result folder": "a result's folder",
    "class folder": "a class's results",
    "folder": "a folder",
}
_DO: dict[tuple[Role, str], str] = {
    ("photo", "folder of photos"): "name the photos in it, or measure a whole class with tapeplat class",
    ("photos", "photo"): "name the folder that it lies in, or measure one model with tapeplat measure",
    ("photo", "film"): "take a photo; a film is too blurred and too small",
    ("photo", "document"): "give the photo's own file",
    ("plat", "drawing"): "give the result.json beside the drawing, or outlines as GeoJSON or CSV with WKT",
    ("plat", "photo"): "tapeplat measure measures photos",
    ("result", "photo"): "tapeplat measure makes a result of a photo",
    ("result", "class folder"): "name one team's folder in it",
    ("result", "drawing"): "give the result.json beside the drawing",
    ("result", "folder"): "there is no result.json in it; measure the model first",
    ("result", "folder of photos"): "there is no result.json in it; tapeplat class measures a folder of photos",
    ("hand", "result folder"): "name the CSV file with the hand measurements behind the results",
    ("hand", "result"): "name the CSV file with the hand measurements behind the results",
    ("hand", "structures table"): "that table goes behind --structures of measure and check",
    ("structures", "hand table"): "tapeplat verify compares hand measurements",
    ("hand", "office"): "in the spreadsheet choose Save as, and the type CSV",
    ("structures", "office"): "in the spreadsheet choose Save as, and the type CSV",
}
_MISSING: dict[Role, tuple[str, str]] = {
    "photos": ("folder", ""),
    "result": ("file or folder", ""),
    "hand": ("file", "; tapeplat verify --template CHALLENGE writes an empty table to fill in"),
}
"""What is not there where nothing is, and what to do where no other name is near."""
_MOST_TRIED = 6
_NOT_THERE = frozenset({errno.ENOENT, errno.ENOTDIR, errno.ELOOP, errno.ENAMETOOLONG, errno.EINVAL})
_PICTURES = (".jpg", ".jpeg", ".png", ".heic", ".heif", ".webp", ".tif", ".tiff", ".avif")
_QUOTES = "“”„‟«»‘’‚\"'"


class Given(click.ParamType):  # type: ignore[type-arg]  # generic from click 8.3 on
    """A path whose role is known; `check` says what is wrong with what was given, all of it at once.

    classes: a class's folder is taken, too. later: that a file is missing is told with all that is wrong in the others.
    """

    name = "path"

    def __init__(self, role: Role, *, classes: bool = False, later: bool = False) -> None:
        self.role, self._later = role, later
        self.takes = _TAKES[role] | ({"class folder"} if classes else frozenset())

    def convert(self, value: str | Path, param: click.Parameter | None, ctx: click.Context | None) -> Path:
        """The path as it was typed; whether it is there is looked at when the whole line is known."""
        if not str(value).strip():
            self.fail(f"there is nothing between the quotation marks, where {_BELONGS[self.role]} belongs", param, ctx)
        return Path(value)

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Names of files, or of folders where only these belong, which the shell knows itself."""
        return [CompletionItem(incomplete, type="dir" if self.role == "photos" else "file")]

    def fits(self, path: Path) -> bool:
        """Whether what is there may be what belongs here; unknown texts may, and say more when they are read."""
        kind = _kind(path)
        if self.role == "photo" and kind in WORDS and path.suffix.casefold() in _PICTURES:
            return True  # it is called a photo, and is refused as one that cannot be read
        return kind in self.takes or (kind == "" and self.role != "photos")

    def problem(self, path: Path) -> str:
        """What is wrong with a path in this place; nothing where it may be right."""
        if closed := _closed(path):
            return closed
        if self.fits(path):
            return ""
        kind, where = _kind(path), _BELONGS[self.role]
        if kind == "missing":
            what, do = _MISSING.get(self.role, ("file", ""))
            return "" if self._later else f"there is no {what} {path}{_near(path) or do}"
        if kind == "pipe":
            return f"{path} is a pipe or a device, and no file; save what it gives as a file first"
        what = _FOLDERS.get(kind) or WORDS.get(kind) or "a file"  # type: ignore[call-overload]
        do = _DO.get((self.role, kind), "")
        return f"{path} is {what}, where {where} belongs{f'; {do}' if do else ''}"


@dataclass(frozen=True)
class Placed:
    """One path of the line and the place that it was given in; where it is an argument, it may be moved."""

    path: Path
    place: Given
    argument: bool


def placed(command: click.Command, values: Mapping[str, object]) -> list[Placed]:
    """Every path of a line that was read, in the order of the command's parameters."""
    found = []
    for param in command.params:
        if isinstance(param.type, Given):
            given = values.get(param.name or "")
            paths = given if isinstance(given, tuple) else (given,) if given is not None else ()
            found += [Placed(path, param.type, isinstance(param, click.Argument)) for path in paths]
    return found


def problems(given: Iterable[Placed]) -> list[str]:
    """What is wrong with the paths, each in its place."""
    return [said for said in (one.place.problem(one.path) for one in given) if said]


def in_order(given: Sequence[Placed]) -> tuple[Path, ...] | None:
    """The arguments' paths so that each is where it belongs; None where there is no such order."""
    arguments = [one for one in given if one.argument]
    paths, places = [one.path for one in arguments], [one.place for one in arguments]
    if any(one.place.problem(one.path) for one in given if not one.argument) or any(map(_closed, paths)):
        return None
    orders: Iterator[tuple[Path, ...]] = permutations(paths) if len(paths) <= _MOST_TRIED else _fixed_first(arguments)
    return next((o for o in orders if all(p.fits(path) for p, path in zip(places, o, strict=True))), None)


def _fixed_first(arguments: Sequence[Placed]) -> Iterator[tuple[Path, ...]]:
    """Of long lines: each path in the first place, the others after it in their order."""
    paths = [one.path for one in arguments]
    for at in range(len(paths)):
        yield (paths[at], *paths[:at], *paths[at + 1 :])


def _kind(path: Path) -> str:
    """What a path leads to: `missing`, a kind of folder, a kind of content, or nothing where that is not known."""
    try:
        if not path.exists():
            return "missing"
        if path.is_file():
            return kind_of_file(path) or ""
        if not path.is_dir():
            return "pipe"
        names = [entry.name.casefold() for entry in path.iterdir()]
    except OSError as error:
        return "missing" if error.errno in _NOT_THERE else ""  # `_closed` tells of the others
    except ValueError:
        return "missing"
    if "result.json" in names:
        return "result folder"
    if "class.json" in names:
        return "class folder"
    return "folder of photos" if any(name.endswith(_PICTURES) for name in names) else "folder"


def _closed(path: Path) -> str:
    """Why what is there cannot be opened, and what to do; empty where it can, or nothing is there."""
    try:
        if path.is_dir():
            next(path.iterdir(), None)
        elif path.is_file():
            path.open("rb").close()
        else:
            path.stat()
    except ValueError:
        return ""
    except OSError as error:
        if error.errno in _NOT_THERE:
            return ""
        do = "allow it in the file manager (Properties, Permissions), or copy it to a folder of your own"
        return f"{path} is there and cannot be opened: {(error.strerror or str(error)).lower()}; {do}"
    return ""


def _near(path: Path) -> str:
    """Names in the same folder that are nearly the same."""
    several = [part.strip() for part in str(path).split(",")]
    if len(several) > 1 and all(part and Path(part).exists() for part in several):
        return f"; a space stands between two names: {' '.join(several)}"
    plain = str(path).strip(_QUOTES)
    if plain != str(path) and Path(plain).exists():
        return f"; the quotation marks are typographic ones or too many: did you mean {plain}?"
    try:
        names = [entry.name for entry in path.parent.iterdir()]
    except (OSError, ValueError):
        return f"; there is no folder {path.parent} either"
    folded = {name.casefold(): name for name in names}
    same_stem = [name for name in names if Path(name).stem.casefold() == path.stem.casefold()]
    near = same_stem or [folded[n] for n in difflib.get_close_matches(path.name.casefold(), folded, 2, 0.6)]
    return f"; did you mean {' or '.join(str(path.parent / name) for name in near)}?" if near else ""
