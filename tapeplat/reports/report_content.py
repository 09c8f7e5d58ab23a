"""What a report says of one team, in words: verdicts, measured values and areas as the class writes numbers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from calib.printed import Box
from measure.plat.plat import Plat
from measure.result.line_results import LineResult
from measure.result.result import Result, RuleResult, ZoneResult
from measure.result.result_plat import plat_of
from measure.result.result_values import Value
from measure.rules.evaluation.verdict_sentence import sentence_of, sentence_of_numbers
from measure.rules.language.rule_reader import read_rule
from measure.rules.language.zone_names import ZoneNames
from measure.rules.sentences.rule_mistake import RuleMistake
from measure.rules.verdict import VERDICTS, Outcome, StatedLimit, Verdict
from measure.voice import value_said
from tapeplat.archive.storage.entry import team_name
from tapeplat.wording.wording import detail_of

_SHORTEST_NAME = 2
"""Letters or digits up to which a team is one of a row, and not named."""
NOT_FOUND = "not found"
NOT_MEASURED = "not measured"


@dataclass(frozen=True)
class RuleLine:
    """One rule: its number and sentence, the verdict that holds, whether somebody set it by hand, what was measured."""

    number: int
    text: str
    verdict: Verdict
    by_hand: bool
    detail: str

    @property
    def word(self) -> str:
        """`met`, `met, by hand`."""
        return f"{self.verdict}, by hand" if self.by_hand else self.verdict


@dataclass(frozen=True)
class LineSaid:
    """One line (a pipe, a cable, a road): its name, its length in words, in how many pieces it lies, what it reaches.

    cost is that of its length, in words; empty where the challenge states none.
    """

    name: str
    length: str
    pieces: int
    reaches: tuple[str, ...]
    cost: str = ""

    @property
    def brief(self) -> str:
        """`12.4 in long, in 2 pieces, costs 62`."""
        pieces = [f"in {self.pieces} pieces"] if self.pieces > 1 else []
        cost = [f"costs {self.cost}"] if self.cost and self.pieces else []
        return ", ".join([f"{self.length} long" if self.pieces else self.length, *pieces, *cost])


@dataclass(frozen=True)
class ZoneLine:
    """One zone: its name, its area and share of the parcel in words, in how many pieces it lies."""

    name: str
    area: str
    share: str
    pieces: int
    keep_clear: bool

    @property
    def size(self) -> str:
        """`19.2 sq in, 7.5% of the parcel, in 2 pieces`."""
        return self._said(" of the parcel")

    @property
    def brief(self) -> str:
        """`19.2 sq in, 7.5%, in 2 pieces`, below a heading that says what the share is of."""
        return self._said("")

    def _said(self, of: str) -> str:
        share = [f"{self.share}{of}"] if self.share else []
        pieces = [f"in {self.pieces} pieces"] if self.pieces > 1 else []
        return ", ".join([self.area, *share, *pieces])


@dataclass(frozen=True, eq=False)
class ModelPhoto:
    """The photo seen straight from above with nothing drawn on it, as JPEG, and the land that it shows, in mm."""

    jpeg: bytes
    extent: Box


@dataclass(frozen=True, eq=False)
class TeamContent:
    """All that is said of one team; picture is the annotated picture without its list of rules, as JPEG."""

    title: str
    team: str
    rules: tuple[RuleLine, ...]
    zones: tuple[ZoneLine, ...]
    lines: tuple[LineSaid, ...]
    result: Result
    plat: Plat
    picture: bytes | None = None
    photo: ModelPhoto | None = None

    @property
    def name(self) -> str:
        """`Team 3`, `Team B`; a team with a name of its own goes by that."""
        if len(self.team.strip()) > _SHORTEST_NAME:
            return self.team.strip()
        name = team_name(self.team)
        return name[:1].upper() + name[1:]


def content_of(result: Result, picture: bytes | None = None, photo: ModelPhoto | None = None) -> TeamContent:
    """The words on a result. Raises InputMistakes where its outlines cannot be used."""
    rules = tuple(rule_line(number, rule, result) for number, rule in enumerate(result.rules, 1))
    zones = tuple(_zone(zone, result) for zone in result.zones)
    lines = tuple(_line(line, result) for line in result.lines)
    return TeamContent(result.title, result.team, rules, zones, lines, result, plat_of(result), picture, photo)


def rule_line(number: int, rule: RuleResult, result: Result) -> RuleLine:
    """A rule's line; a verdict set by hand stands before the measured one, which the detail still tells."""
    detail = detail_of(_outcome(rule, result))
    if rule.by_hand and rule.verdict != "by eye":
        detail = f"From the photo: {rule.verdict}. {detail}"
    return RuleLine(number, rule.text, verdict_of(rule), rule.by_hand is not None, detail)


def verdict_of(rule: RuleResult) -> Verdict:
    """The verdict that holds: the teacher's where there is one."""
    return rule.by_hand.verdict if rule.by_hand else rule.verdict


def tally(verdicts: Sequence[Verdict]) -> str:
    """`9 of 12 rules met, 2 not met, 1 too close to call`."""
    if not verdicts:
        return "no rules"
    rules = "rule" if len(verdicts) == 1 else "rules"
    rest = [f"{verdicts.count(v)} {v}" for v in VERDICTS[1:] if verdicts.count(v)]
    return ", ".join([f"{verdicts.count('met')} of {len(verdicts)} {rules} met", *rest])


def _outcome(rule: RuleResult, result: Result) -> Outcome:
    by_hand = (rule.by_hand.verdict, rule.by_hand.reason) if rule.by_hand else None
    outcome = Outcome(
        rule.text, rule.reads_as, rule.kind, rule.verdict, rule.value, rule.unit, _limit(rule), rule.u95, rule.chance,
        rule.over, (), rule.note, by_hand, rule.sentence, rule.allowed, rule.met_without, rule.measured_by, rule.doubts,
    )  # fmt: skip
    return outcome if rule.sentence or rule.value is None else replace(outcome, sentence=_sentence(outcome, result))


def _sentence(outcome: Outcome, result: Result) -> str:
    """Of a result by an earlier version, which has none; the readings of a result are sentences of the rules' language.

    What no sentence states (where a keep-clear zone belongs) has its bare numbers.
    """
    try:
        read, _ = read_rule(outcome.reads_as, ZoneNames({zone.name: () for zone in result.zones}), result.unit)
    except RuleMistake:
        return sentence_of_numbers(outcome, result.numbers)
    return sentence_of(read, outcome, result.numbers)


def _limit(rule: RuleResult) -> StatedLimit:
    """Of a range that is open on one side the limit that there is."""
    if not isinstance(rule.limit, tuple):
        return rule.limit
    low, high = rule.limit
    return (low, high) if low is not None and high is not None else low if low is not None else high


def _line(line: LineResult, result: Result) -> LineSaid:
    reaches = tuple(dict.fromkeys(zone for piece in line.pieces for zone in piece.reaches))
    if line.length is None:
        return LineSaid(line.name, NOT_MEASURED if line.unread else NOT_FOUND, 0, ())
    cost = value_said(line.cost, "") if line.cost else ""
    return LineSaid(line.name, value_said(line.length, result.unit, result.numbers), len(line.pieces), reaches, cost)


def _zone(zone: ZoneResult, result: Result) -> ZoneLine:
    keep_clear, pieces = zone.kind == "keep-clear", len(zone.pieces)
    if zone.area is None:
        return ZoneLine(zone.name, NOT_MEASURED if pieces else NOT_FOUND, "", pieces, keep_clear)
    area = value_said(zone.area, f"sq {result.unit}", result.numbers)
    whole = result.parcel.area
    share = value_said(Value(zone.area.value / whole, zone.area.u95 / whole), "%") if whole > 0 else ""
    return ZoneLine(zone.name, area, share, pieces, keep_clear)
