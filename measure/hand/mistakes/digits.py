"""Mistakes in writing a number down, undone: what may have been meant by the digits that stand there."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from measure.hand.mistakes.mistake_codes import Code

_RULER_PARTS = (2, 4, 8, 16, 32)


@dataclass(frozen=True)
class Meant:
    """A number that may have been meant, in place of the written one; weight is its share of the mistake's."""

    code: Code
    number: float
    weight: float


def meanings(digits: str, division: float) -> tuple[Meant, ...]:
    """What the digits may have been meant to say; division is the smallest division read, in the same unit."""
    return (*_swapped(digits), *_fraction_as_decimal(digits, division))


def _swapped(digits: str) -> Iterator[Meant]:
    """Two digits in each other's place; the fraction's lower number is not one of them."""
    found = re.fullmatch(r"([\d.\s-]*?\d?)(?:\s*[/⁄]\s*(\d+))?", digits)
    if not found:
        return
    under = int(found[2]) if found[2] else 0
    places = [at for at, sign in enumerate(found[1]) if sign.isdigit()]
    pairs = [(i, j) for i, j in combinations(places, 2) if found[1][i] != found[1][j]]
    weights = [3.0 if places.index(j) - places.index(i) == 1 else 1.0 for i, j in pairs]
    for (i, j), weight in zip(pairs, weights, strict=True):
        signs = list(found[1])
        signs[i], signs[j] = signs[j], signs[i]
        number = _number("".join(signs), under)
        if number is not None and number > 0:
            yield Meant("digits-swapped", number, weight / sum(weights))


def _number(text: str, under: int) -> float | None:
    """A decimal, or, over `under`, a mixed number."""
    if not under:
        try:
            return float(text.replace(" ", ""))
        except ValueError:
            return None
    parts = re.findall(r"\d+", text)
    whole, over = (int(parts[0]), int(parts[1])) if len(parts) > 1 else (0, int(parts[-1]))
    return whole + over / under if over < under else None


def _fraction_as_decimal(digits: str, division: float) -> Iterator[Meant]:
    """`5.14` for 5 1/4, `5.38` for 5 3/8, `5.3` for 5 and 3 of the ruler's eighths."""
    found = re.fullmatch(r"(\d*)\.(\d{1,4})", digits)
    if not found:
        return
    whole, rest = int(found[1] or 0), found[2]
    parts = [Fraction(int(rest[:at]), int(rest[at:])) for at in range(1, len(rest)) if int(rest[at:]) in _RULER_PARTS]
    # Only a ruler that is divided in halves of halves has fractions to misread.
    under = round(1.0 / division) if 0 < division <= 0.5 else 0
    if under in _RULER_PARTS and int(rest) < under:
        parts += [Fraction(int(rest), under)]
    real = [part for part in parts if part < 1]
    for part in real:
        yield Meant("fraction-as-decimal", whole + float(part), 1.0 / len(real))
