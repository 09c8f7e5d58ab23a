"""Forty challenges with a known answer: decided right, in what time, and are their conflicts minimal? Prints a table.

python -m tests.benchmarks.solvable [PART OF A NAME]
"""

from __future__ import annotations

import sys
import tempfile
import time
from pathlib import Path

from measure.challenge import read_challenge
from measure.solvable.conflict import conflict_of
from measure.solvable.cpsat.search import Deadline
from measure.solvable.decide import Decision, decide, passes
from measure.solvable.problem.problem import Problem, problem_of
from tests.helpers.made.settlements import Known, all_known

SECONDS = 30.0


def main() -> None:
    """Decide those whose name has the words of the command line in it, all without."""
    wanted = sys.argv[1] if len(sys.argv) > 1 else ""
    print("| challenge | known | decided | seconds | proof | layout passes / conflict minimal |")
    print("| --- | --- | --- | --- | --- | --- |")
    right, longest, chosen = 0, 0.0, [known for known in all_known() if wanted in known.name]
    for known in chosen:
        problem = _problem(known)
        began = time.monotonic()
        decision = decide(problem, Deadline(SECONDS))
        seconds = time.monotonic() - began
        right += decision.solvable is known.solvable
        longest = max(longest, seconds)
        cells = (known.name, _word(known.solvable), _word(decision.solvable), f"{seconds:.2f}", decision.reach or "")
        print(f"| {' | '.join(cells)} | {_further(problem, decision)} |", flush=True)
    print(f"\n{right} of {len(chosen)} decided right; the longest took {longest:.1f} s.")


def _problem(known: Known) -> Problem:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "challenge.toml"
        path.write_text(known.text, encoding="utf-8")
        return problem_of(read_challenge(path))


def _further(problem: Problem, decision: Decision) -> str:
    if decision.layout is not None:
        return "passes" if passes(problem, decision.layout) else "DOES NOT PASS"
    conflict = conflict_of(problem, decision, Deadline(SECONDS), lambda _: None)
    numbers = ", ".join(map(str, conflict.numbers))
    return f"{'minimal' if conflict.minimal else 'NOT SHOWN MINIMAL'}: rules {numbers}"


def _word(solvable: bool | None) -> str:
    return {True: "solvable", False: "not", None: "undecided"}[solvable]


if __name__ == "__main__":
    main()
