"""What is filed and what is listed: an attempt on its way into the archive, and an entry that is there.

`attempt.json` is an entry's own file; with it and `result.json` the index is made anew.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path
from typing import Any

from measure.rules.verdict import VERDICTS, Verdict

FORMAT = "tapeplat/attempt-1"
RECORD = "attempt.json"
RESULT = "result.json"
MOST_ATTEMPTS = 10**6
"""More than a team ever has; a damaged number may be any."""


class DamagedRecord(ValueError):  # noqa: N818  (named for what it is)
    """An attempt's own files do not say what it is; the message names the file."""


@dataclass(frozen=True, eq=False)
class NewAttempt:
    """One measured state of a team's model, to be filed.

    challenge is the TOML as used, or its file; files are what measuring wrote, by name, `result.json` among them;
    photos are the files that were measured (only cleaned copies are filed); notes is anybody's text; hand is the table
    of hand measurements; taken is when the model was photographed, None for now; class_id names the class whose model
    it is, whatever the challenge is called, and is empty where the title alone says that.
    """

    title: str
    team: str
    challenge: Path | bytes
    files: Mapping[str, bytes]
    photos: Sequence[Path] = ()
    notes: str = ""
    hand: bytes | None = None
    taken: datetime | None = None
    class_id: str = ""


@dataclass(frozen=True)
class Entry:
    """One attempt in the archive.

    id is short, readable and unique; taken and filed are in local time; verdicts counts the rules by verdict, a verdict
    set by hand in place of the measured one; files are the attempt's files, relative to folder with forward slashes;
    remarks say what filing left out or changed; class_id is that of NewAttempt.
    """

    id: str
    title: str
    team: str
    attempt: int
    taken: datetime
    folder: Path
    verdicts: Mapping[Verdict, int] = field(hash=False)
    files: tuple[str, ...]
    remarks: tuple[str, ...] = ()
    removed: bool = False
    class_id: str = ""
    filed: datetime | None = None

    @property
    def kept_since(self) -> datetime:
        """When it was filed. A photo's own date may be any: phones' clocks are wrong, and photos old."""
        return self.filed or self.taken

    @property
    def name(self) -> str:
        """`team 3, attempt 2`, for lists and messages."""
        return f"{team_name(self.team)}, attempt {self.attempt}"


@dataclass(frozen=True)
class StoredPhoto:
    """A photo as it is kept, and the checksum of the original that `result.json` names."""

    file: str
    sha256: str


@dataclass(frozen=True)
class Record:
    """What `attempt.json` says. blacked_out: the photos show nothing but parcel and card."""

    id: str
    title: str
    team: str
    attempt: int
    taken: datetime
    filed: datetime
    photos: tuple[StoredPhoto, ...] = ()
    blacked_out: bool = True
    remarks: tuple[str, ...] = ()
    class_id: str = ""


@dataclass(frozen=True)
class Unreadable:
    """An attempt whose own files do not say what it is: all that is known of it is its folder's name.

    taken is the date in that name; None where there is none.
    """

    id: str
    folder: Path
    taken: datetime | None
    removed: bool = False

    @property
    def kept_since(self) -> datetime:
        """The date in its name; when its folder was written last where that has none, or one that is still to come."""
        written = datetime.fromtimestamp(self.folder.stat().st_mtime).astimezone() if self.folder.exists() else _now()
        return self.taken if self.taken is not None and self.taken < _now() else written

    @property
    def title(self) -> str:
        """What lists show in place of a challenge."""
        return "cannot be read"

    @property
    def name(self) -> str:
        """What lists show in place of team and attempt."""
        return self.id


def _now() -> datetime:
    return datetime.now().astimezone()


def team_name(team: str) -> str:
    """A team as pages name it: `team 3` for both `3` and `Team 3`."""
    plain = team.strip()
    if not plain:
        return "team without a name"
    return plain if plain.casefold().startswith("team") else f"team {plain}"


def record_json(record: Record) -> bytes:
    """`attempt.json`'s content."""
    times = {"taken": record.taken.isoformat(), "filed": record.filed.isoformat()}
    content = {"format": FORMAT, **vars(record), **times, "photos": [vars(photo) for photo in record.photos]}
    return (json.dumps(content, indent=1, ensure_ascii=False) + "\n").encode("utf-8", "replace")


def read_record(content: bytes) -> Record:
    """`attempt.json` read back. Raises DamagedRecord."""
    try:
        known: dict[str, Any] = json.loads(content)
        if known["format"] != FORMAT:
            raise DamagedRecord(f"{RECORD} has an unknown format")
        if not 0 <= int(known["attempt"]) < MOST_ATTEMPTS:
            raise DamagedRecord(f"{RECORD} has a number that no attempt has")
        return Record(
            id=str(known["id"]),
            title=str(known["title"]),
            team=str(known["team"]),
            attempt=int(known["attempt"]),
            taken=datetime.fromisoformat(known["taken"]),
            filed=datetime.fromisoformat(known["filed"]),
            photos=tuple(StoredPhoto(str(p["file"]), str(p["sha256"])) for p in known["photos"]),
            blacked_out=bool(known["blacked_out"]),
            remarks=tuple(map(str, known["remarks"])),
            class_id=str(known.get("class_id", "")),  # older records have none
        )
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise DamagedRecord(f"{RECORD} is damaged") from error


def verdicts_in(result: bytes) -> dict[Verdict, int]:
    """How many rules got which verdict, the teacher's own in place of the measured one. Raises DamagedRecord."""
    found = Counter(verdict for _, verdict in rule_verdicts_in(result))
    return {verdict: found[verdict] for verdict in VERDICTS if found[verdict]}


def rule_verdicts_in(result: bytes) -> tuple[tuple[str, Verdict], ...]:
    """Every rule's text and its verdict, the teacher's own in place of the measured one. Raises DamagedRecord."""
    try:
        rules = json.loads(result)["rules"]
        found = tuple((str(rule.get("text", "")), (rule.get("by_hand") or rule)["verdict"]) for rule in rules)
        if not all(isinstance(verdict, str) for _, verdict in found):
            raise TypeError("a verdict is a word")
        return found
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError) as error:
        raise DamagedRecord(f"{RESULT} is damaged") from error
