"""Filling the index from the schools' files: only what is new or changed is read, all else stays or goes.

Readers see what was there before until all is filled; only one fills at a time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from measure.errors import InputMistakes, Mistake
from tapeplat.archive.storage.checksums import SUMS
from tapeplat.archive.storage.entry import RECORD, RESULT, DamagedRecord
from tapeplat.district import index_tables
from tapeplat.district.filed_attempt import can_be_shown, read_filed, shown
from tapeplat.district.index_connection import Connection, connected
from tapeplat.district.schools import Schools

_LOCK = 7_283_746
"""Any number that no other program of this database is likely to lock."""


@dataclass(frozen=True)
class Filled:
    """What came of filling: attempts in the index now, read anew, gone from it, and those that cannot be read.

    damaged says of each of those where it lies and what is wrong; schools are the folders' names.
    """

    attempts: int
    read: int
    gone: int
    damaged: tuple[str, ...]
    schools: tuple[str, ...]

    @property
    def unreadable(self) -> int:
        """How many cannot be read."""
        return len(self.damaged)


def fill(schools: Schools, database: str, *, anew: bool = False) -> Filled:
    """Bring the index up to date, or make it anew. Raises InputMistakes where the database cannot be used."""
    with connected(database, writes=True) as connection:
        with connection.transaction():
            connection.execute("SELECT pg_advisory_xact_lock(%s)", (_LOCK,))
            if anew or form_of(connection) != index_tables.FORM:
                if not anew:
                    _check_nobody_elses(connection)
                _make_tables(connection)
            else:
                _check_same_folder(schools, connection)
            done = _filled(schools, connection)
        if done.read or done.gone:
            if done.gone:  # what was deleted would stay in the tables' files
                connection.execute("VACUUM FULL tapeplat.attempts, tapeplat.rules, tapeplat.unreadable")
            connection.execute("VACUUM ANALYZE tapeplat.attempts, tapeplat.challenges, tapeplat.rule_counts")
        return done


def form_of(connection: Connection) -> int:
    """The form of the tables that are there; 0 where there are none."""
    ours = "attrelid = to_regclass('tapeplat.about') AND attname IN ('form', 'root', 'filled')"
    there = connection.execute(f"SELECT count(*) FROM pg_attribute WHERE {ours}".encode()).fetchone()
    if there is None or there[0] != len(("form", "root", "filled")):
        return 0
    found = connection.execute("SELECT form FROM tapeplat.about").fetchone()
    return int(found[0]) if found else 0


def _check_nobody_elses(connection: Connection) -> None:
    """Raise InputMistakes where a schema has the index's name, but is none."""
    there = connection.execute("SELECT to_regnamespace('tapeplat')").fetchone()
    if there is not None and there[0] is not None and not form_of(connection):
        what = "this database has a schema `tapeplat` that is no index of Tapeplat"
        do = "name another database; --anew drops that schema with all that is in it"
        raise InputMistakes([Mistake("--database", what, do)])


def _make_tables(connection: Connection) -> None:
    """Make the tables anew; whoever might read the former ones may read these."""
    rights = connection.execute(index_tables.READERS.encode()).fetchall()
    connection.execute(index_tables.TABLES.encode())
    for table, grant in rights:
        if table is None or connection.execute("SELECT to_regclass(%s)", (table,)).fetchone() != (None,):
            connection.execute(str(grant).encode())


def _filled(schools: Schools, connection: Connection) -> Filled:
    stamps = schools.stamps()
    known: dict[str, str] = dict(connection.execute("SELECT folder, stamp FROM tapeplat.attempts").fetchall())
    fresh = [folder for folder, stamp in stamps.items() if known.get(folder) != stamp]
    gone = [folder for folder in known if folder not in stamps]
    changed = [folder for folder in fresh if folder in known]
    connection.execute("DELETE FROM tapeplat.attempts WHERE folder = ANY(%s)", ([*gone, *changed],))
    damaged = _copied(schools, connection, {folder: stamps[folder] for folder in fresh})
    damaged |= {shown(folder): _lacking(folder) for folder in schools.folders() if folder not in stamps}
    connection.execute("DELETE FROM tapeplat.unreadable")
    with connection.cursor().copy("COPY tapeplat.unreadable (folder) FROM STDIN") as copy:
        for folder in damaged:
            copy.write_row((folder,))
    if gone or changed:
        used = "SELECT DISTINCT unnest(rules) FROM tapeplat.attempts"
        connection.execute(f"DELETE FROM tapeplat.rules WHERE rule NOT IN ({used})".encode())
    connection.execute("REFRESH MATERIALIZED VIEW tapeplat.challenges")
    connection.execute("REFRESH MATERIALIZED VIEW tapeplat.rule_counts")
    connection.execute("DELETE FROM tapeplat.about")
    about = (index_tables.FORM, str(schools.root.resolve()))
    connection.execute("INSERT INTO tapeplat.about VALUES (%s, %s, now())", about)
    attempts = len(known) - len(gone) - len(changed) + len(fresh) - sum(folder in stamps for folder in damaged)
    return Filled(attempts, len(fresh), len(gone) + len(changed), tuple(damaged.values()), schools.names)


def _check_same_folder(schools: Schools, connection: Connection) -> None:
    """Raise InputMistakes where attempts would go from the index only because another folder was named."""
    of = connection.execute("SELECT root FROM tapeplat.about").fetchone()
    if of is None or of[0] == str(schools.root.resolve()):
        return
    known = [folder for (folder,) in connection.execute("SELECT folder FROM tapeplat.attempts").fetchall()]
    gone = len(set(known) - set(schools.folders()))
    if gone:
        what = f"the index in this database is of {of[0]}, and {gone} of its {len(known)} attempts are not in here"
        do = "name that folder, or make the index of this one with --anew"
        raise InputMistakes([Mistake(f"--schools {schools.root}", what, do)])


def _lacking(folder: str) -> str:
    if not can_be_shown(folder):
        return f"{shown(folder)}: a folder's name has signs that are no letters; give it another name"
    return f"{folder}: {SUMS}, {RECORD} or {RESULT} cannot be read"


def _copied(schools: Schools, connection: Connection, fresh: dict[str, str]) -> dict[str, str]:
    """Read these attempts into the table; what is wrong with those that cannot be read, by folder."""
    rules = _Rules(connection.execute("SELECT rule, text FROM tapeplat.rules").fetchall())
    damaged = {}
    with connection.cursor().copy(f"COPY tapeplat.attempts ({index_tables.COLUMNS}) FROM STDIN".encode()) as copy:
        for folder, stamp in fresh.items():
            try:
                filed = read_filed(schools.root, folder)
            except DamagedRecord as error:
                damaged[folder] = str(error)
                continue
            copy.write_row(index_tables.row(filed, stamp, rules.number))
    with connection.cursor().copy("COPY tapeplat.rules (rule, key, text) FROM STDIN") as copy:
        for number, key, text in rules.new:
            copy.write_row((number, key, text))
    return damaged


@dataclass
class _Rules:
    """The numbers of rules by their texts; new are those that the table lacks."""

    known: Sequence[tuple[int, str]]
    new: list[tuple[int, str, str]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._numbers = {text: number for number, text in self.known}
        self._last = max(self._numbers.values(), default=0)

    def number(self, key: str, text: str) -> int:
        """A rule's number, the next one where it has none."""
        if text not in self._numbers:
            self._last += 1
            self._numbers[text] = self._last
            self.new.append((self._last, key, text))
        return self._numbers[text]
