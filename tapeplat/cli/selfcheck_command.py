"""`tapeplat selfcheck`: one line on how far measurements with this phone and this printer can be trusted."""

from __future__ import annotations

import math
from pathlib import Path
from typing import TYPE_CHECKING

import click

if TYPE_CHECKING:
    from tapeplat.lens.selfcheck import OutlineCheck, SelfCheck

_FILE = click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)
NOMINAL = (100.0, 80.0)
PLAUSIBLE = 0.1
"""No usable print's lines are off by more than this share."""
Lines = tuple[float | None, float | None]


def _lines(context: click.Context, parameter: click.Parameter, text: str) -> Lines:
    """One or two lengths in mm."""
    try:
        lengths = [float(part) for part in text.replace(",", " ").split()]
    except ValueError:
        lengths = []
    if not text:
        return None, None
    if not 1 <= len(lengths) <= 2:
        raise click.BadParameter("give the lines' lengths in mm as a ruler shows them, along and up, such as 99.5,79.6")
    for length, nominal in zip(lengths, NOMINAL, strict=False):
        if not abs(length / nominal - 1) < PLAUSIBLE:
            raise click.BadParameter(f"{length:g} mm is not near {nominal:g} mm; measure that line again, in mm")
    return lengths[0], lengths[1] if len(lengths) == 2 else None


@click.command()
@click.argument("photo", type=_FILE)
@click.option(
    "--printed-line", default="", metavar="ALONG[,UP]", callback=_lines,
    help="Lengths in mm of the card's check lines (100 and 80 long) as a ruler shows them on this print.",
)  # fmt: skip
@click.option("--all", "everything", is_flag=True, help="Show every outline, too.")
def selfcheck(photo: Path, printed_line: Lines, everything: bool) -> None:
    """Say how far to trust results, from a photo of the self-check sheet.

    PHOTO shows the whole printed sheet (sheets --only selfcheck), flat on a table that is darker than paper.
    """
    from tapeplat.lens.lens_store import read_photo_with_profile, stored
    from tapeplat.lens.selfcheck import self_check

    check = self_check(read_photo_with_profile(photo, stored()), printed_line)
    click.echo(verdict(check, printed_line))
    for outline in check.outlines if everything else ():
        click.echo(_one(outline))


def verdict(check: SelfCheck, printed_line: Lines) -> str:
    """The one line."""
    area, length = _worst(check)
    if not check.as_claimed:
        lens = "" if check.lens_from else "; if that does not help, make a lens profile (tapeplat lens)"
        return (
            f"areas are off by up to {area} %, lengths by up to {length} mm, more than the program claims: lay the "
            f"sheet flat, photograph it sharp and from straight above{lens}"
        )
    if check.print_is_off and check.paper is not None:
        return _print_off(check.paper.scale, printed_line)
    agree = f"areas agree within {area} %, lengths within {length} mm"
    if check.paper is None:
        return (
            f"{agree}: as good as the program claims, if the check lines are as long as stated (the paper's edges do "
            "not show, so measure the lines with a ruler)"
        )
    off = _up(100 * abs(check.paper.scale - 1), 1)
    return f"{agree}, the paper's size within {off} %: as good as the program claims"


def _print_off(scale: float, printed_line: Lines) -> str:
    """The paper tells that the check lines are not as long as stated or assumed."""
    percent = 100 * (scale**2 - 1)
    way = "large" if percent > 0 else "small"
    stated = [length or nominal for length, nominal in zip(printed_line, NOMINAL, strict=True)]
    likely = " and ".join(f"{length / scale:.1f}" for length in stated)
    return (
        f"areas come out {abs(percent):.1f} % too {way} everywhere: measure the check lines again and set printed_line "
        f"(by the paper's size they are about {likely} mm long)"
    )


def _worst(check: SelfCheck) -> tuple[str, str]:
    area = max(abs(o.area) for o in check.outlines)
    length = max(float(abs(o.sides).max()) for o in check.outlines)
    return _up(100 * area, 1), _up(length, 1)


def _up(value: float, places: int) -> str:
    """Rounded up, so that "within" holds."""
    return f"{max(1, math.ceil(value * 10**places - 1e-9)) / 10**places:.{places}f}"


def _one(outline: OutlineCheck) -> str:
    sides = ", ".join(f"{d:+.1f}" for d in outline.sides)
    u95 = _up(200 * outline.u_area, 1)
    return f"  {outline.name}: area {100 * outline.area:+.1f} % (the program claims {u95} %), sides {sides} mm"
