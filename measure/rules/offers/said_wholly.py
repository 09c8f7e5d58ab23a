"""A sentence that one of the ways of speaking in said_otherwise.txt says from its first word to its last."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from measure.rules.offers.gist import gist_of
from measure.rules.offers.left_out import denies, worth_telling
from measure.rules.offers.said_otherwise import Matched, matched
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.speech.idle import shorter
from measure.rules.speech.speech import spoken
from measure.rules.speech.words.lexicon import Zones
from measure.rules.zone_groups import listed
from measure.units import Unit


def said_wholly(
    sentence: str, zones: Zones, names: Sequence[str], unit: Unit, reads_as: Callable[[str], str | None]
) -> tuple[Matched, str] | None:
    """What the sentence says, and the part of it that was understood; None where it is not sure, or says two things.

    reads_as: what a sentence is read as, None where it is not.
    """
    for kept in shorter(spoken(sentence, zones), zones) if names else ():
        found: dict[str, Matched] = {}
        try:
            gist = gist_of(kept, zones, unit)
        except RuleMistake:  # a number that cannot be read, which is what it is refused for
            return None
        for way in matched(gist, {"u": unit, "zones": listed(tuple(names))}):
            if _is_whole(way):
                read = reads_as(way.text)
                if read is not None:
                    found.setdefault(read, way)
        if found:
            way = next(iter(found.values()))
            return (way, kept) if len(found) == 1 and way.certain else None
    return None


_SAYS_NOTHING = re.compile(r"\b(?:lies?|lying|stands?|sits?|stays?|go|goes|they|comes?)\b")


def _is_whole(found: Matched) -> bool:
    """Whether no other word stands in the sentence but those that say nothing."""
    beside = (_SAYS_NOTHING.sub("", part) for part in (found.before, *found.gaps, found.after))
    return not found.unsaid and not any(worth_telling(part) or denies(part) for part in beside)
