"""Zones that are called by one word of their names: `lions` of the `lion den`."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from measure.rules.speech.words.lexicon import Zones, zone_at, zone_of
from measure.rules.speech.words.phrases import words_that_mean

_WORD = re.compile(r"[^\W\d_]+(?![\w-])")
_SHORTEST = 4


@dataclass(frozen=True)
class NamesInPart:
    """The zones' names, and words that stand in one name only and mean nothing else."""

    zones: Zones

    @property
    def names(self) -> tuple[str, ...]:
        """The zones' own names."""
        return self.zones.names

    def match(self, text: str, at: int) -> re.Match[str] | None:
        """The longest name that starts at this place, else a word of one."""
        found = zone_at(text, at, self.zones)
        if found is not None:
            return found
        word = _WORD.match(text, at)
        return word if word is not None and word[0].lower() in _words(self.names) else None

    def canonical(self, form: str) -> str:
        """The zone's own name for what was matched."""
        return zone_of(form, self.zones) if zone_at(form, 0, self.zones) else _words(self.names)[form.lower()]


def named_in_part(zones: Zones) -> Zones:
    """The zones, called by a word of their names as well."""
    return NamesInPart(zones)


@cache
def _words(names: tuple[str, ...]) -> Mapping[str, str]:
    owners: dict[str, set[str]] = defaultdict(set)
    for name in names:
        for word in name.lower().split():
            stem = word.removesuffix("s")
            for form in (stem, f"{stem}s", f"{stem}es"):
                owners[form].add(name)
    known = words_that_mean()
    return {
        form: next(iter(owned))
        for form, owned in owners.items()
        if len(owned) == 1 and len(form) >= _SHORTEST and form not in known and " " in next(iter(owned))
    }
