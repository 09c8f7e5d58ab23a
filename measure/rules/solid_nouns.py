"""What solids are called in sentences."""

from __future__ import annotations


def noun_of(solid: str, *, one: bool) -> str:
    """`cylinder`, `cylinders`; `unit cubes` for the counted ones; `structures` for any (no solid)."""
    name = {"": "structure", "cubes": "unit cube"}.get(solid, solid)
    if one:
        return name
    if name == "prism on outline":
        return "prisms on outline"
    return "boxes" if name == "box" else f"{name}s"
