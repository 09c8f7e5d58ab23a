"""A rule as data, and what its kind knows of it."""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import ClassVar, Literal, Protocol

from measure.rules.allowance import Allowance
from measure.rules.amounts import Amount, Limit, SizeName
from measure.rules.bounds import Most, Range
from measure.rules.demand import Demand, DemandOnStructures
from measure.rules.rule_context import Context
from measure.rules.setting import Setting, SettingParcel, zones_laid_out
from measure.rules.sheet_text import Asked
from measure.rules.told import Teller, Told
from measure.rules.verdict import Findings, Outcome, judged
from measure.rules.zone_groups import Group


@dataclass(frozen=True)
class Rule:
    """One rule, read: two sentences that mean the same are equal.

    What is limited is the kind's quantity (where it has several: `size`) of the subject, against the others where the
    kind compares (a zone's parcel where there are none); how it is decided over many zones lies in the groups. negated:
    it must not be so. detail names what is no zone (a solid, what to look at); rate is people per unit of volume.
    given: it is asked only where these zones are there. lines are those that it is about, other_lines those against
    which they are held.
    """

    kind: Kind
    subject: Group = Group()  # noqa: RUF009  (frozen)
    limit: Limit | None = None
    others: tuple[Group, ...] = ()
    size: SizeName | None = None
    negated: bool = False
    detail: str = ""
    rate: Amount | None = None
    given: tuple[str, ...] = ()
    lines: tuple[str, ...] = ()
    other_lines: tuple[str, ...] = ()

    @property
    def quantified(self) -> bool:
        """Whether it is about pieces one by one, or about some of several zones."""
        return any(group.quantified for group in (self.subject, *self.others))

    @property
    def whole(self) -> bool:
        """Whether it holds of whole zones in any case: what layouts and advice are reckoned with."""
        return not (self.quantified or self.given)

    @property
    def bound(self) -> Limit:
        """The limit of a kind that always has one."""
        assert self.limit is not None
        return self.limit

    @property
    def other(self) -> Group:
        """The group that the subject is compared with, of a kind that always has one."""
        return self.others[0]

    @property
    def kind_name(self) -> str:
        """The kind's name in results."""
        return self.kind.name_of(self)

    @property
    def sentence_kind(self) -> str:
        """The kind's name by the sentence that states it: `formula` of every formula, whatever it is about."""
        return self.kind.name if self.kind.holds_a_formula else self.kind_name

    def reads_as(self) -> str:
        """The rule in the words that say most plainly what is measured; reading them gives the same rule."""
        said = self.kind.reads_as(self)
        return f"if there is a {' and a '.join(self.given)}, {said}" if self.given else said


@dataclass(frozen=True)
class Kind(ABC):
    """All that is particular to a kind of rule. What a kind says nothing about here, it has not, or is not known.

    A kind is its class: it has no fields but such as tell apart what one file holds, and the formula of one that is.
    """

    name: ClassVar[str] = ""
    """Its name in results."""
    counted: ClassVar[bool] = False
    """Whether its number is a count, which is exact."""
    measured_by_hand: ClassVar[bool] = False
    """Whether what a team measures by hand (areas, perimeters, gaps, volumes) decides it."""
    holds_a_formula: ClassVar[bool] = False
    """Whether all of it lies in a formula that the kind holds, none in the rule's own subject, limit and others."""
    by_eye: ClassVar[bool] = False
    """Whether the teacher decides it."""
    gap_between: ClassVar[Literal["", "tape edges", "tapes"]] = ""
    """Where it is about the gap between its subject and the other zones: between what of them."""

    @abstractmethod
    def reads_as(self, rule: Rule) -> str:
        """See Rule.reads_as."""

    @abstractmethod
    def findings(self, rule: Rule, context: Context) -> Findings:
        """What decides the rule on this plat: claims, with their marks for the picture."""

    def outcome(self, rule: Rule, text: str, context: Context) -> Outcome:
        """The verdict under the sentence that stated the rule."""
        return judged(text, rule.reads_as(), rule.kind_name, self.findings(rule, context))

    def name_of(self, rule: Rule) -> str:
        """The name in results, where it hangs on the rule."""
        return self.name

    def told(self, rule: Rule, teller: Teller) -> Told | None:
        """What was found, with its value, and what must be, with its limit; None: the bare number and its limit."""
        return None

    # ---- advice to who writes the rule

    def most(self, rule: Rule, parcel: SettingParcel) -> Most | None:
        """The most that the quantity can be on this parcel."""
        return None

    def ranges(self, rule: Rule, zones: Sequence[str], parcel: SettingParcel) -> Iterator[Range]:
        """What the rule allows, quantity by quantity; zones are those that a team lays out."""
        yield from ()

    def as_fine_as_areas(self, rule: Rule) -> bool:
        """Whether a photo tells the quantity as finely as an area."""
        return False

    def number_said(self, rule: Rule) -> bool:
        """Whether the limit's number is one that could be another (no `less than`, `there is a`)."""
        return rule.limit is not None

    def widened_inside(self, rule: Rule, allowance: Allowance) -> bool:
        """Whether the kind itself widens limits by the context's allowance: it has no limit of its own."""
        return False

    # ---- whether a layout can keep it

    def demands(self, rule: Rule, setting: Setting) -> tuple[Demand, ...] | None:
        """What it demands of a layout; None: no layout decides it."""
        return None

    def demands_on_structures(self, rule: Rule, setting: Setting) -> tuple[DemandOnStructures, ...]:
        """What it demands of what stands on the land."""
        return ()

    # ---- sheets

    def zones_named(self, rule: Rule, setting: Setting) -> frozenset[str]:
        """The zones that it speaks of."""
        return _expanded(rule, zones_laid_out(setting))

    def about_structures(self, rule: Rule) -> bool:
        """Whether it is about what stands on the land."""
        return False

    def question(self, rule: Rule, setting: Setting) -> Asked | None:
        """A question for a team; the rule has its limit in the form that the sentence has."""
        return None

    def stated_limit(self, rule: Rule) -> Limit | None:
        """The number that could be another one; of a kind that holds it elsewhere than the rule, that."""
        return rule.limit

    def limit_suffix(self, limit: Limit) -> str:
        """What follows a limit's bare number: of what it is a part, or what is counted."""
        return ""


@dataclass(frozen=True)
class RuleLine:
    """A rule as the file states it, in which line, and as it is read; warnings say what was inferred or is odd.

    allowance is what the teacher allows beside its limit.
    """

    text: str
    rule: Rule
    line: int
    warnings: tuple[str, ...] = ()
    allowance: Allowance | None = None

    @property
    def told(self) -> str:
        """The sentence as the class reads it, with what is allowed."""
        return f"{self.text} ({self.allowance.words})" if self.allowance else self.text

    def reads_as(self) -> str:
        """The rule's reading, with what is allowed."""
        return f"{self.rule.reads_as()} ({self.allowance.words})" if self.allowance else self.rule.reads_as()


class SettingWithRules(Setting, Protocol):
    """A setting and the rules that are stated for it."""

    @property
    def rules(self) -> Sequence[RuleLine]: ...  # noqa: D102


def _expanded(rule: Rule, zones: Sequence[str]) -> frozenset[str]:
    groups = (group for group in (rule.subject, *rule.others) if group != Group())
    return frozenset(zone for group in groups for zone in group.singles(zones))
