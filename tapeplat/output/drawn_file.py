"""Writing a PDF or a drawing: an earlier one of ours is replaced, and what somebody else made is not."""

from __future__ import annotations

import os
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from tapeplat.output.maker import MAKER
from tapeplat.output.result_folder import FolderNotWritable, write_folder


def write_drawn(out: Path, content: bytes) -> None:
    """Write the file; raises InputMistakes where another's is there, FolderNotWritable where it cannot be written."""
    if os.path.isfile(out) and not _is_ours(out):
        what = "there is a file of that name that was not made here"
        raise InputMistakes([Mistake(str(out), what, "choose another name, or move that file away")])
    write_folder(out.parent, {out.name: content})


def _is_ours(file: Path) -> bool:
    try:
        content = file.read_bytes()
    except OSError as error:
        raise FolderNotWritable(f"{file} cannot be replaced: {(error.strerror or str(error)).lower()}") from error
    return not content or MAKER.encode("ascii") in content
