"""Names of zones, teams and solids as they are compared."""

from __future__ import annotations

import re
import unicodedata
from itertools import chain

_DOTTED = "i\u0307"
"""What a capital I with a dot folds to: an i and a dot that is no letter; it is an i as names are compared."""


def folded(name: str) -> str:
    """A name as names are compared: case, repeated spaces and the ways to write one letter make no difference."""
    plain = unicodedata.normalize("NFC", name).replace("’", "'").casefold()
    return " ".join(plain.replace(_DOTTED, "i").split())


def spelled_as(word: str) -> str:
    """A pattern for a folded word as people write it, to be matched without regard to case.

    Some letters fold to several (`ß` to `ss`), of which re.IGNORECASE knows nothing.
    """
    return _SEVERAL.sub(lambda found: _WRITTEN[found[0]], re.escape(word))


def _written() -> dict[str, str]:
    """Of several letters to which one folds, a pattern for both ways to write them."""
    ones: dict[str, str] = {}
    for one in map(chr, chain(range(0x80, 0x590), range(0x1E90, 0x2000), range(0xFB00, 0xFB18))):
        several = one.casefold()
        if len(several) > 1:
            ones[several] = ones.get(several, "") + one
    return {several: f"(?:{several}|[{letters}])" for several, letters in ones.items()}


_WRITTEN = _written()
_SEVERAL = re.compile("|".join(sorted(_WRITTEN, key=len, reverse=True)))
