"""Models whose lens is known better by now: what measuring them again would change, asked and done in a worker."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

from measure.errors import InputMistakes
from tapeplat.archive import Archive
from tapeplat.archive.judging import JudgedAgain
from tapeplat.page.base.process_lock import lock_filing


@dataclass(frozen=True)
class LensOffer:
    """A model (its id and name in the archive) whose lens is known better: the verdicts that would change, in words;
    None where it cannot be measured again, as it comes of several photos or was repaired.
    """

    entry: str
    name: str
    changes: tuple[str, ...] | None


@dataclass(frozen=True)
class LensQuestion:
    """Which of these attempts (ids) could be measured again by a better lens?"""

    entries: tuple[str, ...]
    archive: Path

    def run(self) -> tuple[LensOffer, ...]:
        """Those that could; attempts that are gone or damaged are left out."""
        from tapeplat.lens.class_lens_store import what_is_kept
        from tapeplat.measuring.measured_model import RESULT_FILE

        kept, found = what_is_kept(), list[LensOffer]()
        wanted = [entry for entry in Archive(self.archive).entries() if entry.id in self.entries]
        for entry in wanted:
            changed = (entry.folder / RESULT_FILE).stat().st_mtime_ns
            is_better, changes = _asked(entry.folder, changed, kept)
            if is_better:
                found.append(LensOffer(entry.id, entry.name, changes))
        return tuple(found)


@dataclass(frozen=True)
class LensJob:
    """One attempt to be measured again by the better lens."""

    entry: str
    archive: Path
    data: Path

    def run(self) -> JudgedAgain:
        """What became of it. Raises InputMistakes where the attempt is gone."""
        from tapeplat.archive.measuring_again import measure_again

        archive = Archive(self.archive)
        with lock_filing(self.data):
            return measure_again(archive, archive.entry(self.entry))


@lru_cache(maxsize=512)
def _asked(folder: Path, changed: int, kept: tuple[tuple[str, int], ...]) -> tuple[bool, tuple[str, ...] | None]:
    """Whether the lens of a folder's result is known better, and what would change; asked once a state of both."""
    import tapeplat
    from measure.result.result import read_result
    from tapeplat.measuring.better_lens import better_lenses, changed_verdicts

    try:
        result = read_result(folder)
        better = better_lenses(result)
        known = tapeplat.read_challenge(folder / "challenge.toml") if better else None
        return (False, None) if known is None else (True, changed_verdicts(result, known, better))
    except InputMistakes:
        return False, None
