"""Names of zones, teams and solids as they are compared."""

from __future__ import annotations

import unicodedata


def folded(name: str) -> str:
    """A name as names are compared: case, repeated spaces and the ways to write one letter make no difference."""
    return " ".join(unicodedata.normalize("NFC", name).replace("’", "'").casefold().split())
