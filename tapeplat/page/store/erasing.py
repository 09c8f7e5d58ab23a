"""Erasing a team or a class from the page's file for good: rows, the room that they leave, and the log of changes."""

from __future__ import annotations

from tapeplat.page.store.database import Database

_BY_NUMBER = ("hand_entry", "more_tries", "plan", "visit")
_BY_TEXT = ("structures", "job")
"""Tables in which a team stands as text; photos go with their jobs."""


def erase_team(database: Database, challenge: str, team: str) -> None:
    """Erase all that a team of a challenge's class typed, sent and was called; photos of no team, where it is empty."""
    with database.write() as connection:
        for table in _BY_TEXT:
            connection.execute(f"DELETE FROM {table} WHERE challenge = ? AND team = ?", (challenge, team))
        if team.isdigit():  # 0 stands in these tables for browsers that are in no team, such as phones
            for table in _BY_NUMBER:
                connection.execute(f"DELETE FROM {table} WHERE challenge = ? AND team = ?", (challenge, int(team)))
            connection.execute("DELETE FROM team WHERE challenge = ? AND number = ?", (challenge, int(team)))
    database.forget_what_was()


def erase_class(database: Database, challenge: str) -> None:
    """Erase a challenge's class with all its teams; who opens the challenge's pages next makes a new, empty one."""
    with database.write() as connection:
        for table in (*_BY_NUMBER, *_BY_TEXT, "team", "upload_key", "class"):
            connection.execute(f"DELETE FROM {table} WHERE challenge = ?", (challenge,))
    database.forget_what_was()


def erase_attempts(database: Database, ids: list[str]) -> None:
    """Erase what was sent for attempts that are erased: their photos' rows, their numbers."""
    with database.write() as connection:
        for name in ids:
            connection.execute("DELETE FROM job WHERE entry = ?", (name,))
            connection.execute("DELETE FROM hand_entry WHERE attempt = ?", (name,))
            connection.execute("DELETE FROM more_tries WHERE attempt = ?", (name,))
    database.forget_what_was()
