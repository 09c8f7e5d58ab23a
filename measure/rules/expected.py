"""What to say of a sentence that is not understood: which word, what could stand there, which name was meant."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence

from measure.rules.errors import RuleMistake
from measure.rules.words import Word, ZoneNames, folded

_MOST = 6
"""Suggestions listed: a reader takes in no more."""
_PHRASES: tuple[tuple[str, str], ...] = (
    # terminal that may stand here -> what a teacher would write; the likeliest first
    ("$END", "the end of the rule"),
    ("ZONE", "a zone's name"),
    ("AT", "`at least`"),
    ("AT", "`at most`"),
    ("LEAST", "`least`"),
    ("MOST", "`most`"),
    ("NUMBER", "a number"),
    ("LENGTH", "a unit such as `in` or `cm`"),
    ("AREA_UNIT", "`sq in` or `sq cm`"),
    ("VOLUME_UNIT", "`cubic in` or `cubic cm`"),
    ("PERCENT", "`%`"),
    ("COVER", "`covers`"),
    ("IS", "`is`"),
    ("TOUCH", "`touches`"),
    ("OVERLAP", "`overlaps`"),
    ("FROM", "`from`"),
    ("OF", "`of`"),
    ("PARCEL", "`the parcel`"),
    ("EDGE", "`the edge`"),
    ("THAN", "`than`"),
    ("TO", "`to`"),
    ("PIECES", "`pieces`"),
    ("TOGETHER", "`together`"),
    ("TIMES", "`times`"),
    ("AS", "`as`"),
    ("A", "`a`"),
    ("NO", "`no`"),
    ("EXACTLY", "`exactly`"),
    ("BETWEEN", "`between`"),
    ("SOLID", "a solid such as `cylinders`"),
    ("STRUCTURE", "`structures`"),
    ("ZONES", "`zone`"),
    ("PEOPLE", "`people`"),
    ("PER", "`per`"),
    ("AND", "`and`"),
    ("WITHIN", "`within`"),
    ("NOTHING", "`nothing`"),
    ("EVERY", "`every zone`"),
    ("THERE", "`there is`"),
    ("AREA", "`the area`"),
    ("PERIMETER", "`the perimeter`"),
    ("BY_EYE", "`by eye:`"),
    ("TEXT", "what to look at, after `by eye:`"),
)
_ADVICE = {
    "or": "a rule says one thing: write one rule for each (`or more` stands right after the number)",
    "but": "a rule says one thing: write one rule for each",
    "if": "rules have no conditions; start with `by eye:` to decide it yourself",
    "unless": "rules have no conditions; start with `by eye:` to decide it yourself",
    "because": "a rule needs no reason; leave it out",
    "wide": "widths are not measured; write a rule about the area or the distance, or start with `by eye:`",
    "long": "lengths of zones are not measured; write a rule about the perimeter, or start with `by eye:`",
    "inside": "only the parcel can hold a zone; write `is inside the parcel`, or start with `by eye:`",
    "it": "name the zone again in place of `it`",
    "they": "name the zones again in place of `they`",
}


def not_understood(
    text: str,
    word: Word,
    accepted: Iterable[str],
    zones: ZoneNames,
    before: Sequence[Word],
    vocabulary: Mapping[str, str],
) -> RuleMistake:
    """The mistake for a word (empty at the sentence's end) where only the accepted terminals could stand.

    vocabulary maps the rules' words to terminals.
    """
    possible = set(accepted)
    if not word.text:
        what = f"the rule stops too early{_after(before)}" if before else "the rule is empty"
        return RuleMistake(text.rstrip(), word.start, word.end, f"{what}; next could come {_listed(possible)}")
    if before and before[-1].text.lower() == "or":
        word = before[-1]  # it was taken for the `or` of `or more`
    advice = _ADVICE.get(word.text.lower())
    if advice:
        return RuleMistake(text, word.start, word.end, f"`{word.text}` is not understood here: {advice}")
    named = _nearest_zone(text, word, zones) if "ZONE" in possible and not _is_rule_word(word) else None
    if named:
        end, name = named
        said = f"`{text[word.start : end]}` is no zone of this challenge; did you mean `{name}`?"
        return RuleMistake(text, word.start, end, said)
    if possible == {"$END"}:
        what = "the rule is complete before it" if word.readings else "is not understood"
        said = f"`{word.text}` {what}" if not word.readings else f"`{word.text}` is too much: {what}"
        return RuleMistake(text, word.start, word.end, f"{said}; a rule says one thing, so end it there")
    what = "cannot stand here" if word.readings else "is not understood"
    near = _nearest_word(word, possible, vocabulary)
    said = f"did you mean `{near}`?" if near else f"here could stand {_listed(possible)}"
    return RuleMistake(text, word.start, word.end, f"`{word.text}` {what}; {said}")


def _after(before: Sequence[Word]) -> str:
    return f" after `{before[-1].text}`"


def _listed(possible: set[str]) -> str:
    phrases = [phrase for terminal, phrase in _PHRASES if terminal in possible]
    if not phrases:
        phrases = [f"`{terminal.lower()}`" for terminal in sorted(possible)]
    shown = phrases[:_MOST]
    return shown[0] if len(shown) == 1 else f"{', '.join(shown[:-1])} or {shown[-1]}"


def _is_rule_word(word: Word) -> bool:
    return bool(word.readings)


def _nearest_zone(text: str, word: Word, zones: ZoneNames) -> tuple[int, str] | None:
    """The declared name most like the one to three words here, and where those end."""
    best: tuple[float, int, str] | None = None
    for end in _word_ends(text, word.start):
        said = folded(text[word.start : end])
        for form in zones.exact:
            alike = difflib.SequenceMatcher(None, said, form).ratio()
            if alike >= 0.7 and (best is None or alike > best[0]):
                best = (alike, end, form)
    return (best[1], best[2]) if best else None


def _word_ends(text: str, start: int) -> list[int]:
    ends = [found.end() + start for found in re.finditer(r"[\w'-]+", text[start:])]
    return ends[:3]


def _nearest_word(word: Word, possible: set[str], vocabulary: Mapping[str, str]) -> str | None:
    """A word of the rules, possible here, that this one is a slip of."""
    if word.readings:
        return None
    words = [spelled for spelled, terminal in vocabulary.items() if terminal in possible and len(spelled) > 1]
    squeezed = {"atleast": "at least", "atmost": "at most", "nomore": "no more"}
    if word.text.lower() in squeezed and {"AT", "NO"} & possible:
        return squeezed[word.text.lower()]
    return next(iter(difflib.get_close_matches(word.text.lower(), words, 1, 0.75)), None)
