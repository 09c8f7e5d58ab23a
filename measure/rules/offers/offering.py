"""The sentences to offer in the place of one that is refused: what it may have meant, nearest first, `by eye:` last."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from itertools import islice

from measure.rules.offers.gist import Gist, Who, gist_of
from measure.rules.offers.left_out import denies, is_lead, is_reason, restricts, turns, worth_telling
from measure.rules.offers.near_readings import near_readings, with_the_parcel
from measure.rules.offers.said_otherwise import matched
from measure.rules.sentences.permission_words import allowing
from measure.rules.sentences.rule_mistake import Offer, RuleMistake
from measure.rules.slots.slot_reader import slot_offers
from measure.rules.speech.speech import spoken
from measure.rules.speech.turning import takes_back
from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.pronouns import unclear_pronoun
from measure.rules.zone_groups import listed
from measure.units import Unit

_MOST = 4
_MOST_KNOWN = 3
_MOST_TRIED = 16


def offers(
    sentence: str,
    zones: Zones,
    names: Sequence[str],
    unit: Unit,
    reads_as: Callable[[str], str | None],
    read_together: Callable[[str], Sequence[str]],
) -> tuple[Offer, ...]:
    """What could be written instead.

    reads_as: what a sentence is read as, None where it is not; read_together: as which rules one of several rules is.
    """
    try:
        meant = tuple(_with_its_land(sentence, zones, names, unit)) if names else ()
        named = tuple(islice(slot_offers(sentence, zones, unit), _MOST_TRIED)) if names else ()
    except RuleMistake:  # a number that cannot be read, which is what it was refused for
        return by_eye(sentence)
    found: dict[str, tuple[int, Offer]] = {}
    for lost, offer in meant:
        _add(found, lost, offer, reads_as)
    least = min((lost for lost, _ in found.values()), default=0)
    nearest = {read: each for read, each in found.items() if each[0] == least}
    nearest = dict(sorted(nearest.items(), key=lambda item: len(item[1][1].leaves_out))[:_MOST_KNOWN])
    for texts, left_out in named:
        if len(nearest) < _MOST:
            joined = Offer(", and ".join(texts), tuple(part for part in left_out if worth_telling(part)))
            if len(texts) == 1:
                _add(nearest, least, joined, reads_as)
                continue
            parts = [reads_as(text) for text in texts]
            if all(parts) and list(read_together(joined.text)) == parts:
                nearest.setdefault(", and ".join(map(str, parts)), (least, joined))
    return (*(offer for _, offer in nearest.values()), *by_eye(sentence))


def _add(found: dict[str, tuple[int, Offer]], lost: int, offer: Offer, reads_as: Callable[[str], str | None]) -> None:
    """By what it is read as, where it is read and nothing else is read as the same."""
    said = next(((text, read) for text in _spellings(offer.text) if (read := reads_as(text))), None)
    if said is not None:
        found.setdefault(said[1], (lost, replace(offer, text=said[0])))


def by_eye(sentence: str) -> tuple[Offer, ...]:
    """The teacher decides it."""
    seen = re.sub(r"^by[\s-]eye\b\s*:?\s*", "", " ".join(sentence.split()).rstrip(".! "), flags=re.IGNORECASE)
    return (Offer(f"by eye: {seen}"),) if seen else ()


def _spellings(text: str) -> tuple[str, str]:
    """`exactly` needs a tolerance where something is measured."""
    return text, f"{text}, within 5%"


def _with_its_land(sentence: str, zones: Zones, names: Sequence[str], unit: Unit) -> Iterator[tuple[int, Offer]]:
    """Where the sentence has a word of its own for the parcel (`1/10 of the zoo`), the offers take it for that."""
    yield from _meant(sentence, zones, names, unit)
    parcel = with_the_parcel(sentence, zones)
    if parcel is not None:
        for lost, offer in _meant(parcel[0], zones, names, unit):
            yield lost, replace(offer, where=f"where `{parcel[1]}` is the whole parcel")


def _meant(sentence: str, zones: Zones, names: Sequence[str], unit: Unit) -> Iterator[tuple[int, Offer]]:
    """Offers that leave out no zone, amount or place, each with how many unknown words stand in what it was read of."""
    gist = gist_of(spoken(sentence, zones), zones, unit)
    lost_least = 9
    allows = any(not clause.limited for clause in allowing(sentence))  # what is allowed would be asked for
    allows = allows or bool(_IS_ALLOWED.search(sentence) and not _BOUNDED.search(sentence))
    others = sum(isinstance(meant, Who) for meant in gist.meant) > _TWO and _IT.search(sentence)
    unclear = unclear_pronoun(sentence, zones) is not None
    for reading in () if allows or others or unclear else near_readings(sentence, zones):
        if _may_mislead(reading.before, reading.after) or any(map(turns, reading.unknown)):
            continue
        outside = [part for part in (reading.before, reading.after, *reading.left_out) if part.strip()]
        told_of = [part for part in outside if _TO.match(part) or not is_reason(part)]
        if any(gist_of(part, zones, unit).meant for part in told_of) or _loses(sentence, reading.sentences):
            continue
        lost_least = min(len(reading.unknown), lost_least)
        told = tuple(part.strip(" ,;:.!?–—-") for part in reading.left_out if worth_telling(part))
        near = (re.sub(r"\b(is|are|covers?) (?=\d)", r"\1 exactly ", said) for said in reading.sentences)
        for text in (", and ".join(reading.sentences), ", within 5%, and ".join(near)):
            yield len(reading.unknown), Offer(text, told)
    if lost_least:
        yield from _by_patterns(gist, names, unit, allows=allows)


def _by_patterns(gist: Gist, names: Sequence[str], unit: Unit, *, allows: bool) -> Iterator[tuple[int, Offer]]:
    for found in matched(gist, {"u": unit, "zones": listed(tuple(names))}):
        gaps = found.gaps
        if _may_mislead(found.before, found.after) or any(denies(gap) or _SOME_OF_THEM.search(gap) for gap in gaps):
            continue
        if (allows and any(_MAY.search(gap) for gap in found.gaps)) or _loses(gist.text, [found.text]):
            continue
        left = (found.before, *(gap for gap in found.gaps if _SIGN.search(gap)), *found.unsaid, found.after)
        if any(gist.holds(part) for part in left[1:]) or gist.holds(_LABEL.sub("", found.before)):
            continue
        yield 0, Offer(found.text, tuple(gist.words(part) for part in left if worth_telling(part)), found.note)


def _loses(sentence: str, offered: Sequence[str]) -> bool:
    """Whether `of each shop` became `of shops`, or what neither of two may do what one of them may not."""
    each = _OF_EACH.search(sentence) and not any(_OF_EACH.search(text) or "every" in text for text in offered)
    neither = _DENIED_OR.search(sentence) and any(text.startswith("either ") for text in offered)
    return bool(each or neither)


_OF_EACH = re.compile(r"\b(?:of|to|from|touch\w*|than)\s+(?:each|every)\b(?! other\b)", re.IGNORECASE)
_DENIED_OR = re.compile(r"\bor\b[^,;.]*(?:\bnot\b|n't\b|\bnever\b|\bcannot\b)", re.IGNORECASE)
_IS_ALLOWED = re.compile(r"\b(?:is|are) (?:allowed|permitted|welcome)\b", re.IGNORECASE)
_BOUNDED = re.compile(
    r"\b(?:no|none|not|only|never|nothing|neither|most|more|up to|max\w*|less|fewer|\d+)\b", re.IGNORECASE
)


def _may_mislead(before: str, after: str) -> bool:
    """Whether words around what was understood could turn it round, or tell of which ones it holds."""
    if takes_back(before) or takes_back(after) or (turns(before) and _CASE.search(before)):
        return True
    if (turns(before) and not is_lead(before)) or (turns(after) and not is_reason(after)):
        return True
    return restricts(after) and len(after.split()) > 1


_TWO = 2
_IT = re.compile(
    r"\b(?:touch(?:es)?|overlaps?|from|of|to|than|near|beside|with|on|in|inside)\s+(?:it|them)\b", re.IGNORECASE
)
_TO = re.compile(r"\W*to\b", re.IGNORECASE)
_SOME_OF_THEM = re.compile(r"\b(?:other|largest|smallest|biggest|half|most|part)\b")
_CASE = re.compile(r"\bthat\W*$", re.IGNORECASE)
_MAY = re.compile(r"\b(?:may|can|could|allowed|permitted|welcome)\b")
_LABEL = re.compile(r"^[^:Z]*:")
_SIGN = re.compile(r"[A-Z]\d+")
