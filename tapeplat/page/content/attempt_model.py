"""One measured model, as the archive has it, and changing what is said of it: outlines, verdicts by hand, structures.

Every change makes the attempt's files anew and leaves the former ones in its `revisions`.
"""

from __future__ import annotations

import io
import tempfile
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from PIL import Image

import tapeplat
from measure.challenge import Challenge
from measure.errors import InputMistakes, Mistake
from measure.file_content import FileContent
from measure.result.kept_structures import without_structures
from measure.result.result import Result, read_result, result_text
from measure.result.teacher_verdicts import result_by_hand
from measure.rules.verdict import Verdict
from measure.structures.built_structures import DOUBTFUL, NO_MORE, OPEN_LAND
from tapeplat.archive import Archive, Entry
from tapeplat.measuring.marked_heights import Place, with_mark, without_mark
from tapeplat.measuring.measured_model import RESULT_FILE, MeasuredModel
from tapeplat.output.corrected_picture import CORRECTED_FILE
from tapeplat.page.base.page_errors import not_found
from tapeplat.page.content.repair_request import Request, result_version
from tapeplat.page.session.services import services
from tapeplat.page.store.challenges import StoredChallenge
from tapeplat.reports.report_content import TeamContent, content_of
from tapeplat.reports.report_files import picture_of

CHALLENGE, STRUCTURES = "challenge.toml", "structures.csv"
_SMALL = 560
"""Pixels of a small picture's longer side."""
_REPAIRED, _UNDONE = "outlines repaired by hand", "outlines as the photo gave them, repairs taken back"


@dataclass(frozen=True, eq=False)
class Model:
    """An archive's entry with its result in words, and the challenge as it was used."""

    entry: Entry
    challenge: Challenge
    content: TeamContent

    @property
    def result(self) -> Result:
        """The entry's result."""
        return self.content.result

    @property
    def structures(self) -> str:
        """The structures that were counted, as CSV text; empty where there are none."""
        file = self.entry.folder / STRUCTURES
        return file.read_text(encoding="utf-8-sig") if file.is_file() else ""


def entry_of(name: str) -> Entry:
    """The archive's entry of this id. Raises PageError where there is none."""
    try:
        found = services().archive.entry(name)
    except InputMistakes:
        found = None
    if found is None or found.id != name:
        raise not_found("This model is not in the archive any more.")
    return found


def challenge_of(entry: Entry) -> StoredChallenge | None:
    """The challenge whose class owns an entry; None where no class of this page does."""
    owner = services().classes.with_id(entry.class_id)
    return services().challenges.get(owner.challenge) if owner else None


def attempts_beside(entry: Entry) -> tuple[Entry, ...]:
    """All attempts of the entry's team, itself among them."""
    archive = services().archive
    if entry.class_id:
        return archive.of_class(entry.class_id, entry.team)
    return tuple(other for other in archive.entries(entry.title, entry.team) if not other.class_id)


def model_of(entry: Entry) -> Model:
    """An entry's model. Raises InputMistakes where its files are damaged."""
    return Model(entry, tapeplat.read_challenge(entry.folder / CHALLENGE), content_of(read_result(entry.folder)))


def shown_picture(entry: Entry) -> bytes | None:
    """The annotated picture without its list of rules, as JPEG; None where the model has none."""
    return _shown_picture(entry.folder, result_version(entry.folder))


def small_picture(entry: Entry) -> bytes | None:
    """The same, small enough for a screen of thirty; None where the model has none."""
    return _small_picture(entry.folder, result_version(entry.folder))


@lru_cache(maxsize=200)
def _small_picture(folder: Path, version: str) -> bytes | None:
    shown = _shown_picture(folder, version)
    if shown is None:
        return None
    out = io.BytesIO()
    with Image.open(io.BytesIO(shown)) as picture:
        picture.draft("RGB", (_SMALL, _SMALL))
        picture.thumbnail((_SMALL, _SMALL))
        picture.convert("RGB").save(out, "JPEG", quality=82)
    return out.getvalue()


@lru_cache(maxsize=40)
def _shown_picture(folder: Path, version: str) -> bytes | None:
    result = read_result(folder)
    names = ["annotated.png", *([Path(result.corrected.file).name] if result.corrected else [])]
    files = {name: (folder / name).read_bytes() for name in names if (folder / name).is_file()}
    return picture_of(result, files)


def repaired(model: Model, request: Request) -> Entry:
    """File the model with its outlines changed. Raises InputMistakes, or StaleResult where it has changed since."""
    request.check_base(model.entry.folder)
    made = tapeplat.repair(_measured(model, _table(model)), request.edits)
    return _archive().replace_result(model.entry, _files(made), _REPAIRED)


def before_repairs(entry: Entry) -> Path | None:
    """The result as it was before the outlines were first repaired; None where they are as the photo gave them."""
    notes = sorted(entry.folder.glob("revisions/*/why.txt"))
    said = [(file.parent / RESULT_FILE, file.read_text(encoding="utf-8").strip()) for file in notes]
    last_undone = max((at for at, (_, note) in enumerate(said) if note == _UNDONE), default=-1)
    return next((file for file, note in said[last_undone + 1 :] if note == _REPAIRED and file.is_file()), None)


def unrepaired(model: Model) -> Entry:
    """File the model with the outlines that the photo gave. Raises InputMistakes where they were never repaired."""
    file = before_repairs(model.entry)
    if file is None:
        raise InputMistakes([Mistake("the outlines", "they are as the photo gave them", "nothing has to be undone")])
    hands = {rule.text: rule.by_hand for rule in model.result.rules}
    earlier = read_result(file)
    rules = tuple(replace(rule, by_hand=hands.get(rule.text)) for rule in earlier.rules)
    text = result_text(replace(earlier, rules=rules, team=model.result.team))
    with tempfile.TemporaryDirectory(prefix="tapeplat-") as name:
        folder = Path(name)
        (folder / RESULT_FILE).write_text(text, encoding="utf-8")
        (folder / CORRECTED_FILE).write_bytes((model.entry.folder / CORRECTED_FILE).read_bytes())
        made = tapeplat.check(model.challenge, folder, structures=_table(model))
    return _archive().replace_result(model.entry, _files(made), _UNDONE)


def judged_by_hand(model: Model, text: str, verdict: Verdict, reason: str) -> Entry:
    """File the model with the teacher's verdict on a rule. Raises ValueError without a reason or such a rule."""
    note = f'by hand: "{text}" is {verdict}: {reason.strip()}'
    return _said_anew(model, result_by_hand(model.result, text, verdict, reason), note)


def without_hand(model: Model, text: str) -> Entry:
    """File the model with the teacher's verdict on a rule taken back."""
    rules = tuple(replace(rule, by_hand=None) if rule.text == text else rule for rule in model.result.rules)
    return _said_anew(model, replace(model.result, rules=rules), f'verdict by hand on "{text}" taken back')


def with_structures(model: Model, csv: str) -> Entry:
    """File the model with other structures. Raises InputMistakes with every row that is wrong."""
    table = FileContent(STRUCTURES, csv.encode("utf-8"))
    measured = _measured(model, table if csv else None)
    if not csv:
        measured = replace(measured, result=without_structures(measured.result))
    made = tapeplat.repair(measured, ())
    files = {STRUCTURES: table.data, **_files(made)}
    return _archive().replace_result(model.entry, files, "structures entered")


def with_all_shown(model: Model, *, all_shown: bool) -> Entry:
    """File the model with the teacher's word that the photos show every structure, or with that word taken back."""
    made = _measured(model, _table(model))
    settled = {DOUBTFUL, *OPEN_LAND, NO_MORE} if all_shown else {NO_MORE}
    notices = tuple(notice for notice in made.plat.notices if notice.code not in settled)
    plat = replace(made.plat, solids_complete=all_shown, notices=notices)
    note = "the photos show every structure" if all_shown else "the photos need not show every structure"
    return _archive().replace_result(model.entry, _files(tapeplat.repair(replace(made, plat=plat), ())), note)


def with_marked_height(model: Model, photo: int, foot: Place, top: Place, marking: float) -> Entry:
    """File the model with the height of an edge marked in a photo. Raises InputMistakes where the marks tell none."""
    made = _measured(model, _table(model))
    plat = with_mark(made.plat, photo, foot, top, marking)
    return _archive().replace_result(
        model.entry, _files(tapeplat.repair(replace(made, plat=plat), ())), "a height marked"
    )


def without_marked_height(model: Model, number: int) -> Entry:
    """File the model without the marked height of a structure, numbered as on the picture."""
    made = _measured(model, _table(model))
    plat = without_mark(made.plat, number)
    return _archive().replace_result(
        model.entry, _files(tapeplat.repair(replace(made, plat=plat), ())), "a marked height taken away"
    )


def given_to(model: Model, team: str, csv: str) -> Entry:
    """File the model as another team's, with that team's structures. Raises InputMistakes where it is damaged."""
    table = FileContent(STRUCTURES, csv.encode("utf-8")) if csv else None
    measured = _measured(model, table)
    result = replace(measured.result if table else without_structures(measured.result), team=team)
    made = tapeplat.repair(replace(measured, result=result), ())
    return _archive().hand_over(model.entry, team, {STRUCTURES: csv.encode("utf-8"), **_files(made)})


def _said_anew(model: Model, result: Result, note: str) -> Entry:
    """The model with another word of the teacher's, on its picture, too."""
    made = tapeplat.repair(replace(_measured(model, _table(model)), result=result), ())
    return _archive().replace_result(model.entry, _files(made), note)


def _measured(model: Model, table: FileContent | None) -> MeasuredModel:
    """The model as it was measured, with its picture."""
    return tapeplat.check(model.challenge, model.entry.folder, structures=table)


def _table(model: Model) -> FileContent | None:
    text = model.structures
    return FileContent(STRUCTURES, text.encode("utf-8")) if text else None


def _files(made: MeasuredModel) -> dict[str, bytes]:
    """What is filed anew; the corrected picture stays."""
    return {name: data for name, data in made.files.items() if name != CORRECTED_FILE}


def _archive() -> Archive:
    return services().archive
