"""The challenge: what the teacher's file says, read and checked with all mistakes at once."""

from __future__ import annotations

from measure.challenge.challenge_file import parse_challenge, read_challenge
from measure.challenge.challenge_model import (
    TOUCH_GAP,
    Card,
    Challenge,
    Judge,
    Line,
    Parcel,
    Priors,
    Shapes,
    StructuresSaid,
    Surface,
    Zone,
    ZoneKind,
)
from measure.rules.rule import RuleLine

__all__ = [
    "TOUCH_GAP",
    "Card",
    "Challenge",
    "Judge",
    "Line",
    "Parcel",
    "Priors",
    "RuleLine",
    "Shapes",
    "StructuresSaid",
    "Surface",
    "Zone",
    "ZoneKind",
    "parse_challenge",
    "read_challenge",
]
