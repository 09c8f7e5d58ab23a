"""The archive on the command line: `--archive` files what is measured, `--archive-folder` says in which archive."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from tapeplat.archive.store import Archive

_DIR = click.Path(file_okay=False, path_type=Path)
_ELSE = "without it the one named in TAPEPLAT_ARCHIVE, else one among your data."


def archive_folder_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """The option of every command that works with the archive."""
    said = f"The archive's folder; {_ELSE}"
    return click.option("--archive-folder", metavar="DIR", type=_DIR, help=said)(function)


def filing_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options of every command that measures: whether to file, and where."""
    where = f"File it in the archive in this folder; {_ELSE}"
    function = click.option("--archive-folder", metavar="DIR", type=_DIR, help=where)(function)
    what = "File what is measured in the archive, too, as the team's next attempt."
    return click.option("--archive", is_flag=True, help=what)(function)


def archive_at(folder: Path | None) -> Archive:
    """The archive that was named, or the user's own. Raises InputMistakes where the named one is a file or a result."""
    from measure.errors import InputMistakes, Mistake
    from tapeplat.archive.store import FOLDER_VARIABLE, Archive, default_root

    root = folder or default_root()
    if root.is_file():
        what = f"{root} is a file, and an archive is a folder"
        raise InputMistakes([Mistake(FOLDER_VARIABLE, what, "let it name a folder, or say --archive-folder DIR")])
    if (root / "result.json").is_file():
        what = f"{root} is a result's folder, and no archive"
        raise InputMistakes([Mistake("--archive-folder", what, "name a folder of its own for the archive")])
    return Archive(root)


def archive_wanted(archive: bool, folder: Path | None) -> Archive | None:
    """The archive to file in; None where nobody asked for filing. Naming a folder asks for it."""
    return archive_at(folder) if archive or folder is not None else None
