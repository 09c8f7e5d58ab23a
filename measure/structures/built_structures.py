"""All that stands on the land, as rules ask for it: a team's table, and what photos show, laid together.

A structure of both is one: it counts as the table says, or as the photos show it where the challenge has them judge.
What the table alone has, and what the photos alone show, counts as it is.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from measure.challenge import Judge
from measure.notices import Notice, Subject
from measure.plat.measures import Measures
from measure.plat.plat import Plat
from measure.plat.relations.footprints import zone_at, zones_under
from measure.quantity import Quantity
from measure.rules.rule_context import Built, Footprints, Heights
from measure.rules.verdict import Origin
from measure.structures.disagreements import Reader, disagreement_said
from measure.structures.pairing import Pair, apart, paired
from measure.structures.solid_volumes import SIZES
from measure.structures.standing import QUANTITIES, SOLID_OF, Seen, Standing, in_zone_of_table, of_row, of_seen, total
from measure.structures.structure_rows import Structure
from measure.structures.structures import TeamStructures

DOUBTFUL = "doubtful-structure"
"""The code of a notice on a place (facts x, y in mm) where something stands that the photos do not measure."""
LAID_TOGETHER = frozenset({"structures-disagree", "structure-not-in-table", "structures-not-all"})
"""The codes of the notices that are made here, anew each time."""
OPEN_LAND = frozenset({"land-hidden", "land-differs"})
"""The codes of notices on a place where more may stand than the photos show, with the photo that would tell."""
NO_MORE = "no-more-structures"
"""The code of the notice that the photos leave no doubt that no others stand there."""
_NOT_ALL = "the photos need not show all that stands there: say that they do, or give the table"
_ONE_MORE = "the photos need not show all that stands there: add the one that the warnings ask for, or say that they do"
_HIDDEN = "something stands there that the photos do not measure"


@dataclass(frozen=True, eq=False)
class BuiltStructures:
    """See measure.rules.rule_context.Structures. rows are the table's, None where none was given.

    open_zones says of zones, of None for the whole model, why more may stand there than is known.
    """

    standing: tuple[Standing, ...]
    rows: tuple[Structure, ...] | None
    seen: tuple[Seen, ...]
    pairs: tuple[Pair, ...]
    reader: Reader
    open_zones: dict[str | None, str] = field(default_factory=dict)
    open_land: str = ""
    notices: tuple[Notice, ...] = ()
    known: bool = True

    def count(self, zone: str | None, solid: str | None) -> Built:
        """How many structures there are. Unit cubes are counted one by one where they are asked for.

        Whether a rule about cubes means structures or unit cubes cannot be told where only unit cubes are there.
        """
        if not self.known:
            return Built(None, "how many structures there are is not known")
        there, more = self._in(zone), self._open(zone)
        if solid is None:
            return Built(Quantity(float(sum(one.pieces for one in there))), more)
        found = sum(one.count for one in there if one.solid == solid)
        if solid == "cube" and found == 0 and any(one.solid == "cubes" for one in there):
            return Built(None, "how many structures there are is not known")
        unsure = any(solid in one.may_be for one in there)
        return Built(Quantity(float(found)), more or (f"photos do not tell a {solid} from others" if unsure else ""))

    def different_solids(self, zone: str | None) -> Built:
        """How many different kinds of solids there are; unit cubes are cubes."""
        if not self.known:
            return Built(None, "how many different solids there are is not known")
        there = self._in(zone)
        kinds = {"cube" if one.solid == "cubes" else one.solid for one in there} - {"other"}
        unsure = any(set(one.may_be) - kinds for one in there)
        return Built(
            Quantity(float(len(kinds))), self._open(zone) or ("photos do not tell all solids apart" if unsure else "")
        )

    def heights(self, zone: str | None, solid: str | None) -> Heights:
        """The height of every row's structures: those of one row are equally tall, by the same reading."""
        if not self.known:
            return Heights((), "how tall the structures are is not known")
        there = [one for one in self._in(zone) if solid in (None, one.solid)]
        known = tuple(one.height for one in there if one.height is not None)
        some = "how tall some of the structures are is not known" if len(known) < len(there) else ""
        return Heights(known, some or self._open(zone))

    def volume(self, zone: str | None) -> Built:
        """The volume in mm3 of all structures together."""
        return self._sum("volume", zone, [one.volume for one in self._in(zone)])

    def surface(self, zone: str | None, *, sides_only: bool) -> Built:
        """The total (or lateral) surface in mm2 of all structures, each counted by itself, its base too."""
        parts = [one.side_surface if sides_only else one.surface for one in self._in(zone)]
        return self._sum("side surface area" if sides_only else "surface area", zone, parts)

    def footprints(self, zone: str | None) -> Footprints:
        """Of those that photos show; where one stands that only the table has is not known, but for its zone."""
        if not self.known:
            return Footprints((), "where the structures stand is not known")
        seen = [one for one in self.seen if zone in (None, one.zone)]
        there = tuple((one.number, one.zone) for one in seen if one.solid.kind != "other")
        marked = "of a marked structure only one edge's place is known" if len(there) < len(seen) else ""
        told = sum(1 for pair in self.pairs if zone in (None, pair.row.row.zone))
        rows = sum(row.pieces for row in self.rows or () if zone in (None, row.row.zone))
        unseen = "where some of the structures of the table stand is not known" if rows > told else ""
        return Footprints(there, unseen or marked or self._open(zone))

    def origins(self, zones: Sequence[str]) -> tuple[Origin, ...]:
        """Where the numbers come from; an empty table was filled in by hand, too."""
        there = {one.origin for one in self.standing if not zones or one.zone in zones}
        if not there:
            there = {"photos"} if self.rows is None else {"hand"}
        order: tuple[Origin, ...] = ("hand", "photos", "marked photo")
        return tuple(origin for origin in order if origin in there)

    def doubts(self, zones: Sequence[str]) -> tuple[str, ...]:
        """Every pair that does not agree, with both values."""
        there = ((pair, measure) for pair, measure in apart(self.pairs) if not zones or pair.row.row.zone in zones)
        return tuple(disagreement_said(pair, measure, self.reader) for pair, measure in there)

    def _sum(self, what: str, zone: str | None, parts: Sequence[Quantity | None]) -> Built:
        if not self.known:
            return Built(None, f"the {what} of the structures is not known")
        found, whole = total(parts)
        where = f" in {zone}" if zone else ""
        return Built(found, self._open(zone) if whole else f"the {what} of the structures{where} is not known")

    def _in(self, zone: str | None) -> tuple[Standing, ...]:
        return tuple(one for one in self.standing if zone in (None, one.zone))

    def _open(self, zone: str | None) -> str:
        whole = next(iter(self.open_zones.values()), "") if zone is None else self.open_zones.get(zone, "")
        return whole or self.open_land


def built_structures(
    table: TeamStructures | None, measures: Measures, judge: Judge, reader: Reader
) -> BuiltStructures | None:
    """Table and photos laid together; None where there is no table, and photos that could show structures neither."""
    plat = measures.plat
    if table is None and not plat.solids and not plat.solids_complete:
        return None
    known = table is not None and table.known
    rows = table.structures if table is not None and table.known else ()
    zones = zones_under(plat, plat.solids)
    both = enumerate(zip(zones, plat.solids, strict=True), 1)
    seen = tuple(Seen(number, zone, solid) for number, (zone, solid) in both)
    pairs = paired(rows, seen)
    first = measures.source_count() + (len(SIZES) + 1) * len(rows)
    shown = {one.number: of_seen(one, first + QUANTITIES * at) for at, one in enumerate(seen)}
    told = tuple(_standing(rows, seen, pairs, shown, judge))
    made = BuiltStructures(
        told,
        rows if known else None,
        seen,
        pairs,
        reader,
        open_zones={} if known else _hidden(plat),
        open_land="" if known or plat.solids_complete else _why_open(plat),
        known=known or bool(seen) or table is None,
    )
    notices = (*(table.notices if table else ()), *_notices(made))
    return replace(made, notices=notices)


def _standing(
    rows: Sequence[Structure], seen: Sequence[Seen], pairs: Sequence[Pair], shown: dict[int, Standing], judge: Judge
) -> Iterator[Standing]:
    """Every structure once: rows less those that the photos' value counts of, those, and what the photos alone show."""
    by_photos = [pair for pair in pairs if judge == "photos" and _measured(pair, shown)]
    for row in rows:
        taken = [pair for pair in by_photos if pair.row is row]
        if len(taken) < row.row.count or row.row.solid == "cubes":
            yield of_row(row, row.row.count - len(taken) if taken else None)
        yield from (in_zone_of_table(shown[pair.seen.number], row) for pair in taken)
    told = {pair.seen.number for pair in pairs}
    yield from (shown[one.number] for one in seen if one.number not in told)


def _measured(pair: Pair, shown: dict[int, Standing]) -> bool:
    """Whether photos tell all of it; counted cubes are exact."""
    return shown[pair.seen.number].volume is not None and pair.row.row.solid != "cubes"


def _why_open(plat: Plat) -> str:
    return _ONE_MORE if any(notice.code in OPEN_LAND for notice in plat.notices) else _NOT_ALL


def _hidden(plat: Plat) -> dict[str | None, str]:
    """Zones in which something stands that the photos do not measure."""
    places = [(notice.facts.get("x"), notice.facts.get("y")) for notice in plat.notices if notice.code == DOUBTFUL]
    known = [(x, y) for x, y in places if isinstance(x, float | int) and isinstance(y, float | int)]
    return {zone_at(plat, x, y): _HIDDEN for x, y in known}


def _notices(made: BuiltStructures) -> Iterator[Notice]:
    for pair, measure in apart(made.pairs):
        text = disagreement_said(pair, measure, made.reader)
        yield Notice("structures-disagree", Subject(pair.row.row.zone), {"text": text})
    told = {pair.seen.number for pair in made.pairs}
    for one in made.seen:
        if made.rows is not None and one.number not in told:
            yield Notice("structure-not-in-table", Subject(one.zone or ""), {"solid": SOLID_OF[one.solid.kind]})
    if made.open_land and made.seen:
        yield Notice("structures-not-all", facts={"count": len(made.seen)})
