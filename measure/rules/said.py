"""What the builder holds between the parse tree and a rule: the parts of a sentence, with their place in it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal

from measure.rules.kind import Group
from measure.rules.parts import Amount, Limit, Relation
from measure.rules.sizes import Size

Flavour = Literal["", "size", "distance", "height"]
"""What a comparative speaks of: `larger` of sizes, `farther` of distances, `taller` of heights, `more` of anything."""
SubjectMode = Literal["listed", "together", "each", "every", "all", "none"]
FLAVOURS: dict[str, Flavour] = {
    "LARGER": "size",
    "SMALLER": "size",
    "FARTHER": "distance",
    "CLOSER": "distance",
    "TALLER": "height",
    "SHORTER": "height",
}


@dataclass(frozen=True)
class Span:
    """A place in the sentence, in letters."""

    start: int
    end: int

    def to(self, other: Span) -> Span:
        """From here to the end of the other."""
        return Span(min(self.start, other.start), max(self.end, other.end))


@dataclass(frozen=True)
class SaidAmount:
    """An amount as said; times: `1.4 times`, `twice`."""

    amount: Amount
    span: Span
    times: bool = False


@dataclass(frozen=True)
class Comparative:
    """A relation as said, and what its word speaks of; word is that word, for messages."""

    relation: Relation
    flavour: Flavour = ""
    word: str = ""
    span: Span = Span(0, 0)


@dataclass(frozen=True)
class SaidLimit:
    """A limit as said; bare: a number without `at least` or the like."""

    comparative: Comparative
    amount: SaidAmount
    upper: SaidAmount | None = None
    bare: bool = False

    @property
    def span(self) -> Span:
        """Where the amounts stand."""
        return self.amount.span if self.upper is None else self.amount.span.to(self.upper.span)

    @property
    def limit(self) -> Limit:
        """The limit itself."""
        upper = self.upper.amount if self.upper else None
        return Limit(self.comparative.relation, self.amount.amount, upper)


@dataclass(frozen=True)
class Subject:
    """Who a rule is about; word is how `every zone` was said."""

    mode: SubjectMode
    names: tuple[str, ...] = ()
    word: str = ""
    span: Span = Span(0, 0)


@dataclass(frozen=True)
class Thing:
    """What a zone is compared with; size is set where it was named (`the perimeter of meadow`)."""

    group: Group
    size: Size | None = None
    inferred_together: bool = False


@dataclass(frozen=True)
class Target:
    """What a distance goes to or what is touched; parcel is "edge" or "centre" where it is no zone."""

    group: Group = field(default_factory=Group)
    parcel: Literal["", "edge", "centre"] = ""


@dataclass(frozen=True)
class What:
    """The second half of a sentence about a size.

    form: "limit" an amount alone; "share" of the parcel; "ratio" times or part of a thing; "compared" less, more or as
    much as a thing; "more" and "less" so much more or less than a thing.
    """

    form: Literal["limit", "share", "ratio", "compared", "more", "less"]
    limit: SaidLimit | None = None
    comparative: Comparative | None = None
    thing: Thing | None = None
