"""Tapeplat: what people touch. Command line, printable sheets, annotated picture, archive, page, and these functions.

    challenge = tapeplat.read_challenge("quarry.toml")
    result = tapeplat.measure(challenge, ["a.jpg"], team="3")

Each is imported when it is first used, so that `import tapeplat` takes no time; docs/python.md shows them all.
"""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from calib.photo_refused import PhotoRefused
    from measure.errors import InputMistakes
    from tapeplat.api.comparing_hands import compare_hand
    from tapeplat.api.drawing_models import draw
    from tapeplat.api.measuring_models import check, measure, read_challenge, repair
    from tapeplat.api.solving_challenges import solve, suggest
    from tapeplat.measuring.repairs import Change
    from tapeplat.output.result_folder import FolderNotWritable

__all__ = [
    "Change",
    "FolderNotWritable",
    "InputMistakes",
    "PhotoRefused",
    "check",
    "compare_hand",
    "draw",
    "measure",
    "read_challenge",
    "repair",
    "solve",
    "suggest",
]

_HOMES = {
    "calib.photo_refused": ("PhotoRefused",),
    "measure.errors": ("InputMistakes",),
    "tapeplat.api.comparing_hands": ("compare_hand",),
    "tapeplat.api.drawing_models": ("draw",),
    "tapeplat.api.measuring_models": ("check", "measure", "read_challenge", "repair"),
    "tapeplat.api.solving_challenges": ("solve", "suggest"),
    "tapeplat.measuring.repairs": ("Change",),
    "tapeplat.output.result_folder": ("FolderNotWritable",),
}


def __getattr__(name: str) -> Any:
    """Import what was asked for; called for names that are not here yet."""
    for module, names in _HOMES.items():
        if name in names:
            return getattr(import_module(module), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")


def __dir__() -> list[str]:
    return sorted({*globals(), *__all__})
