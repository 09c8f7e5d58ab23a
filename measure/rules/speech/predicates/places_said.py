"""What is said of places: touching, overlapping, being inside something or in a part of the parcel."""

from __future__ import annotations

from dataclasses import dataclass, replace

from measure.rules.speech.predicates.gaps_said import (
    Apart,
    EachApart,
    Nearer,
    NearerThanOthers,
    NearestZone,
    NotNearer,
    to_target,
)
from measure.rules.speech.predicates.sizes_said import Bounded, Extreme
from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.meanings import ANY, EDGE, ONE, Bound, Or, Place, Said, Sentences, Target, Whom, formula

_VERBS = {"touch": ("touches", "touch"), "overlap": ("overlaps", "overlap"), "inside": ("is inside", "")}


@dataclass(frozen=True)
class Meets:
    """Touching, overlapping or being inside something; target None: one another."""

    verb: str
    target: Target | None
    negated: bool = False

    def denied(self) -> Meets:
        """The opposite."""
        return replace(self, negated=not self.negated)

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom."""
        target = self.target
        if self.verb == "atop":  # how much of it lies there is not said, but none of it is
            return replace(self, verb="overlap").of(who) if self.negated else None
        if isinstance(target, Place) and target.which == ANY:
            return replace(self, target=EDGE).of(who) if self.negated else None
        if who.quantifier in ("pair", "no pair") and target is not None:
            return None
        if who.quantifier == "all" and who.names:
            every = self.of(replace(who, quantifier="every"))
            if not self.negated:
                return every
            not_all = f"not: ({formula(who, '{} ' + self._verb(False) + ' {other}').formula})"
            other = target.text if isinstance(target, Place) else target.thing if isinstance(target, Whom) else ""
            return Several((every, (Said("", not_all.replace("{other}", other)),)))
        if target is None:
            return self._each_other(who)
        if isinstance(target, Or):
            return self._or(who, target)
        if isinstance(target, Whom) and target.but:
            others = Whom("every", but=(*who.names, *target.but))
            return replace(self, target=who).of(others) if who.single and self.verb != "inside" else None
        if self.verb == "inside" and self.negated:
            return self._not_inside(who, target)
        if isinstance(target, Whom) and target.quantifier == "some":
            turned = who.single and not self.negated and self.verb != "inside"
            return replace(self, target=who).of(target) if turned else None
        if isinstance(target, Whom) and target.quantifier == "any":
            nearest, every = (replace(self, target=replace(target, quantifier=q)).of(who) for q in ("", "every"))
            return nearest if self.negated else Several((nearest, every))
        if isinstance(target, Place):
            return (formula(who, f"{{}} {self._verb(self.negated)} {target.text}"),) if self._edge(target) else None
        if self.negated and len(target.names) > 1 and who.prefix:
            return self._none_of_list(who, target)
        return (self._of_zones(who, target),)

    def _not_inside(self, who: Whom, target: Target) -> Several | None:
        """`must not be in the field`: no part of it, or not the whole of it."""
        if isinstance(target, Or | Place) or target.quantifier not in ("", "every", "each"):
            return None
        no_part = replace(self, verb="overlap").of(who)
        return Several((no_part, (self._of_zones(who, target),))) if isinstance(no_part, tuple) else None

    def _edge(self, target: Place) -> bool:
        return target.kind == "edge" and self.verb == "touch"

    def _of_zones(self, who: Whom, target: Whom) -> Said:
        plain = f"{{}} {self._verb(self.negated)} {target.text}"
        if self.verb == "inside" and self.negated:
            plain = ""
        elif self.negated and who.quantifier == "every" and who.names:
            plain = f"no piece of {who.names[0]} {self._verb(False)} {target.text}"
        elif self.negated and who.quantifier == "every" and not who.but:
            plain = f"no zone {self._verb(False)} {target.text}"
        return to_target(who, target, f"{{}} {self._verb(self.negated)} {{other}}", plain)

    def _verb(self, negated: bool) -> str:
        said, plain = _VERBS[self.verb]
        if not negated:
            return said
        return f"does not {plain}" if plain else "is not inside"

    def _none_of_list(self, who: Whom, target: Whom) -> Several:
        """`no home may touch the lake and the factory`."""
        parts = [replace(self, target=one).of(who) for one in target.each()]
        neither = tuple(said for part in parts if isinstance(part, tuple) for said in part)
        both = ", and ".join(f"{{}} {self._verb(False)} {one.thing}" for one in target.each())
        return Several((neither, (formula(replace(who, quantifier="no"), both),)))

    def _or(self, who: Whom, target: Or) -> Sentences | Several | None:
        if len(who.names) > 1 and not self.negated:
            return self._each_or(who)
        if self.negated:
            parts = [replace(self, target=part).of(who) for part in target.parts]
            found = [part for part in parts if isinstance(part, tuple)]
            return tuple(said for part in found for said in part) if len(found) == len(parts) else None
        if len(who.names) > 1 and who.quantifier != "together":
            return None  # `the homes and the shops touch the park or the lake`: each for itself, or the same one
        texts = [f"{{}} {self._verb(False)} {part.thing}" for part in target.parts]
        made = (formula(who, f"either {', or '.join(texts)}"),)
        if who.single and who.several:
            return Several(((formula(replace(who, quantifier="every"), f"either {', or '.join(texts)}"),), made))
        return made

    def _each_or(self, who: Whom) -> Sentences | None:
        """`the school and the market must each touch the park or the lake`: one zone after the other."""
        if who.quantifier not in ("", "each") or any(name.endswith("s") for name in who.names):
            return None
        parts = [self.of(Whom("", (name,))) for name in who.names]
        found = [part for part in parts if isinstance(part, tuple)]
        return tuple(said for part in found for said in part) if len(found) == len(parts) else None

    def _each_other(self, who: Whom) -> Sentences | None:
        verb = self.verb
        if verb == "inside" or who.quantifier in ("some", "together", "extreme", "no"):
            return None
        if not who.names:
            apart = self.negated != (who.quantifier == "no pair")
            return (Said(f"no zones {verb}"),) if apart and not who.but else None
        if len(who.names) == 1:
            apart = self.negated if who.quantifier != "no pair" else not self.negated
            of_pieces = who.several or who.quantifier in ("every", "no pair", "pair")
            name = who.names[0]
            said = f"no piece of {name} {_VERBS[verb][0]} another piece of {name}"
            return (Said(said),) if apart and of_pieces else None
        if len(who.names) == 2:
            first, second = Whom("", who.names[:1]), Whom("", who.names[1:])
            return replace(self, target=second).of(first)  # type: ignore[return-value]
        return (Said(f"{who.text} do not {verb}"),) if self.negated else None


@dataclass(frozen=True)
class MeetsZones(Bounded):
    """Touching so many other zones."""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        return formula(who, "", f"{{}} touches {bound.text()} other zones") if who.one_by_one else None


@dataclass(frozen=True)
class Alone:
    """Touching no other zone."""

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        return (formula(who, "", "{} does not touch every other zone"),) if who.single else None

    def denied(self) -> MeetsZones:
        """Touching at least one."""
        return MeetsZones((Bound("at least", ONE),))


@dataclass(frozen=True)
class MeetsEdges(Bounded):
    """Touching so many edges of the parcel."""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        text = f"for {bound.text()} edges of the parcel: {who.thing} touches that edge"
        return Said("", text) if who.single else None


@dataclass(frozen=True)
class Shared(Bounded):
    """How long a common border, or how large an overlap, with one another (target None) or something."""

    what: str = "common border"
    target: Whom | None = None
    part_of: str = ""

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom."""
        if self.target is None:
            if len(who.names) != 2:
                return None
            return replace(self, target=Whom("", who.names[1:])).of(Whom("", who.names[:1]))
        return super().of(who)

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        assert self.target is not None
        if not self.target.sayable:
            return None
        much = bound.times_text(self.part_of) if self.part_of else bound.text(bare="exactly")
        return formula(who, f"the {self.what} of {{}} and {self.target.thing} is {much}")


@dataclass(frozen=True)
class InRegion:
    """Wholly in a half or a corner of the parcel, or mostly."""

    region: Place
    mostly: bool = False
    negated: bool = False

    def denied(self) -> InRegion:
        """The opposite."""
        return replace(self, negated=not self.negated)

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom."""
        if who.quantifier in ("pair", "no pair", "any", "extreme"):
            return None
        if self.negated:
            return self._none(who)
        if who.quantifier == "all":
            who = replace(who, quantifier="every")
        text = f"{{}} is {'mostly ' if self.mostly else ''}in {self.region.text}"
        return (formula(who, text, "" if "third" in self.region.which else text),)

    def _none(self, who: Whom) -> Several | None:
        """Not a part of it, or not the whole of it."""
        if who.quantifier not in ("", "every", "each") or len(who.names) > 1:
            return None
        if self.mostly:
            return None
        ways = [f"not: {{}} is {way} {self.region.text}" for way in ("partly in", "in")]
        return Several(tuple((formula(who, way),) for way in ways))


@dataclass(frozen=True)
class Beyond:
    """All of it north (or another way) of all of another."""

    way: str
    target: Target

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        target = self.target
        if isinstance(target, Or | Place) or target.quantifier == "any":
            return None
        if who.quantifier in ("any", "pair", "no pair", "no"):
            return None
        if target.but:
            others = Whom("every", but=(*who.names, *target.but))
            return (Said("", f"{others.prefix}{who.names[0]} is {self.way} of that zone"),) if who.single else None
        if who.quantifier == "all":
            who = replace(who, quantifier="every")
        return (to_target(who, target, f"{{}} is {self.way} of {{other}}", f"{{}} is {self.way} of {target.text}"),)

    def denied(self) -> None:
        """Not north of: nobody says so."""
        return None


@dataclass(frozen=True)
class Fact:
    """A plain statement about whom that either grammar has words for: `is a rectangle`, `covers the centre`.

    whole: the text is the whole formula, {} in it for whom.
    """

    text: str
    plain: bool = False
    of_pieces: bool = False
    negated: bool = False
    whole: bool = False

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        if who.quantifier in ("any", "pair", "no pair"):
            return None
        if self.of_pieces and who.single:
            who = replace(who, quantifier="every")
        if self.whole:
            return None if self.negated else (formula(who, self.text),)
        if self.plain:
            return None if self.negated else (formula(who, "", f"{{}} {self.text}"),)
        return (formula(who, f"not: {{}} {self.text}" if self.negated else f"{{}} {self.text}"),)

    def denied(self) -> Fact:
        """The opposite."""
        return replace(self, negated=not self.negated)


@dataclass(frozen=True)
class Both:
    """Two things that hold of whom, each against a target of its own."""

    first: Predicate
    second: Predicate

    def of(self, who: Whom) -> Sentences | None:
        """The sentences of both."""
        if not who.one_by_one:
            return None
        parts = [part.of(who) for part in (self.first, self.second)]
        found = [part for part in parts if isinstance(part, tuple)]
        return tuple(dict.fromkeys(said for part in found for said in part)) if len(found) == len(parts) else None

    def denied(self) -> None:
        """Not both can mean neither."""
        return None


@dataclass(frozen=True)
class OneOf:
    """One of two things; only its denial is said: neither of them."""

    first: Predicate
    second: Predicate

    def of(self, who: Whom) -> None:
        """Either of them: not said so."""
        return None

    def denied(self) -> Both | None:
        """Neither."""
        first, second = self.first.denied(), self.second.denied()
        return Both(first, second) if first and second else None


Predicate = (
    Bounded
    | Extreme
    | Apart
    | EachApart
    | Nearer
    | NotNearer
    | NearerThanOthers
    | NearestZone
    | Meets
    | Alone
    | InRegion
    | Beyond
    | Fact
    | Both
    | OneOf
)
