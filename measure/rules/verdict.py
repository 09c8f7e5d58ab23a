"""From claims about measured quantities to a verdict (JCGM 106:2012: `met` from a chance of 0.95)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal, get_args

from measure.conformity import Event, chance_all, rms_of_worst
from measure.quantity import COVERAGE_FACTOR, Quantity
from measure.rules.zone_groups import listed

Verdict = Literal["met", "not met", "too close to call", "not measured", "by eye"]
VERDICTS: tuple[Verdict, ...] = get_args(Verdict)
SURELY = 0.95
"""The chance from which a rule is called met; not met from the same chance of the opposite."""
Point = tuple[float, float]
MarkKind = Literal["gap", "overlap", "piece", "zone", "edge", "centre", "line"]
Origin = Literal["hand", "photos", "marked photo"]
"""Where a number comes from: a table that people filled in, photos from several sides, marks on one photo."""
StatedLimit = float | tuple[float, float] | None


@dataclass(frozen=True)
class Mark:
    """Where on the picture a rule shows.

    "gap" is a line between two points in mm; "overlap" is where two pieces share land, its depth between the points;
    "piece" and "zone" (all pieces) are too large, too small or amiss; "edge" and "centre" are gaps to the parcel's.
    pieces are (zone, index from 1); a "zone" mark leaves the index out (0). "line" marks a line, or one piece of it.
    """

    kind: MarkKind
    pieces: tuple[tuple[str, int], ...]
    ends: tuple[Point, Point] | None = None
    label: str = ""


@dataclass(frozen=True)
class Claim:
    """One inequality of a rule: the smallest of the candidates lies between low and high, in the rule's unit.

    shown is what is reported in its place: a gap as 0 where it is negative, an overlap as a depth.
    """

    candidates: tuple[Quantity, ...]
    low: float | None
    high: float | None
    over: tuple[str, ...]
    marks: tuple[Mark, ...] = ()
    strict: bool = False
    shown: float | None = None

    @property
    def event(self) -> Event:
        """The claim as an event of the joint distribution."""
        return Event(self.candidates, self.low, self.high, self.strict)

    @property
    def value(self) -> float:
        """What is reported."""
        return self.smallest if self.shown is None else self.shown

    @property
    def smallest(self) -> float:
        """The smallest of the candidates as measured."""
        return min(q.value for q in self.candidates)

    @property
    def near_high(self) -> bool:
        """Whether the upper limit is the one that decides."""
        if self.high is None or self.low is None:
            return self.low is None
        return self.high - self.smallest < self.smallest - self.low


@dataclass(frozen=True)
class Unknown:
    """A part of a rule that the plat does not tell: why, and about which zones; `{}` in why stands for their names.

    matters: whether it could change the verdict on what is known.
    """

    why: str
    over: tuple[str, ...] = ()
    matters: bool = True


@dataclass(frozen=True)
class Findings:
    """All that decides a rule: its claims, which must hold together, in one unit, against one stated limit."""

    claims: tuple[Claim | Unknown, ...]
    limit: StatedLimit
    unit: str = ""


@dataclass(frozen=True)
class Outcome:
    """A rule's verdict. value, limit and u95 are in `unit`; a share is a number from 0 to 1 and its unit empty.

    over names the zones that decided; note says in one sentence why something was not measured; by_hand is the
    teacher's verdict and reason, beside the measured one; sentence says the value and the limit as a
    class reads them. allowed is what the teacher allows beside the limit, against which the chance then is;
    met_without says of a rule that is met whether it is without that.  measured_by says where the numbers of structures
    come from, doubts where two of them do not agree.
    """

    text: str
    reads_as: str
    kind: str
    verdict: Verdict
    value: float | None = None
    unit: str = ""
    limit: StatedLimit = None
    u95: float | None = None
    chance: float | None = None
    over: tuple[str, ...] = ()
    where: tuple[Mark, ...] = ()
    note: str = ""
    by_hand: tuple[Verdict, str] | None = None
    sentence: str = ""
    allowed: str = ""
    met_without: bool | None = None
    measured_by: tuple[Origin, ...] = ()
    doubts: tuple[str, ...] = ()


def verdict_of(chance: float) -> Verdict:
    """The verdict for the chance that a rule is met."""
    if chance >= SURELY:
        return "met"
    return "not met" if chance <= 1.0 - SURELY else "too close to call"


def judged(text: str, reads_as: str, kind: str, findings: Findings) -> Outcome:
    """The outcome of a rule from its findings.

    The claim least likely to hold is the one reported. A rule of which a part is unknown is `not measured`, unless
    what is known breaks it already.
    """
    claims = [claim for claim in findings.claims if isinstance(claim, Claim)]
    unknown = [part for part in findings.claims if isinstance(part, Unknown)]
    blank = Outcome(text, reads_as, kind, "not measured", unit=findings.unit, limit=findings.limit)
    chance = chance_all([claim.event for claim in claims])
    missing = [part for part in unknown if part.matters]
    if missing and (not claims or verdict_of(chance) != "not met"):
        zones = tuple(dict.fromkeys(zone for part in missing for zone in part.over))
        return replace(blank, over=zones, note=reasons_of(missing))
    if not claims:
        return replace(blank, note="there is nothing that this rule could apply to")
    chances = [chance_all([claim.event]) for claim in claims]
    ranked = sorted(range(len(claims)), key=lambda i: (round(chances[i], 6), _margin(claims[i])))
    first = claims[ranked[0]]
    deciding = [claims[i] for i in ranked if chances[i] < SURELY] or [first]
    return replace(
        blank,
        verdict=verdict_of(chance),
        value=first.value,
        u95=_u95(first, claims),
        chance=chance,
        over=tuple(dict.fromkeys(zone for claim in deciding for zone in claim.over)),
        where=tuple(dict.fromkeys(mark for claim in deciding for mark in claim.marks)),
        note=reasons_of(unknown),
    )


def set_by_hand(outcomes: Sequence[Outcome], text: str, verdict: Verdict, reason: str) -> tuple[Outcome, ...]:
    """The outcomes with the teacher's verdict on one rule, named by its sentence, beside the measured one.

    See measure.result.teacher_verdicts for results in a file. Raises ValueError for an unknown sentence, an unknown
    verdict, or a missing reason.
    """
    word = word_by_hand([outcome.text for outcome in outcomes], text, verdict, reason)
    return tuple(replace(o, by_hand=word) if o.text == text else o for o in outcomes)


def word_by_hand(rules: Sequence[str], text: str, verdict: Verdict, reason: str) -> tuple[Verdict, str]:
    """A verdict by hand and its reason, checked: raises ValueError as set_by_hand does."""
    if verdict not in ("met", "not met"):
        raise ValueError(f'a verdict by hand is "met" or "not met", not "{verdict}"')
    if not reason.strip():
        raise ValueError("a verdict by hand needs a reason")
    if text not in rules:
        raise ValueError(f'there is no rule "{text}"')
    return verdict, reason.strip()


def reasons_of(unknown: Sequence[Unknown]) -> str:
    """Why parts are unknown, every reason once, with all the zones that it holds for."""
    zones: dict[str, list[str]] = {}
    for part in unknown:
        zones.setdefault(part.why, []).extend(part.over)
    return "; ".join(why.format(listed(dict.fromkeys(over)) if over else "") for why, over in zones.items())


def _u95(shown: Claim, claims: Sequence[Claim]) -> float:
    """Expanded uncertainty of the value that stands for all claims under its limits: their smallest or their largest.

    With many nearly alike, the smallest of them lies further below the one shown than that one's own uncertainty.
    """
    alike = [claim.candidates for claim in claims if (claim.low, claim.high) == (shown.low, shown.high)]
    return COVERAGE_FACTOR * rms_of_worst(alike, shown.smallest, largest=shown.near_high)


def _margin(claim: Claim) -> float:
    """How far inside its limits a claim is, as a share of the limit: the smallest decides what is reported."""
    value = claim.smallest
    sides = [(value - claim.low, claim.low)] if claim.low is not None else []
    sides += [(claim.high - value, claim.high)] if claim.high is not None else []
    return min(margin / max(abs(limit), 1e-12) for margin, limit in sides)
