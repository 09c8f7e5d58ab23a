"""From the parse tree to the rule: the parts of a sentence here, the rule itself in the file of its kind."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction
from typing import Any

from lark import Discard, Token, Transformer, v_args

from measure.numbers import written
from measure.rules.amounts import Amount, Limit, Measure, Relation
from measure.rules.kinds.kind_registry import sentence_forms
from measure.rules.rule import Rule
from measure.rules.sentences.said_limits import count_limit, fitting, near_limits, tolerated
from measure.rules.sentences.sentence_parts import (
    FLAVOURS,
    Comparative,
    SaidAmount,
    SaidLimit,
    Sentence,
    Subject,
    SubjectMode,
    Target,
    Thing,
    What,
)
from measure.rules.sentences.sentence_words import number_of, span_of, unit_of
from measure.rules.zone_groups import ANOTHER, OTHER, Group, listed, one_by_one

_MEANINGFUL = {
    *("ZONE", "LINE", "NUMBER", "LENGTH", "AREA_UNIT", "VOLUME_UNIT", "SOLID", "TEXT"),
    *("OVER", "UNDER", "REGION", "COMPASS", "EVERY", "TWICE", "PERCENT", "POINTS", "TIMES", "MORE", "LESS", *FLAVOURS),
}
"""Tokens that say something themselves; what the others say lies in the name of the tree's node."""


def _always(value: Any) -> Callable[..., Any]:
    """A node that says the same whatever its words are."""
    return lambda self, *_: value


def _relation(relation: Relation) -> Callable[..., Comparative]:
    """A node that says a relation, of what its last word speaks of."""
    return lambda self, *words: _comparative(relation, words[-1]) if words else Comparative(relation)


def _amount(measure: Measure) -> Callable[..., SaidAmount]:
    """A node of a number and the words of its unit."""

    def made(self: object, number: Token, *words: Token) -> SaidAmount:
        unit = unit_of(words[-1]) if measure in ("length", "area", "volume") else None
        span = span_of(number).to(span_of(words[-1] if words else number))
        return SaidAmount(Amount(number_of(number), measure, unit), span)

    return made


def _comparative(relation: Relation, word: Token) -> Comparative:
    return Comparative(relation, FLAVOURS.get(word.type, ""), str(word), span_of(word))


@v_args(inline=True)
class RuleTransformer(Transformer[Token, Any]):
    """A node goes to the method of its name, else to the sentence form of its name, with what its children became.

    Tokens that say nothing themselves, and nodes that say nothing but what their place in the sentence says, are left
    out.
    """

    def __init__(self, sentence: Sentence) -> None:
        super().__init__()
        self.sentence = sentence

    def __default__(self, data: str, children: list[Any], meta: object) -> Rule:
        return sentence_forms()[data](self.sentence, *children)

    def __default_token__(self, token: Token) -> Any:
        return token if token.type in _MEANINGFUL else Discard

    def _said_by_its_place(self, *_: object) -> Any:
        return Discard

    def _as_its_part(self, part: Any) -> Any:
        return part

    within = presence = built_where = _as_its_part
    away = edge = centre = parcel = in_parcel = alike = solids = stand = own = _said_by_its_place

    # ---- whole sentences

    def start(self, rule: Rule) -> Rule:
        limit = rule.limit
        if limit is not None and limit.relation == "exactly" and limit.tolerance is None and not rule.kind.counted:
            self._refuse_exact(rule, limit)
        return rule

    def with_tolerance(self, rule: Rule, said: SaidAmount) -> Rule:
        if rule.limit is None or rule.kind.counted:
            self.sentence.refuse("`within` belongs to `exactly` with a measured size or distance", said.span)
        return replace(rule, limit=tolerated(self.sentence, rule.limit, said))

    def or_more_after_all(self, rule: Rule, _: Token) -> Rule:
        return self._open_ended(rule, "at least")

    def or_less_after_all(self, rule: Rule, _: Token) -> Rule:
        return self._open_ended(rule, "at most")

    def _open_ended(self, rule: Rule, relation: Relation) -> Rule:
        """`covers 1/5 of the parcel or less`."""
        if rule.limit is None or rule.limit.relation != "exactly" or rule.limit.tolerance is not None:
            self.sentence.refuse("`or more` and `or less` belong to a number without `at least` or `at most`")
        self.sentence.take_back("exactly")
        return replace(rule, limit=replace(rule.limit, relation=relation))

    def give_or_take(self, *parts: SaidAmount | Token) -> SaidAmount:
        said = next(part for part in parts if isinstance(part, SaidAmount))
        return replace(said, spread=True)

    def what_to_see(self, text: Token) -> str:
        return str(text.value)

    def _refuse_exact(self, rule: Rule, limit: Limit) -> None:
        length = "1/4 in" if limit.amount.unit in ("in", "ft") else "5 mm"
        near = length if limit.amount.measure == "length" else "2%"
        self.sentence.refuse(
            "nothing can be measured exactly; write `at least` or `at most`, or end the rule with how near is near"
            f" enough, such as `, within {near}`",
            None,
            tuple(replace(rule, limit=made).reads_as() for made in near_limits(limit)),
        )

    def _near(self, limit: Limit) -> tuple[Limit, ...]:
        """What may have been meant by a number alone."""
        percent = Amount(Fraction(5), "percent")
        return (
            replace(limit, tolerance=percent),
            replace(limit, relation="at least"),
            replace(limit, relation="at most"),
        )

    # ---- names

    def names(self, *parts: Any) -> tuple[Token, ...]:
        return tuple(token for part in parts for token in ((part,) if isinstance(part, Token) else part))

    def zone_name(self, zone: Token) -> str:
        return str(zone.value)

    def one_zone(self, zone: Token) -> Subject:
        return _subject("listed", (zone,))

    def where(self, names: tuple[Token, ...]) -> tuple[str, ...]:
        return _distinct(names)

    where_parcel = built_anywhere = _always(())

    def solid_named(self, solid: Token) -> str:
        return str(solid.value)

    solid_any = _always("")

    # ---- amounts

    plain, percent, points = _amount("number"), _amount("percent"), _amount("points")
    length, area, volume = _amount("length"), _amount("area"), _amount("volume")

    def times(self, number: Token, word: Token) -> SaidAmount:
        return SaidAmount(Amount(number_of(number)), span_of(number).to(span_of(word)), times=True)

    def twice(self, word: Token) -> SaidAmount:
        return SaidAmount(Amount(Fraction(2)), span_of(word), times=True)

    def density(self, people: Token, unit: Token) -> Amount:
        return self._density(number_of(people), Fraction(1), unit)

    def density_of(self, people: Token, volume: Token, unit: Token) -> Amount:
        return self._density(number_of(people), number_of(volume), unit)

    def _density(self, people: Fraction, volume: Fraction, unit: Token) -> Amount:
        if people == 0 or volume == 0:
            self.sentence.refuse("people per volume cannot be 0")
        return Amount(people / volume, "volume", unit_of(unit))

    # ---- limits

    def limit(self, comparative: Comparative, amount: SaidAmount) -> SaidLimit:
        return SaidLimit(comparative, amount)

    def bare(self, amount: SaidAmount) -> SaidLimit:
        return SaidLimit(Comparative("exactly"), amount, bare=True)

    def or_more(self, amount: SaidAmount, word: Token) -> SaidLimit:
        return SaidLimit(_comparative("at least", word), amount)

    def or_less(self, amount: SaidAmount, word: Token) -> SaidLimit:
        return SaidLimit(_comparative("at most", word), amount)

    def between(self, low: SaidAmount, high: SaidAmount) -> SaidLimit:
        return SaidLimit(Comparative("between"), low, high)

    at_least, at_most, exactly = _relation("at least"), _relation("at most"), _relation("exactly")
    less_than, more_than = _relation("less than"), _relation("more than")

    def more(self, word: Token) -> Token:
        return word

    less = more

    # ---- who

    def subject_listed(self, names: tuple[Token, ...]) -> Subject:
        return _subject("listed", names)

    def subject_together(self, names: tuple[Token, ...]) -> Subject:
        return _subject("together", names)

    def subject_each(self, *parts: Any) -> Subject:
        names = next(part for part in parts if isinstance(part, tuple))
        if len(_distinct(names)) > 1:
            return _subject("each", names)
        both = any(isinstance(part, Token) and part.lower() == "all" for part in parts)
        return replace(_subject("pieces", names), word="all of them" if both else "every piece")

    def subject_every(self, *words: Token) -> Subject:
        if words and words[0].lower() == "any":
            self.sentence.infer("`any zone` is read as every zone")
        return Subject("every", word="every zone")

    def subject_except(self, *parts: Any) -> Subject:
        return replace(_subject("except", parts[-1]), word="every zone")

    def subject_pieces(self, *parts: Any) -> Subject:
        return replace(_subject("pieces", parts[-1]), word="every piece")

    def subject_no_piece(self, *parts: Any) -> Subject:
        return replace(_subject("no piece", parts[-1]), word="no piece")

    def subject_some(self, limit: SaidLimit, names: tuple[Token, ...]) -> Subject:
        return replace(_subject("some", names), count=count_limit(self.sentence, limit))

    subject_all = _always(Subject("all", word="all zones together"))
    subject_none = _always(Subject("none", word="no zone"))
    others = _always(OTHER)

    def thing_listed(self, *parts: Any) -> Thing:
        *size, names = parts
        return Thing(Group(_distinct(names)), size[0] if size else None, inferred_together=len(names) > 1)

    def thing_together(self, *parts: Any) -> Thing:
        *size, names = parts
        return Thing(Group(_distinct(names)), *size)

    def pieces_of(self, *parts: Any) -> Group:
        return Group(_distinct(parts[-1]), "pieces")

    def another_piece(self, names: tuple[Token, ...]) -> Group:
        return Group(_distinct(names), "another")

    def another_zone(self) -> Group:
        return ANOTHER

    def so_many_others(self, limit: SaidLimit, *names: tuple[Token, ...]) -> Group:
        of = _distinct(names[0]) if names else ()
        return Group(of, "another", count_limit(self.sentence, limit))

    def thing_pieces(self, *parts: Any) -> Thing:
        *size, group = parts
        return Thing(group, *size)

    def thing_others(self, *parts: Any) -> Thing:
        *size, others = parts
        return Thing(others, *size)

    def target_listed(self, *parts: Any) -> Target:
        names = _distinct(parts[-1])
        each = len(parts) > 1 and len(names) == 1
        return Target(Group(names, "pieces") if each else one_by_one(names), each_said=len(parts) > 1)

    def target_others(self, others: Group) -> Target:
        return Target(others)

    one_another = _always(None)
    target_edge, target_centre = _always(Target(parcel="edge")), _always(Target(parcel="centre"))

    def where_on_parcel(self, region: Token) -> str:
        return str(region.value)

    def which_way(self, way: Token) -> str:
        return str(way.value).lower()

    # ---- sizes

    size_area, size_perimeter, size_volume = _always("area"), _always("perimeter"), _always("volume")
    size_length, size_width = _always("length"), _always("width")
    size_surface, size_side_surface = _always("surface area"), _always("side surface area")

    def what_limit(self, limit: SaidLimit) -> What:
        return What("limit", limit)

    def what_share(self, limit: SaidLimit) -> What:
        return What("share", limit)

    def what_ratio(self, limit: SaidLimit, thing: Thing) -> What:
        said = limit.upper or limit.amount
        if said.amount.measure == "number" and said.amount.number > 1 and not said.times:
            number = written(said.amount.number)
            self.sentence.refuse(f"`{number}` of what? write `{number} times` and the zone's name", said.span)
        return What("ratio", limit, thing=thing)

    def what_compared(self, comparative: Comparative, thing: Thing) -> What:
        if comparative.word.lower() in ("over", "above", "under", "below"):
            said = (
                f"`{comparative.word}` a zone is a place on a map or a size; write `covers more than`, or `is north of`"
            )
            self.sentence.refuse(said, comparative.span)
        return What("compared", comparative=comparative, thing=thing)

    def what_same(self, thing: Thing) -> What:
        return What("compared", comparative=Comparative("exactly"), thing=thing)

    def what_more(self, limit: SaidLimit, word: Token, thing: Thing) -> What:
        self._same_flavour(limit, word)
        return What("more", limit, thing=thing)

    def what_less(self, limit: SaidLimit, word: Token, thing: Thing) -> What:
        self._same_flavour(limit, word)
        return What("less", limit, thing=thing)

    def _same_flavour(self, limit: SaidLimit, word: Token) -> None:
        fitting(self.sentence, _comparative(limit.comparative.relation, word), "size")


def _subject(mode: SubjectMode, names: tuple[Token, ...]) -> Subject:
    span = span_of(names[0]).to(span_of(names[-1]))
    plural = len(names) == 1 and _several(names[0])
    return Subject(mode, _distinct(names), listed(_distinct(names)), span, plural=plural)


def _several(name: Token) -> bool:
    """Whether it was said of several: `homes`, not `grass`."""
    typed = name.lower()
    return typed.endswith("s") and not typed.endswith("ss")


def _distinct(names: tuple[Token, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(str(token.value) for token in names))
