"""Pieces of one line as a graph: junctions on its pieces, the stretches between them, and the zones that they reach.

Zones end a way: no way leads through one.  Connected components and maximum flow are scipy's.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np

from measure.lines.line_gaps import Touch
from measure.lines.track import Track
from measure.quantity import Quantity

Junction = tuple[int, float]
"""A piece from 0, and how far from its start in mm."""
Node = Junction | str
"""A junction, or a zone by its name."""


@dataclass(frozen=True, eq=False)
class Near:
    """A gap in mm, at which places, and between which pieces (name, number from 1) of lines and zones."""

    touch: Touch
    pieces: tuple[tuple[str, int], ...]

    @property
    def gap(self) -> Quantity:
        """The gap itself."""
        return self.touch.gap


@dataclass(frozen=True, eq=False)
class Contact:
    """A gap over which a piece hangs together with another piece, or with a zone."""

    near: Near
    here: Junction
    there: Node


@dataclass(frozen=True, eq=False)
class NetGraph:
    """The graph of one line's pieces; bridges are ends that are joined for certain."""

    tracks: Sequence[Track]
    contacts: Sequence[Contact]
    bridges: tuple[tuple[Junction, Junction], ...] = ()

    def joins(self, zones: Sequence[str], bridged: frozenset[int]) -> bool:
        """Whether one net reaches every zone, where the contacts of these numbers have no gap."""
        from scipy.sparse.csgraph import connected_components  # half a second to import, and only lines need it

        count = len(self.tracks)
        joined = np.zeros((count, count))
        reached: dict[str, set[int]] = {zone: set() for zone in zones}
        for at in bridged:
            contact = self.contacts[at]
            if isinstance(contact.there, str):
                reached[contact.there].add(contact.here[0])
            else:
                joined[contact.here[0], contact.there[0]] = 1
        for (a, _), (b, _) in self.bridges:
            joined[a, b] = 1
        nets = connected_components(joined, directed=False)[1] if count else np.zeros(0)
        return bool(set.intersection(*({int(nets[piece]) for piece in of} for of in reached.values())))

    def has_ways(self, start: str, end: str, wanted: int, bridged: frozenset[int]) -> bool:
        """Whether there are so many ways between two zones that share no stretch of line (Menger: the maximum flow)."""
        from scipy.sparse import csr_array
        from scipy.sparse.csgraph import maximum_flow

        numbers = self._numbers
        capacity = np.zeros((len(numbers), len(numbers)), dtype=np.int32)
        for a, b in self._stretches:
            capacity[numbers[a], numbers[b]] += 1
            capacity[numbers[b], numbers[a]] += 1
        free = [(self.contacts[at].here, self.contacts[at].there) for at in bridged]
        for one, other in (*free, *self.bridges):
            capacity[numbers[one], numbers[other]] = capacity[numbers[other], numbers[one]] = wanted
        if start not in numbers or end not in numbers:
            return False
        return int(maximum_flow(csr_array(capacity), numbers[start], numbers[end]).flow_value) >= wanted

    @cached_property
    def _numbers(self) -> dict[Node, int]:
        nodes: list[Node] = [node for contact in self.contacts for node in (contact.here, contact.there)]
        nodes += [end for bridge in self.bridges for end in bridge]
        nodes += [(at, along) for at, track in enumerate(self.tracks) for along in (0.0, track.length)]
        return {node: number for number, node in enumerate(dict.fromkeys(nodes))}

    @cached_property
    def _stretches(self) -> list[tuple[Junction, Junction]]:
        """Between neighbouring junctions of a piece; a closed piece's last one is its first again."""
        found: list[tuple[Junction, Junction]] = []
        for at, track in enumerate(self.tracks):
            on_it = sorted(node[1] for node in self._numbers if not isinstance(node, str) and node[0] == at)
            found += [((at, a), (at, b)) for a, b in pairwise(on_it)]
            if track.closed:
                found += [((at, track.length), (at, 0.0))] * 9  # one place: no stretch that a way could use up
        return found
