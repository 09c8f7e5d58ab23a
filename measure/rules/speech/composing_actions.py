"""Every action that grammar.txt can name: the functions of the composing modules."""

from __future__ import annotations

from collections.abc import Mapping

from measure.rules.speech.composing import (
    composing,
    composing_bounds,
    composing_conditions,
    composing_counts,
    composing_free,
    composing_gaps,
    composing_heights,
    composing_limits,
    composing_orders,
    composing_said,
    composing_shares,
    composing_short,
    composing_sizes,
    composing_some,
    composing_walks,
)
from measure.rules.speech.words.chart import Action

MODULES = (
    composing_conditions,
    composing_heights,
    composing_limits,
    composing_free,
    composing_gaps,
    composing_walks,
    composing_shares,
    composing_some,
    composing_short,
    composing_orders,
    composing_counts,
    composing_sizes,
    composing_said,
    composing_bounds,
    composing,
)
ACTIONS: Mapping[str, Action] = {
    name: value for module in MODULES for name, value in vars(module).items() if callable(value)
}
