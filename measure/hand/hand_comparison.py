"""Hand measurements against the photo's: every row's agreement, its likely mistakes, and measurers among themselves."""

from __future__ import annotations

import math
import statistics
from collections.abc import Sequence
from dataclasses import dataclass, replace

from measure.agreement import agrees, en_number, percent_error
from measure.errors import InputMistakes, Mistake
from measure.hand.mistakes.diagnosis import Evidence, Likely, Observed, Predicted, diagnose
from measure.hand.mistakes.digits import meanings
from measure.hand.mistakes.habits import habits_of, scatter_of
from measure.hand.mistakes.hypotheses import predictions
from measure.hand.values.hand_table import HandFile, HandRow
from measure.hand.values.hand_uncertainty import expanded, rounding_u
from measure.hand.values.true_values import Estimate, ModelTruth, Target
from measure.quantity import COVERAGE_FACTOR
from measure.result.result import Result
from measure.teams import team_key
from measure.units import MM_PER

COARSE = 1 / 3
"""The expanded uncertainty of a counted area against the area from which its squares are called too large."""
TOO_COARSE = "the squares are too large for this area: nearly any number would agree"


@dataclass(frozen=True)
class Checked:
    """One row compared. Values are in the row's own unit (shares: 1 is the whole parcel), u95 expanded.

    agrees, en and photo are None where there is nothing to compare with; note says why. likely are the mistakes that
    clearly explain the number, candidates all that may.
    """

    row: HandRow
    team: str
    photo: float | None = None
    u95_photo: float = 0.0
    u95_hand: float = 0.0
    en: float | None = None
    percent_error: float | None = None
    likely: Likely = ()
    note: str = ""
    candidates: Likely = ()

    @property
    def agrees(self) -> bool | None:
        """|En| <= 1; None where there is nothing to compare, or where squares are too large to tell."""
        return None if self.en is None or self.too_coarse else agrees(self.en)

    @property
    def too_coarse(self) -> bool:
        """Whether squares were counted that are so large that nearly any number would agree."""
        if self.row.method != "squares" or self.photo is None or self.en is None or not agrees(self.en):
            return False
        return self.u95_hand > COARSE * self.photo


@dataclass(frozen=True)
class Measurers:
    """Several measurements of one quantity, in the first one's unit: their median and how far they lie apart."""

    rows: tuple[Checked, ...]
    values: tuple[float, ...]

    @property
    def median(self) -> float:
        """The value in the middle."""
        return statistics.median(self.values)

    @property
    def range(self) -> float:
        """The largest less the smallest."""
        return max(self.values) - min(self.values)


@dataclass(frozen=True)
class Comparison:
    """All rows in the file's order, the quantities that several measured, and warnings."""

    rows: tuple[Checked, ...]
    measurers: tuple[Measurers, ...]
    warnings: tuple[str, ...]

    def of_team(self, team: str) -> tuple[Checked, ...]:
        """The rows of one team."""
        return tuple(row for row in self.rows if team_key(row.team) == team_key(team))


def compare(hand: HandFile, results: Sequence[Result], *, same_ruler: bool = False) -> Comparison:
    """Compare every row with its team's result.

    same_ruler says that the check lines of the card were read with the ruler that the class measures with. Raises
    InputMistakes where it cannot be told whose a row is.
    """
    owners, warnings = _owners(hand, results)
    models = {id(result): ModelTruth(result, same_ruler=same_ruler) for result in results}
    comparing = Comparing(tuple(models.values()))
    rows: list[Checked] = []
    for row, owner in zip(hand.rows, owners, strict=True):
        team = owner.team if owner is not None and owner.team else row.team
        if owner is None:
            rows.append(Checked(row, team, note=f"there is no result of team {row.team}"))
        else:
            rows.append(comparing.compared(row, team, models[id(owner)]))
    rows = comparing.explained(rows, [None if owner is None else models[id(owner)] for owner in owners])
    checked = tuple(rows)
    return Comparison(checked, _measurers(checked), (*hand.warnings, *warnings, *_not_compared(hand, checked)))


def _owners(hand: HandFile, results: Sequence[Result]) -> tuple[list[Result | None], list[str]]:
    """The result of every row; None where its team has none."""
    named = {team_key(result.team): result for result in results if result.team}
    teams = list(dict.fromkeys(row.team for row in hand.rows if row.team))
    wrong: list[Mistake] = []
    if len(results) > 1 and len(named) < len(results):
        do = "measure each model with `--team NAME`, and name each team's newest result once"
        wrong.append(Mistake("the results", "two are of one team, or do not say of which", do))
    only = results[0] if len(results) == 1 else None
    warnings = []
    if only is not None and not only.team and len({team_key(team) for team in teams}) > 1:
        do = "measure the model again with `--team NAME`"
        wrong.append(Mistake(hand.name, "there are rows of several teams, and the result does not say whose it is", do))
    elif only is not None and not only.team and teams:
        warnings.append(f"the result names no team; its model is taken to be team {teams[0]}'s")
        named[team_key(teams[0])] = only
    for row in hand.rows:
        if not row.team and only is None and row.value is not None:
            do = "write the team in every row"
            wrong.append(Mistake(f"{hand.name}, row {row.number}", "the team is missing", do))
    owners = [only if not row.team else named.get(team_key(row.team)) for row in hand.rows]
    if not wrong and all(owner is None for owner in owners):
        there = ", ".join(result.team for result in results)
        wrong.append(Mistake(hand.name, f"it has no rows of team {there}", f"its teams are {', '.join(teams)}"))
    if wrong:
        raise InputMistakes(wrong)
    return owners, warnings


class Comparing:
    """Compares rows with models that stay the same; what many rows ask for is worked out once."""

    def __init__(self, models: tuple[ModelTruth, ...]) -> None:
        self.models = models
        self._predicted: dict[tuple[object, ...], Predicted] = {}

    def checked(self, row: HandRow, team: str, truth: ModelTruth) -> Checked:
        """One row of a team against one of the models, with its likely mistakes."""
        return self.explained([self.compared(row, team, truth)], [truth])[0]

    def explained(self, rows: Sequence[Checked], truths: Sequence[ModelTruth | None]) -> list[Checked]:
        """The rows of a class with their likely mistakes; how the class measures is read from all of them."""
        scatter = scatter_of([COVERAGE_FACTOR * row.en for row in rows if row.agrees and row.en is not None])
        evidence = {
            at: self._evidence(row, truth, scatter)
            for at, (row, truth) in enumerate(zip(rows, truths, strict=True))
            if row.agrees is False and truth is not None
        }
        habits = habits_of([found.weighed for found in evidence.values()])
        named = {at: diagnose(found, habits) for at, found in evidence.items()}
        return [
            replace(row, likely=named[at][0], candidates=named[at][1]) if at in named else row
            for at, row in enumerate(rows)
        ]

    def compared(self, row: HandRow, team: str, truth: ModelTruth) -> Checked:
        """One row of a team against one of the models."""
        if row.value is None:
            return Checked(row, team, note="not measured yet")
        target = _target(row)
        found = truth.estimate(target)
        if found is None:
            return Checked(row, team, note=_why_not(target, truth))
        scale = row.scale
        hand = row.value * scale
        u_hand = _hand_u(row, truth, found)
        shared = truth.shared(found, row.quantity)
        en = en_number(hand, expanded(u_hand), found.value, expanded(found.u), shared)
        made = Checked(
            row=row,
            team=team,
            photo=found.value / scale,
            u95_photo=COVERAGE_FACTOR * found.u / scale,
            u95_hand=COVERAGE_FACTOR * u_hand / scale,
            en=en,
            percent_error=percent_error(hand, found.value),
        )
        return replace(made, note=TOO_COARSE) if made.too_coarse else made

    def _evidence(self, checked: Checked, truth: ModelTruth, scatter: float) -> Evidence:
        """What a number that does not agree says for and against every mistake."""
        row, target = checked.row, _target(checked.row)
        found = truth.estimate(target)
        assert found is not None
        assert row.value is not None
        u_hand, shared = _hand_u(row, truth, found), truth.shared(found, row.quantity)
        u = math.sqrt(max(u_hand**2 + found.u**2 - 2 * shared, 1e-12))
        seen = Observed(row.value * row.scale, found.value, u, rounding_u(row.step * row.scale, row.method))
        unit = row.scale * (0.01 if row.percent else 1.0)
        return Evidence(seen, self._predictions(row, target, truth), meanings(row.digits, row.division), unit, scatter)

    def _predictions(self, row: HandRow, target: Target, truth: ModelTruth) -> Predicted:
        key = (id(truth), target, row.method, row.division, row.unit)
        if key not in self._predicted:
            others = [model for model in self.models if model is not truth]
            self._predicted[key] = Predicted(predictions(row, target, truth, others))
        return self._predicted[key]


def _target(row: HandRow) -> Target:
    return Target(row.quantity, row.zone, row.piece, row.side, row.other)


def _hand_u(row: HandRow, truth: ModelTruth, found: Estimate) -> float:
    """Standard uncertainty of the hand value, in mm, mm2, mm3 or as a share."""
    division = row.division * MM_PER[row.unit]
    return math.hypot(
        truth.hand_u(found, row.quantity, row.method, division), rounding_u(row.step * row.scale, row.method)
    )


def _why_not(target: Target, truth: ModelTruth) -> str:
    """Why there is nothing to compare with."""
    zone, pieces = target.zone, truth.pieces(target.zone)
    if target.quantity in ("height", "volume"):
        return f"the result has no {target.quantity} of structures in {zone}; measure again with --structures"
    if target.quantity == "length" and pieces == 0:
        return f"no {zone} was found in the photo"
    for name in filter(None, (zone, target.other)):
        if truth.pieces(name) == 0:
            return f"no outline of {name} was found in the photo"
    if target.piece is not None and target.piece > pieces:
        return f"the photo shows {pieces} {'piece' if pieces == 1 else 'pieces'} of {zone}, no piece {target.piece}"
    outline = truth.outline(target)
    if target.quantity == "side" and outline is not None:
        if outline.curved:
            return f"the outline of {zone} is curved, it has no sides"
        return f"the outline of {zone} has {len(outline.sides('middle'))} sides in the photo, no side {target.side}"
    if target.quantity == "side" and target.piece is None and pieces > 1:
        return f"{zone} has {pieces} pieces; write in `piece` which one it is"
    return f"{zone} could not be measured in the photo"


def _not_compared(hand: HandFile, rows: Sequence[Checked]) -> list[str]:
    left = [checked for checked in rows if checked.note and checked.row.value is not None]
    return [f"{hand.name}, row {checked.row.number}: not compared: {checked.note}" for checked in left]


def _measurers(rows: Sequence[Checked]) -> tuple[Measurers, ...]:
    """Quantities with more than one value, in the file's order."""
    groups: dict[tuple[object, ...], list[Checked]] = {}
    for checked in rows:
        row = checked.row
        if row.value is not None:
            either_way = row.quantity == "gap" and row.piece is None
            ends = frozenset((row.zone, row.other)) if either_way else (row.zone, row.other)
            key = (team_key(checked.team), row.quantity, row.piece, row.side, ends)
            groups.setdefault(key, []).append(checked)
    found = []
    for group in groups.values():
        if len(group) > 1:
            scale = group[0].row.scale
            found.append(Measurers(tuple(group), tuple((c.row.value or 0.0) * c.row.scale / scale for c in group)))
    return tuple(found)
