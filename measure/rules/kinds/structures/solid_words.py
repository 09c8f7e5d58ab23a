"""Solids and places in the readings of rules about structures, and the zones that these are counted in."""

from __future__ import annotations

from measure.rules.amounts import Limit
from measure.rules.rule import Rule
from measure.rules.sentences.sentence_parts import Sentence, Subject
from measure.rules.zone_groups import listed

DIFFERENT_IN_ONE = "different solids are counted in one zone; write one rule for each"


def there_are(limit: Limit, noun: tuple[str, str], zones: tuple[str, ...]) -> str:
    """`there are at least 2 cylinders in workshops`; noun for one and for several."""
    one = (limit.upper or limit.amount).number == 1
    return f"there {'is' if one else 'are'} {limit} {noun[0] if one else noun[1]}{where(zones)}"


def where(zones: tuple[str, ...]) -> str:
    """` in workshops`, or nothing for the whole model."""
    return f" in {listed(zones)}" if zones else ""


def built_zones(sentence: Sentence, subject: Subject) -> tuple[str, ...]:
    """Zones whose structures are counted together."""
    if subject.mode not in ("listed", "together"):
        sentence.refuse(
            "structures are counted in named zones; write one rule for each zone",
            subject.span if subject.names else None,
        )
    if subject.mode == "listed" and len(subject.names) > 1:
        sentence.infer("structures of these zones are counted together; write one rule for each where each is meant")
    return subject.names


def every(rule: Rule) -> str:
    """`every structure in homes`."""
    return f"every structure{where(rule.subject.names)}"


def one_of(rule: Rule, over: tuple[str, ...]) -> str:
    """`one structure in homes`: the one that decided."""
    return f"one structure{where(over[:1] if over else rule.subject.names)}"
