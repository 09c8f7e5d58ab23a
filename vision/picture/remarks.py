"""What tracing remarks of a photo, as values; tapeplat.measuring.survey makes notices of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

RemarkFact = str | int | float | tuple[int, ...]
RemarkCode = Literal[
    "empty-swatch", "doubtful-swatch", "tapes-alike", "tape-like-ground",
    "no-parcel-edges", "top-taken", "zone-out-of-sight",
    "no-zone-tile", "unknown-zone-tile", "tile-in-no-outline", "tile-not-seen",
    "outline-open", "loose-tape", "tape-goes-on", "over-bare-board", "laid-twice", "laid-partly-over",
    "like-unread-tape", "like-board",
    "closes-in-two-ways", "paper-of-its-colour", "outer-edge-alone", "width-doubtful",
    "parcel-edge-bounds", "shared-strip", "tags-disagree", "prints-not-flat", "parcel-size-differs", "photos-disagree",
    "photos-contradict", "photo-left-out", "lens-apart", "profile-apart", "print-not-measured",
    "line-unread", "line-like-print", "line-too-thin", "line-two-ways", "line-not-tape", "line-or-tape",
]  # fmt: skip


@dataclass(frozen=True)
class Remark:
    """One remark: its kind, the zone or photo that it is about, and named facts (lengths in mm)."""

    code: RemarkCode
    zone: str = ""
    photo: str = ""
    facts: tuple[tuple[str, RemarkFact], ...] = ()


def remark(code: RemarkCode, zone: str = "", *, photo: str = "", **facts: RemarkFact) -> Remark:
    """A remark with its facts by name."""
    return Remark(code, zone, photo, tuple(facts.items()))
