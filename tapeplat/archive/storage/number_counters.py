"""How far each team's attempts are counted, so that no number is given twice, even of an attempt that is erased.

`numbers.json` holds the highest number by a checksum of challenge and team: of what was erased nothing else stays,
its team's name neither.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Mapping
from pathlib import Path

from tapeplat.archive.storage import disk
from tapeplat.archive.storage.entry import MOST_ATTEMPTS
from tapeplat.archive.storage.folder_names import attempt_number

NUMBERS = "numbers.json"


class DamagedNumbers(ValueError):  # noqa: N818  (named for what it is)
    """The file of numbers cannot be read."""


def counted(root: Path, challenge: str, team: str) -> int:
    """The highest number that a team's attempts ever had, as far as the file knows; 0 where it does not."""
    return _known(root).get(_key(challenge, team), 0)


def remember(root: Path, staging: Path, folders: Iterable[tuple[str, str, str]]) -> None:
    """Remember the numbers of attempts: the names of the folders of challenge, team and attempt. Raises OSError."""
    numbers = dict(_known(root))
    for challenge, team, attempt in folders:
        key = _key(challenge, team)
        numbers[key] = max(numbers.get(key, 0), attempt_number(attempt) or 0)
    text = json.dumps(dict(sorted(numbers.items())), indent=1) + "\n"
    disk.write_file(staging, root / NUMBERS, text.encode("ascii"))


def read_numbers(root: Path) -> Mapping[str, int]:
    """All that is remembered. Raises DamagedNumbers."""
    try:
        content = (root / NUMBERS).read_bytes()
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise DamagedNumbers(NUMBERS) from error
    try:
        known = json.loads(content)
    except (ValueError, RecursionError) as error:
        raise DamagedNumbers(NUMBERS) from error
    if not isinstance(known, dict) or not all(type(n) is int and 0 <= n < MOST_ATTEMPTS for n in known.values()):
        raise DamagedNumbers(NUMBERS)
    return known


def _known(root: Path) -> Mapping[str, int]:
    try:
        return read_numbers(root)
    except DamagedNumbers:
        return {}


def _key(challenge: str, team: str) -> str:
    return hashlib.sha256(f"{challenge}/{team}".encode()).hexdigest()[:16]
