"""What to say of a sentence that is not understood: which word, what could stand there, which name was meant."""

from __future__ import annotations

import difflib
import re
from collections.abc import Iterable, Mapping, Sequence

from measure.name_folding import folded
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.sentences.sentence_words import Word
from measure.rules.speech.words.phrases import words_spelled

_MOST_ZONES = 12
AMOUNT_FIRST = {"AT", "NUMBER", "LESS", "MORE", "BETWEEN", "EXACTLY", "UP", "A", "NOT", "OVER", "UNDER", "TWICE"}
"""`at least 3 pieces of ...` may begin a rule, but few do."""
CONDITION = "a condition names one zone that is there: `if there is a factory, ...` with a rule after the comma"
_SQUEEZED = {"atleast": "at least", "atmost": "at most", "nomore": "no more", "upto": "up to"}
_UNITS = ("inches", "inch", "centimetres", "centimeters", "millimetres", "millimeters", "feet", "square", "cubic")
_ADVICE = {
    "or": "a rule says one thing: write one rule for each (`or more` stands right after the number)",
    "but": "a rule says one thing: write one rule for each",
    "if": CONDITION,
    "unless": "rules have no conditions; start with `by eye:` to decide it yourself",
    "because": "a rule needs no reason; leave it out",
    "by": "write `by eye:` with a colon for what you decide yourself",
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
    possible = set(accepted) if before else set(accepted) - AMOUNT_FIRST
    if not word.text:
        what = f"the rule stops too early after {_end_of(text, before)}" if before else "the rule is empty"
        if before and before[-1].readings[0].terminal == "PEOPLE":
            what = "how many people live in how much? end the rule with `at 8 people per cubic cm`, or another number"
        return RuleMistake(text.rstrip(), word.start, word.end, what)
    if before and before[-1].text.lower() == "or":
        word = before[-1]  # it was taken for the `or` of `or more`
    advice = _ADVICE.get(word.text.lower())
    if word.text.lower() == "and" and "$END" in possible:
        advice = "a rule says one thing: write one rule for each"
    if advice:
        return RuleMistake(text, word.start, word.end, f"`{word.text}` is not understood here: {advice}")
    right = word.text.lower() in words_spelled()
    alike, near = (0.0, "") if right else _nearest_word(word, possible, vocabulary)
    named = _nearest_zone(text, word, zones) if "ZONE" in possible and not word.readings and not right else None
    if named and named[0] >= alike:
        _, end, name = named
        said = f"`{text[word.start : end]}` is no zone of this challenge; did you mean `{name}`?"
        return RuleMistake(text, word.start, end, said, near=name)
    what = "cannot stand here" if word.readings else "is not understood"
    if near:
        asked = f"`{word.text}` {what}; did you mean `{near}`?"
        return RuleMistake(text, word.start, word.end, asked, near=near)
    said = _further(word, possible, zones)
    return RuleMistake(text, word.start, word.end, f"`{word.text}` {what}{said}")


def _end_of(text: str, before: Sequence[Word]) -> str:
    """The last two words that were understood."""
    return f"`{text[before[-2:][0].start : before[-1].end]}`"


def _further(word: Word, possible: set[str], zones: ZoneNames) -> str:
    """For a word that is unlike any that the rules know, where a zone could stand: the zones."""
    if not word.readings and "ZONE" in possible and zones.names and "NUMBER" not in possible:
        shown = ", ".join(zones.names[:_MOST_ZONES])
        return f"; the zones are {shown}{', ...' if len(zones.names) > _MOST_ZONES else ''}"
    return ""


def _nearest_zone(text: str, word: Word, zones: ZoneNames) -> tuple[float, int, str] | None:
    """The declared name most like the one to three words here, how alike they are, and where those words end."""
    best: tuple[float, int, str] | None = None
    for end in _word_ends(text, word.start):
        said = folded(text[word.start : end])
        for form in zones.exact:
            alike = difflib.SequenceMatcher(None, said, form).ratio()
            if alike >= 0.7 and (best is None or alike > best[0]):
                best = (alike, end, form)
    return best


def _word_ends(text: str, start: int) -> list[int]:
    ends = [found.end() + start for found in re.finditer(r"[\w'-]+", text[start:])]
    return ends[:3]


def _nearest_word(word: Word, possible: set[str], vocabulary: Mapping[str, str]) -> tuple[float, str]:
    """A word of the rules, possible here, that this one is a slip of, and how alike they are; (0, "") without one."""
    said = word.text.lower()
    if word.readings or len(said) < 3:
        return 0.0, ""
    if said in _SQUEEZED and {"AT", "NO"} & possible:
        return 1.0, _SQUEEZED[said]
    words = [spelled for spelled, terminal in vocabulary.items() if terminal in possible and len(spelled) > 1]
    words += _UNITS if "LENGTH" in possible else ()
    near = difflib.get_close_matches(said, words, 1, 0.75)
    return (difflib.SequenceMatcher(None, said, near[0]).ratio(), near[0]) if near else (0.0, "")
