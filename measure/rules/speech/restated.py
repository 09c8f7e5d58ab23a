"""Forms of asking and of listing as the statement that they stand for: questions, `How many ...?`, `You need: ...`."""

from __future__ import annotations

import re
from collections.abc import Callable

from measure.rules.speech.words.lexicon import Zones
from measure.rules.speech.words.phrases import heavy_words

_Made = Callable[[re.Match[str], Zones], str | None]


def restated(sentence: str, zones: Zones) -> str:
    """The sentence itself where it has none of these forms; the number of rules and their words stay."""
    asked = re.findall(r"[^?]+\?", sentence)
    if len(asked) > 1 and "".join(asked).strip() == sentence.strip():
        said = [restated(question, zones) for question in asked]
        return "; ".join(said) if not any("?" in part for part in said) else sentence
    return _restated(sentence, zones)


def _restated(sentence: str, zones: Zones) -> str:
    for pattern, made in _FORMS:
        found = pattern.search(sentence)
        said = made(found, zones) if found else None
        if found and said is not None:
            sentence = f"{sentence[: found.start()]}{said}{sentence[found.end() :]}"
    return sentence


def town_meant(sentence: str, zones: Zones) -> str:
    """What was taken for the whole settlement, as `park` in `your park needs a carousel`; empty where nothing was."""
    found = _OWN_TOWN.search(sentence)
    return found["who"] if found and _of_the_town(found, zones) else ""


def _form(pattern: str, made: _Made) -> tuple[re.Pattern[str], _Made]:
    return re.compile(pattern, re.IGNORECASE), made


def _words(template: str) -> _Made:
    return lambda found, _: found.expand(template)


_DONE = {"left": "leave", "kept": "keep", "made": "make", "put": "put", "given": "give", "built": "build"}


def _have_you(found: re.Match[str], _: Zones) -> str:
    verb = found["verb"].lower()
    return f"{_DONE.get(verb, 'have')} {found['rest']}"


def _put_it(found: re.Match[str], _: Zones) -> str:
    verb = found["verb"].lower()
    return f"{_DONE.get(verb, 'place' if verb == 'placed' else verb)} {found['rest']}"


def _is_it_so(found: re.Match[str], zones: Zones) -> str | None:
    """`Is the park at least twice the size of the market?`: of a zone, so that `is it true that` stays."""
    first = _BEFORE_ZONE.match(found["rest"])
    denied = re.search(r"\b(?:not?|none|never|any\w*)\b|n't\b", found["rest"], re.IGNORECASE)
    return found["rest"] if first and not denied and zones.match(found["rest"], first.end()) else None


def _named_alone(found: re.Match[str], zones: Zones) -> str | None:
    """`The pond? At most half the size of the park.`"""
    first = _BEFORE_ZONE.match(found["what"])
    zone = zones.match(found["what"], first.end()) if first else None
    return f"{found['what']}: " if zone and zone.end() == len(found["what"]) else None


def _required(found: re.Match[str], _: Zones) -> str:
    return f"{' is' if found['be'] == chr(39) + 's' else found['be']} required"


def _more_is_fine(found: re.Match[str], _: Zones) -> str | None:
    """`at least one pond - more is fine` says nothing more; of `two ponds, more is fine` it makes a least."""
    before = found.string[: found.start()]
    return "" if re.search(r"\b(?:at least|min(?:imum)?|no fewer|no less)\b", before, re.IGNORECASE) else None


def _how_many(found: re.Match[str], _: Zones) -> str:
    """`How many homes can there be? 6.`: up to six."""
    allowed = re.search(r"\b(?:can|could|may|allowed|permitted)\b", found["modal"] or "", re.IGNORECASE)
    bare = re.match(r"(?:\d+|[a-z]+)\s*[.!]*\s*$", found.string[found.end() :], re.IGNORECASE)
    return f"the number of {found['what']}: {'at most ' if allowed and bare else ''}"


def _limit_asked(found: re.Match[str], _: Zones) -> str:
    end = "minimum" if found["end"].lower() in ("smallest", "least") else "maximum"
    return f"the {end} for {found['what']} is "


_BEFORE_ZONE = re.compile(r"(?:(?:the|every|each|all|all of|each of|every one of|both|a|an)\s+)*", re.IGNORECASE)


def _of_the_town(found: re.Match[str], zones: Zones) -> str | None:
    """`Your park needs ...`, where no zone is a park: of the whole town."""
    who = found["who"]
    named = any(zones.match(who, word.start()) for word in re.finditer(r"\w+", who))
    last_words = {name.lower().split()[-1] for name in zones.names}
    words = [word.lower() for word in who.split()]
    known = any(word in heavy_words() or word.rstrip("s") in last_words or word in last_words for word in words)
    return None if named or known or _BUILT.search(who) else f"{found['before']}the town must have "


_BUILT = re.compile(
    r"\b(?:building|structure|tower|block|piece|house|town|village|settlement|city|board)s?\b", re.IGNORECASE
)
_OWN_TOWN = re.compile(
    r"^(?P<before>\s*)(?:your|our|the|this|my)\s+(?P<who>[a-z]+(?:\s[a-z]+)?)\s+(?:also\s+)?"
    r"(?:(?:must|should|shall|will|has to|have to|needs? to)\s+(?:also\s+)?"
    r"(?:have|include|contain|get|come with|feature)|needs?|must get)\s+(?!to\b)",
    re.IGNORECASE,
)
_ONE = r"(?P<rest>(?:[^?!;.]|\.(?=\S))+)\?\s*$"
_NO = r"(?:no|never|nope|no way|absolutely not|certainly not|not at all|not allowed)"
_SOME = r"(?!no\b|none\b|nothing\b|neither\b|nobody\b|every|all\b|each\b|both\b|any\w*\b)"
_FORMS = (
    _form(
        r",? and (?:is|are) there (?=(?:an?|one|at least|at most|two|three|\d)\b[^?]*\?\s*$)", _words(" and there is ")
    ),
    _form(
        rf"^\s*(?:can|may|could|should)\s+(?P<who>{_SOME}(?:(?!\bnot\b|n't|\?).)+?)\s+(?P<verb>touch|overlap|be|go|lie|sit|cover|have|"
        rf"come|reach|stand)\s+(?P<rest>(?:(?!\bnot\b|n't|\?).)+)\?\s*{_NO}(?:[,.!]+\s*{_NO})*[.!]*\s*$",
        _words(r"\g<who> must not \g<verb> \g<rest>"),
    ),
    _form(
        rf"^\s*is it (?:ok|okay|allowed|fine|all right|alright) (?:for|if) "
        rf"(?P<who>{_SOME}(?:(?!\bnot\b|n't|\?).)+?)\s+(?:to\s+)?"
        rf"(?P<verb>touch|overlap|be|go|lie|sit|cover|have|come|reach|stand)(?:e?s)?\s+(?P<rest>(?:(?!\bnot\b|n't|\?).)+)\?\s*"
        rf"{_NO}(?:[,.!]+\s*{_NO})*[.!]*\s*$",
        _words(r"\g<who> must not \g<verb> \g<rest>"),
    ),
    _form(
        r"^\s*(?:must|should|does|do|is|are)\s+(?P<who>(?!no\b|none\b|nothing\b|neither\b)(?:(?!\bnot\b|n't|"
        r"\?).)+?)\s+(?P<verb>touch|overlap|be|go|lie|"
        r"sit|cover|have|come|"
        r"reach|stand)\s+(?P<rest>(?:(?!\bnot\b|n't|\?).)+)\?\s*yes[.!]*\s*$",
        _words(r"\g<who> must \g<verb> \g<rest>"),
    ),
    _form(rf"^\s*(?:is|are)\s+there\s+(?!any|no\b|not\b){_ONE}", _words(r"there is \g<rest>")),
    _form(
        r"^\s*(?:do|does|did|have|has)\s+(?:you|we|your (?:group|team|table|town|village|city|model|plan)|the town)\s+"
        rf"(?P<verb>have|got|included?|add(?:ed)?|left|kept|made|put|given|built)\s+(?!any){_ONE}",
        _have_you,
    ),
    _form(
        rf"^\s*(?:is|are|does|do|did|will)\s+{_ONE.removesuffix('$')}"
        r"(?:(?:yes|(?:it|they) (?:must|should|has to|have to|needs? to)(?: be| do)?)[.!]?\s*)?$",
        _is_it_so,
    ),
    _form(
        r"^\s*(?:did|have) you (?P<verb>put|place|placed|leave|left|keep|kept)\s+(?P<rest>[^?]+)\?\s*"
        r"(?:yes|you (?:have to|must|should|need to|had better))[.!]*\s*$",
        _put_it,
    ),
    _form(
        r"^\s*how (?:far|close|near) (?:away )?(?:must|should|can|may|does|do|has|"
        r"have)(?: to)? (?P<who>(?:(?!\b(?:be|to|from)\b)[^?])+?)"
        r"(?: have to| need to)? be (?:from|to) (?P<other>[^?]+)\?\s*(?=\w)",
        _words(r"the distance from \g<who> to \g<other>: "),
    ),
    _form(
        r"^\s*how many (?P<what>[^?]+?)(?P<modal> (?:should|must|do|are|can|could|will|may)\b[^?]*)?\?\s*(?=\w)",
        _how_many,
    ),
    _form(
        r"^\s*how (?:big|large) (?:is|are|should|must|can|may|will) (?P<what>[^?]+?)(?: be)?\?\s*(?=\w)",
        _words(r"\g<what>: "),
    ),
    _form(
        r"^\s*how (?P<adj>tall|high|long|wide) (?:is|are|should|must|can|may|will) (?P<what>[^?]+?)(?: be)?\?\s*"
        r"(?P<rest>\w[^?.]*(?:\.\d[^?.]*)*)\.?\s*$",
        _words(r"\g<what>: \g<rest> \g<adj>"),
    ),
    _form(
        r"\b(?:all of |each of )?(?:the following|these)(?: (?:things|zones|places|buildings|items|features|parts))?"
        r"\s*(?::|\s[–—-])\s*",
        _words(""),
    ),
    _form(
        r"^\s*(?:must[- ]haves?|(?:my |your |our |the )?(?:check|shopping|wish|parts?)[- ]?list|what you(?:'ll)? need|"
        r"needed|required|essentials|to include)\s*(?::|\s[–—-])\s*",
        _words("have "),
    ),
    _form(r"\b(?:cannot|can't|can not) (?:do|be|live|manage|cope|go) without\b", _words("must have")),
    _form(r"^\s*(?:don't|do not|never) (?:leave|miss) (?P<what>[a-z ]+?) out\s*[.!]*\s*$", _words(r"have \g<what>")),
    (_OWN_TOWN, _of_the_town),
    _form(
        r"^\s*(?:I|we) (?:don't|do not) (?:mind|care) how many (?P<what>[^,;.?!]+?) "
        r"(?:there are|you (?:have|build|make|put in)),? (?:so|as) long as "
        r"(?:there (?:are|is)|you have|you build|it is|it's)\s+(?=at |no |not |more |up |between )",
        _words(r"the number of \g<what>: "),
    ),
    _form(
        r"^\s*(?:if you )?(?:take|subtract) (?:the area of )?(?P<less>[a-z ]+?) (?:away )?from (?:the area of )?"
        r"(?P<more>[a-z ]+?),? "
        r"(?:there (?:should|must) be|you (?:should|must) (?:have|get)|the answer (?:should|must) be) "
        r"(?P<much>[^,;]*?)(?: left)?\s*[.!]*\s*$",
        _words(r"\g<more> covers \g<much> more than \g<less>"),
    ),
    _form(
        r"^\s*(?:you (?:can|may) (?:have|build|make|put in) )?as many (?P<what>[^,;.?!]+?) "
        r"as you (?:like|want|please|wish)(?:,? but|,? as long as (?:it is|there are)|:|,)\s+"
        r"(?=(?:never|not?|at|min|max)\b)",
        _words(r"the number of \g<what>: "),
    ),
    _form(
        r"^\s*what(?:'s| is) the (?P<end>smallest|least|biggest|largest|most) (?:size |area )?"
        r"(?:that )?(?P<what>[^?]+?) (?:can|may|could|is allowed to) (?:be|cover|take up|have|get|use)\?\s*(?=\w)",
        _limit_asked,
    ),
    _form(
        r"^\s*how much (?:of (?:the|our|your) (?:board|parcel|land|space|town|map)|land|space|room) "
        r"(?:can|may|should|must|does|do|will) (?P<what>[^?]+?) "
        r"(?:take(?: up)?|have|get|use|cover|need|fill)\?\s*(?=\w)",
        _words(r"\g<what> covers of the board: "),
    ),
    _form(r"^\s*(?:and |now )?(?P<what>(?:the |your |our )?[a-z][a-z ]*)\?\s+(?=\S)", _named_alone),
    _form(
        r"^\s*(?P<what>the [a-z ]+) (?:is|must be|should be) the only (?:zone|one|place|thing) (?:that|which) "
        r"(?:may|can|could|is allowed to)\b(?! not)",
        _words(r"only \g<what> may"),
    ),
    _form(
        r"(?<=[a-z])(?:\s+[-–—]+\s+|,\s+|;\s+|\.\s+)(?:and )?(?:more|extra|bigger|larger)(?: is|'s| are) "
        r"(?:fine|ok|okay|good|welcome|even better)(?: too)?\s*[.!]*\s*$",
        _more_is_fine,
    ),
    _form(r"\bthere(?:'s| is) only room for (?=one\b|two\b|\d)", _words("there is at most ")),
    _form(
        r"(?P<be>'s| is| are) an? (?:absolute |real )?must(?:[- ]have)?(?=\s*(?:[.!]*\s*$|,? and so (?:is|are)\b))",
        _required,
    ),
    _form(
        r"^\s*(?:you|teams|students) (?:can|may|get to) (?:choose|decide|pick) where (?P<who>[a-z][a-z ]*?) "
        r"(?:goes|go|is|are|will be|stands|sits|should be),? (?:so|as) long as ",
        _words(r"put \g<who> anywhere, as long as "),
    ),
    _form(r"'s gotta\b", _words(" has to")),
    _form(r"\bgotta\b", _words("have to")),
    _form(r"\s*[x×]\s?(?P<so_many>\d+)\s*[.!]*\s*$", _words(r": \g<so_many>")),
    _form(r"\bhalf as (?P<adj>big|large|much|long|wide|tall|high) again as\b", _words(r"half again as \g<adj> as")),
    _form(r"\b(?<!not )a single (?!piece\b|block\b|one\b)(?=\w)", _words("exactly one ")),
    _form(r"\ba couple(?: of)?(?= \w)", _words("two")),
)
"""A form that begins and ends a sentence must be the whole of it: what follows a question may turn it."""
