"""Attempts as lines, and the question before they go."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

import click

from tapeplat.cli.common.telling import tell

if TYPE_CHECKING:
    from tapeplat.archive.storage.entry import Entry, Unreadable
    from tapeplat.archive.store import Archive

Dated = Callable[["Entry | Unreadable"], str]


def agreed(lines: Sequence[str], task: str, *, yes: bool, as_json: bool, quiet: bool) -> bool:
    """Say what is about to go, a line each, and ask; where results are not for eyes, on standard error.

    Raises click.Abort where the answer is no.
    """
    aside = as_json or quiet
    for line in () if aside and yes else lines:
        click.echo(line, err=aside)
    return yes or click.confirm(f"{task}: {counted(len(lines))}?", default=False, abort=True, err=aside)


def attempt_lines(entries: Sequence[Entry | Unreadable], date: Dated | None = None) -> list[str]:
    """A line each: id, day, verdicts."""
    said = date or _taken
    width = max((len(entry.id) for entry in entries), default=0)
    gone = {True: "  (in the trash folder)", False: ""}
    return [f"{e.id:{width}}  {said(e)}  {_tally(e)}{_team(e)}{gone[e.removed]}{_link(e)}" for e in entries]


def filed_on(entry: Entry | Unreadable) -> str:
    """The day since which it is kept."""
    return f"{entry.kept_since:%Y-%m-%d}"


def counted(attempts: int) -> str:
    """`1 attempt`, `3 attempts`."""
    return f"{attempts} attempt{'' if attempts == 1 else 's'}"


def say_unreadable(kept: Archive, do: str = "tapeplat archive verify says what is wrong, ") -> None:
    """How many attempts could not be read, whatever was done with the others; what lies in the trash is gone."""
    count = sum(not damaged.removed for damaged in kept.unreadable())
    if count:
        click.echo(f"{count} more cannot be read; {do}tapeplat archive repair takes it away", err=True)


def _taken(entry: Entry | Unreadable) -> str:
    return f"{entry.taken:%Y-%m-%d}" if entry.taken else "  no date "


def _team(entry: Entry | Unreadable) -> str:
    """The team's own name, where the id has lost letters of it."""
    from tapeplat.archive.storage.entry import Entry, team_name

    lost = isinstance(entry, Entry) and not entry.team.isascii()
    return f"  ({team_name(entry.team)})" if isinstance(entry, Entry) and lost else ""


def _link(entry: Entry | Unreadable) -> str:
    return "  (a link: what it leads to stays)" if entry.folder.is_symlink() else ""


def _tally(entry: Entry | Unreadable) -> str:
    from tapeplat.archive.archive_pages import verdicts_said
    from tapeplat.archive.storage.entry import Entry

    return verdicts_said(entry) if isinstance(entry, Entry) else "cannot be read"


def deleted(
    lines: Sequence[str],
    delete: Callable[[], Sequence[Entry | Unreadable]],
    *,
    yes: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Ask, delete, and say how many went."""
    if not lines:
        tell("there is nothing to do", as_json=as_json, quiet=quiet, content=tuple)
        return
    agreed(lines, "delete for good", yes=yes, as_json=as_json, quiet=quiet)
    gone = delete()
    tell(f"{len(gone)} deleted for good", as_json=as_json, quiet=quiet, content=lambda: gone)


def uncounted(damaged: int) -> list[str]:
    """The warning that goes with figures where so many attempts cannot be read; none where all can."""
    do = "tapeplat archive verify says what is wrong in a school's"
    return [f"{counted(damaged)} cannot be read and {'is' if damaged == 1 else 'are'} not counted; {do}"] * bool(
        damaged
    )
