"""Names of folders and attempts: readable, and safe on every system whatever a teacher calls a challenge or a team.

A name consists of a-z, 0-9 and hyphens only.  Names that lose something on the way (accents, signs, other scripts, or
that are very long) get six digits of a checksum, so that names that differ stay apart; names that differ in nothing but
capitals or spaces are one name.
"""

from __future__ import annotations

import hashlib
import re
import unicodedata
from datetime import datetime

from measure.teams import team_key

_MOST_LETTERS = 40
"""Keeps a whole path within the 260 letters that Windows allows."""
_OURS = {"trash", "index", "readme"}
_WINDOWS = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
"""Names that Windows keeps for devices (Microsoft, "Naming Files, Paths, and Namespaces")."""
_ATTEMPT = re.compile(r"attempt-(\d+)-(\d{4}-\d{2}-\d{2})")


def challenge_folder(title: str) -> str:
    """`Quarry Lake Village` -> `quarry-lake-village`."""
    return _safe(same_key(title), "challenge")


def team_folder(team: str) -> str:
    """`Team 3` and `3` -> `team-3`; no name -> `team-without-name`."""
    key = same_key(team_key(team))
    return f"team-{_safe(key, 'x')}" if key else "team-without-name"


def is_device_name(name: str) -> bool:
    """Whether Windows keeps a name for a device: no file can be called so there, whatever its ending."""
    return name.casefold() in _WINDOWS


def attempt_folder(number: int, taken: datetime) -> str:
    """`attempt-001-2026-11-25`."""
    return f"attempt-{number:03d}-{taken:%Y-%m-%d}"


def attempt_number(folder: str) -> int | None:
    """The number in an attempt folder's name."""
    match = _ATTEMPT.match(folder)
    return int(match[1]) if match else None


def attempt_date(folder: str) -> datetime | None:
    """The day in an attempt folder's name, its first moment in local time."""
    match = _ATTEMPT.match(folder)
    try:
        return None if match is None else datetime.fromisoformat(match[2]).astimezone()
    except (ValueError, OverflowError):
        return None


def attempt_id(challenge: str, team: str, number: int) -> str:
    """Of the two folders' names: `quarry-lake-village.team-3.1`: short, unique, and safe in an address or a shell."""
    return f"{challenge}.{team}.{number}"


def trash_name(challenge: str, team: str, attempt: str) -> str:
    """The name of a removed attempt's folder, of the names of the folders that it lay in."""
    return f"{challenge}.{team}.{attempt}"


def same_key(name: str) -> str:
    """What names have in common that people take for the same: capitals, spaces and Unicode's forms do not count."""
    return " ".join(unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold()).split())


def _safe(key: str, stands_for: str) -> str:
    plain = key.replace(" ", "-")
    kept = re.fullmatch(r"[a-z0-9]+( [a-z0-9]+)*", key) and len(key) <= _MOST_LETTERS
    if kept and plain not in _WINDOWS | _OURS:
        return plain
    letters = unicodedata.normalize("NFKD", key).encode("ascii", "ignore").decode()
    words = re.sub(r"[^a-z0-9]+", "-", letters.casefold()).strip("-") or stands_for
    if len(words) > _MOST_LETTERS:
        words = words[:_MOST_LETTERS].rsplit("-", 1)[0]
    return f"{words}-{hashlib.sha256(key.encode('utf-8', 'surrogatepass')).hexdigest()[:6]}"
