"""A sentence cut where clauses may end, and which of its parts is talk that says nothing of what is laid out."""

from __future__ import annotations

import re
from dataclasses import dataclass

from measure.rules.slots.named.slots_said import Slots
from measure.rules.speech.idle import is_idle
from measure.rules.speech.talk import is_talk
from measure.rules.speech.turning import is_limiting_label, takes_back, turns_round
from measure.rules.speech.words.lexicon import Zones

_PURPOSES = (
    "let|catch|get|keep|make|avoid|protect|give|help|allow|save|show|prevent|stop|enjoy|limit|reduce|provide|ensure|feed|"
    "hold|serve|leave|stay|see|encourage|attract|support"
)
_CUT = re.compile(
    r"\s*[.!?;:,]+(?=\s)\s*|\s*[()]\s*|\s[–—-](?=\s)\s*|\s*—\s*|"
    r"\s+(?=(?:so|because|since|and|but|while|whereas|yet|therefore|with|without|none|for|as|"
    rf"to (?:{_PURPOSES}))\b)",
    re.IGNORECASE,
)
_MOST_PARTS = 7
_STOP = re.compile(r"[.!?;]")
_HARD = re.compile(r"[.!?;:()–—-]")
_JOINT = re.compile(r"(?:(?:and|but|while|whereas|yet|therefore|with|plus|also)\b\s*)+", re.IGNORECASE)
_SO = re.compile(
    r"(?:and\s+)?(?:so|therefore|hence|thus|that's why|that is why|which is why)\b(?! that\b)[\s,:]*", re.IGNORECASE
)
_AS_TALL = "tall|big|large|long|wide|high|many|much|far|close|near|small|if|a whole"
_REASON = re.compile(
    rf"(?:because|since|so that|so|as(?! (?:{_AS_TALL})\b)|or(?= [^,.;]*\b(?:will|would|might)\b)|"
    r"(?:in order )?to (?!earn|win|get|score|receive|gain|qualify|pass|reach|be)(?=[a-z])|"
    r"for(?! (?:each|every|all|any|both|one|some|those|teams?|groups?|the|\d)\b))\b",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class Part:
    """A part of a sentence without the word that joins it to the one before.

    hard: whether a sign that ends a clause stands before it, and behind it. so: `so` stands before it; led: behind it.
    label: a colon stands behind it. brackets: a bracket that does not end the sentence stands before it, and behind it.
    first: it begins the sentence. stop: a sign that ends a sentence stands before it.
    """

    text: str
    whole: str
    hard: tuple[bool, bool] = (True, True)
    so: bool = False
    led: bool = False
    label: bool = False
    brackets: tuple[bool, bool] = (False, False)
    first: bool = True
    stop: bool = False

    @staticmethod
    def joined(parts: tuple[Part, ...]) -> Part:
        """Parts that lie beside each other as one."""
        if len(parts) == 1:
            return parts[0]
        text = parts[0].text + "".join(part.whole for part in parts[1:])
        return Part(
            text,
            parts[0].whole,
            (parts[0].hard[0], parts[-1].hard[1]),
            parts[0].so,
            parts[-1].led,
            parts[-1].label,
            (parts[0].brackets[0], parts[-1].brackets[1]),
            parts[0].first,
        )


def parts_of(text: str) -> tuple[Part, ...]:
    """The parts of a spoken() sentence."""
    text = text.rstrip(" .!?")
    cuts = [found.span() for found in _CUT.finditer(text)][: _MOST_PARTS - 1]
    starts, ends = [0, *(end for _, end in cuts)], [*(start for start, _ in cuts), len(text)]
    signs = [text[end:start] for end, start in zip(ends, [*starts[1:], len(text)], strict=True)]
    made: list[Part] = []
    for at, (start, end) in enumerate(zip(starts, ends, strict=True)):
        plain = text[start:end]
        so = _SO.match(plain)
        bare = plain[so.end() :] if so else plain[joint.end() :] if (joint := _JOINT.match(plain)) else plain
        hard = (at == 0 or bool(_HARD.search(signs[at - 1])), at == len(starts) - 1 or bool(_HARD.search(signs[at])))
        led = at + 1 < len(starts) and bool(_SO.match(text, starts[at + 1]))
        whole = text[ends[at - 1] if at else 0 : end]
        made.append(
            Part(
                bare,
                whole,
                hard,
                bool(so),
                led,
                ":" in signs[at],
                _brackets(signs, at),
                at == 0,
                at > 0 and bool(_STOP.search(signs[at - 1])),
            )
        )
    return tuple(part for part in made if part.text.strip())


def _brackets(signs: list[str], at: int) -> tuple[bool, bool]:
    """Of the part at a place: whether it begins or ends at a bracket in the middle of the sentence."""
    last = len(signs) - 1
    while last and not signs[last].strip(" ."):
        last -= 1
    ends = last if ")" in signs[last] else len(signs)
    opens = max((index for index in range(ends) if "(" in signs[index]), default=-1) if ends == last else -1
    inner = [bool(set("()") & set(sign)) and index not in (opens, ends) for index, sign in enumerate(signs)]
    return bool(at) and inner[at - 1], inner[at]


def told_beside(part: Part, slots: Slots, rest: str, zones: Zones) -> bool:
    """Whether a part is talk: it names no zone, amount or comparison and asks for nothing, and takes nothing back."""
    text = part.text.strip(" ,;:.!?–—-")
    if takes_back(text) or _TURNS.search(text) or slots.has("COND", "EXCEPT", "EXCUSED") or _turns(part, slots, rest):
        return False
    if (
        part.label
        and len(text.split()) <= _FEW
        and not slots.has("BE", "HAVE", "PUT")
        and is_limiting_label(f"{text}: ")
    ):
        return False
    if not slots.order and not slots.unknown:
        return not (part.hard[0] and not part.first and text.lower().endswith("ly"))
    reason = part.so or bool(_REASON.match(text))
    if slots.bounds or any(party.count for party in slots.parties) or not (part.hard[0] or reason):
        return False
    if any(party.names for party in slots.parties) and slots.strong and not (part.led or _BECAUSE.match(text)):
        return False
    if _ORDERS.match(text) and not is_talk(text, rest, zones, reason=reason):
        return False
    asks = slots.has("MODAL", "MAY", "NEG", "PUT") or (not part.first and len(text.split()) <= _FEW and not reason)
    if is_idle(text, zones) and (part.hard[1] or part.led) and not asks:
        return True
    ended = part.hard[1] or part.led or reason
    if ended and is_talk(text, rest, zones, reason=reason):
        return True
    named = [party for party in slots.parties if party.names]
    if part.led and slots.has("MAY") and part.first and not slots.denied and not slots.unknown:
        return True
    if part.hard[1] and set(slots.order) <= _ALLOWS and slots.has("MAY") and named and not slots.unknown:
        return not slots.denied
    if set(slots.order) <= _VAGUE and "VAGUE" in slots.order and not slots.unknown:
        return True
    plain = not slots.unknown or slots.leads_with_zone
    if (
        part.led
        and named
        and plain
        and not (slots.strong or slots.denied or slots.has("MODAL", "MAY", "TURN", "EACH_AFTER"))
    ):
        return True
    if reason and not named and not slots.strong and not slots.has("MODAL", "MAY"):
        return ended
    if named or slots.strong or slots.has("MODAL", "MAY", "TURN", "EACH_AFTER", "LEAST", "MOST", "BETWEEN", "WITHIN"):
        return False
    return ended and part.first and not slots.denied and len(text.split()) >= _FEW


def _turns(part: Part, slots: Slots, rest: str) -> bool:
    """Whether it says of what is kept that it is wrong, or told of another."""
    says = slots.has("BE", "HAVE", "PUT")  # no label such as `Team A:`
    text = part.text + ((" " if says else ":") if part.label else "." if part.hard[1] and not part.led else " ")
    return turns_round(f"{text} ", rest, "") if part.first else turns_round("", f"{rest}.", part.text)


_TURNS = re.compile(r"\b(?:only|unless|if|except|rarely|seldom|usually|sometimes|instead|rather)\b", re.IGNORECASE)
_BECAUSE = re.compile(r"because|since\b", re.IGNORECASE)
_FEW = 3
_ALLOWS = frozenset(["PARTY", "MAY", "PUT", "BE", "SEPARATE", "IN", "PIECES", "A", "HAVE"])
_VAGUE = frozenset(["PARTY", "BE", "A", "MODAL", "VAGUE", "HAVE", "PUT", "KIND"])
_ORDERS = re.compile(
    r"(?:use|put|make|keep|leave|build|place|draw|tape|do|don't|let|give|never|no|not|only|all|each|every|both|either)\b",
    re.IGNORECASE,
)
