"""Sentences about sizes: whether they state a share, a size, or one zone against another."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.numbers import written
from measure.rules.kind import Group, Rule
from measure.rules.limits import fitting, measured_limit, ratio_limit, share_limit
from measure.rules.parts import Amount, Limit, Relation, listed
from measure.rules.said import SaidLimit, Subject, Thing, What
from measure.rules.sentence import Sentence
from measure.rules.sizes import OF_SIZE, ComparisonRule, DifferenceRule, ShareRule, Size, SizeRule

_MIRRORED: dict[Relation, Relation] = {
    "at least": "at most",
    "at most": "at least",
    "more than": "less than",
    "less than": "more than",
    "exactly": "exactly",
    "between": "between",
}


def sized(sentence: Sentence, size: Size, subject: Subject, what: What) -> Rule:
    """The rule that `SUBJECT covers WHAT` or `the SIZE of SUBJECT is WHAT` states."""
    group = size_group(sentence, size, subject)
    rule = _positive(sentence, size, group, what)
    return negated(sentence, rule, subject) if subject.mode == "none" else rule


def size_group(sentence: Sentence, size: Size, subject: Subject) -> Group:
    """Who a sentence about a size is about; several names without a word on it are read together, with a warning."""
    if subject.mode in ("every", "none"):
        return Group(mode="every")
    if subject.mode == "all":
        if size == "perimeter":
            sentence.refuse("a perimeter is of one zone; write `every zone`")
        return Group(mode="all")
    if subject.mode == "each":
        return Group(subject.names, "each" if len(subject.names) > 1 else "together")
    if len(subject.names) > 1:
        if size == "perimeter":
            sentence.refuse(
                "a perimeter is of one zone; write `each of` before the names, or one rule for each", subject.span
            )
        if subject.mode == "listed":
            sentence.infer(f"read as {listed(subject.names)} together; write `each of` where each is meant")
    return Group(subject.names)


def negated(sentence: Sentence, rule: Rule, subject: Subject) -> Rule:
    """`no zone covers more than ...` as `every zone covers at most ...`."""
    limit: Limit = getattr(rule, "limit")  # noqa: B009  (every rule that `none` can stand before has one)
    if limit.relation in ("between", "exactly"):
        sentence.refuse(
            f"`{subject.word}` needs `more than` or `less than` after it; say what every zone must do", subject.span
        )
    made: Rule = replace(rule, limit=limit.opposite)  # type: ignore[type-var]
    return made


def _positive(sentence: Sentence, size: Size, group: Group, what: What) -> Rule:
    if what.form == "limit":
        return _limited(sentence, size, group, _said(what))
    if what.form == "share":
        if size != "area":
            sentence.refuse(f"only an area is a share of the parcel, not a {size}", _said(what).span)
        return ShareRule(group, share_limit(sentence, _said(what)))
    other = _other(sentence, size, what)
    if what.form == "compared":
        comparative = what.comparative
        assert comparative is not None
        fitting(sentence, comparative, "size")
        return ComparisonRule(size, group, other, Limit(comparative.relation, Amount(Fraction(1))))
    if what.form == "ratio":
        return ComparisonRule(size, group, other, ratio_limit(sentence, _said(what)))
    return _so_much_more(sentence, size, group, other, what)


def _said(what: What) -> SaidLimit:
    assert what.limit is not None
    return what.limit


def _limited(sentence: Sentence, size: Size, group: Group, said: SaidLimit) -> Rule:
    if size == "area" and said.amount.amount.measure == "percent":
        sentence.infer("read as a share of the parcel")
        return ShareRule(group, share_limit(sentence, said))
    what = "what a zone covers" if size == "area" else f"a {size}"
    return SizeRule(size, group, measured_limit(sentence, said, OF_SIZE[size], what, "size"))


def _other(sentence: Sentence, size: Size, what: What) -> Group:
    thing = what.thing
    assert isinstance(thing, Thing)
    if thing.size not in (None, size):
        sentence.refuse(f"the {size} can only be compared with the {size}, not with the {thing.size}")
    if len(thing.group.names) > 1:
        if size == "perimeter":
            sentence.refuse("a perimeter is of one zone; write one rule for each")
        if thing.inferred_together:
            sentence.infer(f"read as {listed(thing.group.names)} together; write one rule for each where each is meant")
    return thing.group


def _so_much_more(sentence: Sentence, size: Size, group: Group, other: Group, what: What) -> Rule:
    """`at least 40% more than stables`, `at least 3 sq in less than stables`."""
    said = _said(what)
    sign = 1 if what.form == "more" else -1
    if said.amount.times:
        number = written(said.amount.amount.number)
        sentence.refuse(
            f"`{number} times {what.form}` can be read in two ways; write `{number} times` and the zone's name",
            said.span,
        )
    if said.amount.amount.measure == "percent" or (said.upper and said.upper.amount.measure == "percent"):
        return ComparisonRule(size, group, other, _ratio_of_more(ratio_limit(sentence, said), sign))
    if said.amount.amount.measure == "number" and said.upper is None and said.amount.amount.unit is None:
        number = written(100 * said.amount.amount.number)
        sentence.refuse(f"write `{number}% {what.form} than`, or a size with its unit", said.span)
    limit = measured_limit(sentence, said, OF_SIZE[size], "a difference", "size")
    if sign > 0:
        return DifferenceRule(size, group, other, limit)
    if group.mode != "together" or other.mode != "together":
        sentence.refuse("turn the sentence round: say which zones cover so much more", said.span)
    return DifferenceRule(size, other, group, limit)


def _ratio_of_more(limit: Limit, sign: int) -> Limit:
    """40 % more is 1.4 times; at least 40 % less is at most 0.6 times."""

    def turned(amount: Amount) -> Amount:
        return Amount(1 + sign * amount.number)

    relation = limit.relation if sign > 0 else _MIRRORED[limit.relation]
    if limit.upper is None:
        return Limit(relation, turned(limit.amount))
    ends = sorted((turned(limit.amount), turned(limit.upper)), key=lambda amount: amount.number)
    return Limit("between", *ends)
