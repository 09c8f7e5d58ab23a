"""A problem with all its limits moved by a share of themselves."""

from __future__ import annotations

from dataclasses import replace

from measure.rules.demand import Centre, Demand, Edge, Gap, Size
from measure.solvable.problem.problem import Problem, Stated


def tightened(problem: Problem, slack: float) -> Problem:
    """The problem with every limit moved so that keeping it leaves this slack to the stated one.

    A slack below 0 loosens every limit by that share of itself.
    """
    rules = tuple(Stated(rule.number, rule.text, _tight(rule.demands, slack)) for rule in problem.rules)
    return replace(problem, rules=rules)


def _tight(demands: tuple[Demand, ...] | None, slack: float) -> tuple[Demand, ...] | None:
    return None if demands is None else tuple(_tighter(demand, slack) for demand in demands)


def _tighter(demand: Demand, slack: float) -> Demand:
    if not isinstance(demand, Size | Gap | Edge | Centre) or (isinstance(demand, Gap) and demand.touching):
        return demand
    low, high = demand.low, demand.high
    room = None if low is None or high is None or slack < 0 else min(slack, 0.499) * (high - low)
    return replace(
        demand,
        low=None if low is None else low + (slack * abs(low) if room is None else room),
        high=None if high is None else high - (slack * abs(high) if room is None else room),
    )
