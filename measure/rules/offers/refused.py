"""What is said of a sentence that is refused: which words were not understood, and what could be written."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace

from measure.rules.sentences.rule_mistake import Offer, RuleMistake


def refused_with(mistake: RuleMistake, found: tuple[Offer, ...]) -> RuleMistake:
    """The mistake with whole sentences that would be read, and all but the way out in its words."""
    shown = " or ".join(f"`{offer}`{f' ({offer.note})' if offer.note else ''}" for offer in found[:-1] or found)
    unclear = "not understood" in mistake.message or "cannot stand here" in mistake.message
    why = (_not_understood(found) if unclear else "") or mistake.message
    said = mistake.message if "did you mean" in mistake.message else f"{why}; write {shown}"
    return RuleMistake(mistake.sentence, mistake.start, mistake.end, said, found, why)


def _not_understood(found: tuple[Offer, ...]) -> str:
    """The words that the first offer has nothing for; empty where it has something for all, or where there is none."""
    left = found[0].leaves_out if found and not found[0].text.startswith("by eye:") else ()
    return f"not understood: {', '.join(f'`{part}`' for part in left)}" if left else ""


def with_offers_said(mistake: RuleMistake, offers: tuple[Offer, ...]) -> str:
    """The message with the offers, where it does not say them itself."""
    said = [f"`{offer}`" for offer in offers if not offer.text.startswith("by eye")]
    if not said or "did you mean" in mistake.message or any(offer in mistake.message for offer in said):
        return mistake.message
    return f"{mistake.why}: {' or '.join(said)}"


def legal_offers(mistake: RuleMistake, text: str, is_read: Callable[[str], bool]) -> tuple[Offer, ...]:
    """The offers that can be read, `exactly` with a tolerance; `20 feet tall or taller` is a lower limit."""
    made: list[Offer] = []
    for offer in mistake.offers:
        least = offer.text.replace("exactly", "at least") if _OR_MORE.search(text) else offer.text
        said = next((each for each in (least, f"{least}, within 5%") if is_read(each)), None)
        made += [replace(offer, text=said)] if said is not None else []
    return tuple(dict.fromkeys(made))


_OR_MORE = re.compile(r"\bor (?:more|taller|higher|longer|wider|larger|bigger|farther|further)\b", re.IGNORECASE)
