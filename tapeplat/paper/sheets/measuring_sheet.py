"""One sheet for all that a team measures: only what the rules need, shared out among its pupils.

The columns are the fields that hand measurements are entered from: what is the quantity, of its zone and the other.
"""

from __future__ import annotations

from collections.abc import Sequence

from reportlab.platypus import Flowable

from tapeplat.paper.exercises.needed_measures import Needed, needed_measures, shared_out
from tapeplat.paper.exercises.rule_facts import EDGES
from tapeplat.paper.pdf.flow import PUPIL, flow_fitted, numbered, para, space, table, text_size
from tapeplat.paper.pdf.pdf_canvas import MARGIN, Pages
from tapeplat.paper.sheets.sheet_job import Job

HEADING = "What we measure"
_WHO, _RULES, _QUANTITY, _VALUE = 13.0, 15.0, 27.0, 30.0
_ROW = 13.0
_NO_BREAK = "\u00a0"


def draw(pages: Pages, job: Job) -> None:
    """A row a number: who measures it, what, room for the working, the value."""
    width = pages.paper.width - 2 * MARGIN
    needed = needed_measures(job.challenge)
    who = [_letter(n) for n in shared_out(needed, job.pupils)]

    def story(factor: float) -> list[Flowable]:
        size = text_size(PUPIL, factor)
        return [
            para(_who_is_who(job.pupils), size, after=3 * factor),
            *numbered(_steps(job, needed), size),
            space(2 * factor),
            para(_once(job), 9.5, after=2),
            _rows(needed, who, width, factor),
            *_others(job, needed, size),
        ]

    flow_fitted(pages, HEADING, story)


def _rows(needed: Sequence[Needed], who: Sequence[str], width: float, factor: float) -> Flowable:
    rows: list[Sequence[Flowable | str]] = [("who", "rule", "what", "of", "how we found it", "our number")]
    for one, letter in zip(needed, who, strict=True):
        rules = ", ".join(map(str, one.rules))
        rows.append((letter, rules, one.quantity, place_text(one), "", ""))
    names = 62.0
    widths = (_WHO, _RULES, _QUANTITY, names, width - _WHO - _RULES - _QUANTITY - names - _VALUE, _VALUE)
    return table(rows, widths, size=text_size(11, factor), row_height=_ROW * factor)


def _others(job: Job, needed: Sequence[Needed], size: float) -> list[Flowable]:
    """The rules that no row is for."""
    there = {number for one in needed for number in one.rules}
    rest = [n for n in range(1, len(job.challenge.rules) + 1) if n not in there]
    built = [n for n in rest if job.challenge.rules[n - 1].rule.kind.about_structures(job.challenge.rules[n - 1].rule)]
    looked = [n for n in rest if n not in built]
    said = [f"{_rules_have(looked)} no row here. Look, count, or work it out."] if looked else []
    said += [f"{_rules_have(built)} a sheet of their own: what stands on the land."] if built else []
    return [space(2), *(para(line, size) for line in said)] if said else []


def _rules_have(rules: Sequence[int]) -> str:
    return f"Rule {rules[0]} has" if len(rules) == 1 else f"Rules {', '.join(map(str, rules))} have"


def place_text(one: Needed) -> str:
    """`library`, `stables and library`, `the tallest structure`."""
    if one.quantity == "gap":
        return f"{one.zone} and {one.other}" if one.zone else one.other
    if one.quantity == "side":
        return f"{one.zone}: its {one.other}"
    return one.zone or "the tallest structure"


def _who_is_who(pupils: int) -> str:
    names = (_NO_BREAK * 3).join(f"{_letter(n)}: {'_' * 8}" for n in range(pupils))
    return f"Team: {'_' * 9}{_NO_BREAK * 3}{names}"


def _steps(job: Job, needed: Sequence[Needed]) -> list[str]:
    """How to measure what the sheet asks for, a line each."""
    quantities = {one.quantity for one in needed}
    edge = EDGES[job.challenge.tape_edge]
    steps = [f"Write your initials beside a letter. Measure along the tape's {edge}."]
    if "area" in quantities:
        steps.append("Area: count squares with the clear grid, or measure the sides and work it out.")
    if "gap" in quantities:
        steps.append("Gap: find the place where the two are nearest. Measure straight across.")
    if "volume" in quantities:
        steps.append("Volume: count the cubes in one layer. Times the layers.")
    if "length" in quantities:
        steps.append("Length: lay a string along the line. Hold both ends. Pull it straight on a ruler.")
    if "perimeter" in quantities:
        steps.append("Perimeter: measure every side, then add.")
    return steps


def _once(job: Job) -> str:
    return (_NO_BREAK * 3).join((f"unit: {job.challenge.unit}", f"smallest division of our ruler: {'_' * 7}"))


def _letter(number: int) -> str:
    return chr(ord("A") + number)
