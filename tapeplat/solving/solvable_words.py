"""What `tapeplat solvable` says: numbers in the class's unit, one sentence to a line."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from measure.rules.zone_groups import listed
from measure.units import Unit, format_area, format_length

if TYPE_CHECKING:
    from measure.solvable import Answer, Change, Conflict, Decision, Near, NeededHeight, Step, Tightness

_REACH = {
    "any shapes": "No outlines of any shape keep all rules, as long as zones do not share land.",
    "rectangles and Ls": "No layout of rectangles and L-shapes keeps all rules, wherever their corners lie.",
    "grid": "On a grid of {} no layout of rectangles and L-shapes keeps all rules.",
    "one L": "On a grid of {} no layout of rectangles, of which one may be an L-shape, keeps all rules.",
}
_LIMIT = {
    "any shapes": "outlines of any shape",
    "rectangles and Ls": "rectangles and L-shapes, wherever their corners lie",
    "grid": "rectangles and L-shapes on a grid of {}",
    "one L": "rectangles, of which one may be an L-shape, on a grid of {}",
    "rectangles": "rectangles on a grid of {}",
}
"""For what a proof holds."""

_PLENTY = 2.0
"""Of a limit: room of which it does not matter how much it is."""


def report(answer: Answer) -> str:
    """Everything that an answer says to the teacher; plain text, without the sample layout."""
    lines = [f"{answer.challenge.title}: {headline(answer)}"]
    lines += _decided(answer)
    if answer.tight is not None:
        lines += ["", teacher_line(answer.tight), *_slacks(answer)]
    if answer.conflict is not None:
        lines += ["", *_conflict(answer, answer.conflict)]
    lines += [line for block in (_heights(answer), _changes(answer.changes)) if block for line in ("", *block)]
    left_out = _left_out(answer)
    elsewhere = tuple(number for number in answer.elsewhere if number not in (*left_out, *answer.kept))
    if answer.kept:
        lines += ["", f"Not searched for, but kept by the layout found: {_rules(answer.kept)}."]
    if elsewhere:
        lines += ["", f"Not decided by a layout (structures, or by eye): {_rules(elsewhere)}."]
    if left_out:
        lines += [
            "",
            f"Not decided: {_rules(left_out)}. No layout was looked for that keeps it.",
        ]
    return "\n".join(lines)


def headline(answer: Answer) -> str:
    """The verdict in a few words."""
    decision = answer.decision
    if decision.solvable:
        return f"solvable (found in {_seconds(answer.seconds)})"
    if decision.solvable is False and decision.reach != "any shapes":
        return f"not solvable with rectangles and L-shapes (proved in {_seconds(answer.seconds)})"
    if decision.solvable is False:
        return f"not solvable (proved in {_seconds(answer.seconds)})"
    return f"not decided in {_seconds(answer.seconds)}"


def teacher_line(tight: Tightness) -> str:
    """The one line on how tight a challenge is, as docs/solvable.md defines it."""
    committed = f"Zones must take at least {100 * tight.committed:.0f} % of the parcel"
    if not tight.slacks:
        return f"How tight: {tight.word}. {committed}; no rule has a number that could be tight."
    if not tight.binding:
        return f"How tight: {tight.word}. {committed}; every rule can have half of its limit as room."
    room = _percent(tight.least)
    return f"How tight: {tight.word}. {committed}; the most room found for {_rules(tight.binding)} is {room}."


def near_words(near: Near | None, unit: Unit) -> list[str]:
    """What a team may change, one instruction to a line."""
    if near is None:
        return [
            "No way was found to meet every rule by moving what was built or changing its size.",
            "Other shapes may do it; try more --seconds.",
        ]
    if not near.steps:
        return ["What was built meets every rule about outlines already."]
    lines = [_step(step, unit) for step in near.steps]
    if not near.sure:
        lines.append("It is close: measure again afterwards.")
    return lines


def _decided(answer: Answer) -> Iterator[str]:
    decision = answer.decision
    if decision.solvable:
        but = " that was looked at" if _left_out(answer) else ""
        yield f"A layout was found that the checker of photos passes: every rule about outlines{but} is met."
    elif decision.reach == "rectangles":
        yield f"On a grid of {decision.grid} no layout of rectangles keeps all rules. With L-shapes none was found"
        yield "in the time, but none is ruled out; try more --seconds."
    elif decision.reach is not None:
        yield _REACH[decision.reach].format(decision.grid)
        yield from _of_others(decision)
        yield "Every zone was taken to be there, in one piece unless a rule says more, beside the others on the parcel."
    else:
        yield "Neither a layout nor a proof that there is none was found. That says nothing about the challenge;"
        yield "try more --seconds."
    holes = answer.loopholes
    if holes.pieces:
        yield "With a zone in several pieces, which no rule forbids, there is a layout;"
        yield "`there is exactly 1 piece of ...` would forbid it."
    if holes.overlaps:
        yield "With zones lying over one another, which no rule forbids, there is a layout;"
        yield "`no zones overlap` would forbid it."


def limit_of_proof(decision: Decision) -> str:
    """For which shapes it is proved that there is no layout."""
    return "" if decision.reach is None else _LIMIT[decision.reach].format(decision.grid)


def _of_others(decision: Decision) -> Iterator[str]:
    if decision.reach == "any shapes":
        return
    if decision.others_tried:
        yield "Triangles in corners, round zones and other outlines were tried, too: none was found, none is ruled out."
    else:
        yield "Other outlines, such as triangles in corners or round zones, are not ruled out."


def _left_out(answer: Answer) -> tuple[int, ...]:
    """Rules about outlines that nothing here decides."""
    rules = ((number, answer.challenge.rules[number - 1].rule) for number in answer.elsewhere)
    undecided = ((number, rule) for number, rule in rules if number not in answer.kept)
    return tuple(number for number, rule in undecided if not (rule.kind.by_eye or rule.kind.about_structures(rule)))


def _slacks(answer: Answer) -> Iterator[str]:
    assert answer.tight is not None
    if not answer.tight.slacks:
        return
    yield "Room of each rule in the loosest layout found, as a share of its limit:"
    for number, slack in answer.tight.slacks:
        mark = "*" if number in answer.tight.binding else " "
        yield f" {mark}{_percent(slack):>6}  {number:>2}  {_text(answer, number)}"
    if answer.tight.binding:
        yield " * these hold the others back"


def _conflict(answer: Answer, conflict: Conflict) -> Iterator[str]:
    given = _given(answer)
    many = len(conflict.numbers)
    if many == 0:
        yield f"Without any rule there is no layout already: look at the zones' number and size{given}."
        return
    shapes = limit_of_proof(answer.decision)
    yield f"{'These rules cannot hold together' if many > 1 else 'This rule cannot be met'}{given}, with {shapes}:"
    yield from (f"  {number:>2}  {_text(answer, number)}" for number in conflict.numbers)
    if any(answer.challenge.rules[number - 1].rule.kind.gap_between == "tapes" for number in conflict.numbers):
        yield "Outlines were taken as lines without width; wide tape touches while its middles are still apart."
    if many > 1 and conflict.minimal:
        yield "Each has its part in it: without any one of them there is a layout for the others."
    elif many > 1:
        yield "Some of them may have no part in it; the time was not enough to find out."
    yield from _loosenings(answer, conflict)


def _loosenings(answer: Answer, conflict: Conflict) -> Iterator[str]:
    if not conflict.loosenings and answer.decision.reach == "any shapes":
        yield "No other number in one of them was found that ends this contradiction; one of them must go."
        return
    if conflict.loosenings:
        yield "Changing one of them ends this contradiction (with rectangles and L-shapes; others may need less):"
    else:
        yield "No other number in one of them was found that ends this contradiction with rectangles or L-shapes."
    for loosening in conflict.loosenings:
        then = {
            True: "then all rules can be met",
            False: "another contradiction remains with rectangles and L-shapes",
            None: "the rest: not decided",
        }
        yield f'  {loosening.number:>2}  "{loosening.sentence}" ({then[loosening.enough]})'
    left = sorted(set(conflict.numbers) - {loosening.number for loosening in conflict.loosenings})
    if conflict.loosenings and left:
        yield f"Of {_rules(tuple(left))} no other number was found that does; leaving one of them out does."


def _given(answer: Answer) -> str:
    kept = [zone.name for zone in answer.challenge.zones if zone.kind == "keep-clear"]
    return f", with {listed(kept)} kept clear" if kept else ""


def _heights(answer: Answer) -> list[str]:
    return [_height(answer, needed) for needed in answer.heights]


def _height(answer: Answer, needed: NeededHeight) -> str:
    unit = answer.challenge.unit
    land = format_area(needed.land, unit, 0.02 * needed.land)
    tall = format_length(needed.height, unit, 0.02 * needed.height)
    where = f"the {land} of {listed(needed.zones)} in the sample layout"
    said = f"Rule {needed.number}: {where}, built on all over, must be {tall} tall"
    if needed.reasonable is None:
        return f"{said}; no rule says how tall structures may be."
    most = format_length(needed.most or 0.0, unit)
    return f"{said}, where {most} is allowed: {'reasonable' if needed.reasonable else 'more than is allowed'}."


def _changes(changes: tuple[Change, ...]) -> list[str]:
    if not changes:
        return []
    lines = ["One change at a time, and the room that the tightest rule then has:"]
    return lines + [f'  {_percent(change.slack):>6}  {change.number:>2}  "{change.after}"' for change in changes]


def _step(step: Step, unit: Unit) -> str:
    who = step.zone if step.index <= 1 else f"piece {step.index} of {step.zone}"
    if step.kind == "added":
        return f"add a piece of {step.zone}"
    if step.kind == "removed":
        return f"take {who} away"
    left, top, right, bottom = step.sides
    if step.kind == "scaled":
        moved = f", and move it {_towards(left, top, unit)}" if left or top else ""
        size = f"about {abs(step.scale - 1) * 100:.0f} % {'larger' if step.scale > 1 else 'smaller'} all round"
        return f"make {who} {size}{moved}"
    if step.kind == "moved":
        return f"move {who} {_towards(left, top, unit)}"
    parts = [
        _sized(by, words, unit)
        for by, words in ((right - left, ("wider", "narrower")), (bottom - top, ("deeper", "shallower")))
    ]
    return f"make {who} {' and '.join(part for part in parts if part)}{_sides(step, unit)}"


def _towards(across: float, down: float, unit: Unit) -> str:
    """`about 2 in towards the left edge and about 1 in towards the top edge`."""
    ways = [(across, ("right", "left")), (down, ("bottom", "top"))]
    said = [f"{_about(by, unit)} towards the {names[by < 0]} edge" for by, names in ways if by]
    return " and ".join(said)


def _sized(by: float, words: tuple[str, str], unit: Unit) -> str:
    return f"{_about(by, unit)} {words[by < 0]}" if by else ""


def _sides(step: Step, unit: Unit) -> str:
    """Which sides go where."""
    names = (
        ("left", "right", "left"),
        ("top", "bottom", "top"),
        ("right", "right", "left"),
        ("bottom", "bottom", "top"),
    )
    said = [
        f"its {side} side {_about(by, unit)} towards the {after if by > 0 else before} edge"
        for by, (side, after, before) in zip(step.sides, names, strict=True)
        if by
    ]
    return f" ({', '.join(said)})"


def _about(mm: float, unit: Unit) -> str:
    from fractions import Fraction

    from measure.numbers import mixed
    from measure.units import from_mm

    size = abs(from_mm(mm, unit))
    if unit == "in":
        return f"about {mixed(Fraction(round(size * 8), 8))} in"
    return f"about {size:.1f} cm" if unit == "cm" else f"about {size:.0f} mm"


def _text(answer: Answer, number: int) -> str:
    return answer.challenge.rules[number - 1].text


def _rules(numbers: tuple[int, ...]) -> str:
    return f"rule{'' if len(numbers) == 1 else 's'} {listed(map(str, numbers))}"


def _percent(share: float) -> str:
    """Whole per cent; below ten with one decimal; what is more than twice the limit is not counted on."""
    if share > _PLENTY:
        return f"> {100 * _PLENTY:.0f} %"
    return f"{100 * share:.0f} %" if share >= 0.1 else f"{100 * share:.1f} %"


def _seconds(seconds: float) -> str:
    return f"{seconds:.0f} s" if seconds >= 10 else f"{max(seconds, 0.1):.1f} s"
