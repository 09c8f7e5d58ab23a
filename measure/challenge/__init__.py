"""The challenge: what the teacher's file says, read and checked with all mistakes at once."""

from __future__ import annotations

from measure.challenge.challenge_file import parse_challenge, read_challenge
from measure.challenge.challenge_model import (
    TOUCH_GAP,
    Card,
    Challenge,
    Line,
    Parcel,
    Priors,
    Shapes,
    Surface,
    Zone,
    ZoneKind,
)
from measure.rules.rule import RuleLine

__all__ = [
    "TOUCH_GAP",
    "Card",
    "Challenge",
    "Line",
    "Parcel",
    "Priors",
    "RuleLine",
    "Shapes",
    "Surface",
    "Zone",
    "ZoneKind",
    "parse_challenge",
    "read_challenge",
]
