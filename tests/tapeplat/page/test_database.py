"""The page's SQLite file: one writer, readers beside it, whole changes or none, older files brought up to date."""

from __future__ import annotations

import sqlite3
import threading
from pathlib import Path

import pytest

from tapeplat.page.store.database import Database
from tapeplat.page.store.schema import MIGRATIONS


@pytest.fixture
def database(tmp_path: Path) -> Database:
    return Database(tmp_path / "page.sqlite3")


def put(database: Database, name: str, value: str) -> None:
    with database.write() as connection:
        connection.execute("INSERT OR REPLACE INTO setting VALUES (?, ?)", (name, value))


def values(database: Database) -> dict[str, str]:
    return dict(tuple(row) for row in database.read().execute("SELECT name, value FROM setting"))


def test_a_change_that_fails_leaves_nothing(database: Database) -> None:
    def twice() -> None:
        with database.write() as connection:
            connection.execute("INSERT INTO setting VALUES ('a', '1')")
            connection.execute("INSERT INTO setting VALUES ('a', '2')")

    with pytest.raises(sqlite3.IntegrityError):
        twice()
    assert values(database) == {}
    put(database, "a", "3")
    assert values(database) == {"a": "3"}


def test_who_is_in_the_middle_of_reading_can_write(database: Database) -> None:
    for number in range(3):
        put(database, f"{number}", "x")
    half_read = database.read().execute("SELECT * FROM setting")
    half_read.fetchone()
    other = threading.Thread(target=put, args=(database, "other", "x"))
    other.start()
    other.join()
    put(database, "own", "x")
    assert len(half_read.fetchall()) == 2
    assert len(values(database)) == 5


def test_thirty_threads_write_and_read_at_once(database: Database) -> None:
    wrong: list[BaseException] = []

    def work(number: int) -> None:
        try:
            for turn in range(20):
                put(database, f"{number}-{turn}", "x")
                assert f"{number}-{turn}" in values(database)
        except BaseException as error:
            wrong.append(error)

    threads = [threading.Thread(target=work, args=(number,)) for number in range(30)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert wrong == []
    assert len(values(database)) == 600


def test_a_file_of_the_first_version_is_brought_up_to_date(tmp_path: Path) -> None:
    file = tmp_path / "page.sqlite3"
    with sqlite3.connect(file) as old:
        for statement in MIGRATIONS[0]:
            old.execute(statement)
        old.execute("INSERT INTO setting VALUES ('kept', 'yes')")
        old.execute("PRAGMA user_version = 1")
    old.close()
    database = Database(file)
    assert values(database) == {"kept": "yes"}
    assert database.read().execute("PRAGMA user_version").fetchone()[0] == len(MIGRATIONS)
    database.close()
