"""What is said of sizes: areas and shares, lengths, heights, people, and one against another."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TypeVar

from measure.rules.speech.words.chart import Several
from measure.rules.speech.words.meanings import ZONES, Bound, Bounds, Said, Sentences, Whom, formula

_Self = TypeVar("_Self", bound="Bounded")


@dataclass(frozen=True)
class Bounded:
    """Something within bounds; each bound is a rule of its own where that says the same."""

    bounds: Bounds

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom; None where that makes no sense."""
        if len(self.bounds) > 1 and not who.one_by_one:
            return None
        found = [self._one(who, bound) for bound in self.bounds]
        made = zip(found, self.bounds, strict=True)
        return tuple(_warned(said, bound) for said, bound in made if said) if all(found) else None

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        raise NotImplementedError

    def denied(self: _Self) -> _Self | None:
        """The opposite; None of two-sided bounds."""
        opposite = self.bounds[0].opposite if len(self.bounds) == 1 else None
        return replace(self, bounds=(opposite,)) if opposite else None


def _warned(said: Said, bound: Bound) -> Said:
    return replace(said, warning=bound.warning) if bound.warning else said


_PLAIN = ("", "every", "all", "some", "each", "together", "every other", "land")


@dataclass(frozen=True)
class Sized(Bounded):
    """An area, perimeter, length, width or height within bounds; covered: of what homes cover, all of them is meant."""

    quantity: str = "area"
    covered: bool = False

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        text = f"the {self.quantity} of {{}} is {bound.text(bare='exactly')}"
        limit = bound.text()
        if who.quantifier not in (*_PLAIN, "extreme") or (who.quantifier == "land" and self.quantity != "area"):
            return None
        if self.quantity == "area":
            return formula(who, text, f"{{}} {'is' if who.several and not self.covered else 'covers'} {limit}")
        if self.quantity == "height":
            return self._tall(who, text, bound)
        return formula(who, text, f"the {self.quantity} of {{}} is {limit}")

    def _tall(self, who: Whom, text: str, bound: Bound) -> Said | None:
        """Every home so tall: its structures, which the table of structures tells by zone, not by piece."""
        if who.quantifier in ("every", "all") and who.names:
            return Said(f"every structure in {who.names[0]} is {bound.plain.text()} tall{bound.within}")
        if who.single:
            return formula(who, text, f"{{}} is {bound.plain.text()} tall{bound.within}")
        return formula(who, text) if who.quantifier == "every" else None


@dataclass(frozen=True)
class Share(Bounded):
    """A share of the parcel, or of the used land."""

    of_land: str = "parcel"

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        if who.quantifier not in (*_PLAIN, "extreme"):
            return None
        text = f"the area of {{}} is {bound.times_text(f'the area of the {self.of_land}')}"
        return formula(who, text, f"{{}} covers {bound.text(' of the parcel')}" if self.of_land == "parcel" else "")


@dataclass(frozen=True)
class Houses(Bounded):
    """So many people; density: `8 people per cubic cm`, where it is said."""

    density: str = ""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        if self.density:
            return formula(who, "", f"{{}} house {bound.text()} people at {self.density}") if who.single else None
        return formula(who, f"the people in {{}} is {bound.text(bare='exactly')}")


@dataclass(frozen=True)
class Sides(Bounded):
    """So many sides of an outline."""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        who = replace(who, quantifier="every") if who.single else who
        return formula(who, f"the number of sides of {{}} is {bound.text(bare='exactly')}")


@dataclass(frozen=True)
class LengthByWidth(Bounded):
    """So many times as long as wide; turned: as wide as long."""

    turned: bool = False

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        who = replace(who, quantifier="every") if who.single else who
        one, other = ("width", "length") if self.turned else ("length", "width")
        return formula(who, f"the {one} of {{}} is {bound.times_text(f'the {other} of {{}}')}")


@dataclass(frozen=True)
class Ratio(Bounded):
    """So many times another's area (or length, height ...): the bounds' numbers; 1 for `larger than`."""

    thing: Whom = ZONES
    quantity: str = "area"

    def of(self, who: Whom) -> Sentences | Several | None:
        """The sentences that say it of whom: one for each of what it is compared with."""
        if self.thing.quantifier != "each":
            return super().of(who)
        parts = [replace(self, thing=one).of(who) for one in self.thing.each()]
        found = [part for part in parts if isinstance(part, tuple)]
        complete = who.one_by_one and len(found) == len(parts)
        return tuple(said for part in found for said in part) if complete else None

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        thing = self.thing
        if self.quantity == "height" and thing.quantifier == "every" and bound.relation in ("more than", "at least"):
            thing = replace(thing, quantifier="")  # the height of a zone is that of its tallest structure
        if self.quantity == "height" and who.quantifier == "every" and bound.relation in ("less than", "at most"):
            who = replace(who, quantifier="") if who.names else who
        if thing.quantifier == "rest":
            thing = Whom("together", but=who.names)
        if who.quantifier not in (*_PLAIN, "extreme") or thing.quantifier in ("all", "any", "no"):
            return None
        text = ""
        if thing.sayable:
            text = f"the {self.quantity} of {{}} is {bound.times_text(f'the {self.quantity} of {thing.thing}')}"
        by_formula = self.quantity != "area" or thing.quantifier == "extreme" or bool(thing.but)
        by_formula = by_formula or (bound.tolerance is not None and bound.tolerance.measure == "area")
        by_formula = by_formula or "land" in (who.quantifier, thing.quantifier)
        if by_formula and thing.quantifier == "every" and not who.prefix:
            text = f"the {self.quantity} of {who.thing} is {bound.times_text(f'the {self.quantity} of {thing.thing}')}"
            return Said("", thing.prefix + text)
        made = formula(who, text, "" if by_formula else f"{{}} covers {self._times(bound)} {thing.text}{bound.within}")
        return made if made.text else None

    def _times(self, bound: Bound) -> str:
        if bound.upper is None and bound.amount.number == 1 and bound.measure == "number":
            same = {"at least": "at least as much as", "at most": "at most as much as"}
            return (same | {"exactly": "as much as", "bare": "as much as"}).get(bound.relation, bound.relation)
        if bound.tolerance:
            return f"exactly {bound.plain.amount} times"
        return f"{bound.plain.text()} times"


@dataclass(frozen=True)
class Difference(Bounded):
    """So much more (or less: sign) land than another: an area, or a per cent of it."""

    sign: int = 1
    thing: Whom = ZONES

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        if not who.one_by_one or who.quantifier == "extreme" or self.thing.quantifier == "extreme":
            return None
        word = "more" if self.sign > 0 else "less"
        return formula(who, "", f"{{}} covers {bound.plain.text()} {word} than {self.thing.text}{bound.within}")


@dataclass(frozen=True)
class Extreme:
    """The largest of all zones, or the smallest."""

    which: str
    negated: bool = False

    def of(self, who: Whom) -> Sentences | None:
        """The sentence that says it of one zone."""
        if not self.negated:
            return (formula(who, "", f"{{}} is the {self.which} zone"),) if who.single else None
        relation = "more than" if self.which == "largest" else "less than"
        other = f"for at least 1 zone except {who.thing}: the area of that zone is {relation} the area of {who.thing}"
        return (Said("", other, who.thing),) if who.single else None

    def denied(self) -> Extreme:
        """Not the largest: at least one other is larger."""
        return replace(self, negated=not self.negated)


@dataclass(frozen=True)
class Differs(Bounded):
    """So much between the areas of two zones."""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        if len(who.names) != 2:
            return None
        first, second = (f"the area of {name}" for name in who.names)
        return Said("", f"the difference between {first} and {second} is {bound.text(bare='exactly')}")


@dataclass(frozen=True)
class InPieces(Bounded):
    """So many pieces."""

    def _one(self, who: Whom, bound: Bound) -> Said | None:
        if who.quantifier not in ("", "every") or (who.names and (who.quantifier or len(who.names) > 1)):
            return None
        if not who.names:
            return Said("", who.prefix + f"the number of pieces of that zone is {bound.text(bare='exactly')}")
        return replace(count(who.names[0], bound), about=who.names[0])


def count(name: str, bound: Bound) -> Said:
    """So many pieces of a zone."""
    text = f"the number of pieces of {name} is {bound.text(bare='exactly')}"
    return Said(f"there are {bound.text()} pieces of {name}", text, name)
