"""Handing attempts on: a folder or a ZIP that holds what was asked for and nothing else.

Originals of photos are never exported: their files tell place, time and camera.
"""

from __future__ import annotations

import io
import re
import shutil
import tempfile
import zipfile
from collections.abc import Collection, Iterable, Mapping, Sequence
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from measure.result.result import Result, parse_result
from tapeplat.archive.archive_pages import PAGE, attempt_page
from tapeplat.archive.attempt_files import (
    ANNOTATED,
    CHALLENGE,
    CORRECTED,
    HAND,
    NOTES,
    REVISIONS,
    black_around_model,
    black_around_subject,
)
from tapeplat.archive.storage.checksums import check
from tapeplat.archive.storage.entry import RECORD, RESULT, Entry, read_record
from tapeplat.output.result_folder import STAGING, FolderNotWritable, made_folder, remove_empty

_PARTS: Mapping[str, re.Pattern[str]] = {
    part: re.compile(pattern)
    for part, pattern in {
        "page": re.escape(PAGE),
        "annotated": re.escape(ANNOTATED),
        "plat": r"plat\.svg",
        "result": re.escape(RESULT),
        "photos": r"photo-\d+\.\w+",
        "corrected": re.escape(CORRECTED),
        "challenge": re.escape(CHALLENGE),
        "notes": re.escape(NOTES),
        "hand": re.escape(HAND),
        "revisions": rf"{REVISIONS}/.*",
    }.items()
}
_OTHER_PACKED = frozenset({".rar", ".7z", ".tar", ".gz", ".tgz", ".pdf", ".html"})
PARTS: tuple[str, ...] = tuple(_PARTS)
USUAL = ("page", "annotated", "plat")
"""Nothing that shows more than the model and what was measured of it."""


def export(
    entries: Sequence[Entry],
    out: Path,
    what: Collection[str] = USUAL,
    *,
    blackout: bool = False,
    replace: bool = False,
) -> list[str]:
    """Write the asked parts of the entries into a new folder, or a ZIP where out ends in `.zip`; returns the names.

    Each attempt has a folder named by its id. blackout blacks out what lies around the model in photos that were filed
    with it; replace writes over a ZIP of that name. Raises InputMistakes for unknown parts, damaged attempts and where
    something of that name is there, FolderNotWritable.
    """
    unknown = [part for part in what if part not in _PARTS]
    if unknown:
        raise InputMistakes([Mistake("", f"unknown part: {', '.join(unknown)}", f"choose from {', '.join(PARTS)}")])
    zipped = out.suffix.casefold() == ".zip"
    if out.suffix.casefold() in _OTHER_PACKED:
        what = f"{out.suffix} is no kind of file that an export is written as"
        raise InputMistakes([Mistake(str(out), what, "name a folder, or a file that ends in .zip")])
    if zipped and not replace and out.is_file():
        raise InputMistakes([Mistake(str(out), "there is a file of that name", "choose another, or say --replace")])
    files = {f"{e.id}/{name}": content for e in entries for name, content in _chosen(e, what, blackout).items()}
    if not files:
        raise InputMistakes([Mistake("", "the attempts hold nothing of what was asked", "ask for other parts")])
    try:
        if zipped:
            _write_zip(out, files, {e.id: e for e in entries})
        else:
            _write_folder(out, files)
    except OSError as error:
        reason = (error.strerror or str(error)).lower()
        raise FolderNotWritable(f"{out} cannot be written: {reason}; nothing was exported") from error
    return list(files)


def _chosen(entry: Entry, what: Collection[str], blackout: bool) -> dict[str, bytes]:
    damage = check(entry.folder, entry.id)
    if damage:
        do = "put the file back from a copy, or export the other attempts"
        raise InputMistakes([Mistake("", str(d), do) for d in damage])
    wanted = [name for name in entry.files if any(_PARTS[part].fullmatch(name) for part in what)]
    chosen = {name: (entry.folder / name).read_bytes() for name in wanted}
    text = (entry.folder / RESULT).read_bytes()
    record = read_record((entry.folder / RECORD).read_bytes())
    if blackout and not record.blacked_out:
        chosen = _blacked_out(entry, chosen, parse_result(text, RESULT))
    if PAGE in chosen:
        shown = {name: content for name, content in chosen.items() if name != PAGE}
        chosen[PAGE] = attempt_page(record, text, shown, in_archive=False)
    return chosen


def _blacked_out(entry: Entry, chosen: dict[str, bytes], result: Result) -> dict[str, bytes]:
    """Photos and corrected pictures black around the model; former ones are left out, which nothing is known of."""
    made = {name: content for name, content in chosen.items() if not name.startswith(f"{REVISIONS}/")}
    subjects = {photo.file: photo.subject for photo in result.photos}
    for name in made:
        if _PARTS["photos"].fullmatch(name):
            if not subjects.get(name):
                what = f"{name} cannot be blacked out: the result does not say where in it the parcel is"
                raise InputMistakes([Mistake(entry.id, what, "export without photos")])
            made[name] = black_around_subject(made[name], subjects[name])
        elif name in (ANNOTATED, CORRECTED):
            made[name] = black_around_model(made[name], (entry.folder / CORRECTED).read_bytes(), result)
    return made


def _write_zip(out: Path, files: Mapping[str, bytes], entries: Mapping[str, Entry]) -> None:
    """Every file is dated as its attempt; nothing tells of the computer that it was made on."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in files.items():
            taken = entries[name.split("/")[0]].taken
            info = zipfile.ZipInfo(name, (max(1980, taken.year), taken.month, taken.day, 0, 0, 0))
            info.compress_type, info.external_attr = zipfile.ZIP_DEFLATED, 0o644 << 16
            archive.writestr(info, content)
    out.parent.mkdir(parents=True, exist_ok=True)
    with tempfile.NamedTemporaryFile(dir=out.parent, prefix=f".{out.name}-", delete=False) as file:
        fresh = Path(file.name)
    try:
        fresh.write_bytes(packed.getvalue())
        fresh.chmod(0o644)
        fresh.replace(out)
    finally:
        fresh.unlink(missing_ok=True)


def _write_folder(out: Path, files: Mapping[str, bytes]) -> None:
    """Into a new or empty folder, so that nothing else is in it."""
    if out.is_dir() and _holds_anything(out.iterdir()):
        do = "name a new folder, so that nothing else is handed on with it"
        raise InputMistakes([Mistake(str(out), "the folder is not empty", do)])
    made = made_folder(out)
    try:
        _move_in(out, Path(tempfile.mkdtemp(dir=out, prefix=STAGING)), files)  # the folder may be a disk of its own
    finally:
        remove_empty(made)


def _move_in(out: Path, fresh: Path, files: Mapping[str, bytes]) -> None:
    """All files by way of a fresh folder, or none."""
    moved: list[Path] = []
    try:
        for name, content in files.items():
            (fresh / name).parent.mkdir(parents=True, exist_ok=True)
            (fresh / name).write_bytes(content)
        for attempt in sorted(fresh.iterdir()):
            moved.append(attempt.rename(out / attempt.name))
    except OSError:
        for attempt in moved:
            shutil.rmtree(attempt, ignore_errors=True)
        raise
    finally:
        shutil.rmtree(fresh, ignore_errors=True)


def _holds_anything(names: Iterable[Path]) -> bool:
    return any(True for _ in names)
