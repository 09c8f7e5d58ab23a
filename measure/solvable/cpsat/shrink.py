"""Deletion filtering: from rules that cannot hold together to a set of them of which none can be spared."""

from __future__ import annotations

from collections.abc import Callable

from measure.solvable.cpsat.search import Deadline

Test = Callable[[frozenset[int]], bool]


def shrunk(numbers: frozenset[int], fails: Test, deadline: Deadline) -> frozenset[int]:
    """A subset that still fails, and does not without any one of its rules, as far as `fails` tells in time.

    Halves are tried before single rules, because most rules have no part in a contradiction.
    """
    kept = sorted(numbers)
    size = max(1, len(kept) // 2)
    while True:
        at = 0
        while at < len(kept) and not deadline.over:
            rest = kept[:at] + kept[at + size :]
            if len(rest) < len(kept) and fails(frozenset(rest)):
                kept = rest
            else:
                at += size
        if size == 1 or deadline.over:
            return frozenset(kept)
        size = max(1, size // 2)
