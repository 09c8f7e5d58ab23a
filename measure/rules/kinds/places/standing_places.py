"""What rules share about where structures stand: their footprints as claims, and what is not known of others."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

from measure.plat.measures import Measures
from measure.plat.relations.footprints import footprint_name, with_footprints
from measure.rules.kinds.places.zone_gaps import depth_claim, touch_gap
from measure.rules.rule import Rule
from measure.rules.rule_context import Context
from measure.rules.verdict import Claim, Unknown

NO_FOOTPRINTS = "where structures stand is measured from two or three photos of the model"


@dataclass(frozen=True)
class Standing:
    """One structure's footprint: its number, the zone that most of it stands in, and the measures that know it."""

    number: int
    zone: str | None
    measures: Measures

    @property
    def name(self) -> str:
        """What the measures call it."""
        return footprint_name(self.number)

    @property
    def over(self) -> tuple[str, ...]:
        """The zone that a finding about it names."""
        return (self.zone,) if self.zone else ()


def of_each(rule: Rule, context: Context, claim: Callable[[Standing], Claim | Unknown]) -> tuple[Claim | Unknown, ...]:
    """What holds of every structure in the rule's zones, or everywhere; and what is not known of others."""
    zones = rule.subject.names
    if context.structures is None:
        return (Unknown(NO_FOOTPRINTS, zones),)
    return tuple(_parts(zones or (None,), context, claim))


def _parts(
    zones: tuple[str | None, ...], context: Context, claim: Callable[[Standing], Claim | Unknown]
) -> Iterator[Claim | Unknown]:
    assert context.structures is not None
    measures = with_footprints(context.measures)
    for zone in zones:
        found = context.structures.footprints(zone)
        yield from (claim(Standing(number, own, measures)) for number, own in found.known)
        if found.more:
            yield Unknown(found.more, (zone,) if zone else ())


def on_zone(standing: Standing, zone: str, context: Context) -> Claim | Unknown:
    """That a structure keeps off a zone."""
    missing = context.missing((zone,))
    found = None if missing else standing.measures.overlap(standing.name, zone)
    if missing or found is None:
        return missing or Unknown("whether a structure stands on {} is not known", (zone,))
    over = tuple(dict.fromkeys((*standing.over, zone)))
    made = depth_claim(found, (-touch_gap(context), None), over, "gap", context, label="{} of a structure")
    return replace(made, marks=tuple(replace(mark, pieces=((zone, 1),)) for mark in made.marks))
