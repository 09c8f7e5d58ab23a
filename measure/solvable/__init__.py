"""Can a challenge's rules be met: a layout that the checker passes, or a proof that there is none, and the conflict.

Pure: challenges and plats in, answers out; no files, no printing.
"""

from __future__ import annotations

from measure.solvable.answer import SECONDS, Answer, Loopholes, answer
from measure.solvable.changes import Change
from measure.solvable.conflict import Conflict, Loosening
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import Decision
from measure.solvable.near import Near, Step, nearest
from measure.solvable.problem.layout import Layout, plat_of
from measure.solvable.problem.storeys import NeededHeight
from measure.solvable.tightness import Tightness

__all__ = [
    "SECONDS",
    "Answer",
    "Change",
    "Conflict",
    "Deadline",
    "Decision",
    "Layout",
    "Loopholes",
    "Loosening",
    "Near",
    "NeededHeight",
    "Step",
    "Tightness",
    "answer",
    "nearest",
    "plat_of",
]
