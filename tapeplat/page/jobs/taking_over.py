"""Attempts that no class owns: those that older versions filed under a title alone, and those that came another way.

An older version knew a class's attempts by the challenge's title.  What its own lists say is taken over once, at the
start; where two classes had one title and nothing says whose an attempt is, nobody gets it, and the teacher is asked.
"""

from __future__ import annotations

import logging
from collections.abc import Iterable

from measure.errors import InputMistakes
from tapeplat.archive import Archive, Entry
from tapeplat.archive.storage.folder_names import same_key
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.store.challenges import Challenges
from tapeplat.page.store.classes import Classes
from tapeplat.page.store.database import Database

_LOG = logging.getLogger(__name__)
_DONE = "attempts taken over"


def take_over_once(database: Database, challenges: Challenges, classes: Classes, archive: Archive) -> None:
    """Give the classes of an older version's page what they own; where the archive cannot be written, the next time."""
    done = database.read().execute("SELECT value FROM setting WHERE name = ?", (_DONE,)).fetchone()
    if done is not None:
        return
    try:
        for slug, entries in _owned(database, challenges, archive).items():
            archive.give_to_class(entries, classes.of(slug).id)
    except (FolderNotWritable, InputMistakes) as fault:
        _LOG.warning("attempts of an older version are not given to their classes yet: %s", fault)
        return
    with database.write() as connection:
        connection.execute("INSERT OR REPLACE INTO setting VALUES (?, 'yes')", (_DONE,))


def unowned(archive: Archive, classes: Classes, title: str) -> list[Entry]:
    """Attempts under this title that no class of this page owns."""
    return [entry for entry in archive.entries(title) if classes.with_id(entry.class_id) is None]


def _owned(database: Database, challenges: Challenges, archive: Archive) -> dict[str, list[Entry]]:
    """By challenge, the attempts without an owner that are its class's: as lists say, else by a title of its own."""
    listed = _listed(database)
    titles: dict[str, list[str]] = {}
    for stored in challenges.all():
        titles.setdefault(same_key(stored.title), []).append(stored.slug)
    found: dict[str, list[Entry]] = {}
    for entry in (*archive.entries(), *archive.removed()):
        of_title = titles.get(same_key(entry.title), [])
        slugs = listed.get(entry.id) or (of_title if len(of_title) == 1 else [])
        if not entry.class_id and len(slugs) == 1:
            found.setdefault(slugs[0], []).append(entry)
    return found


def _listed(database: Database) -> dict[str, list[str]]:
    """By an attempt's id, the challenges whose photos or numbers it is of."""
    queries = (
        "SELECT DISTINCT entry, challenge FROM job WHERE entry <> ''",
        "SELECT DISTINCT attempt, challenge FROM hand_entry WHERE attempt <> ''",
    )
    # Photos say it for sure; numbers were compared with an attempt of the title, so they count where no photo does.
    found: dict[str, list[str]] = {}
    for query in queries:
        for entry, slugs in _grouped(database.read().execute(query)).items():
            found.setdefault(entry, slugs)
    return found


def _grouped(rows: Iterable[tuple[str, str]]) -> dict[str, list[str]]:
    grouped: dict[str, list[str]] = {}
    for entry, slug in rows:
        grouped.setdefault(entry, []).append(slug)
    return grouped
