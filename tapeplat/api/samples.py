"""The challenges and photos that travel with the program: ray-traced, of an invented class."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path


def samples() -> Iterator[tuple[Path, Path]]:
    """Every sample's challenge and photo; their folder lies beside the packages, in a checkout and once installed."""
    folder = Path(__file__).parents[2] / "sample_images"
    for challenge in sorted(folder.glob("*.toml")):
        yield challenge, challenge.with_suffix(".jpg")
