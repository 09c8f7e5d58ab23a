"""What a team is told of its numbers, and that trying is no way to the photo's value."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given
from hypothesis import strategies as st

from measure.hand.hand_comparison import Comparing
from measure.hand.values.hand_table import HandRow, read_hand_row
from measure.hand.values.true_values import ModelTruth
from measure.result.result import read_result
from tapeplat.page.student.answers import Answer, Model, Sent, answers, subject
from tests.helpers.examples import examples
from tests.helpers.page.student_world import DOCK, MARKET, measured_files

ZONES = ("market", "dock")


@pytest.fixture(scope="module")
def model(tmp_path_factory: pytest.TempPathFactory) -> Model:
    return _model(tmp_path_factory.mktemp("measured"), MARKET)


def _model(folder: Path, market: list[list[float]]) -> Model:
    (folder / "result.json").write_bytes(measured_files(folder, market)["result.json"])
    return Model(ModelTruth(read_result(folder)))


def row(quantity: str, value: str, **cells: str) -> HandRow:
    usual = {"zone": "market", "unit": "cm", "method": "ruler", "division": "0.1 cm"}
    return read_hand_row({**usual, "quantity": quantity, "value": value, **cells}, ZONES, "cm")


def side(value: str, **cells: str) -> HandRow:
    return row("side", value, other=cells.pop("other", "1"), **cells)


def told(model: Model | None, *rows: HandRow, tries: int = 3, **more: int) -> list[Answer]:
    return answers([Sent(at, each) for at, each in enumerate(rows)], model, tries, more)


def words(model: Model | None, *rows: HandRow, tries: int = 3) -> list[str]:
    return [answer.word for answer in told(model, *rows, tries=tries)]


def test_a_right_number_agrees_and_a_wrong_one_gets_a_hint(model: Model) -> None:
    good, wrong = told(model, side("10.0"), side("13", other="2"))
    assert (good.word, good.left, good.hints) == ("agrees", 0, ())
    assert (wrong.word, wrong.left) == ("look again", 2)
    assert wrong.hints


def test_no_more_than_the_allowed_tries_are_answered(model: Model) -> None:
    assert words(model, side("1"), side("2"), side("3"), side("10")) == ["look again"] * 3 + ["no try left"]


def test_the_teacher_gives_more_tries_of_one_quantity(model: Model) -> None:
    numbers = [side("1"), side("2"), side("10")]
    given = answers([Sent(at, each) for at, each in enumerate(numbers)], model, 2, {subject(numbers[0], model): 1})
    assert [answer.word for answer in given] == ["look again", "look again", "agrees"]


@pytest.mark.parametrize(
    "same", [side("20.05"), side("200", unit="mm"), side("7.874 in"), side("20", who="ZZ"), side("20", division="1 cm")]
)
def test_the_same_number_in_another_guise_is_neither_compared_nor_counted(model: Model, same: HandRow) -> None:
    first, second = told(model, side("20"), same)
    assert (second.word, second.left, second.checked) == ("same number", first.left, None)


def test_unit_method_format_and_initials_open_no_second_account(model: Model) -> None:
    guises = [
        row("perimeter", "20"),
        row("perimeter", "25 1/2", who="B"),
        row("perimeter", "11 in", method="formula", who="C"),
        row("perimeter", "32", piece="1"),
    ]
    assert words(model, *guises) == ["look again"] * 3 + ["no try left"]


def test_area_and_share_are_one_account(model: Model) -> None:
    numbers = [row("area", "20", method="formula"), row("share", "30%", method="formula"), row("area", "90")]
    assert words(model, *numbers, row("share", "5%", method="formula")) == ["look again"] * 3 + ["no try left"]


def test_a_gap_is_one_account_from_either_end(model: Model) -> None:
    there, back = row("gap", "9", other="dock"), row("gap", "12", zone="dock", other="market")
    assert subject(there, model) == subject(back, model) == subject(row("gap", "1", other="dock", piece="1"), model)
    assert words(model, there, back, row("gap", "6", other="dock", piece="1"), tries=2)[-1] == "no try left"


def test_after_agreement_nothing_more_is_told(model: Model) -> None:
    """Else the edges of what agrees could be felt out, and the value lies in the middle of them."""
    given = told(model, side("10"), *(side(str(10 + step / 5)) for step in range(1, 9)))
    assert [answer.word for answer in given[1:]] == ["agreed before"] * 8
    assert all(answer.checked is None and not answer.hints for answer in given[1:])


def test_other_sides_have_tries_of_their_own(model: Model) -> None:
    assert words(model, side("1"), side("2"), side("3"), side("6", other="2")) == ["look again"] * 3 + ["agrees"]


def test_what_the_photo_does_not_have_costs_no_try(model: Model) -> None:
    assert words(model, side("3", other="9"), tries=1) == ["nothing there"]


def test_before_the_photo_numbers_wait_and_are_answered_in_their_order_after_it(model: Model) -> None:
    numbers = [side("7"), side("10")]
    assert words(None, *numbers) == ["waiting", "waiting"]
    assert words(model, *numbers) == ["look again", "agrees"]


def test_after_a_repair_the_same_numbers_get_their_due_and_no_new_tries(tmp_path: Path, model: Model) -> None:
    moved = [[4.0, 4.0], [16.0, 4.0], [16.0, 10.0], [4.0, 10.0]]
    before = _model(tmp_path, moved)
    numbers = [side("10"), side("9"), side("8")]
    assert words(before, *numbers) == ["look again"] * 3
    assert words(model, *numbers) == ["agrees", "agreed before", "agreed before"]
    other = [side("20"), side("25"), side("30"), side("10")]
    assert words(before, *other)[-1] == words(model, *other)[-1] == "no try left"


def test_a_number_that_came_without_a_try_left_is_not_compared_later(model: Model) -> None:
    given = answers([Sent(1, side("1")), Sent(2, side("10"), asked=False)], model, 3)
    assert [answer.word for answer in given] == ["look again", "no try left"]


@examples(60, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.sampled_from(["side", "perimeter", "area", "share", "gap"]),
            st.integers(1, 600),
            st.sampled_from(["cm", "in", "mm"]),
            st.sampled_from(["ruler", "formula", "squares"]),
            st.sampled_from(["0.1 cm", "1/8 in", "1 cm"]),
            st.sampled_from(["", "1"]),
        ),
        max_size=30,
    ),
    st.integers(1, 4),
)
def test_whatever_is_sent_no_quantity_is_compared_more_often_than_allowed(
    model: Model, sent: list[tuple[str, int, str, str, str, str]], tries: int
) -> None:
    rows = [
        row(
            quantity,
            f"{number % 99 + 1}%" if quantity == "share" else str(number / 10),
            unit=unit, method=method, division=division, piece=piece,
            other={"side": "1", "gap": "dock"}.get(quantity, ""),
        )
        for quantity, number, unit, method, division, piece in sent
    ]  # fmt: skip
    given = told(model, *rows, tries=tries)
    whole = {"area": "area", "share": "area"}
    for name in {whole.get(r.quantity, r.quantity) for r in rows}:
        own = [a for a in given if whole.get(a.sent.row.quantity, a.sent.row.quantity) == name]
        compared = [answer for answer in own if answer.checked is not None]
        assert len(compared) <= tries
        assert [answer.word for answer in compared[:-1]] == ["look again"] * max(0, len(compared) - 1)


def test_a_search_by_halves_is_told_nothing_of_the_direction(tmp_path: Path, model: Model) -> None:
    """The answers to a search are the same for a market of 10 cm and for one of 13 cm, on whichever side they lie."""
    wider = _model(tmp_path, [[4.0, 4.0], [17.0, 4.0], [17.0, 10.0], [4.0, 10.0]])
    for tried in (["20", "11.5", "6"], ["11.5", "8", "16"], ["7", "7.5", "8"]):
        rows = [side(value) for value in tried]
        assert words(model, *rows) == words(wider, *rows) == ["look again"] * 3


def test_agreement_is_that_of_the_comparison_that_the_command_line_uses(model: Model) -> None:
    for value in ("9.7", "9.9", "10.3", "10.6", "12"):
        checked = Comparing((model.truth,)).checked(side(value), "", model.truth)
        assert told(model, side(value))[0].word == ("agrees" if checked.agrees else "look again")


def test_true_values_are_those_of_the_drawn_rectangles(model: Model) -> None:
    """Against arithmetic: 10 by 6 cm, 6 cm from the dock, 60 of 1200 square cm."""
    right = [
        side("10"), side("6", other="2"), row("perimeter", "32"), row("area", "60", method="formula"),
        row("gap", "6", other="dock"), side("16", zone="dock", other="2"),
    ]  # fmt: skip
    assert words(model, *right) == ["agrees"] * 6
    assert DOCK[0][0] - MARKET[1][0] == 6
    assert words(model, row("share", "1/20", method="formula")) == ["agrees"]
