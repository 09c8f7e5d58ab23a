"""Writers that are killed by the tests: every line on standard input forks one, with the archive loaded already.

`python -m tests.helpers.archive_writer ARCHIVE TOLD`; a line is the seed of its random choices.  Prints the writer's
process id when it starts, and how it ended (as os.waitstatus_to_exitcode says) when it has.
"""

from __future__ import annotations

import hashlib
import os
import random
import sys
from pathlib import Path

import tapeplat.reports.report_content  # noqa: F401  (loaded on the first save, and then in every writer anew)
from tapeplat.archive import Archive
from tests.helpers.made.attempts import attempt


def checksum(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def save_for_ever(root: Path, told: Path, seed: int) -> None:
    """Save attempts, change some; tell of each what must be there from now on."""
    archive, chance = Archive(root), random.Random(seed)
    while True:
        entry = archive.save(attempt(team=str(chance.randrange(3)), notes=f"note {chance.random()}"))
        note(told, f"{entry.id} {checksum(entry.folder / 'notes.txt')}")
        if chance.random() < 0.5:
            text = f"changed {chance.random()}\n".encode()
            note(told, f"{entry.id} changing {hashlib.sha256(text).hexdigest()}")
            archive.replace_result(entry, {"notes.txt": text}, "once more")
            note(told, f"{entry.id} {hashlib.sha256(text).hexdigest()}")


def note(told: Path, line: str) -> None:
    """One line in one write, so that a killed writer leaves no half of one."""
    handle = os.open(told, os.O_WRONLY | os.O_APPEND | os.O_CREAT)
    os.write(handle, f"{line}\n".encode())
    os.close(handle)


def main(root: Path, told: Path) -> None:
    for line in sys.stdin:
        writer = os.fork()
        if writer == 0:
            save_for_ever(root, told, int(line))
        print(writer, flush=True)
        print(os.waitstatus_to_exitcode(os.waitpid(writer, 0)[1]), flush=True)


if __name__ == "__main__":
    main(Path(sys.argv[1]), Path(sys.argv[2]))
