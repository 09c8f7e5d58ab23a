"""The names that sentences call zones by, in all their forms."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from measure.name_folding import folded, spelled_as


class ZoneNames:
    """The names that the challenge declares, with their aliases, singulars and plurals, all leading to one name.

    names maps every zone's name to its aliases, lines every line's; `lines` is a list of names of its own. A form that
    two zones share leads to neither, unless it is the very name of one.
    """

    def __init__(self, names: Mapping[str, Iterable[str]], lines: Mapping[str, Iterable[str]] | None = None) -> None:
        self.names = tuple(names)
        self.lines = ZoneNames(lines) if lines else None
        self.with_lines = ZoneNames({**names, **lines}) if lines else self
        exact = {folded(form): name for name, aliases in names.items() for form in (name, *aliases)}
        owners: dict[str, set[str]] = {}
        for form, name in exact.items():
            for other in forms(form):
                owners.setdefault(other, set()).add(name)
        self._canonical = {form: next(iter(found)) for form, found in owners.items() if len(found) == 1} | exact
        self.exact = tuple(exact)
        longest_first = sorted(self._canonical, key=len, reverse=True)
        spelled = "|".join(r"\s+".join(map(spelled_as, form.split(" "))) for form in longest_first)
        self._pattern = re.compile(rf"(?<![\w-])(?:{spelled})(?![\w-])" if spelled else r"(?!)", re.IGNORECASE)

    def match(self, text: str, at: int) -> re.Match[str] | None:
        """The longest declared name that starts at this place."""
        return self._pattern.match(text, at)

    def spans(self, text: str) -> tuple[tuple[int, int], ...]:
        """Where in a text the declared names stand, the longest at each place."""
        return tuple(found.span() for found in self._pattern.finditer(text))

    def canonical(self, form: str) -> str:
        """The zone's own name for a matched form."""
        return self._canonical[folded(form)]

    def named(self, form: str) -> str | None:
        """The zone's own name for one of its names; None where no zone is called that."""
        return self._canonical.get(folded(form))


def forms(name: str) -> frozenset[str]:
    """A folded name with its likely singulars and plurals (English rules on the last word)."""
    made = {name}
    if name.endswith("ies"):
        made.add(f"{name[:-3]}y")
    if re.search(r"(?:s|x|z|ch|sh)es$", name):
        made.add(name[:-2])
    if re.search(r"[^su]s$", name):
        made.add(name[:-1])
    elif not name.endswith("s"):
        made |= {f"{name}s", f"{name}es"}
        if re.search(r"[^aeiou]y$", name):
            made.add(f"{name[:-1]}ies")
    else:
        made.add(f"{name}es")
    return frozenset(made)
