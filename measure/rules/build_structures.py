"""Sentences about structures, from the parse tree."""
# ruff: noqa: D102  (a method is said by its name, which is a node of the grammar)

from __future__ import annotations

from fractions import Fraction
from typing import Any

from lark import Token

from measure.rules.build_parts import PartsBuilder, number_of, unit_of
from measure.rules.kind import Rule
from measure.rules.limits import count_limit, measured_limit
from measure.rules.parts import Amount, Limit
from measure.rules.said import SaidLimit, Subject, What
from measure.rules.sentence import Sentence
from measure.rules.sizing import negated, size_group, sized
from measure.rules.solids import DifferentSolidsRule, HeightRule, PeopleRule, StructureCountRule
from measure.units import LengthUnit

_ANY = ""
"""A structure of any solid, between the tree and the rule."""


class StructuresBuilder(PartsBuilder):
    """The part of the builder that knows what stands on the land."""

    def solid_named(self, solid: Token) -> str:
        return str(solid.value)

    def solid_any(self) -> str:
        return _ANY

    def solids(self) -> None:
        """Said by the node around it."""

    def where(self, names: tuple[Token, ...]) -> tuple[str, ...]:
        return tuple(dict.fromkeys(str(token.value) for token in names))

    def where_parcel(self) -> tuple[str, ...]:
        return ()

    def presence_where(self, rule: Rule, zones: tuple[str, ...]) -> Rule:
        if isinstance(rule, StructureCountRule):
            return StructureCountRule(rule.solid, zones, rule.limit)
        if isinstance(rule, DifferentSolidsRule):
            if len(zones) > 1:
                self.sentence.refuse("different solids are counted in one zone; write one rule for each")
            return DifferentSolidsRule(zones[0] if zones else None, rule.limit)
        if zones:
            self.sentence.refuse(
                "whether a zone lies in another is not measured; leave the place out, or start with `by eye:`"
            )
        return rule

    def some_solid(self, solid: str) -> Rule:
        return StructureCountRule(solid or None, (), Limit("at least", Amount(Fraction(1))))

    def none_solid(self, solid: str) -> Rule:
        return StructureCountRule(solid or None, (), Limit("exactly", Amount(Fraction(0))))

    def count_solid(self, limit: SaidLimit, solid: str) -> Rule:
        return StructureCountRule(solid or None, (), count_limit(self.sentence, limit))

    def count_different(self, limit: SaidLimit, _: None) -> Rule:
        return DifferentSolidsRule(None, count_limit(self.sentence, limit))

    def has_solids(self, subject: Subject, limit: SaidLimit, solid: str) -> Rule:
        zones = self._built(subject)
        return StructureCountRule(solid or None, zones, count_limit(self.sentence, limit))

    def has_different(self, subject: Subject, limit: SaidLimit, _: None) -> Rule:
        zones = self._built(subject)
        if len(zones) > 1:
            self.sentence.refuse("different solids are counted in one zone; write one rule for each", subject.span)
        return DifferentSolidsRule(zones[0], count_limit(self.sentence, limit))

    def _built(self, subject: Subject) -> tuple[str, ...]:
        """Zones whose structures are counted together."""
        if subject.mode not in ("listed", "together"):
            self.sentence.refuse(
                "structures are counted in named zones; write one rule for each zone",
                subject.span if subject.names else None,
            )
        if subject.mode == "listed" and len(subject.names) > 1:
            self.sentence.infer(
                "structures of these zones are counted together; write one rule for each where each is meant"
            )
        return subject.names

    # ---- heights

    def every_structure(self, *parts: Any) -> Rule:
        return self._height((), _said_limit(parts))

    def every_structure_where(self, *parts: Any) -> Rule:
        return self._height(_zones_in(parts), _said_limit(parts))

    def no_structure(self, limit: SaidLimit) -> Rule:
        return negated(self.sentence, self._height((), limit), Subject("none", word="no structure"))

    def no_structure_where(self, zones: tuple[str, ...], limit: SaidLimit) -> Rule:
        return negated(self.sentence, self._height(zones, limit), Subject("none", word="no structure"))

    def tallest_structure(self, limit: SaidLimit) -> Rule:
        return self._height((), limit, tallest=True)

    def tallest_structure_where(self, zones: tuple[str, ...], limit: SaidLimit) -> Rule:
        return self._height(zones, limit, tallest=True)

    def is_tall(self, subject: Subject, limit: SaidLimit) -> Rule:
        if subject.mode == "none":
            return self.no_structure(limit)
        if subject.mode == "every":
            return self._height((), limit)
        return self._height(subject.names, limit, tallest=True)

    def _height(self, zones: tuple[str, ...], said: SaidLimit, *, tallest: bool = False) -> Rule:
        return HeightRule(zones, measured_limit(self.sentence, said, "length", "a height", "height"), tallest)

    # ---- volumes and people

    def holds(self, subject: Subject, what: What) -> Rule:
        return sized(self.sentence, "volume", subject, what)

    def houses(self, subject: Subject, limit: SaidLimit, density: tuple[Fraction, LengthUnit]) -> Rule:
        counted = count_limit(self.sentence, limit)
        rule = PeopleRule(size_group(self.sentence, "volume", subject), counted, *density)
        return negated(self.sentence, rule, subject) if subject.mode == "none" else rule

    def density(self, people: Token, unit: Token) -> tuple[Fraction, LengthUnit]:
        return _density(self.sentence, number_of(people), Fraction(1)), unit_of(unit)

    def density_of(self, people: Token, volume: Token, unit: Token) -> tuple[Fraction, LengthUnit]:
        return _density(self.sentence, number_of(people), number_of(volume)), unit_of(unit)


def _density(sentence: Sentence, people: Fraction, volume: Fraction) -> Fraction:
    if people == 0 or volume == 0:
        sentence.refuse("people per volume cannot be 0")
    return people / volume


def _said_limit(parts: tuple[Any, ...]) -> SaidLimit:
    return next(part for part in parts if isinstance(part, SaidLimit))


def _zones_in(parts: tuple[Any, ...]) -> tuple[str, ...]:
    return next(part for part in parts if isinstance(part, tuple))
