"""Talk beside a rule: clauses about people and the world, whose subject is no zone. `Nobody likes smoke. Keep ...`."""

from __future__ import annotations

import re
from collections.abc import Iterator

from measure.rules.sentences.amount_words import number_at
from measure.rules.speech.words.lexicon import Zones, zones_in
from measure.rules.speech.words.phrases import heavy_words, words_known


def is_talk(text: str, rule: str, zones: Zones, *, reason: bool = False) -> bool:
    """Whether every clause of the text tells of people or of the world, and nothing of what is to be laid out.

    rule: what is kept beside it; talk names no zone that the rule does not name. reason: the text gives the reason of
    the rule (`because ...`).
    """
    named = _zones_in(rule, zones)
    people = reason
    asked = False
    for clause, asks in _clauses(text):
        bare = _JOINTS.sub("", f"{clause.strip()} ").strip()
        if not re.search(r"\w", bare):
            continue
        told = _is_told(bare, named, zones, people=people, reason=reason)
        if not told and (asks or asked):
            told = _is_question(bare, zones) if asks else len(bare.split()) <= _FEW_WORDS and _is_answer(bare, zones)
        asked = asks
        if not told:
            return False
        people = people or _about_people(bare, zones)
    return True


def _clauses(text: str) -> Iterator[tuple[str, bool]]:
    """The clauses, each with whether it asks."""
    at = 0
    for found in _CLAUSES.finditer(text):
        yield text[at : found.start()], "?" in found[0]
        at = found.end()
    yield text[at:], False


_FEW_WORDS = 3
_LAY_OUT = re.compile(r"\b(?:you|we|your|our|teams?|this|that|these|those|it|them|they)\b", re.IGNORECASE)


def _is_question(clause: str, zones: Zones) -> bool:
    """`Do frogs and owls get along?`: of no zone, and of nobody who lays out."""
    if _TURNS.search(clause) or _has_amount(clause) or _zones_in(clause, zones):
        return False
    return not _LAY_OUT.search(clause) and not _BUILD.search(clause)


def _is_answer(clause: str, zones: Zones) -> bool:
    """`No!`, `Near water.`"""
    bare = re.sub(r"^(?:no|yes|never|near|in|by|of course)\b,?\s*", "", clause, flags=re.IGNORECASE)
    heavy = any(word in heavy_words() for word in re.findall(r"[a-z'-]+", bare.lower()))
    return not heavy and not _zones_in(bare, zones) and not _has_amount(bare) and not _TURNS.search(bare)


_CLAUSES = re.compile(r"[.!?;:,()]+(?:\s|$)|[.!?;:,()]$|\s[–—-]\s|—|\((?=\w)")
_JOINTS = re.compile(
    r"^(?:(?:because|since|as|so that|so|therefore|hence|thus|that's why|that is why|when|whenever|for|and|but|also|"
    r"well|oh|hey|"
    r"sometimes|of course|in real life|"
    r"after all)\b,?\s*)+",
    re.IGNORECASE,
)
_TURNS = re.compile(
    r"\b(?:if|unless|whether|when(?=\s+(?:it|they)\s+(?:is|are|touch))|except\w*|exempt\w*|only|just|otherwise|"
    r"instead|rather|"
    r"optional\w*|wrong\w*|false\w*|un?true|lies|forbid\w*|banned|prohibit\w*|avoid\w*|jok\w+|kidding|cancel\w*|"
    r"ignor\w+|"
    r"skip\w*|cho(?:os|s)\w+|choices?|allow\w*|permit\w*|rules?|following|conditions?|opposite|reverse|contrary|"
    r"possible|practical|appropriate|matters?|same|respectively|each other|one another|both|either|neither|nor|than|"
    r"until|average|exactly|half|third|"
    r"twice|double|percent|per|cent|total|bonus|anyway|means?|meant|forget\w*|sentences?|next (?!to\b)\w+)\b|%",
    re.IGNORECASE,
)
_POINTING = re.compile(r"\b(?:this|that|these|those|it|its|them|so|here|there|such|one)\b", re.IGNORECASE)
_RULING = re.compile(
    r"\b(?:must|should|shall|ought|ha(?:s|ve|d) to|needs? to|needs?|may|might|could|can(?:not)?|wants?|would like|"
    r"not|no|"
    r"never|without|hardly|rarely)\b|n't\b",
    re.IGNORECASE,
)
_PLACE = re.compile(
    r"\b(?:edges?|sides?|corners?|cent(?:re|er)s?|middle|inside|outside|next to|beside|between|half|quarter|borders?|"
    r"north\w*|south\w*|east\w*|west\w*|top|bottom|left|right|near\w*|close\w*|far\w*|away|within|touch\w*|overlap\w*|"
    r"adjacent|adjoin\w*|apart|along|by|on)\b",
    re.IGNORECASE,
)
_PERSONS = (
    "kids|children|people|persons|pupils|students|teachers|parents|families|residents|neighbou?rs|visitors|guests|"
    "tourists|workers|farmers|drivers|animals|everyone|everybody|somebody|someone|folks?|grown-?ups|adults|babies|"
    "villagers|citizens|customers|shoppers|swimmers|campers"
)
_SUCH_PERSONS = re.compile(rf"[a-z]+(?:\s[a-z]+)?\s+(?:{_PERSONS})\b", re.IGNORECASE)
_UNWILLING = re.compile(
    r"(?:nobody|no one|no \w+|who|(?:not )?(?:many|few) people|most people)\s+(?:(?:would|really|actually|ever|"
    r"else)\s+)*"
    r"(?:wants?|likes?|loves?|enjoys?|cares?|(?:should|must|ought to|will) (?:ever )?have to|has to)\b(?!.*\bzones?\b)",
    re.IGNORECASE,
)
"""`Nobody wants to live next to a dump`; not `nobody may build ...`."""
_LIVING = re.compile(
    r"^\S+(?:\s\S+)?\s+(?:(?:would|really|ever|else)\s+)*\w+\s+(?:to\s+)?(?:liv|sleep|eat|play|work|be\b|being|"
    r"smell|"
    r"hear|breath|walk|see|sit|swim|wak)\w*",
    re.IGNORECASE,
)
_ARTICLE = re.compile(
    r"(?:(?:the|a|an|our|my|your|his|her|their|all|most|some|many|these|real|little|small|tiny|young|old|big|hungry|"
    r"wild|"
    r"tired|older|younger|busy)\s+)+",
    re.IGNORECASE,
)
_BUILDERS = re.compile(
    r"(?:you|we|i|teams?|groups?|tables?|partners?|builders?|planners?|designers?|engineers?|architects?|players?|"
    r"mappers?|pupils?|students?|classes|class|it|they|this|that|there|here|what|which|everything|nothing|anything|"
    r"something|zones?|areas?|things?|pieces?|parts?|tapes?|outlines?|boxes|shapes?|buildings?|structures?|houses?)\b",
    re.IGNORECASE,
)
_PEOPLE_GO_ON = re.compile(r"they(?:'re|'ve|'ll|'d)?\b", re.IGNORECASE)


def _is_told(clause: str, named: set[str], zones: Zones, *, people: bool, reason: bool) -> bool:
    """Whether one clause is talk. people: those that `they` can stand for were spoken of before."""
    if _EXCLAIMED.fullmatch(clause) or _STATE.fullmatch(clause):
        return True
    if _TURNS.search(clause) or _has_amount(clause):
        return False
    inside = _zones_in(clause, zones)
    if not inside <= named:
        return False
    if _UNWILLING.match(clause):
        return _is_wish(clause, inside)
    subject = _PEOPLE_GO_ON.match(clause) if people and not inside else None
    if subject is None and not _about_people(clause, zones):
        return False
    rest = clause[subject.end() :] if subject else clause
    if _RULING.search(rest):
        placed = inside and (len(inside) > 1 or _PLACE.search(rest)) and _WISHES.search(rest)
        pointing = _POINTING.search(rest) and not (reason and not _DEMAND.search(rest))
        return len(inside) <= 1 and not placed and not pointing and not _BUILD.search(rest)
    return len(inside) <= 1 or not _JOINING.search(rest)


_EXCLAIMED = re.compile(
    r"(?:not me|not us|not i|no thanks?(?: you)?|yuck|yikes|ouch|ugh|phew|wow|silly|brr+|eww*|oh no|pee-?yew|"
    r"safety first|"
    r"for (?:that|this) reason|because of (?:that|this)|please|thanks|gross|yum(?:my)?|boom|crash|splash|not (?:too|"
    r"very|that) \w+|be careful|watch out|simple|easy|"
    r"why|thank you|think about it|imagine that|right|guess what|good luck|have fun)",
    re.IGNORECASE,
)
_STATE = re.compile(
    r"(?:it|they|that)(?:'s|'re| is| are| can be| gets?)(?: (?:a|an|very|really|so|too|quite|full of|just|always|"
    r"made of))*"
    r" (?:water|hay|mud|smoke|gas|fire|loud|noisy|smelly|stinky|dirty|filthy|dangerous|busy|hot|cold|wet|muddy|deep|"
    r"ugly|scary|"
    r"beautiful|pretty|lovely|quiet|peaceful|important|special|sacred|toxic|poisonous|explosive|flammable|fragile|"
    r"shy|hungry|"
    r"gross|yucky|fun|boring|famous|historic|crowded|slippery|dusty|smoky|silly|unsafe|unhealthy|nasty|annoying|bad|"
    r"messy)"
    r"(?: (?:and|,) (?:loud|noisy|smelly|stinky|dirty|dangerous|busy|hot|cold|wet|muddy|ugly|scary))?",
    re.IGNORECASE,
)
"""`It's water, silly!`"""
_DEMAND = re.compile(r"\b(?:must|should|shall|ought|ha(?:s|ve) to|needs?|may|wants?|would like|never)\b", re.IGNORECASE)
_WISHES = re.compile(r"\b(?:wants?|would like|needs?|must|should|shall|may)\b", re.IGNORECASE)
_BUILD = re.compile(
    r"\b(?:build|built|place|placed|put|tape|taped|draw|drawn|lay|laid|located|say|says|said|think|thinks|believe\w*|"
    r"follow\w*)\b",
    re.IGNORECASE,
)
_JOINING = re.compile(
    r"\b(?:touch\w*|overlap\w*|border\w*|next to|adjacent|beside|within|inside|near\w*|close\w*)\b", re.IGNORECASE
)


def _is_wish(clause: str, inside: set[str]) -> bool:
    """What nobody wants: smoke in a sleeping bag, to live next to a dump; not one zone beside another."""
    if _BUILD.search(clause) or re.search(r"\b(?:this|that|these|those|it|them)\b", clause, re.IGNORECASE):
        return False
    return not inside or (len(inside) == 1 and bool(_LIVING.match(clause)))


def _about_people(clause: str, zones: Zones) -> bool:
    """Whether its subject is a person or thing that is no zone, nor what is laid out, nor who lays it out."""
    article = _ARTICLE.match(clause)
    at = article.end() if article else 0
    head = re.compile(r"[^\W\d_]+(?:['-][^\W\d_]+)*").match(clause, at)
    if head is None or _zone_near(clause, at, zones) or _BUILDERS.match(clause, at):
        return False
    if re.fullmatch(_PERSONS, head[0], re.IGNORECASE) or _SUCH_PERSONS.match(clause, at):
        return True
    word = head[0].lower()
    if word in words_known() or (word.endswith("s") and word[:-1] in heavy_words()):
        return False
    return bool(article) or bool(re.search(r"[^s]s$", word)) or bool(_VERB.match(clause, head.end()))


_VERB = re.compile(
    r"\s+(?:is|gets|goes|comes|has|can|will|travels|flows|spreads|smells|burns|rises|falls|explodes|rolls)\b",
    re.IGNORECASE,
)
"""`Grain gets wet easily`."""
_NEAR = 2


def _zone_near(clause: str, at: int, zones: Zones) -> bool:
    """Whether one of the next words names a zone: `the old harbour`, `the roof of the school`."""
    starts = [found.start() for found in re.finditer(r"(?<!['\w])\w", clause[at:])][:_NEAR]
    return any(zones.match(clause, at + start) for start in starts)


def _zones_in(text: str, zones: Zones) -> set[str]:
    return {zones.canonical(zone[0]) for zone in zones_in(text, zones)}


def _has_amount(clause: str) -> bool:
    """A number, but for `one` of `no one`."""
    words = re.finditer(r"\b(?!a\b|an\b|one\b|second\b)[a-z]+", clause, re.IGNORECASE)
    return bool(re.search(r"\d", clause)) or any(number_at(clause, word.start()) for word in words)
