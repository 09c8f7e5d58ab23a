"""Measuring filed attempts again whose lens is known better by now; what was measured before is kept in `revisions`."""

from __future__ import annotations

from measure.errors import InputMistakes
from measure.file_content import FileContent
from measure.result.result import parse_result, read_result
from tapeplat.archive.attempt_comparison import rule_changes
from tapeplat.archive.attempt_files import CHALLENGE, CORRECTED
from tapeplat.archive.judging import STRUCTURES, JudgedAgain
from tapeplat.archive.storage.entry import RESULT, Entry
from tapeplat.archive.store import Archive
from tapeplat.output.result_folder import FolderNotWritable

_NOTE = "measured again: more photos tell the phone's lens by now"


def measure_again(archive: Archive, entry: Entry) -> JudgedAgain:
    """Measure an attempt by the better lens and file what comes out; a fault of the attempt is in the answer."""
    import tapeplat
    from tapeplat.measuring.better_lens import better_lenses, measured_again

    try:
        before = read_result(entry.folder)
        file = entry.folder / STRUCTURES
        table = FileContent(STRUCTURES, file.read_bytes()) if file.is_file() else None
        model = tapeplat.check(entry.folder / CHALLENGE, entry.folder, structures=table)
        made = measured_again(model, better_lenses(before))
        files = {name: data for name, data in made.files.items() if name != CORRECTED}
        archive.replace_result(entry, files, _NOTE)
    except (InputMistakes, FolderNotWritable, OSError) as fault:
        return JudgedAgain(entry.id, entry.name, problem=str(fault))
    changes = rule_changes(before, parse_result(files[RESULT], RESULT))
    return JudgedAgain(entry.id, entry.name, tuple(change for change in changes if change.fate != "as before"))
