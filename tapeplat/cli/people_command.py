"""`tapeplat people`: how many people each zone's structures hold, and what is missing for a larger number."""

from __future__ import annotations

import math
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import TYPE_CHECKING

import click

from measure.units import LENGTH_UNITS, LengthUnit
from tapeplat.cli.common.given_files import Given
from tapeplat.cli.common.own_command import OwnCommand
from tapeplat.cli.common.telling import reporting_options, tell

if TYPE_CHECKING:
    from measure.quantity import Quantity
    from measure.structures.people import Building, Housing, More, Settlement, Taller, Wanted


def _positive(ctx: click.Context, param: click.Parameter, value: str | None) -> Fraction | None:
    """A number above 0 as people write it."""
    from measure.units import parse_number

    if value is None:
        return None
    try:
        number = parse_number(value)
    except ValueError as error:
        raise click.BadParameter(str(error)) from None
    if number <= 0:
        raise click.BadParameter(f"{value} is not above 0")
    return number


@click.command("people", cls=OwnCommand)
@click.argument("result", type=Given("result"))
@click.option("--per", required=True, metavar="NUMBER", callback=_positive, help="People per cubic unit, such as 12.")
@click.option("--unit", type=click.Choice(LENGTH_UNITS), help="The unit of --per; the challenge's where left out.")
@click.option("--wanted", metavar="NUMBER", callback=_positive, help="A number of people to reach.")
@click.option(
    "--storey", metavar="NUMBER", callback=_positive, help="Height of a storey, in the unit of --per; 1 where left out."
)
@reporting_options
def people(
    result: Path,
    per: Fraction,
    unit: LengthUnit | None,
    wanted: Fraction | None,
    storey: Fraction | None,
    as_json: bool,
    quiet: bool,
) -> None:
    """Say how many people the structures in each zone hold.

    RESULT is the result.json (or its folder) of a model that was measured or checked with --structures. With --wanted
    also the volume still missing for that many people, and what it is as more storeys or as more of what is there.
    """
    from measure.result.result import read_result
    from measure.result.settlement import settlement_of

    settlement = settlement_of(read_result(result))
    number = None if wanted is None else float(wanted)
    each, length = float(per), unit or settlement.unit
    tell(
        people_report(settlement, each, length, number, float(storey or 1)),
        as_json=as_json,
        quiet=quiet,
        content=lambda: people_values(settlement, each, length),
    )


def people_values(settlement: Settlement, density: float, unit: LengthUnit) -> dict[str, object]:
    """How many people each zone holds, as JSON has it; null where a volume is not known."""
    from measure.structures.people import people as held
    from measure.units import volume_to_mm3

    zones: list[dict[str, object]] = []
    for zone in settlement.zones:
        number = None if zone.volume is None else held(zone.volume, density / volume_to_mm3(1.0, unit))
        known = None if number is None else {"value": number.value, "u95": number.u95}
        zones.append({"zone": zone.zone, "people": known})
    return {"title": settlement.title, "team": settlement.team, "per": density, "unit": unit, "zones": zones}


def people_report(
    settlement: Settlement, density: float, unit: LengthUnit, wanted: float | None = None, storey: float = 1.0
) -> str:
    """How many people each zone holds at a density per cubic unit, and what a wanted number takes; plain text."""
    from measure.structures.people import together

    name = f"{settlement.title}, team {settlement.team}" if settlement.team else settlement.title
    lines = [f"{name}: {density:g} people per cubic {unit}", ""]
    everything = [*settlement.zones, together(settlement)] if len(settlement.zones) > 1 else [*settlement.zones]
    width = max(len(zone.zone) for zone in everything)
    lines += [f"{zone.zone:<{width}}  {_held(zone, density, unit)}" for zone in everything]
    if wanted is not None:
        lines += ["", f"For {wanted:g} people (a storey is taken as {storey:g} {unit} high)"]
        lines += [line for zone in everything for line in _for_more(zone, wanted, density, unit, storey)]
    return "\n".join(lines)


def _held(zone: Housing, density: float, unit: LengthUnit) -> str:
    from measure.structures.people import people as held
    from measure.structures.people import people_in_words
    from measure.units import volume_to_mm3

    if zone.volume is None:
        return "not known: the volume of a structure could not be told"
    if not zone.buildings:
        return "no structures"
    number = held(zone.volume, density / volume_to_mm3(1.0, unit))
    return f"{people_in_words(number)} in {_volume(zone.volume, unit)}"


def _for_more(zone: Housing, number: float, density: float, unit: LengthUnit, storey: float) -> Iterator[str]:
    from measure.structures.people import wanted
    from measure.units import to_mm, volume_to_mm3

    found = wanted(zone, number, density / volume_to_mm3(1.0, unit), to_mm(storey, unit))
    if found is None:
        yield f"  {zone.zone}: not known"
        return
    yield f"  {zone.zone}: {_need(found, unit)}"
    for at, way in enumerate(found.ways):
        yield f"    {'or' if at else 'as'} {_way(way, unit)}"


def _need(found: Wanted, unit: LengthUnit) -> str:
    if found.verdict == "met":
        return "enough"
    surely = _enough(found.surely, found.missing.u95, unit)
    if found.verdict == "too close to call":
        return f"too close to call; {surely} more would make sure"
    sure = f" ({surely} to be sure)" if found.missing.u95 > 0 else ""
    return f"not enough; {_volume(found.missing, unit)} more needed{sure}"


def _way(way: Taller | More, unit: LengthUnit) -> str:
    from measure.structures.people import Taller
    from measure.units import format_length

    if isinstance(way, Taller):
        each = " each" if way.building.count > 1 else ""
        storeys = "1 storey" if way.storeys == 1 else f"{way.storeys} storeys"
        by = format_length(way.by, unit, 0.05 * way.by)
        return f"{_named(way.building)} {by} taller{each}: {storeys} more"
    from measure.rules.solid_nouns import noun_of

    noun = noun_of(way.building.solid, one=way.count == 1)
    of = "those of " if way.building.solid == "cubes" else ""
    return f"{way.count} more {noun} like {of}{way.building.called}"


def _named(building: Building) -> str:
    from measure.rules.solid_nouns import noun_of

    noun = noun_of(building.solid, one=building.count == 1)
    return f"the {'' if building.count == 1 else f'{building.count} '}{noun} of {building.called}"


def _enough(volume: float, u95: float, unit: LengthUnit) -> str:
    """A volume in mm3 that is enough still when it is rounded to an uncertainty."""
    from measure.units import decimals, format_number, volume_from_mm3

    value, known = volume_from_mm3(volume, unit), volume_from_mm3(u95, unit)
    if known > 0:
        step = 10.0 ** -decimals(known)
        value = math.ceil(value / step * (1 - 1e-9)) * step
    return f"{format_number(value, known)} cubic {unit}"


def _volume(volume: Quantity, unit: LengthUnit) -> str:
    from measure.units import format_number, volume_from_mm3

    value, u95 = volume_from_mm3(volume.value, unit), volume_from_mm3(volume.u95, unit)
    sure = f" ± {format_number(u95, u95)}" if u95 > 0 else ""
    return f"{format_number(value, u95)}{sure} cubic {unit}"
