"""What is said of gaps: to something, between one another, and one gap against another."""

from __future__ import annotations

from dataclasses import dataclass, replace

from measure.rules.speech.predicates.sizes_said import Bounded
from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.meanings import (
    ANY,
    EDGE,
    Bound,
    Bounds,
    Or,
    Place,
    Said,
    Sentences,
    Target,
    Whom,
    formula,
)


@dataclass(frozen=True)
class Apart(Bounded):
    """A gap to something within bounds; near: said as `within 4 in of`."""

    target: Target = EDGE
    near: bool = False

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom."""
        target = self.target
        if isinstance(target, Place) and target.which == ANY:
            far = all(bound.relation in ("at least", "more than") for bound in self.bounds)
            return replace(self, target=EDGE).of(who) if far else None
        if isinstance(target, Or):
            return self._of_one(who, target)
        if who.quantifier in ("pair", "no pair", "any"):
            return None
        if isinstance(target, Whom) and target.quantifier == "any":
            return self._of_any(who, target)
        if isinstance(target, Whom) and target.but:
            others = Whom("every", but=(*who.names, *target.but))
            return replace(self, target=who, near=False).of(others) if who.single else None
        if isinstance(target, Whom) and target.quantifier == "some":
            return replace(self, target=who).of(target) if who.single else None
        if who.quantifier == "all":
            who = replace(who, quantifier="every")
        return super().of(who)

    def denied(self) -> Apart | None:
        """Not more than 6 in from the park or the lake: from one of them, or from both."""
        return None if isinstance(self.target, Or) else super().denied()

    def _of_one(self, who: Whom, target: Or) -> Sentences | None:
        """`within 3 in of either the car park or the ring road`."""
        near = len(self.bounds) == 1 and self.bounds[0].relation in ("at most", "less than")
        if not near or not (who.single or who.quantifier == "every"):
            return None
        text = self.bounds[0].plain.text()
        ways = ", or ".join(f"the gap from {{}} to {part.thing} is {text}" for part in target.parts)
        return (formula(who, f"either {ways}"),)

    def _of_any(self, who: Whom, target: Whom) -> Sentences | Several | None:
        """`at least 4 in from any home` is of the nearest; `within 4 in of any home` of each, or of one."""
        every, nearest = (replace(self, target=replace(target, quantifier=q)).of(who) for q in ("every", ""))
        bound = self.bounds[0]
        if bound.relation in ("at least", "more than"):
            return nearest
        if bound.flavour == "gap" and bound.relation == "at most":
            return every
        return Several((every, nearest))

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        target = self.target
        assert not isinstance(target, Or)
        limit = bound.plain.text()
        text = f"the gap from {{}} to {{other}} is {bound.plain.text(bare='exactly')}{bound.within}"
        if self.near and bound.relation == "at most":
            plain = f"{{}} is within {bound.amount} of {target.text}"
        else:
            plain = f"{{}} is {limit} from {target.text}{bound.within}"
        return to_target(who, target, text, "" if isinstance(target, Place) and target.which else plain)


def to_target(who: Whom, target: Whom | Place, text: str, plain: str) -> Said:
    """What is said of whom and a target ({other} in the formula)."""
    if isinstance(target, Place):
        return formula(who, text.replace("{other}", target.text), plain)
    if target.sayable and target.quantifier != "together":
        return formula(who, text.replace("{other}", target.thing), plain)
    if target.quantifier in ("every", "all") and target.names and not who.prefix:
        made = formula(who, text.replace("{other}", target.thing), plain)
        return replace(made, formula=target.prefix + made.formula)
    return formula(who, "", plain)


@dataclass(frozen=True)
class EachApart(Bounded):
    """Gaps between one another within bounds."""

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom."""
        if who.quantifier == "no pair":
            opposite = self.denied()
            return opposite.of(replace(who, quantifier="pair")) if opposite else None
        if len(self.bounds) > 1 or who.quantifier in ("some", "together", "extreme", "no"):
            return None
        if len(who.names) == 1:
            if who.quantifier == "" and not who.several:
                return None
            return Apart(self.bounds, Whom("every other", who.names)).of(Whom("every", who.names))
        if not who.names:
            every = replace(who, quantifier="every") if who.quantifier == "pair" else who
            return Apart(self.bounds, Whom("every other")).of(every)
        if len(who.names) == 2:
            return Apart(self.bounds, Whom("", who.names[1:])).of(Whom("", who.names[:1]))
        return (Said(f"{who.text} are {self.bounds[0].plain.text()} apart{self.bounds[0].within}"),)


@dataclass(frozen=True)
class NearerThanOthers:
    """Nearer to something (or farther from it) than others are."""

    relation: str
    target: Target
    others: Whom

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        if not isinstance(self.target, Whom | Place) or (isinstance(self.target, Whom) and not self.target.single):
            return None
        if who.quantifier not in ("", "each", "every") or self.others.quantifier not in ("", "every"):
            return None
        if who.prefix and self.others.prefix:
            return None
        to = self.target.text
        text = f"the gap from {{}} to {to} is {self.relation} the gap from {self.others.thing} to {to}"
        return tuple(
            replace(said, formula=self.others.prefix + said.formula)
            for one in who.each()
            for said in [formula(one, text)]
        )

    def denied(self) -> None:
        """Not nearer: nobody says so."""
        return None


@dataclass(frozen=True)
class NearestZone:
    """The zone with the smallest gap to another."""

    name: str

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of one zone."""
        if not who.single or who.names[0] == self.name:
            return None
        near, far = (f"the gap from {a} to {self.name}" for a in (who.names[0], "that zone"))
        return (Said("", f"for every zone except {who.names[0]} and {self.name}: {near} is less than {far}"),)

    def denied(self) -> None:
        """Not the nearest: nobody says so."""
        return None


@dataclass(frozen=True)
class Nearer:
    """The smaller of two gaps."""

    near: Target
    far: Target

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        near, far = self.near, self.far
        if isinstance(near, Or) or isinstance(far, Or) or who.quantifier in ("any", "pair", "no pair", "extreme"):
            return None
        if who.quantifier == "all":
            who = replace(who, quantifier="every")
        plain = f"{{}} is nearer to {near.text} than to {far.text}"
        zones = isinstance(near, Whom) and isinstance(far, Whom)
        text = f"the gap from {{}} to {near.text} is less than the gap from {{}} to {far.text}"
        sayable = all(isinstance(part, Place) or part.single for part in (near, far))
        made = formula(who, text if sayable else "", plain if zones else "")
        return (made,) if made.text else None

    def denied(self) -> NotNearer:
        """As far, or farther."""
        return NotNearer(self.near, self.far)


@dataclass(frozen=True)
class NotNearer:
    """A gap that is as large as another, or larger."""

    near: Target
    far: Target

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of whom."""
        parts = (self.near, self.far)
        sayable = all(isinstance(part, Place) or (isinstance(part, Whom) and part.single) for part in parts)
        if not sayable or not who.names or who.quantifier not in ("", "every", "all", "each"):
            return None
        near, far = (part.text for part in parts if not isinstance(part, Or))
        return (formula(who, f"the gap from {{}} to {near} is at least the gap from {{}} to {far}"),)

    def denied(self) -> Nearer:
        """Nearer."""
        return Nearer(self.near, self.far)


def gap(bounds: Bounds) -> bool:
    """Whether the bounds are of a distance."""
    return all(bound.measure == "length" and bound.flavour in ("", "gap") for bound in bounds)
