"""Attempts as people name them: by an id, its end, or the team's own name and the attempt's number."""

from __future__ import annotations

import difflib
from collections.abc import Sequence
from typing import TypeVar

from measure.errors import InputMistakes, Mistake
from tapeplat.archive.storage.entry import Entry, Unreadable
from tapeplat.archive.storage.folder_names import team_folder

AnAttempt = TypeVar("AnAttempt", Entry, Entry | Unreadable)
_SAID = 6
"""Names of attempts that a message holds."""


def named_as(name: str, known: Sequence[AnAttempt], unread: Sequence[Unreadable]) -> AnAttempt:
    """The one of an id, or of an id's end where only one has it. Raises InputMistakes with what is near."""
    found = [e for e in known if e.id == name] or [e for e in known if e.id.endswith(ends(name))]
    found = found or [e for e in known if isinstance(e, Entry) and _is_called(e, name)]
    if len(found) == 1:
        return found[0]
    if found:
        more = " and more" if len(found) > _SAID else ""
        what = f"several attempts end in that: {', '.join(e.id for e in found[:_SAID])}{more}"
        raise InputMistakes([Mistake(name, what, "name one of them in full")])
    if any(e.id == name or e.id.endswith(ends(name)) for e in unread):
        do = "tapeplat archive verify says what is wrong, tapeplat archive remove takes it away"
        raise InputMistakes([Mistake(name, "this attempt is damaged and cannot be read", do)])
    called = {f"{e.team}.{e.attempt}".casefold(): e.id for e in known if isinstance(e, Entry)}
    called |= {e.id: e.id for e in known}
    near = list(dict.fromkeys(called[one] for one in difflib.get_close_matches(name.casefold(), called, 3, 0.4)))
    do = f"did you mean {' or '.join(near)}?" if near else "tapeplat archive list shows what there is"
    raise InputMistakes([Mistake(name, "there is no such attempt in the archive", do)])


def ends(name: str) -> tuple[str, ...]:
    """How an id ends that may be called so; behind the slash stands what its archive calls it, before it a school."""
    return f".{name}", f"-{name}", f"/{name}"


def _is_called(entry: Entry, name: str) -> bool:
    """Whether an attempt is named by its team as people write it: `Żółwie.2`, `team 3.1`."""
    team, _, number = name.rpartition(".")
    return number == str(entry.attempt) and bool(team.strip()) and team_folder(team) == team_folder(entry.team)
