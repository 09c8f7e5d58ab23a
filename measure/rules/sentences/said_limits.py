"""Whether a limit as said fits what it limits, and the limit that it then is."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from measure.numbers import written
from measure.rules.amounts import Amount, Limit, Measure
from measure.rules.sentences.sentence_parts import Comparative, Flavour, SaidAmount, SaidLimit, Sentence

_EXAMPLE: dict[Measure, str] = {"length": "4 1/2 {}", "area": "12 sq {}", "volume": "200 cubic {}"}
_NOUN: dict[Measure, str] = {
    "number": "a plain number",
    "percent": "a per cent",
    "points": "percentage points",
    "length": "a length",
    "area": "an area",
    "volume": "a volume",
}
_FITS: dict[Flavour, str] = {
    "size": "is for areas and other sizes; for distances write `more than` or `closer than`, for heights `taller than`",
    "distance": "is for distances; for areas write `larger than` or `less than`, for heights `taller than`",
    "height": "is for the heights of structures; for areas write `larger than`, for distances `more than`",
}


def measured_limit(sentence: Sentence, said: SaidLimit, measure: Measure, what: str, flavour: Flavour) -> Limit:
    """A limit on a length, an area or a volume; a number without a unit takes the challenge's, with a warning.

    what names the limited size in messages: `an area`, `the distance to the edge`.
    """
    fitting(sentence, said.comparative, flavour)
    amounts = _with_one_unit(said)
    return _ordered(sentence, said, [_in_unit(sentence, amount, measure, what) for amount in amounts])


def share_limit(sentence: Sentence, said: SaidLimit) -> Limit:
    """A limit on a share of the parcel, always in per cent."""
    fitting(sentence, said.comparative, "size")
    made = []
    for amount in _with_one_unit(said):
        if amount.times or amount.amount.measure not in ("number", "percent"):
            sentence.refuse("a share of the parcel is a part or a per cent, such as `1/5` or `20%`", amount.span)
        number = amount.amount.number
        if amount.amount.measure == "number" and number > 1:
            sentence.refuse(
                f"`{written(number)} of the parcel` is more than all of it; write `{written(number)}%`", amount.span
            )
        made.append(Amount(number if amount.amount.measure == "percent" else 100 * number, "percent"))
    return _ordered(sentence, said, made)


def ratio_limit(sentence: Sentence, said: SaidLimit) -> Limit:
    """A limit on how many times as much, always a plain number."""
    fitting(sentence, said.comparative, "size")
    made = []
    for amount in _with_one_unit(said):
        if amount.amount.measure not in ("number", "percent"):
            noun = _NOUN[amount.amount.measure]
            sentence.refuse(
                f"this compares two zones, so write how many times, such as `1.4 times`, not {noun}", amount.span
            )
        number = amount.amount.number
        made.append(Amount(number / 100 if amount.amount.measure == "percent" else number))
    return _ordered(sentence, said, made)


def count_limit(sentence: Sentence, said: SaidLimit) -> Limit:
    """A limit on a number of things: whole numbers; a bare number is read as exactly that many."""
    amounts = _with_one_unit(said)
    for amount in amounts:
        if amount.times or amount.amount.measure != "number" or amount.amount.number.denominator != 1:
            sentence.refuse("things are counted in whole numbers, such as `2`", amount.span)
    if said.bare:
        number = written(amounts[0].amount.number)
        sentence.infer(f"read as exactly {number}; write `at least {number}` where more are welcome", "exactly")
    return _ordered(sentence, said, [amount.amount for amount in amounts])


def fitting(sentence: Sentence, comparative: Comparative, flavour: Flavour) -> None:
    """Refuse `taller` of an area and the like."""
    if comparative.flavour not in ("", flavour):
        sentence.refuse(f"`{comparative.word}` {_FITS[comparative.flavour]}", comparative.span)


def tolerated(sentence: Sentence, limit: Limit, said: SaidAmount) -> Limit:
    """The limit of an `exactly` sentence with the tolerance after `within`."""
    if limit.relation != "exactly":
        sentence.refuse(f"`within` belongs to `exactly`; leave it out after `{limit.relation}`", said.span)
    tolerance, amount = said.amount, limit.amount
    if said.spread and tolerance.measure == amount.measure == "percent":
        tolerance = replace(tolerance, measure="points")  # `25% plus or minus 5%` is 20% to 30%
    if said.times or (tolerance.measure in ("area", "volume", "length") and tolerance.measure != amount.measure):
        choice = "`within 2 points`" if amount.unit is None else _NOUN[amount.measure]
        sentence.refuse(f"`within` needs a per cent here, such as `within 2%`, or {choice}", said.span)
    if tolerance.measure == "points" and amount.measure != "percent":
        sentence.refuse(
            "percentage points are for shares of the parcel; write a per cent, such as `within 2%`", said.span
        )
    if tolerance.measure == "number":
        if amount.unit is None:
            choice = " or `within 2 points`" if amount.measure == "percent" else ""
            sentence.refuse(f"`within` needs a per cent of the limit: write `within 2%`{choice}", said.span)
        sentence.infer(f"read as within {written(tolerance.number)} {amount.unit_text}")
        tolerance = replace(tolerance, measure=amount.measure, unit=amount.unit)
    if tolerance.number == 0:
        sentence.refuse(
            "a tolerance of 0 can never be kept; write how near is near enough, such as `within 2%`", said.span
        )
    return replace(limit, tolerance=tolerance)


def near_limits(limit: Limit) -> tuple[Limit, ...]:
    """What may have been meant by a number alone."""
    percent = Amount(Fraction(5), "percent")
    return replace(limit, tolerance=percent), replace(limit, relation="at least"), replace(limit, relation="at most")


def _with_one_unit(said: SaidLimit) -> list[SaidAmount]:
    """The amounts of a limit; in `between 20 and 30%` the first takes the second's unit."""
    if said.upper is None:
        return [said.amount]
    first, second = said.amount, said.upper
    if first.amount.measure == "number" and not first.times and second.amount.measure != "number":
        part = second.amount.measure == "percent" and first.amount.number < 1  # `between 1/4 and 30%`
        number = 100 * first.amount.number if part else first.amount.number
        first = replace(first, amount=replace(second.amount, number=number))
    if first.amount.measure == "number" and second.times:
        first = replace(first, times=True)
    if first.amount.measure == second.amount.measure:
        second = replace(second, amount=second.amount.in_unit_of(first.amount))
    return [first, second]


def _in_unit(sentence: Sentence, said: SaidAmount, measure: Measure, what: str) -> Amount:
    amount = said.amount
    example = _EXAMPLE[measure].format(sentence.unit)
    if amount.measure == measure and not said.times:
        return amount
    if said.times:
        sentence.refuse("how many times what? name the zone to compare with after `times`", said.span)
    if amount.measure != "number":
        noun = _NOUN[amount.measure]
        sentence.refuse(f"{what} is {_NOUN[measure]}, such as `{example}`; `{amount}` is {noun}", said.span)
    if measure == "area" and amount.number <= 1:
        number = written(amount.number)
        sentence.refuse(f"`{number}` of what? write `{number} of the parcel`, or a size such as `{example}`", said.span)
    made = Amount(amount.number, measure, sentence.unit)
    sentence.infer(f"read as {made}, the challenge's unit")
    return made


def _ordered(sentence: Sentence, said: SaidLimit, amounts: list[Amount]) -> Limit:
    if len(amounts) == 2:
        if amounts[0].value >= amounts[1].value:
            sentence.refuse(f"between {amounts[0]} and {amounts[1]} is nothing; the smaller one comes first", said.span)
        return Limit("between", amounts[0], amounts[1])
    return Limit(said.comparative.relation, amounts[0])
