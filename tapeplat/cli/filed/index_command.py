"""`tapeplat archive index` and `statistics`: the archives of many schools."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import click

from tapeplat.cli.common.attempt_lines import counted, uncounted
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.schools_options import chosen_options, fill_index, schools_at, schools_option, schools_options
from tapeplat.cli.common.telling import reporting_options, tell

_TOLD = 3
"""Damaged attempts that are named in a warning."""


@click.command(cls=OwnCommand)
@schools_option
@click.option("--database", metavar="URL", help="The PostgreSQL database, such as postgresql://localhost/district.")
@click.option("--anew", is_flag=True, help="Make it anew: of another folder, or where nothing is filed any more.")
@reporting_options
def index(schools: Path | None, database: str | None, anew: bool, as_json: bool, quiet: bool) -> None:
    """Index many schools' archives in a PostgreSQL database, or bring the index up to date.

    The files stay the truth: the index holds nothing else, and is made from them at any time. It lies in the database's
    schema `tapeplat`, beside whatever else is there.
    """
    if schools is None or database is None:
        raise click.UsageError("name the folder of all schools with --schools DIR and the database with --database URL")
    from tapeplat.district.filed_attempt import alike

    done = fill_index(schools, database, anew=anew)
    text = f"{counted(done.attempts)} indexed: {done.read} read, {done.gone} former ones gone"
    more = ["and more; tapeplat archive verify names all in a school's"] if done.unreadable > _TOLD else []
    wrong = "; ".join([*done.damaged[:_TOLD], *more])
    warnings = [f"{counted(done.unreadable)} cannot be read: {wrong}"] if wrong else []
    warnings += alike(done.schools)
    numbers = {"attempts": done.attempts, "read": done.read, "gone": done.gone, "unreadable": done.unreadable}
    content = {**numbers, "warnings": warnings}
    tell(text, warnings=warnings, as_json=as_json, quiet=quiet, content=lambda: content)


@click.command(cls=OwnCommand)
@schools_options
@chosen_options
@click.option("--challenge", metavar="TITLE", help="Only this challenge.")
@click.option("--rules", is_flag=True, help="Rule by rule: how many teams met it with their last attempt.")
@click.option("--csv", "as_csv", is_flag=True, help="Print the table for a spreadsheet.")
@reporting_options
def statistics(
    schools: Path | None,
    database: str | None,
    school: str | None,
    year: int | None,
    challenge: str | None,
    rules: bool,
    as_csv: bool,
    as_json: bool,
    quiet: bool,
) -> None:
    """Count teams, attempts and rules met by school, year and challenge.

    A table for your own desk: small counts stand in it. What may be published is made by tapeplat report --district.
    """
    from tapeplat.district.figures_words import aligned, challenges_table, rules_table
    from tapeplat.district.filed_attempt import Choice
    from tapeplat.output.spreadsheet import csv_text

    choice = Choice(school, year, challenge)
    found: Sequence[object]
    with schools_at(schools, database) as known:
        if rules:
            of_rules = known.rules(choice)
            found, table = of_rules, rules_table(of_rules)
        else:
            of_challenges = known.challenges(choice)
            found, table = of_challenges, challenges_table(of_challenges)
        where, damaged = known.where, known.damaged()
    warnings = uncounted(damaged)
    if as_csv and not as_json:
        click.echo(csv_text(table), nl=False)
        tell("", warnings=warnings, quiet=True)
        return
    last = where if found else f"nothing of that is filed in {where}"
    whole = {"figures": found, "unreadable": damaged, "warnings": warnings}
    tell(aligned(table), warnings=warnings, last=last, as_json=as_json, quiet=quiet, content=lambda: whole)
