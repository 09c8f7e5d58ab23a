"""From the parse tree to a rule: which kind of rule a sentence is, and whether it makes sense as one."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from lark import Token

from measure.rules.build_parts import PartsBuilder
from measure.rules.build_structures import StructuresBuilder
from measure.rules.kind import Group, Rule
from measure.rules.limits import count_limit, measured_limit, tolerated
from measure.rules.parts import Amount, Limit, Relation
from measure.rules.places import CentreRule, DistanceRule, EdgeRule, InsideRule, OverlapRule, TouchRule
from measure.rules.presence import ByEyeRule, CountRule
from measure.rules.said import Comparative, SaidAmount, SaidLimit, Subject, Target, What
from measure.rules.sizes import WHOLE_MODEL, Size
from measure.rules.sizing import negated, sized
from measure.rules.solids import DifferentSolidsRule, StructureCountRule

AT_LEAST_ONE = Limit("at least", Amount(Fraction(1)))
NONE = Limit("exactly", Amount(Fraction(0)))


class Builder(StructuresBuilder, PartsBuilder):
    """A sentence's method is named after its node in the grammar; rules come out whole but for a tolerance."""

    # ---- whole sentences

    def start(self, rule: Rule) -> Rule:
        limit = getattr(rule, "limit", None)
        if isinstance(limit, Limit) and limit.relation == "exactly" and limit.tolerance is None and not _counts(rule):
            self._refuse_exact(limit)
        return rule

    def with_tolerance(self, rule: Rule, said: SaidAmount) -> Rule:
        limit = getattr(rule, "limit", None)
        if not isinstance(limit, Limit) or _counts(rule):
            self.sentence.refuse("`within` belongs to `exactly` with a measured size or distance", said.span)
        made: Rule = replace(rule, limit=tolerated(self.sentence, limit, said))  # type: ignore[type-var]
        return made

    def or_more_after_all(self, rule: Rule, _: Token) -> Rule:
        return self._open_ended(rule, "at least")

    def or_less_after_all(self, rule: Rule, _: Token) -> Rule:
        return self._open_ended(rule, "at most")

    def _open_ended(self, rule: Rule, relation: Relation) -> Rule:
        """`covers 1/5 of the parcel or less`."""
        limit = getattr(rule, "limit", None)
        if not isinstance(limit, Limit) or limit.relation != "exactly" or limit.tolerance is not None:
            self.sentence.refuse("`or more` and `or less` belong to a number without `at least` or `at most`")
        self.sentence.warnings = [said for said in self.sentence.warnings if not said.startswith("read as exactly")]
        made: Rule = replace(rule, limit=replace(limit, relation=relation))  # type: ignore[type-var]
        return made

    def within(self, said: SaidAmount) -> SaidAmount:
        return said

    def by_eye(self, text: Token) -> Rule:
        return ByEyeRule(str(text.value))

    def _refuse_exact(self, limit: Limit) -> None:
        length = "1/4 in" if limit.amount.unit in ("in", "ft") else "5 mm"
        near = length if limit.amount.measure == "length" else "2%"
        self.sentence.refuse(
            "nothing can be measured exactly; write `at least` or `at most`, or end the rule with how near is near"
            f" enough, such as `, within {near}`"
        )

    # ---- presence and count

    def presence(self, rule: Rule) -> Rule:
        return rule

    def some_zone(self, zone: Token) -> Rule:
        return CountRule(Group((str(zone.value),)), AT_LEAST_ONE)

    def none_zone(self, zone: Token) -> Rule:
        return CountRule(Group((str(zone.value),)), NONE)

    def count_zone(self, limit: SaidLimit, zone: Token) -> Rule:
        return CountRule(Group((str(zone.value),)), count_limit(self.sentence, limit))

    def some_piece(self, subject: Subject) -> Rule:
        return CountRule(self._counted(subject), AT_LEAST_ONE)

    def none_piece(self, subject: Subject) -> Rule:
        return CountRule(self._counted(subject), NONE)

    def count_piece(self, limit: SaidLimit, subject: Subject) -> Rule:
        return CountRule(self._counted(subject), count_limit(self.sentence, limit))

    def has_pieces(self, subject: Subject, limit: SaidLimit) -> Rule:
        return CountRule(self._counted(subject), count_limit(self.sentence, limit))

    def exists(self, subject: Subject) -> Rule:
        return CountRule(self._counted(subject), AT_LEAST_ONE)

    def exists_not(self, subject: Subject) -> Rule:
        return CountRule(self._counted(subject), NONE)

    def _counted(self, subject: Subject) -> Group:
        if subject.mode in ("together", "all"):
            self.sentence.refuse(
                "pieces are counted zone by zone; leave `together` out", subject.span if subject.names else None
            )
        if subject.mode == "none":
            self.sentence.refuse("name the zone whose pieces are counted")
        return _singles(subject)

    # ---- sizes

    def covers(self, subject: Subject, what: What) -> Rule:
        return sized(self.sentence, "area", subject, what)

    def is_what(self, subject: Subject, what: What) -> Rule:
        """`is at least 12 sq in`; the unit or the word tells an area from a volume and a height."""
        if what.form == "limit" and what.limit is not None:
            amount = what.limit.amount
            if what.limit.comparative.flavour == "height":
                return self.is_tall(subject, what.limit)
            if amount.amount.measure == "volume":
                return sized(self.sentence, "volume", subject, what)
            if amount.amount.measure == "length":
                self.sentence.refuse(
                    f"`{amount.amount}` from what? name the zone, the edge or the centre; a height ends with `tall`",
                    amount.span,
                )
        return sized(self.sentence, "area", subject, what)

    def is_large(self, subject: Subject, limit: SaidLimit) -> Rule:
        return sized(self.sentence, "area", subject, What("limit", limit))

    def is_largest(self, subject: Subject) -> Rule:
        return self._extreme(subject, Comparative("more than"))

    def is_smallest(self, subject: Subject) -> Rule:
        return self._extreme(subject, Comparative("less than"))

    def _extreme(self, subject: Subject, comparative: Comparative) -> Rule:
        if subject.mode in ("every", "none", "each", "all"):
            self.sentence.refuse("only one zone can be the largest or the smallest; name it")
        thing = self.thing_others(Group(mode="other"))
        return sized(self.sentence, "area", subject, What("compared", comparative=comparative, thing=thing))

    def has_quantity(self, subject: Subject, size: Size, what: What) -> Rule:
        return sized(self.sentence, size, subject, what)

    def quantity_is(self, size: Size, subject: Subject, what: What) -> Rule:
        return sized(self.sentence, size, subject, what)

    def quantity_of_all(self, size: Size, *parts: What | Token) -> Rule:
        if size in ("area", "perimeter"):
            self.sentence.refuse(f"structures have no {size} here; write about their volume or surface area")
        what = next(part for part in parts if isinstance(part, What))
        return sized(self.sentence, size, Subject("together", WHOLE_MODEL.names), what)

    def zone_quantity_is(self, zone: Token, size: Size, what: What) -> Rule:
        return sized(self.sentence, size, self.subject_listed((zone,)), what)

    # ---- distances

    def is_from(self, subject: Subject, limit: SaidLimit, *parts: Target | None) -> Rule:
        target = next(part for part in parts if isinstance(part, Target))
        return self._distance(subject, target, limit)

    def is_within(self, subject: Subject, amount: SaidAmount, target: Target) -> Rule:
        return self._distance(subject, target, SaidLimit(Comparative("at most"), amount))

    def is_not_within(self, subject: Subject, amount: SaidAmount, target: Target) -> Rule:
        return self._distance(subject, target, SaidLimit(Comparative("more than"), amount))

    def is_apart(self, subject: Subject, limit: SaidLimit) -> Rule:
        return self._distance(*self._each_other(subject, "apart"), limit)

    def is_apart_from_each_other(self, subject: Subject, limit: SaidLimit, *_: None) -> Rule:
        return self.is_apart(subject, limit)

    def is_within_each_other(self, subject: Subject, amount: SaidAmount) -> Rule:
        return self.is_apart(subject, SaidLimit(Comparative("at most"), amount))

    def distance_from(self, subject: Subject, target: Target, limit: SaidLimit) -> Rule:
        return self._distance(subject, target, limit)

    def distance_between(self, names: tuple[Token, ...], limit: SaidLimit) -> Rule:
        return self.is_apart(self.subject_listed(names), limit)

    def away(self) -> None:
        """Said by the node around it."""

    def _distance(self, subject: Subject, target: Target, said: SaidLimit) -> Rule:
        group = self._separate(subject)
        limit = measured_limit(self.sentence, said, "length", "a distance", "distance")
        rule: Rule
        if target.parcel == "edge":
            rule = EdgeRule(group, limit)
        elif target.parcel == "centre":
            rule = CentreRule(group, limit)
        else:
            self._check_different(group, target.group, "is never away from itself")
            rule = DistanceRule(group, target.group, limit)
        return negated(self.sentence, rule, subject) if subject.mode == "none" else rule

    # ---- touching and overlapping

    def touches(self, subject: Subject, target: Target) -> Rule:
        return self._touching(subject, target, touches=True)

    def touches_not(self, subject: Subject, target: Target) -> Rule:
        return self._touching(subject, target, touches=False)

    def touch_mutual(self, subject: Subject) -> Rule:
        return self._touching(*self._each_other(subject, "touch"), touches=True)

    def touch_mutual_not(self, subject: Subject) -> Rule:
        return self._touching(*self._each_other(subject, "touch"), touches=False)

    def _touching(self, subject: Subject, target: Target, *, touches: bool) -> Rule:
        group = self._separate(subject)
        if target.parcel:
            self.sentence.refuse(
                f"write how near to the {target.parcel}, such as `is within 1/4 in of the {target.parcel}`"
            )
        if subject.mode == "none" and not touches:
            self.sentence.refuse("`no` and `not` together mean that every zone touches; say so with `every zone`")
        self._check_different(group, target.group, "cannot touch itself")
        return TouchRule(group, target.group, touches and subject.mode != "none")

    def overlaps(self, subject: Subject, target: Target) -> Rule:
        return self._overlapping(subject, target, overlaps=True)

    def overlaps_not(self, subject: Subject, target: Target) -> Rule:
        return self._overlapping(subject, target, overlaps=False)

    def overlap_mutual(self, subject: Subject) -> Rule:
        return self._overlapping(*self._each_other(subject, "overlap"), overlaps=True)

    def overlap_mutual_not(self, subject: Subject) -> Rule:
        return self._overlapping(*self._each_other(subject, "overlap"), overlaps=False)

    def _overlapping(self, subject: Subject, target: Target, *, overlaps: bool) -> Rule:
        if subject.mode == "none" and not overlaps:
            self.sentence.refuse("`no` and `not` together mean that every zone overlaps; say so with `every zone`")
        group = self._separate(subject)
        overlaps = overlaps and subject.mode != "none"
        if target.parcel == "edge" and not overlaps:
            return InsideRule(group)
        if target.parcel:
            self.sentence.refuse(f"a rule cannot ask that a zone overlaps the {target.parcel}; start with `by eye:`")
        self._check_different(group, target.group, "cannot overlap itself")
        if group.mode == "every" and target.group.mode == "other" and not overlaps:
            return OverlapRule(Group(mode="every"))
        return OverlapRule(group, target.group, overlaps)

    def is_inside(self, subject: Subject, *_: None) -> Rule:
        if subject.mode == "none":
            self.sentence.refuse(
                "a rule cannot ask that zones leave the parcel; write `every zone is inside the parcel`"
            )
        return InsideRule(self._separate(subject))

    def is_outside(self, subject: Subject, *_: None) -> Rule:
        if subject.mode != "none":
            self.sentence.refuse("a zone outside the parcel cannot be measured; write `is inside the parcel`")
        return InsideRule(Group(mode="every"))

    def in_parcel(self, *_: None) -> None:
        """Said by the node around it."""

    # ---- who

    def _separate(self, subject: Subject) -> Group:
        """The zones one by one: distances and places are not of a union."""
        if subject.mode in ("together", "all"):
            self.sentence.refuse(
                "this is checked zone by zone; leave `together` out", subject.span if subject.names else None
            )
        return _singles(subject)

    def _each_other(self, subject: Subject, verb: str) -> tuple[Subject, Target]:
        """The subject's own zones against one another, as subject and target."""
        if subject.mode in ("every", "none"):
            return subject, Target(Group(mode="other"))
        if len(subject.names) < 2:
            self.sentence.refuse(f"`{verb}` needs a second zone", subject.span)
        if len(subject.names) > 2:
            return subject, Target(Group(subject.names, "each"))
        return replace(subject, names=subject.names[:1]), Target(Group(subject.names[1:]))

    def _check_different(self, group: Group, other: Group, never: str) -> None:
        if group.names and group.mode == "together" and group.names == other.names:
            self.sentence.refuse(f"`{group.names[0]}` {never}; name another zone")


def _singles(subject: Subject) -> Group:
    if subject.mode in ("every", "none"):
        return Group(mode="every")
    return Group(subject.names, "each" if len(subject.names) > 1 else "together")


def _counts(rule: Rule) -> bool:
    """Whether the rule's number is a count, which is exact."""
    return isinstance(rule, CountRule | StructureCountRule | DifferentSolidsRule)
