"""Gaps between two zones, or from one piece to another zone: what a result says of them, and on which tape they end."""

from __future__ import annotations

from dataclasses import dataclass, replace

from measure.hand.values.tape_lines import Outline
from measure.plat.measures import Measures
from measure.plat.offset import TapeEdge
from measure.plat.separation import Separation
from measure.quantity import COVERAGE_FACTOR
from measure.result.result import Result
from measure.units import MM_PER


@dataclass(frozen=True)
class Gap:
    """From a zone, or one of its pieces (from 1), to another zone; edge None is the challenge's own."""

    zone: str
    piece: int | None
    other: str
    edge: TapeEdge | None


@dataclass(frozen=True, eq=False)
class Gaps:
    """The gaps of one result; measures are those of its plat along its own tape edge."""

    result: Result
    measures: Measures

    def known(self, gap: Gap) -> tuple[float, float] | None:
        """The gap in mm, 0 where the two overlap, and its standard uncertainty; the result's own words come first."""
        return self._stated(gap) or self._measured(gap)

    def widths(self, gap: Gap) -> list[float]:
        """The tapes' widths in mm at the two ends; none where the gap is not known."""
        measures, found = self._measures_of(gap), self._separation(gap)
        if measures is None or found is None:
            return []
        pieces = [measures.all_pieces(zone)[number - 1] for zone, number in found.pieces]
        ends = (found.between, found.between[::-1])
        return [Outline.of(piece).width_at(*end) for piece, end in zip(pieces, ends, strict=True)]

    def _stated(self, gap: Gap) -> tuple[float, float] | None:
        if gap.edge is not None or not self._is_whole(gap):
            return None
        scale = MM_PER[self.result.unit]
        for distance in self.result.distances:
            if set(distance.between) == {gap.zone, gap.other}:
                return distance.value * scale, distance.u95 * scale / COVERAGE_FACTOR
        return None

    def _measured(self, gap: Gap) -> tuple[float, float] | None:
        found = self._separation(gap)
        return (max(0.0, found.quantity.value), found.quantity.u) if found else None

    def _separation(self, gap: Gap) -> Separation | None:
        measures = self._measures_of(gap)
        return None if measures is None else measures.separation(gap.zone, gap.other, edge=gap.edge or "tape_edge")

    def _measures_of(self, gap: Gap) -> Measures | None:
        """Of the one piece that a gap is from, where it is from one; None where that is not there."""
        if self._is_whole(gap):
            return self.measures
        own = self.measures.all_pieces(gap.zone)
        if gap.piece is None or gap.piece > len(own):
            return None
        pieces = (own[gap.piece - 1], *self.measures.all_pieces(gap.other))
        return replace(self.measures, plat=replace(self.measures.plat, pieces=pieces))

    def _is_whole(self, gap: Gap) -> bool:
        return gap.piece is None or self.measures.count(gap.zone) == 1
