"""Mistakes that are on no list, as children make them: what a made-up row says in place of its right number."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Sequence
from fractions import Fraction

import numpy as np

from tests.helpers.made.hand_classes import Entry
from tests.helpers.made.hand_models import Setting

UNLISTED = "~"
"""The first sign of their names in an entry."""
KINDS = (
    "digit misread",
    "two mistakes",
    "guess",
    "wrong end",
    "slanted ruler",
    "another number",
    "digit lost",
    "rounded",
)
_RULERS = {"in": 12, "cm": 30, "mm": 300}


def with_unlisted(entries: Sequence[Entry], setting: Setting, share: float, rng: np.random.Generator) -> str:
    """So many of the entries mistaken in another way, in place; the table's text."""
    for entry in entries:
        if not entry.mistake and rng.random() < share:
            kind = str(rng.choice(KINDS))
            text = _mistaken(kind, entry, setting, rng)
            if text:
                entry.cells["value"], entry.mistake = text, UNLISTED + kind
                entry.value = float(sum(Fraction(part) for part in text.split()))
    table = io.StringIO()
    writer = csv.DictWriter(table, list(entries[0].cells))
    writer.writeheader()
    writer.writerows(entry.cells for entry in entries)
    return table.getvalue()


def _mistaken(kind: str, entry: Entry, setting: Setting, rng: np.random.Generator) -> str:
    """What is written; empty where this mistake cannot be made here."""
    text, value = entry.cells["value"], entry.value
    if kind == "digit misread":
        return _digit_misread(text, rng)
    if kind == "digit lost":
        return _digit_lost(text, rng)
    if kind == "wrong end" and entry.cells["quantity"] not in ("side", "gap", "height"):
        return ""
    number = {
        "two mistakes": value * rng.choice([0.5, 2.0]) * rng.choice([0.75, 0.86, 1.16, 1.3]),
        "guess": value * math.exp(rng.normal(0, 0.5)),
        "wrong end": _RULERS[setting.unit] - value,
        "slanted ruler": value * rng.uniform(1.08, 1.4),
        "another number": value * rng.uniform(0.3, 2.5),
        "rounded": max(1, round(value / 5) * 5) if value > 8 else max(1, round(value)),
    }[kind]
    return _as_text(float(number), entry, setting) if number > 0 else ""


def _as_text(number: float, entry: Entry, setting: Setting) -> str:
    if entry.cells["quantity"] in ("side", "gap", "height", "perimeter") and setting.fractions:
        whole, rest = divmod(Fraction(round(Fraction(number) / setting.division)) * setting.division, 1)
        return f"{whole} {rest}" if whole and rest else str(rest or whole) if whole or rest else ""
    return f"{number:.1f}" if number < 1000 else f"{number:.0f}"


def _digit_misread(text: str, rng: np.random.Generator) -> str:
    places = [at for at, sign in enumerate(text) if sign.isdigit() and "/" not in text[: at + 2]][:2]
    if not places:
        return ""
    at, digit = int(rng.choice(places)), str(rng.integers(1, 10))
    return "" if digit == text[at] else text[:at] + digit + text[at + 1 :]


def _digit_lost(text: str, rng: np.random.Generator) -> str:
    if "/" in text or len(text) < 3:
        return ""
    at = int(rng.integers(len(text)))
    left = text[:at] + text[at + 1 :]
    return left if left.replace(".", "", 1).isdigit() and float(left) > 0 else ""
