"""What one attempt's folder holds: names, cleaned photos, the challenge as used, notes, a page, and checksums."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path

from measure.errors import InputMistakes, Mistake
from measure.notices import Notice
from measure.result.result import Result, parse_result, result_text
from tapeplat.archive.archive_pages import PAGE, attempt_page
from tapeplat.archive.cleaning.blackout import Polygon, blacked_out, subject_of_corrected
from tapeplat.archive.cleaning.clean_hand_table import filed_hand
from tapeplat.archive.cleaning.clean_pictures import NoPicture, cleaned, encoded_jpeg, encoded_png, opened
from tapeplat.archive.storage.checksums import SUMS, sums_of
from tapeplat.archive.storage.entry import RECORD, RESULT, NewAttempt, Record, StoredPhoto, read_record, record_json
from vision.picture.photo import name_of

CHALLENGE, NOTES, HAND = "challenge.toml", "notes.txt", "hand.csv"
ANNOTATED, CORRECTED = "annotated.png", "corrected.jpg"
ORIGINALS, REVISIONS = "originals", "revisions"
_OWN = {CHALLENGE, NOTES, HAND, RECORD, PAGE, SUMS.casefold()}
_NAME = re.compile(r"[a-z0-9][a-z0-9_-]{0,60}(\.[a-z0-9]{1,8})+", re.IGNORECASE)
_PHOTO = re.compile(r"photo-\d+\..*", re.IGNORECASE)
_ENDING = re.compile(r"\.[a-z0-9]{1,5}")
_PICTURES = (".png", ".jpg", ".jpeg")


@dataclass(frozen=True, eq=False)
class Prepared:
    """Everything of an attempt that does not depend on its number: files by name, and what its record says."""

    files: Mapping[str, bytes]
    photos: tuple[StoredPhoto, ...]
    blacked_out: bool
    remarks: tuple[str, ...]


def prepared(new: NewAttempt, *, keep_originals: bool = False, surroundings: bool = False) -> Prepared:
    """Clean and name everything that is to be filed. surroundings: do not black out what lies around the model.

    Raises InputMistakes where the result is none or a photo cannot be read, ValueError for a file that has no plain
    name.
    """
    check_names(new.files)
    result = result_in(new.files)
    remarks: list[str] = []
    photos = _photos(new, result, surroundings, remarks)
    files = dict(photos.files)
    if keep_originals:
        files |= photos.originals
    result = _renamed(result, photos.stored, photos.names)
    files |= _as_filed(new.files, new.files.get(CORRECTED), result, surroundings)
    files[RESULT] = result_text(result).encode("utf-8")
    files[CHALLENGE] = _read(new.challenge) if isinstance(new.challenge, Path) else new.challenge
    if new.notes.strip():
        files[NOTES] = f"{new.notes.strip()}\n".encode("utf-8", "replace")
    if new.hand is not None:
        files[HAND] = filed_hand(new.hand, new.team)
    return Prepared(files, photos.stored, not surroundings, tuple(dict.fromkeys(remarks)))


def complete(record: Record, files: Mapping[str, bytes]) -> dict[str, bytes]:
    """All files of an attempt, with its record, its page and its checksums."""
    whole = {name: content for name, content in files.items() if name not in (RECORD, PAGE, SUMS)}
    whole[RECORD] = record_json(record)
    whole[PAGE] = attempt_page(record, whole[RESULT], whole)
    whole[SUMS] = sums_of(whole)
    return whole


def owned(before: Mapping[str, bytes], class_id: str) -> dict[str, bytes]:
    """An attempt's files with another class as its owner."""
    return complete(replace(read_record(before[RECORD]), class_id=class_id), before)


def handed_over(
    before: Mapping[str, bytes], record: Record, files: Mapping[str, bytes], note: str, now: datetime
) -> dict[str, bytes]:
    """An attempt's files under a record that says another team and number, with some of them made anew for that team.

    What its former team measured by hand stays behind, also in former versions.
    """
    own = {name: content for name, content in before.items() if name.split("/")[-1] != HAND}
    return complete(record, refreshed(own, files, note, now))


def refreshed(before: Mapping[str, bytes], files: Mapping[str, bytes], note: str, now: datetime) -> dict[str, bytes]:
    """An attempt's files with some of them replaced; the former ones go to `revisions`, with the note why.

    The replacements are cleaned as new files are. Raises InputMistakes where one cannot be filed.
    """
    record = read_record(before[RECORD])
    own = {name: content for name, content in files.items() if name in (NOTES, HAND, CHALLENGE)}
    others = {name: content for name, content in files.items() if name not in own}
    check_names(others)
    result = _renamed(result_in({**before, **others}), record.photos, {})
    corrected = others.get(CORRECTED, before.get(CORRECTED))
    made = _as_filed(others, corrected, result, not record.blacked_out)
    if RESULT in made:
        made[RESULT] = result_text(result).encode("utf-8")
    made |= {name: filed_hand(content, record.team) if name == HAND else content for name, content in own.items()}
    numbers = [int(name.split("/")[1][:3]) for name in before if name.startswith(f"{REVISIONS}/")]
    place = f"{REVISIONS}/{max(numbers, default=0) + 1:03d}-{now:%Y-%m-%d}"
    former = {f"{place}/{name}": before[name] for name in made if name in before}
    why = {f"{place}/why.txt": f"{note.strip() or 'replaced'}\n".encode("utf-8", "replace")}
    return complete(record, {**before, **former, **why, **made})


def check_names(files: Mapping[str, bytes]) -> None:
    """Raises ValueError where a file's name is not plain, or is one that the archive itself gives."""
    wrong = [n for n in files if not _NAME.fullmatch(n) or _PHOTO.fullmatch(n) or n.casefold() in _OWN]
    twins = len({name.casefold() for name in files}) < len(files)
    if wrong or twins:
        raise ValueError(f"files cannot be filed under these names: {', '.join(wrong or files)}")


def result_in(files: Mapping[str, bytes]) -> Result:
    """The result among the files. Raises InputMistakes."""
    if RESULT not in files:
        raise InputMistakes([Mistake(RESULT, "it is missing", "measure the model again")])
    return parse_result(files[RESULT], RESULT)


def _as_filed(
    files: Mapping[str, bytes], corrected: bytes | None, result: Result, surroundings: bool
) -> dict[str, bytes]:
    """Files as they are filed: pictures without metadata, and without surroundings unless these are wanted."""
    made = {}
    for name, content in files.items():
        if name.casefold().endswith(_PICTURES):
            content, _ = _cleaned(name, content)
        if name in (ANNOTATED, CORRECTED) and corrected is not None and not surroundings:
            content = black_around_model(content, corrected, result)
        made[name] = content
    return made


@dataclass(frozen=True, eq=False)
class _Photos:
    files: dict[str, bytes]
    originals: dict[str, bytes]
    stored: tuple[StoredPhoto, ...]
    names: dict[str, str]


def _photos(new: NewAttempt, result: Result, surroundings: bool, remarks: list[str]) -> _Photos:
    """The photos that the result was measured from; names maps the originals' names to the new ones."""
    known = {photo.sha256: photo.subject for photo in result.photos}
    made = _Photos({}, {}, (), {})
    stored = []
    for number, path in enumerate(new.photos, start=1):
        data = _read(path)
        checksum = hashlib.sha256(data).hexdigest()
        made.names[name_of(path)] = f"photo {number}"
        subject = known.get(checksum, ())
        if checksum not in known:
            remarks.append(f"photo {number} is not kept: nothing was measured in it")
        elif not subject and not surroundings:
            remarks.append(f"photo {number} is not kept: the result does not say where in it the parcel is")
        else:
            picture, ending = _cleaned(path.name, data)
            name = f"photo-{number}{ending}"
            made.files[name] = picture if surroundings else black_around_subject(picture, subject)
            suffix = path.suffix.casefold()
            made.originals[f"{ORIGINALS}/photo-{number}{suffix if _ENDING.fullmatch(suffix) else ending}"] = data
            made.names[name_of(path)] = name
            stored.append(StoredPhoto(name, checksum))
    return _Photos(made.files, made.originals, tuple(stored), made.names)


def _renamed(result: Result, stored: Sequence[StoredPhoto], names: Mapping[str, str]) -> Result:
    """Photos under their new names, in warnings, too: a file's own name may be a child's, a place's or a time's."""
    filed = {photo.sha256: photo.file for photo in stored}
    photos = tuple(replace(photo, file=filed.get(photo.sha256, "not filed")) for photo in result.photos)
    if not names:
        return replace(result, photos=photos)
    words = "|".join(re.escape(name) for name in sorted(names, key=len, reverse=True))
    whole = re.compile(rf"(?<!\w)(?:{words})(?!\w)")

    def renamed(text: str) -> str:
        return whole.sub(lambda found: names[found[0]], text)

    notices = tuple(_with_names(notice, renamed) for notice in result.notices)
    return replace(result, photos=photos, warnings=tuple(map(renamed, result.warnings)), notices=notices)


def _with_names(notice: Notice, renamed: Callable[[str], str]) -> Notice:
    facts = {name: renamed(fact) if isinstance(fact, str) else fact for name, fact in notice.facts.items()}
    return replace(notice, subject=replace(notice.subject, photo=renamed(notice.subject.photo)), facts=facts)


def black_around_subject(picture: bytes, subject: Sequence[Polygon], part: tuple[int, int] | None = None) -> bytes:
    """A picture file with everything black that lies in none of the polygons; see `blacked_out`."""
    before = opened(picture)
    image = blacked_out(before, subject, part)
    if image is before:
        return picture
    return encoded_png(image) if picture.startswith(b"\x89PNG") else encoded_jpeg(image, like=picture)


def black_around_model(picture: bytes, corrected: bytes, result: Result) -> bytes:
    """The corrected or annotated picture, black around the model; corrected is the corrected picture's file.

    Where the parcel's place is known, the corrected picture ends a finger's breadth beyond it as it is.
    """
    subject = subject_of_corrected(result)
    return black_around_subject(picture, subject, opened(corrected).size) if subject else picture


def _cleaned(name: str, data: bytes) -> tuple[bytes, str]:
    try:
        return cleaned(data)
    except NoPicture as error:
        raise InputMistakes([Mistake(name, str(error), "file the attempt without it")]) from error


def _read(path: Path) -> bytes:
    try:
        return path.read_bytes()
    except OSError as error:
        what = f"it cannot be read: {(error.strerror or str(error)).lower()}"
        raise InputMistakes([Mistake(path.name, what, "is it still where it was measured?")]) from error
