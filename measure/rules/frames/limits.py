"""What an amount's relation is once the clause's denial, permission and limiting verbs are taken into account."""

from __future__ import annotations

from dataclasses import replace

from measure.rules.frames.clause import Clause
from measure.rules.speech.words.meanings import Bound

_UPPER = ("at most", "less than", "between")
_DENIABLE = ("more than", "less than")


def limit_meant(clause: Clause, bound: Bound, *, least: bool = False) -> Bound | None:
    """The bound that is asked for; None where that is not clear.

    least: a bare amount is a least one, as of what is left or kept free.
    """
    if clause.has("LIMITED"):
        return replace(bound, relation="at most") if bound.relation == "bare" and not clause.denials else None
    if bound.relation == "bare" and least:
        bound = replace(bound, relation="at least", assumed=True)
    if clause.denials:
        turned = bound.opposite if bound.relation in _DENIABLE else None
        if turned is None or not _denied_before(clause):
            return None
        bound = turned
    elif clause.has("FALL"):
        return None
    if clause.has("MAY") and not clause.denials and bound.relation not in _UPPER:
        return None
    return None if bound.relation == "bare" else bound


def _denied_before(clause: Clause) -> bool:
    """Whether what denies stands before the amount, so that it reaches it."""
    amount = clause.index("AMOUNT")
    denied = clause.index("NEG")
    none = next((at for at, item in enumerate(clause.items) if item.thing and item.thing.quantifier == "no"), -1)
    return 0 <= max(denied, none) < amount
