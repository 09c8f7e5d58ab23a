"""`--schools` and `--database`: many schools' archives, from their files or from an index of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from tapeplat.district.schools import SchoolsAnswers

_DIR = click.Path(file_okay=False, path_type=Path)


def schools_option(function: Callable[..., Any]) -> Callable[..., Any]:
    """The folder of all schools."""
    said = "A folder with an archive for each school, in a folder of the school's name."
    return click.option("--schools", metavar="DIR", type=_DIR, help=said)(function)


def schools_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Many schools, from their files or from their index."""
    said = "Ask the index in this PostgreSQL database, such as postgresql://localhost/district."
    return schools_option(click.option("--database", metavar="URL", help=said)(function))


def chosen_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """Which school and year are asked about."""
    function = click.option("--year", type=int, help="Only attempts photographed in this year.")(function)
    return click.option("--school", metavar="NAME", help="Only this school, as its folder is named.")(function)


@contextmanager
def schools_at(schools: Path | None, database: str | None) -> Iterator[SchoolsAnswers]:
    """What answers for many schools, their index or their files. Raises InputMistakes; click.UsageError for neither."""
    if database is not None:
        index = _needs_server()
        with index.connected(database) as connection:
            from tapeplat.district.school_index import SchoolIndex

            yield SchoolIndex(connection, schools)
    elif schools is not None:
        from tapeplat.district.schools import Schools

        yield Schools(schools)
    else:
        raise click.UsageError("name the folder of all schools with --schools DIR, or their index with --database URL")


def fill_index(schools: Path, database: str, *, anew: bool) -> Any:
    """Fill the index, as district.index_filling does. Raises InputMistakes."""
    _needs_server()
    from tapeplat.district.index_filling import fill
    from tapeplat.district.schools import Schools

    return fill(Schools(schools, none=anew), database, anew=anew)


def _needs_server() -> Any:
    """The module that connects. Raises InputMistakes where what it needs is not installed."""
    from measure.errors import InputMistakes, Mistake

    try:
        from tapeplat.district import index_connection
    except ImportError as missing:
        do = "install it with pip install '.[server]' in the folder of this program"
        raise InputMistakes([Mistake("--database", f"{missing.name or missing} is not installed", do)]) from None
    return index_connection
