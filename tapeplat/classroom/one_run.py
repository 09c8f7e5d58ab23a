"""One run at a time measures a class into a folder: two would measure, and file, every model twice."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from measure.errors import InputMistakes, Mistake
from tapeplat.output.result_folder import made_folder, remove_empty

LOCK = ".tapeplat-class.lock"


@contextmanager
def only_run(out: Path) -> Iterator[None]:
    """Be the only run that writes into a folder. Raises InputMistakes where another is at it.

    The operating system ends the hold of a run that dies.  Where the folder takes no lock nothing is held: what cannot
    be written is said by whatever writes.
    """
    made, lock = list[Path](), FileLock(out / LOCK, timeout=0)
    try:
        made = made_folder(out)
        lock.acquire()
    except Timeout:
        what = "another run is measuring this class into it"
        raise InputMistakes([Mistake(str(out), what, "wait until that is done, or name another folder")]) from None
    except (OSError, NotImplementedError):
        pass
    try:
        yield
    finally:
        if lock.is_locked:
            with suppress(OSError):  # Windows deletes no file that is open
                (out / LOCK).unlink()
            lock.release()
        remove_empty(made)
