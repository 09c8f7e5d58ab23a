"""`tapeplat report --district`: how many teams met each rule, by school and year, fit to be published."""

from __future__ import annotations

import os
import random
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import click

from tapeplat.cli.common.attempt_lines import uncounted
from tapeplat.cli.common.schools_options import schools_at, schools_options
from tapeplat.cli.common.telling import tell
from tapeplat.cli.common.whole_number import WholeNumber

USUAL = 10
_LEAST = 3


@dataclass(frozen=True)
class DistrictWishes:
    """What was asked for beside the folder; all of it goes with --district alone."""

    schools: Path | None
    database: str | None
    threshold: int | None
    school_names: bool
    key: Path | None

    @property
    def any(self) -> bool:
        """Whether anything was."""
        return any(one not in (None, False) for one in vars(self).values())


class TeamResults(click.Argument):
    """RESULT..., which may be missing where --district stands in the line."""

    def value_is_missing(self, value: Any) -> bool:
        """Whether it is missing though it is needed."""
        return not click.get_current_context().params.get("district") and super().value_is_missing(value)

    def type_cast_value(self, ctx: click.Context, value: Any) -> Any:
        """The results' paths; a folder of schools' archives that stands where a result belongs is told its place."""
        if ctx.params.get("district") and value:
            where = " ".join(map(str, value))
            raise click.UsageError(f"the folder of the schools' archives goes behind --schools: --schools {where}")
        return super().type_cast_value(ctx, value)


def district_options(function: Callable[..., Any]) -> Callable[..., Any]:
    """The options of a district's report."""
    key = "With --district: write which number is whose school's, as CSV, for the district alone."
    function = click.option("--key", type=click.Path(dir_okay=False, path_type=Path), metavar="FILE", help=key)(
        function
    )
    names = "With --district: the schools' names in place of numbers."
    function = click.option("--school-names", is_flag=True, help=names)(function)
    least = f"With --district: counts below it are hidden; {USUAL} without it."
    function = click.option("--threshold", type=WholeNumber(_LEAST, 1000), help=least)(function)
    function = schools_options(function)
    what = "Count teams by rule, school and year, without names of teams; --out is a folder."
    return click.option("--district", is_flag=True, is_eager=True, help=what)(function)


def write_district(out: Path, wishes: DistrictWishes, *, as_json: bool, quiet: bool) -> None:
    """Write the district's files, and the key where it is asked for."""
    from tapeplat.district.disclosure import published
    from tapeplat.district.district_pages import PAGE, district_files, key_table, numbered, own_names
    from tapeplat.district.filed_attempt import Choice, alike
    from tapeplat.output.result_folder import write_folder

    if wishes.key is not None and out.resolve() in wishes.key.resolve().parents:
        raise click.UsageError(f"--key {wishes.key}: the key lies in no folder that is published; name another place")
    if out.is_file() or out.suffix.casefold() in (".pdf", ".svg", ".html", ".csv"):
        raise click.UsageError(f"--out {out.name}: with --district it is a folder, for a page and a table")
    threshold = USUAL if wishes.threshold is None else wishes.threshold
    with schools_at(wishes.schools, wishes.database) as known:
        damaged, as_of = known.damaged(), known.as_of
        rows = published(known.rules(Choice()), known.challenges(Choice()), threshold)
    names = sorted({row.school for row in rows if row.school})
    called = own_names(names) if wishes.school_names else numbered(names, random.SystemRandom().shuffle)
    files = district_files(rows, called, threshold, damaged, as_of)
    warnings = [*uncounted(damaged), *alike(names), *_other_edition(out, files)]
    write_folder(out, files)
    if wishes.key is not None:
        with _for_oneself():
            write_folder(wishes.key.parent, {wishes.key.name: key_table(called)})
    shown = sum(row.met is not None for row in rows)
    schools = f"{len(names)} {'school' if len(names) == 1 else 'schools'}"
    text = f"{schools} as of {as_of}; {shown} of {len(rows)} counts shown, the others hidden"
    counts = {"counts": len(rows), "shown": shown, "threshold": threshold, "unreadable": damaged}
    content = {"folder": out, "as_of": as_of, "schools": len(names), **counts, "warnings": warnings}
    tell(text, warnings=warnings, last=f"page: {out / PAGE}", as_json=as_json, quiet=quiet, content=lambda: content)


def _other_edition(out: Path, files: Mapping[str, bytes]) -> list[str]:
    """A warning where the folder holds other figures: of two editions one can be subtracted from the other."""
    from tapeplat.district.district_pages import TABLE, counts_in

    try:
        before = (out / TABLE).read_bytes()
    except OSError:
        return []
    if counts_in(before) == counts_in(files[TABLE]):
        return []
    return [f"{out} held other figures: where those are published, hidden counts may be had by subtraction from these"]


@contextmanager
def _for_oneself() -> Iterator[None]:
    """Let nobody else of this computer read what is written, where the system knows such a thing."""
    before = os.umask(0o077)
    try:
        yield
    finally:
        os.umask(before)
