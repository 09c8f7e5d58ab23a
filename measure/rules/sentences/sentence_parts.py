"""The parts of a sentence between the parse tree and the rule, each with its place in the sentence."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Literal, NoReturn

from measure.rules.amounts import Amount, Limit, Relation, SizeName
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.zone_groups import Group
from measure.units import Unit

Flavour = Literal["", "size", "distance", "height"]
"""What a comparative speaks of: `larger` of sizes, `farther` of distances, `taller` of heights, `more` of anything."""
SubjectMode = Literal["listed", "together", "each", "every", "all", "none", "except", "pieces", "no piece", "some"]
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
    """An amount as said; times: `1.4 times`, `twice`; spread: `plus or minus 5%`."""

    amount: Amount
    span: Span
    times: bool = False
    spread: bool = False


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
    """Who a rule is about; word is how `every zone` was said, count how many pieces; plural: `homes` was said."""

    mode: SubjectMode
    names: tuple[str, ...] = ()
    word: str = ""
    span: Span = Span(0, 0)
    count: Limit | None = None
    plural: bool = False

    @property
    def denied(self) -> bool:
        """Whether it is `no zone` or `no piece`."""
        return self.mode in ("none", "no piece")


@dataclass(frozen=True)
class Thing:
    """What a zone is compared with; size is set where it was named (`the perimeter of meadow`)."""

    group: Group
    size: SizeName | None = None
    inferred_together: bool = False


@dataclass(frozen=True)
class Target:
    """What a distance goes to or what is touched; parcel is "edge" or "centre" where it is no zone.

    each_said: `each of` stands before several names.
    """

    group: Group = field(default_factory=Group)
    parcel: Literal["", "edge", "centre"] = ""
    each_said: bool = False


@dataclass(frozen=True)
class SaidLines:
    """The lines that a sentence names, and where; denied: `no road`; each: `every road and path`."""

    names: tuple[str, ...]
    span: Span
    denied: bool = False
    each: bool = False

    @property
    def one(self) -> str:
        """The first of them."""
        return self.names[0]


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

    @property
    def said(self) -> SaidLimit:
        """The limit of a form that has one."""
        assert self.limit is not None
        return self.limit


Inferred = Literal["", "exactly"]
"""An inference that what follows in the sentence may make void: a bare number read as exactly that many."""


@dataclass
class Sentence:
    """One sentence while it is being read: its text, the challenge's unit, and warnings on what was inferred so far."""

    text: str
    unit: Unit
    _inferred: dict[str, Inferred] = field(default_factory=dict)

    @property
    def warnings(self) -> tuple[str, ...]:
        """What was inferred, in words, each once."""
        return tuple(self._inferred)

    def refuse(self, message: str, span: Span | None = None, offers: tuple[str, ...] = ()) -> NoReturn:
        """Raise the RuleMistake for a place in the sentence, or for the whole of it; offers would be read instead."""
        whole = self.text.rstrip()
        place = (
            span if span is not None and span.end > span.start else Span(len(whole) - len(whole.lstrip()), len(whole))
        )
        raise RuleMistake(whole, place.start, place.end, message, offers)

    def refuse_both(self, what: str, first: str, second: str, span: Span | None = None) -> NoReturn:
        """Refuse what has two meanings, with a sentence for each."""
        self.refuse(f"{what} can mean two things; write `{first}` or `{second}`", span, (first, second))

    def infer(self, message: str, what: Inferred = "") -> None:
        """Note what was read into the sentence; `what` names an inference that may have to be taken back."""
        self._inferred.setdefault(message, what)

    def take_back(self, what: Inferred) -> None:
        """Forget an inference that the rest of the sentence makes void."""
        self._inferred = {message: kind for message, kind in self._inferred.items() if kind != what}
