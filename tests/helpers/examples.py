"""How many examples a property is tried on: a few in the suite, many more with `pytest -m long`."""

from __future__ import annotations

from hypothesis import settings

USUAL = 100
"""What the suite's profile in tests/conftest.py tries of a property that says nothing else."""


def examples(count: int, **more: object) -> settings:
    """Settings of `count` examples in the suite, and of as many times more as the profile that is loaded asks for."""
    return settings(max_examples=count * settings.default.max_examples // USUAL, **more)  # type: ignore[arg-type]
