"""`tapeplat verify`: children's hand measurements beside the photo's."""

from __future__ import annotations

from pathlib import Path

import click

import tapeplat
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import json_text, reporting_options, tell


@click.command("verify", cls=OwnCommand)
@click.argument("results", nargs=-1, type=Given("result", later=True), metavar="RESULT [RESULT ...]")
@click.argument("hand", required=False, type=Given("hand"), metavar="HAND.csv")
@click.option("--out", type=click.Path(file_okay=False, path_type=Path), help="Folder for the pages and tables.")
@click.option("--reveal", is_flag=True, help="Show the photo's values on the teams' pages, too.")
@click.option(
    "--same-ruler", is_flag=True, help="The class measures with the ruler that the card's printed lines were read with."
)
@click.option(
    "--template", type=Given("challenge"), metavar="CHALLENGE", help="Write an empty table for this challenge instead."
)
@reporting_options
def verify(
    results: tuple[Path, ...],
    hand: Path | None,
    out: Path | None,
    reveal: bool,
    same_ruler: bool,
    template: Path | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Compare what children measured by hand with the photo; find likely mistakes.

    RESULT is a team's result.json or its folder; HAND.csv holds the measurements of one team or of the whole class.
    With --out a page for each team (agrees, or look again with a hint), a page for the teacher, hand.csv and hand.json
    are written. --template prints the empty table, or writes it as hand-measurements.csv into --out's folder.
    """
    from tapeplat.verify.hand_files import hand_json
    from tapeplat.verify.hand_teacher_page import summary_lines

    if template is not None:
        if results or hand:
            raise click.UsageError("--template takes a challenge and no other files")
        _write_template(template, out, as_json=as_json, quiet=quiet)
        return
    if not results or hand is None:
        raise click.UsageError("name a result.json (or several) and then the CSV file with the hand measurements")
    done = tapeplat.compare_hand(results, hand, same_ruler=same_ruler)
    if out is not None:
        done.save(out, reveal=reveal)
    tell(
        "\n".join(summary_lines(done.rows)),
        warnings=done.warnings,
        last="" if out is None else f"pages: {out}; teacher.html is yours, each team's page is for the team",
        as_json=as_json,
        quiet=quiet,
        content=lambda: hand_json(done.rows),
    )


def _write_template(challenge: Path, out: Path | None, *, as_json: bool, quiet: bool) -> None:
    """The empty table into a folder, or where there is none as the report itself."""
    from tapeplat.output.result_folder import write_folder
    from tapeplat.verify.hand_template import template

    text = template(tapeplat.read_challenge(challenge))
    if out is None:
        click.echo(json_text({"table": text}) if as_json else text.replace("\r\n", "\n"), nl=as_json)
        return
    name = "hand-measurements.csv"
    write_folder(out, {name: text.encode("utf-8-sig")})
    said = f"table: {out / name}; fill it in, then tapeplat verify RESULT {name}"
    tell(said, as_json=as_json, quiet=quiet, content=lambda: {"file": out / name})
