"""The connection to the database that holds the index; what goes wrong there in the words of whoever runs it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import psycopg

from measure.errors import InputMistakes, Mistake

_PATIENCE = 10
"""Seconds to wait for a server that does not answer."""

Connection = psycopg.Connection[tuple[Any, ...]]


@contextmanager
def connected(address: str, *, writes: bool = False) -> Iterator[Connection]:
    """A connection, closed at the end. Raises InputMistakes where the database cannot be used; no password is said."""
    with _in_words(writes=writes):
        try:
            connection = psycopg.connect(address, connect_timeout=_PATIENCE, autocommit=True, client_encoding="utf8")
        except psycopg.ProgrammingError as error:
            what = "this is no address of a PostgreSQL database"
            raise _mistake(what, "write it as postgresql://HOST/NAME") from error
        try:
            if not writes:
                connection.execute("SET default_transaction_read_only = on")
            yield connection
        finally:
            connection.close()


@contextmanager
def _in_words(*, writes: bool) -> Iterator[None]:
    """Raises InputMistakes in place of what the database raises."""
    try:
        yield
    except psycopg.errors.UndefinedTable as error:
        raise not_indexed("there is no index in this database") from error
    except psycopg.errors.InsufficientPrivilege as error:
        may_read = "GRANT USAGE ON SCHEMA tapeplat TO ...; GRANT SELECT ON ALL TABLES IN SCHEMA tapeplat TO ..."
        do = f"let it read the index: {may_read}"
        if writes:
            do = "the index belongs to whoever made it, who needs GRANT CREATE ON DATABASE ... TO ... for the first one"
        raise _mistake("this user may not do that in the database", do) from error
    except psycopg.errors.ReadOnlySqlTransaction as error:
        do = "index into the database that this one is a copy of, or have its owner allow writing"
        raise _mistake("this database can only be read", do) from error
    except psycopg.OperationalError as error:
        what = f"the database cannot be used: {_first_line(error) or 'it does not answer'}"
        raise _mistake(what, "is the server running, and are name and user right?") from error
    except psycopg.Error as error:
        do = "make the index anew with tapeplat archive index --anew"
        raise _mistake(f"the database refused: {_first_line(error)}", do) from error


def not_indexed(what: str) -> InputMistakes:
    """That there is nothing to ask."""
    return _mistake(what, "make it with tapeplat archive index --schools DIR --database URL")


def _mistake(what: str, do: str) -> InputMistakes:
    return InputMistakes([Mistake("--database", what, do)])


def _first_line(error: psycopg.Error) -> str:
    return next(iter(str(error).strip().splitlines()), "")
