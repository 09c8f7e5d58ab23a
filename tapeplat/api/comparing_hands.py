"""What children measured by hand beside what was measured in photos."""

from __future__ import annotations

import os
from collections.abc import Sequence

from measure.errors import InputMistakes, Mistake
from measure.file_content import file_at, is_content
from measure.hand.hand_comparison import compare
from measure.hand.values.hand_table import read_hand
from measure.result.result import Result, parse_result, read_result
from tapeplat.api.given_values import GivenFile, file_of
from tapeplat.measuring.measured_model import MeasuredModel
from tapeplat.verify.hand_report import HandComparison

GivenResult = MeasuredModel | Result | str | os.PathLike[str]
"""A measured model, its result, the text of a result.json, its path or its folder's."""


def compare_hand(
    results: GivenResult | Sequence[GivenResult], table: GivenFile, *, same_ruler: bool = False
) -> HandComparison:
    """Compare every hand measurement of a table with its team's result, and find what likely went wrong.

    table is the path or the text of a CSV file, as docs/verify.md describes it. same_ruler says that the card's check
    lines were read with the ruler that the class measures with.

    Raises InputMistakes with everything that is wrong with the results and the table.
    """
    given = [results] if isinstance(results, MeasuredModel | Result | str | os.PathLike) else results
    read, wrong = list[Result](), list[Mistake]()
    for result in given:
        try:
            read.append(_result(result))
        except InputMistakes as error:
            wrong += error.mistakes
    if len({result.unit for result in read}) > 1 or len({result.title for result in read}) > 1:
        wrong.append(Mistake("the results", "they are of different challenges", "name results of one challenge"))
    zones = dict.fromkeys(zone.name for result in read for zone in result.zones)
    lines = dict.fromkeys(line.name for result in read for line in result.lines)
    try:
        hand = read_hand(file_of(table, "the table"), zones, read[0].unit if read else "cm", lines) if zones else None
    except InputMistakes as error:
        wrong += error.mistakes
        hand = None
    if wrong or hand is None:
        raise InputMistakes(wrong)
    return HandComparison(tuple(read), compare(hand, read, same_ruler=same_ruler))


def _result(given: GivenResult) -> Result:
    if isinstance(given, MeasuredModel):
        return given.result
    if isinstance(given, Result):
        return given
    if isinstance(given, str) and is_content(given):
        return parse_result(given)
    return read_result(file_at(given, "the result"))
