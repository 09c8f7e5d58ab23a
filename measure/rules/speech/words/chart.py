"""A chart parser that keeps every reading: productions over senses, each composing a meaning of its parts' meanings.

Edges over the same words with the same meaning are one edge, so that what is left at the end are the different
meanings of a sentence, however many trees lead to each. Bottom-up chart parsing after M. Kay, "Algorithm Schemata and
Data Structures in Syntactic Processing" (1980).
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Mapping
from dataclasses import dataclass, field
from itertools import product

Action = Callable[..., Hashable | None]
_MOST_EDGES = 60_000
"""A sentence that needs more is no rule that a teacher would write."""


@dataclass(frozen=True)
class Edge:
    """A sense that the words from start to end have; meaning None: it says nothing itself."""

    sense: str
    start: int
    end: int
    meaning: Hashable = None


@dataclass(frozen=True)
class Several:
    """What an action returns where the words have more than one meaning."""

    meanings: tuple[Hashable, ...]


@dataclass(frozen=True)
class _State:
    """A place in the productions that begin alike: what can follow, and what is complete here."""

    follow: dict[str, _State] = field(default_factory=dict)
    complete: list[tuple[str, str]] = field(default_factory=list)

    def __hash__(self) -> int:
        return id(self)

    def __eq__(self, other: object) -> bool:
        return self is other


class Grammar:
    """Productions `head: part part? (part|part) -> action`, one a line; `|` also parts whole alternatives.

    An action composes the meanings of the parts that have one; without an action the one meaning is passed on.
    """

    def __init__(self, text: str, actions: Mapping[str, Action]) -> None:
        self._root = _State()
        self._actions = actions
        for head, parts, action in productions(text):
            self._add(head, parts, action)

    def _add(self, head: str, parts: tuple[str, ...], action: str) -> None:
        if action and action not in self._actions:
            raise ValueError(f"no action {action}")
        state = self._root
        for part in parts:
            state = state.follow.setdefault(part, _State())
        if (head, action) not in state.complete:
            state.complete.append((head, action))

    def meanings(self, edges: Iterable[Edge], end: int, goal: str = "rule") -> tuple[Hashable, ...]:
        """Every meaning of all the words as the goal; none where there is none, or the sentence is endless."""
        found = self.edges(edges, (goal,))
        return tuple(edge.meaning for edge in found if edge.start == 0 and edge.end == end)

    def edges(self, edges: Iterable[Edge], senses: tuple[str, ...]) -> tuple[Edge, ...]:
        """Every edge of these senses that the words allow; none of an endless sentence."""
        waiting: dict[tuple[str, int], list[tuple[_State, int, tuple[Hashable, ...]]]] = defaultdict(list)
        done: dict[tuple[str, int], list[Edge]] = defaultdict(list)
        seen: set[Hashable] = set()
        agenda = list(edges)
        while agenda:
            edge = agenda.pop()
            if edge in seen:
                continue
            seen.add(edge)
            if len(seen) > _MOST_EDGES:
                return ()
            done[edge.sense, edge.start].append(edge)
            growing = [(self._root, edge.start, ())] + waiting[edge.sense, edge.start]
            for state, start, meanings in growing:
                after = state.follow.get(edge.sense)
                if after is not None:
                    agenda += self._grown(after, start, meanings, edge, waiting, done, seen)
        return tuple(edge for (sense, _), found in done.items() if sense in senses for edge in found)

    def _grown(
        self,
        state: _State,
        start: int,
        meanings: tuple[Hashable, ...],
        edge: Edge,
        waiting: dict[tuple[str, int], list[tuple[_State, int, tuple[Hashable, ...]]]],
        done: dict[tuple[str, int], list[Edge]],
        seen: set[Hashable],
    ) -> list[Edge]:
        """The edges that are complete when this one is added, here and further on."""
        said = meanings if edge.meaning is None else (*meanings, edge.meaning)
        key = (state, start, edge.end, said)
        if key in seen:
            return []
        seen.add(key)
        made = [whole for head, action in state.complete for whole in self._composed(head, action, start, edge, said)]
        for follower in state.follow:
            waiting[follower, edge.end].append((state, start, said))
            for further in tuple(done[follower, edge.end]):
                made += self._grown(state.follow[follower], start, said, further, waiting, done, seen)
        return made

    def _composed(self, head: str, action: str, start: int, edge: Edge, said: tuple[Hashable, ...]) -> Iterable[Edge]:
        if not action:
            meaning = said[0] if len(said) == 1 else None
            return [Edge(head, start, edge.end, meaning)]
        made = self._actions[action](*said)
        if made is None:
            return []
        meanings = made.meanings if isinstance(made, Several) else (made,)
        return [Edge(head, start, edge.end, meaning) for meaning in meanings if meaning is not None]


def productions(text: str) -> Iterable[tuple[str, tuple[str, ...], str]]:
    """Every production with what is made, its parts and its action, `?` and `( | )` spelled out."""
    head = ""
    for line in text.splitlines():
        line = re.sub(r"(^|\s)#.*", "", line).rstrip()
        if not line:
            continue
        if not line[0].isspace():
            head, _, line = line.partition(":")
        parts, _, action = line.strip().removeprefix("|").partition("->")
        for way in re.split(r"\|(?![^(]*\))", parts):
            yield from ((head.strip(), spelled, action.strip()) for spelled in _spelled_out(way))


def _spelled_out(parts: str) -> Iterable[tuple[str, ...]]:
    """Without `?` and `( | )`: every row of parts that they allow."""
    choices: list[list[tuple[str, ...]]] = []
    for group, single, mark in re.findall(r"(?:\(([^)]*)\)|([\w]+))(\??)", parts):
        ways = [tuple(way.split()) for way in (group or single).split("|")]
        choices.append([*ways, ()] if mark else ways)
    for row in product(*choices):
        made = tuple(part for way in row for part in way)
        if made:
            yield made
