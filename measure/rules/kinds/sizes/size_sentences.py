"""Sentences about sizes: whether they state a share, a size, or one zone against another."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.numbers import written
from measure.rules.amounts import OF_ONE, OF_SIZE, ON_LAND, Amount, Limit, Relation, SizeName
from measure.rules.kinds.sizes.share_of_parcel import SHARE
from measure.rules.kinds.sizes.size_difference import DIFFERENCE
from measure.rules.kinds.sizes.size_ratio import RATIO
from measure.rules.kinds.sizes.zone_size import SIZE
from measure.rules.kinds.structures.structure_height import is_tall
from measure.rules.rule import Rule
from measure.rules.sentences.said_limits import fitting, measured_limit, near_limits, ratio_limit, share_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidLimit, Sentence, Subject, Thing, What
from measure.rules.sentences.subjects import for_subject, size_group
from measure.rules.zone_groups import OTHER, WHOLE_MODEL, Group, listed

_MIRRORED: dict[Relation, Relation] = {
    "at least": "at most",
    "at most": "at least",
    "more than": "less than",
    "less than": "more than",
    "exactly": "exactly",
    "between": "between",
}


@sentence_form
def covers(sentence: Sentence, subject: Subject, what: What) -> Rule:
    """`library covers at most 1/5 of the parcel`."""
    return _sized(sentence, "area", subject, what)


@sentence_form
def is_what(sentence: Sentence, subject: Subject, what: What) -> Rule:
    """`is at least 12 sq in`; the unit or the word tells an area from a volume and a height."""
    if what.form == "limit":
        said = what.said.amount
        if what.said.comparative.flavour == "height":
            return is_tall(sentence, subject, what.said)
        if said.amount.measure == "volume":
            return _sized(sentence, "volume", subject, what)
        if said.amount.measure == "length":
            sentence.refuse(
                f"`{said.amount}` from what? name the zone, the edge or the centre; a height ends with `tall`",
                said.span,
            )
    _one_or_each(sentence, subject, what)
    return _sized(sentence, "area", subject, what)


@sentence_form
def is_large(sentence: Sentence, subject: Subject, limit: SaidLimit) -> Rule:
    """`is at least 12 sq in large`."""
    _one_or_each(sentence, subject, What("limit", limit))
    return _sized(sentence, "area", subject, What("limit", limit))


@sentence_form
def is_largest(sentence: Sentence, subject: Subject) -> Rule:
    """`is the largest zone`."""
    return _extreme(sentence, subject, Comparative("more than"))


@sentence_form
def is_smallest(sentence: Sentence, subject: Subject) -> Rule:
    """`is the smallest zone`."""
    return _extreme(sentence, subject, Comparative("less than"))


@sentence_form
def has_quantity(sentence: Sentence, subject: Subject, size: SizeName, what: What) -> Rule:
    """`meadow has a perimeter of at most 40 in`."""
    return _sized(sentence, size, subject, what)


@sentence_form
def quantity_is(sentence: Sentence, size: SizeName, subject: Subject, what: What) -> Rule:
    """`the perimeter of meadow is at most 40 in`."""
    return _sized(sentence, size, subject, what)


@sentence_form
def quantity_of_all(sentence: Sentence, size: SizeName, *parts: What | str) -> Rule:
    """`the volume of all structures is at most 300 cubic cm`."""
    if size in ON_LAND:
        sentence.refuse(f"structures have no {size} here; write about their volume or surface area")
    what = next(part for part in parts if isinstance(part, What))
    together = _sized(sentence, size, Subject("together", WHOLE_MODEL.names), what)
    if any(str(part).casefold() in ("every", "each", "any") for part in parts):
        total = together.reads_as()
        sentence.refuse(
            f"structures have limits one by one for their height alone; of all together: `{total}`", None, (total,)
        )
    return together


@sentence_form
def holds(sentence: Sentence, subject: Subject, what: What) -> Rule:
    """`stables hold at least 200 cubic cm`."""
    return _sized(sentence, "volume", subject, what)


def _one_or_each(sentence: Sentence, subject: Subject, what: What) -> None:
    """`homes are at least 5 sq in`: all of them together, or each."""
    said = subject.plural and subject.mode == "listed" and what.form == "limit"
    if said and what.said.amount.amount.measure in ("area", "number"):
        _refuse_both(sentence, "area", subject, what)


def _refuse_both(sentence: Sentence, size: SizeName, subject: Subject, what: What) -> None:
    group = Group(subject.names)
    together = _positive(sentence, size, group, what)
    if together.bound.relation == "exactly" and together.bound.tolerance is None:
        together = replace(together, limit=near_limits(together.bound)[0])
    each = replace(together, subject=Group(subject.names, "pieces"))
    said = "`all of`" if subject.word == "all of them" else f"`{subject.word} are`"
    sentence.refuse_both(said, together.reads_as(), each.reads_as(), subject.span)


def _sized(sentence: Sentence, size: SizeName, subject: Subject, what: What) -> Rule:
    if subject.word == "all of them":
        _refuse_both(sentence, size, subject, what)
    group = size_group(sentence, size, subject)
    return for_subject(sentence, _positive(sentence, size, group, what), subject)


def _extreme(sentence: Sentence, subject: Subject, comparative: Comparative) -> Rule:
    if subject.mode not in ("listed", "together"):
        sentence.refuse("only one zone can be the largest or the smallest; name it")
    return _sized(sentence, "area", subject, What("compared", comparative=comparative, thing=Thing(OTHER)))


def _positive(sentence: Sentence, size: SizeName, group: Group, what: What) -> Rule:
    if what.form == "limit":
        return _limited(sentence, size, group, what.said)
    if what.form == "share":
        if size != "area":
            sentence.refuse(f"only an area is a share of the parcel, not a {size}", what.said.span)
        return Rule(SHARE, group, share_limit(sentence, what.said))
    other = _other(sentence, size, what)
    if what.form == "compared":
        comparative = what.comparative
        assert comparative is not None
        fitting(sentence, comparative, "size")
        return Rule(RATIO, group, Limit(comparative.relation, Amount(Fraction(1))), (other,), size)
    if what.form == "ratio":
        return Rule(RATIO, group, ratio_limit(sentence, what.said), (other,), size)
    return _so_much_more(sentence, size, group, other, what)


def _limited(sentence: Sentence, size: SizeName, group: Group, said: SaidLimit) -> Rule:
    if size == "area" and said.amount.amount.measure == "percent":
        sentence.infer("read as a share of the parcel")
        return Rule(SHARE, group, share_limit(sentence, said))
    what = "what a zone covers" if size == "area" else f"a {size}"
    return Rule(SIZE, group, measured_limit(sentence, said, OF_SIZE[size], what, "size"), size=size)


def _other(sentence: Sentence, size: SizeName, what: What) -> Group:
    thing = what.thing
    assert thing is not None
    if thing.size not in (None, size):
        sentence.refuse(f"the {size} can only be compared with the {size}, not with the {thing.size}")
    if len(thing.group.names) > 1:
        if size in OF_ONE:
            sentence.refuse(f"a {size} is of one zone; write one rule for each")
        if thing.inferred_together:
            sentence.infer(f"read as {listed(thing.group.names)} together; write one rule for each where each is meant")
    return thing.group


def _so_much_more(sentence: Sentence, size: SizeName, group: Group, other: Group, what: What) -> Rule:
    """`at least 40% more than stables`, `at least 3 sq in less than stables`."""
    said = what.said
    sign = 1 if what.form == "more" else -1
    if said.amount.times:
        number = written(said.amount.amount.number)
        sentence.refuse(
            f"`{number} times {what.form}` can be read in two ways; write `{number} times` and the zone's name",
            said.span,
        )
    if said.amount.amount.measure == "percent" or (said.upper and said.upper.amount.measure == "percent"):
        return Rule(RATIO, group, _ratio_of_more(ratio_limit(sentence, said), sign), (other,), size)
    if said.amount.amount.measure == "number" and said.upper is None and said.amount.amount.unit is None:
        number = written(100 * said.amount.amount.number)
        sentence.refuse(f"write `{number}% {what.form} than`, or a size with its unit", said.span)
    limit = measured_limit(sentence, said, OF_SIZE[size], "a difference", "size")
    if sign > 0:
        return Rule(DIFFERENCE, group, limit, (other,), size)
    if group.mode != "together" or other.mode != "together":
        sentence.refuse("turn the sentence round: say which zones cover so much more", said.span)
    return Rule(DIFFERENCE, other, limit, (group,), size)


def _ratio_of_more(limit: Limit, sign: int) -> Limit:
    """40 % more is 1.4 times; at least 40 % less is at most 0.6 times."""

    def turned(amount: Amount) -> Amount:
        return Amount(1 + sign * amount.number)

    relation = limit.relation if sign > 0 else _MIRRORED[limit.relation]
    if limit.upper is None:
        return Limit(relation, turned(limit.amount))
    ends = sorted((turned(limit.amount), turned(limit.upper)), key=lambda amount: amount.number)
    return Limit("between", *ends)
