"""Sentences about distances: to a zone, to the parcel's edge, or to its centre."""

from __future__ import annotations

from dataclasses import replace

from measure.rules.kinds.places.centre_distance import CENTRE_DISTANCE
from measure.rules.kinds.places.edge_distance import EDGE_DISTANCE
from measure.rules.kinds.places.gap_distance import DISTANCE
from measure.rules.rule import Rule
from measure.rules.sentences.said_limits import measured_limit
from measure.rules.sentences.sentence_forms import sentence_form
from measure.rules.sentences.sentence_parts import Comparative, SaidAmount, SaidLimit, Sentence, Subject, Target
from measure.rules.sentences.subjects import check_different, each_other, for_subject, separate, settled


@sentence_form
def is_from(sentence: Sentence, subject: Subject, said: SaidLimit, target: Target, *, centroid: bool = False) -> Rule:
    """`stables are at least 4 in from library`."""
    if target.parcel == "centre" and said.comparative.relation in ("at most", "less than") and not centroid:
        offer = f"{subject.word or 'every zone'} is within {said.amount.amount} of the centre"
        sentence.refuse(
            f"this can be from the zone's nearest point or from its own centre; `{offer}` is from its own centre",
            None,
            (offer,),
        )
    group = separate(sentence, subject)
    limit = measured_limit(sentence, said, "length", "a distance", "distance")
    if target.parcel:
        rule = Rule(EDGE_DISTANCE if target.parcel == "edge" else CENTRE_DISTANCE, group, limit)
    else:
        check_different(sentence, group, target.group, "is never away from itself")
        rule = Rule(DISTANCE, group, limit, (target.group,))
    made = settled(sentence, for_subject(sentence, rule, subject), subject)
    if subject.plural and subject.mode == "listed" and made.bound.low is None:
        sentence.infer(f"the nearest piece decides; write `every piece of {group}` where each is meant")
    return made


@sentence_form
def is_within(sentence: Sentence, subject: Subject, amount: SaidAmount, target: Target) -> Rule:
    """`stables are within 4 in of library`."""
    return is_from(sentence, subject, SaidLimit(Comparative("at most"), amount), target, centroid=True)


@sentence_form
def is_not_within(sentence: Sentence, subject: Subject, amount: SaidAmount, target: Target) -> Rule:
    """`stables are not within 4 in of library`."""
    return is_from(sentence, subject, SaidLimit(Comparative("more than"), amount), target)


@sentence_form
def is_apart(sentence: Sentence, subject: Subject, limit: SaidLimit) -> Rule:
    """`stables and library are at least 4 in apart`."""
    subject, target = each_other(sentence, subject, None, "apart")
    return is_from(sentence, subject, limit, target)


@sentence_form
def is_within_each_other(sentence: Sentence, subject: Subject, amount: SaidAmount) -> Rule:
    """`stables and library are within 4 in of each other`."""
    return is_apart(sentence, subject, SaidLimit(Comparative("at most"), amount))


@sentence_form
def distance_from(sentence: Sentence, subject: Subject, target: Target, limit: SaidLimit) -> Rule:
    """`the distance from stables to library is at least 4 in`."""
    return is_from(sentence, replace(subject, plural=False), limit, target, centroid=True)
