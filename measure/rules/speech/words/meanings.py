"""What the words of a sentence mean: amounts with their relations, whom a rule is about, and sentences that say it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from measure.numbers import written
from measure.rules.amounts import Amount
from measure.rules.zone_groups import listed

Flavour = Literal["", "size", "gap", "height", "length", "width", "count"]
"""What a comparative speaks of; `more` of anything."""
OPPOSITE = {"at least": "less than", "less than": "at least", "at most": "more than", "more than": "at most"}
ANY = "any"
"""Which edge, where each of them is meant."""
IT = "¤"
"""The name of what `it` stands for, until that is known."""


@dataclass(frozen=True)
class Bound:
    """How much: a relation (`bare` where none is said), its amount, a second one for `between`, and a tolerance.

    assumed: the relation was not said, which a warning tells.
    """

    relation: str
    amount: Amount
    upper: Amount | None = None
    tolerance: Amount | None = None
    flavour: Flavour = ""
    times: bool = False
    assumed: bool = False

    @property
    def warning(self) -> str:
        """What was assumed; empty where nothing was."""
        return f"read as {self.relation} {self.amount}" if self.assumed else ""

    @property
    def measure(self) -> str:
        """What the amounts are of."""
        return (self.upper or self.amount).measure

    @property
    def opposite(self) -> Bound | None:
        """What holds where this does not; None of two-sided ones."""
        turned = OPPOSITE.get(self.relation)
        return replace(self, relation=turned) if turned else None

    @property
    def plain(self) -> Bound:
        """Without its tolerance and what its word speaks of."""
        return replace(self, tolerance=None, flavour="")

    @property
    def within(self) -> str:
        """`, within 2%` where there is a tolerance."""
        return f", within {self.tolerance}" if self.tolerance else ""

    def text(self, after: str = "", bare: str = "") -> str:
        """As the grammar reads it; after stands behind the amount, bare before one without a relation."""
        if self.upper is not None:
            low = self.amount if self.amount.measure == self.upper.measure else self.amount.number
            return f"between {low} and {self.upper}{after}"
        relation = bare if self.relation == "bare" else self.relation
        return f"{relation} {self.amount}{after}{self.within}".strip()

    def times_text(self, term: str) -> str:
        """So many times a term: `at least 2 times the area of lake`, `at most 20% of the area of the parcel`."""
        relation = "exactly" if self.relation == "bare" else self.relation
        ends = [_times(amount, term) for amount in (self.amount, self.upper) if amount is not None]
        return f"{relation} {' and '.join(ends)}{self.within}"


def _times(amount: Amount, term: str) -> str:
    if amount.measure == "percent":
        return f"{amount} of {term}"
    return term if amount.number == 1 else f"{written(amount.number)} times {term}"


Bounds = tuple[Bound, ...]
Quantifier = Literal[
    "",
    "a",
    "every",
    "all",
    "no",
    "any",
    "some",
    "extreme",
    "another",
    "every other",
    "each",
    "together",
    "pair",
    "no pair",
    "rest",
    "land",
]


@dataclass(frozen=True)
class Whom:
    """Whom a rule is about, or what it compares with.

    Of zones by name all their land (of several `together` or `each`, where that is said); of their pieces `every`,
    `no`, `some` (as many as count says), `extreme` (the largest or smallest: which). Without names of the zones of the
    challenge, `but` some. several: it was said in the plural, which may mean each.
    """

    quantifier: Quantifier = ""
    names: tuple[str, ...] = ()
    count: Bound | None = None
    which: str = ""
    but: tuple[str, ...] = ()
    several: bool = False

    @property
    def text(self) -> str:
        """As the plain grammar has it."""
        names = listed(self.names) if self.names else ""
        but = f" except {listed(self.but)}" if self.but else ""
        if self.quantifier == "land":
            return "empty land"
        if not self.names:
            said = {"every": f"every zone{but}", "no": "no zone", "together": "all zones together"}
            return (said | {"another": "another zone"}).get(self.quantifier, f"every other zone{but}")
        if len(self.names) > 1:
            return {"together": f"{names} together", "each": f"each of {names}"}.get(self.quantifier, names)
        said = {
            "every": f"every piece of {names}",
            "all": f"all of {names}",
            "no": f"no piece of {names}",
            "another": f"another piece of {names}",
            "every other": f"every other piece of {names}",
            "some": f"{self.count.text() if self.count else ''} pieces of {names}",
        }
        return said.get(self.quantifier, names)

    @property
    def single(self) -> bool:
        """Whether it is one zone, all its land."""
        return self.quantifier == "" and len(self.names) == 1

    @property
    def one_by_one(self) -> bool:
        """Whether two things said of it are two rules: what holds of some twice over need not hold of the same ones."""
        return self.quantifier not in ("some", "no", "any", "no pair")

    @property
    def share(self) -> bool:
        """Whether it is a share of the pieces, which only a formula can say."""
        return self.count is not None and self.count.measure == "percent"

    @property
    def prefix(self) -> str:
        """What a formula about `thing` begins with."""
        names = listed(self.names) if self.names else ""
        but = f" except {listed(self.but)}" if self.but else ""
        if not self.names:
            if self.quantifier == "some" and self.count is not None:
                return f"for {self.count.text()} zones{but}: "
            return {"every": f"for every zone{but}: ", "no": f"for no zone{but}: "}.get(self.quantifier, "")
        if self.quantifier == "some" and self.count is not None:
            of = " of the" if self.share else ""
            return f"for {self.count.text()}{of} pieces of {names}: "
        every = f"for every piece of {names}: "
        return {"every": every, "all": every, "no": f"for no piece of {names}: "}.get(self.quantifier, "")

    @property
    def thing(self) -> str:
        """What a formula then calls it."""
        if self.quantifier == "land":
            return "the empty land"
        if not self.names:
            but = f" except {listed(self.but)}" if self.but else ""
            return f"all zones{but} together" if self.quantifier == "together" else "that zone"
        if self.quantifier == "extreme":
            return f"the {self.which} piece of {self.names[0]}"
        if len(self.names) > 1:
            return f"{listed(self.names)} together"
        return f"that piece of {self.names[0]}" if self.prefix else self.names[0]

    @property
    def sayable(self) -> bool:
        """Whether a formula can call it something as what is compared with, without a quantifier of its own."""
        if self.quantifier in ("", "extreme"):
            return bool(self.names) and (len(self.names) == 1)
        return self.quantifier in ("together", "land")

    def each(self) -> tuple[Whom, ...]:
        """The zones of a list one by one; itself where it is no list of them."""
        if len(self.names) < 2 or self.quantifier == "together":
            return (self,)
        return tuple(Whom("", (name,)) for name in self.names)


@dataclass(frozen=True)
class Place:
    """The parcel's edge, one of its edges (`north`), its centre, or a region such as `north half`."""

    kind: Literal["edge", "centre", "region"]
    which: str = ""

    @property
    def text(self) -> str:
        """As the grammars have it."""
        if self.kind == "region":
            return f"the {self.which}"
        return f"the {self.which} edge" if self.which not in ("", ANY) else f"the {self.kind}"


@dataclass(frozen=True)
class Or:
    """One of several things: `the market or the harbour`."""

    parts: tuple[Whom, ...]


Target = Whom | Place | Or


@dataclass(frozen=True)
class Said:
    """A rule as canonical sentences: in the plain grammar (empty where it has no words for it), and as a formula.

    about: the zone that `it` stands for in what is said next. warning: what was inferred.
    """

    plain: str
    formula: str = ""
    about: str = ""
    warning: str = ""

    @property
    def text(self) -> str:
        """The one to read."""
        return self.plain or self.formula

    def of_it(self, name: str) -> Said:
        """With a zone in the place of `it`."""
        return replace(self, plain=self.plain.replace(IT, name), formula=self.formula.replace(IT, name))


Sentences = tuple[Said, ...]
ONE = Amount(Fraction(1))
ZONES, EDGE = Whom(), Place("edge")


def formula(who: Whom, text: str, plain: str = "") -> Said:
    """What is said of whom as a formula, and in the plain grammar; {} in both stands for whom."""
    about = who.names[0] if len(who.names) == 1 and who.quantifier in ("", "every", "all") else ""
    all_but = who.quantifier == "together" and bool(who.but)
    if who.share or all_but or who.quantifier == "extreme" or (who.quantifier == "some" and not who.names):
        plain = ""
    made = who.prefix + text.replace("{}", who.thing) if text else ""
    return Said(plain.replace("{}", who.text), made, about, who.count.warning if who.count else "")
