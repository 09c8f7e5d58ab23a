"""Who a sentence is about, as the groups of a rule, and what `no zone ...` makes of a rule."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.rules.amounts import OF_ONE, ON_LAND, Amount, Limit, SizeName
from measure.rules.rule import Rule
from measure.rules.sentences.sentence_parts import Sentence, Subject, Target
from measure.rules.zone_groups import ALL, EVERY, OTHER, Group, listed, one_by_one


def size_group(sentence: Sentence, size: SizeName, subject: Subject) -> Group:
    """Who a sentence about a size is about; several names without a word on it are read together, with a warning."""
    if subject.mode in ("every", "none"):
        return EVERY
    if subject.mode in _PIECEWISE:
        if size not in ON_LAND and subject.mode != "except":
            sentence.refuse(NOT_BY_PIECE, subject.span)
        return piecewise(subject)
    if subject.mode == "all":
        if size in OF_ONE:
            sentence.refuse(f"a {size} is of one zone; write `every zone`")
        return ALL
    if subject.mode == "each":
        return one_by_one(subject.names)
    if size in ("length", "width") and len(subject.names) == 1:
        return Group(subject.names, "pieces")
    if len(subject.names) > 1:
        if size in OF_ONE:
            sentence.refuse(
                f"a {size} is of one zone; write `each of` before the names, or one rule for each", subject.span
            )
        if subject.mode == "listed":
            sentence.infer(f"read as {listed(subject.names)} together; write `each of` where each is meant")
    return Group(subject.names)


def settled(sentence: Sentence, rule: Rule, subject: Subject) -> Rule:
    """The rule, with `another zone` said for certain: one of them that is near enough, or each that is far enough."""
    if not any(group.mode == "another" and group.count is None for group in rule.others):
        return rule
    limit = rule.limit
    near = not rule.negated if limit is None else limit.low is None
    if near and not subject.denied:
        return replace(rule, others=tuple(_nearest_piece(group, rule.subject) for group in rule.others))
    if not near and (subject.denied or rule.negated):
        return replace(rule, others=tuple(_each_other(group) for group in rule.others))
    every = replace(rule, others=tuple(_each_other(group) for group in rule.others))
    some = replace(rule, others=tuple(_one_other(group) for group in rule.others))
    sentence.refuse_both("`another` here", every.reads_as(), some.reads_as())


def _nearest_piece(group: Group, subject: Group) -> Group:
    """`a piece of shops`, of another zone: that zone, whose nearest piece decides."""
    own = group.mode != "another" or not group.names or group.names == subject.names
    return group if own else one_by_one(group.names)


def _each_other(group: Group) -> Group:
    if group.mode != "another":
        return group
    return Group(group.names, "pieces") if group.names else OTHER


def _one_other(group: Group) -> Group:
    return replace(group, count=Limit("at least", Amount(Fraction(1)))) if group.mode == "another" else group


NOT_BY_PIECE = "the table of structures tells zones apart, not their pieces; write about the zone"
_PIECEWISE = ("except", "pieces", "no piece", "some")


def piecewise(subject: Subject) -> Group:
    """Every zone but some, every piece of zones (`no piece` turns the rule round), or so many of them."""
    if subject.mode == "except":
        return Group(subject.names, "every")
    return Group(subject.names, "some" if subject.mode == "some" else "pieces", subject.count)


def separate(sentence: Sentence, subject: Subject, why: str = "this is checked zone by zone") -> Group:
    """The zones one by one: distances, places and numbers of pieces are not of a union."""
    if subject.mode in ("together", "all"):
        sentence.refuse(f"{why}; leave `together` out", subject.span if subject.names else None)
    if subject.mode in _PIECEWISE:
        return piecewise(subject)
    return EVERY if subject.mode in ("every", "none") else one_by_one(subject.names)


def each_other(sentence: Sentence, subject: Subject, target: Target | None, verb: str) -> tuple[Subject, Target]:
    """Subject and target; without a target the subject's own zones against one another."""
    if target is not None:
        return subject, target
    if subject.mode in ("pieces", "no piece"):
        return subject, Target(Group(subject.names, "pieces"))
    if subject.mode in ("every", "none"):
        return subject, Target(OTHER)
    if len(subject.names) < 2:
        sentence.refuse(f"`{verb}` needs a second zone", subject.span)
    if len(subject.names) > 2:
        return subject, Target(Group(subject.names, "each"))
    return replace(subject, names=subject.names[:1]), Target(Group(subject.names[1:]))


def check_different(sentence: Sentence, group: Group, other: Group, never: str) -> None:
    """Refuse a zone against itself."""
    if group.names and group.mode == "together" and group.names == other.names:
        sentence.refuse(f"`{group.names[0]}` {never}; name another zone")


def for_subject(sentence: Sentence, rule: Rule, subject: Subject) -> Rule:
    """The rule; of `no zone covers more than ...`, `every zone covers at most ...`."""
    if not subject.denied:
        return rule
    if rule.bound.relation in ("between", "exactly"):
        sentence.refuse(
            f"`{subject.word}` needs `more than` or `less than` after it; say what every zone must do", subject.span
        )
    return replace(rule, limit=rule.bound.opposite)


def not_with_itself(rule: Rule) -> Rule:
    """`every zone must be bigger than the lake`: every other one."""
    named = tuple(name for group in rule.others for name in group.names if group.mode in ("together", "each"))
    left_out = tuple(dict.fromkeys((*rule.subject.names, *named)))
    if rule.sentence_kind != "comparison" or rule.subject.mode != "every" or not named:
        return rule
    return replace(rule, subject=Group(left_out, "every"))
