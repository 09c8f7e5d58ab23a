"""What hand values alone say about the rules: judged as the photo's are, worked out here on paper."""

from __future__ import annotations

from dataclasses import replace

import pytest
from scipy.stats import norm

from measure.hand.hand_comparison import compare
from measure.hand.hand_verdicts import hand_verdicts
from measure.hand.values.hand_table import COLUMNS, read_hand
from measure.result.result import RuleResult
from tests.measure.hand.test_hand_diagnosis import result

RULES = [
    ("the area of library is at most 1/20 of the parcel", "share", "not met"),
    ("the area of library is at least 80 sq cm", "size", "met"),
    ("the perimeter of library is at most 45 cm", "size", "met"),
    ("the area of library is at least 3 x the area of market", "comparison", "met"),
    ("the distance from library to stables is at least 5 cm", "distance", "met"),
    ("the distance from library to pond is at least 5 cm", "distance", "met"),
    ("library is nearer to stables than to pond", "nearer", "not met"),
    ("there is library", "presence", "met"),
    ("by eye: every street can be walked", "by eye", "by eye"),
]


@pytest.fixture
def verdicts(tmp_path):
    def made(*rows: str, allowed: str = ""):
        path = tmp_path / "hand.csv"
        path.write_text("\n".join([",".join(COLUMNS), *rows]), encoding="utf-8")
        rules = tuple(RuleResult(text, text, kind, verdict, allowed=allowed) for text, kind, verdict in RULES)
        known = replace(result(), rules=rules)
        found = compare(read_hand(path, [zone.name for zone in known.zones], "cm"), [known])
        return {v.text.removeprefix("the "): v for v in hand_verdicts(known, found.rows)}, found

    return made


def test_the_verdicts_of_hand_values_and_where_they_differ(verdicts):
    said, _ = verdicts(
        ",A,library,,area,,86,cm,formula,0.1",
        ",A,market,,area,,49,cm,formula,0.1",
        ",A,library,,gap,stables,5.3,cm,ruler,0.1",
    )
    hands = {text: (v.hand, v.differs) for text, v in said.items()}
    assert hands["area of library is at most 1/20 of the parcel"] == ("not met", False)
    assert hands["area of library is at least 80 sq cm"] == ("met", False)
    assert hands["area of library is at least 3 x the area of market"] == ("not met", True)
    assert hands["distance from library to stables is at least 5 cm"][0] in ("too close to call", "met")


def test_a_verdict_from_numbers_that_do_not_agree_is_marked(verdicts):
    said, _ = verdicts(",A,library,,area,,86,cm,formula,0.1", ",A,market,,area,,49,cm,formula,0.1")
    assert said["area of library is at least 3 x the area of market"].again
    assert not said["area of library is at least 80 sq cm"].again


def test_what_was_not_measured_by_hand_is_not_measured(verdicts):
    said, _ = verdicts(",A,library,,area,,86,cm,formula,0.1")
    assert said["perimeter of library is at most 45 cm"].hand == "not measured"
    assert said["distance from library to pond is at least 5 cm"].hand == "not measured"
    assert said["there is library"].hand == "not measured"
    assert said["by eye: every street can be walked"].hand == "by eye"
    assert not any(v.differs for v in said.values() if v.hand in ("not measured", "by eye"))


def test_gaps_by_hand_are_compared(verdicts):
    said, _ = verdicts(
        ",A,library,,gap,stables,5.3,cm,ruler,0.1",
        ",A,library,,gap,pond,7.3,cm,ruler,0.1",
    )
    nearer = said["library is nearer to stables than to pond"]
    assert (nearer.hand, nearer.value, nearer.differs) == ("met", pytest.approx(2.0), True)


def test_the_chance_is_that_of_the_normal_distribution(verdicts):
    """JCGM 106:2012: met from 95 %. The same with scipy's own normal distribution, either side of the border."""
    for value in (81, 82, 83, 84, 85):
        said, found = verdicts(f",A,library,,area,,{value},cm,formula,0.1")
        chance = norm.cdf((value - 80) / (found.rows[0].u95_hand / 2))
        expected = "met" if chance >= 0.95 else "too close to call"
        assert said["area of library is at least 80 sq cm"].hand == expected


def test_the_median_of_several_measurers_counts_and_they_are_compared(verdicts):
    said, found = verdicts(
        ",A,library,,area,,86,cm,formula,0.1",
        ",B,library,,area,,87,cm,formula,0.1",
        ",C,library,,area,,13.5,in,formula,0.1",
        ",A,library,,gap,stables,5.3,cm,ruler,0.1",
        ",B,stables,,gap,library,5.1,cm,ruler,0.1",
    )
    areas, gaps = found.measurers
    assert areas.median == 87.0
    assert areas.range == pytest.approx(13.5 * 6.4516 - 86)
    assert (gaps.median, gaps.range) == (pytest.approx(5.2), pytest.approx(0.2))
    assert said["area of library is at least 80 sq cm"].value == pytest.approx(87.0)


def test_an_area_may_come_from_its_share(verdicts):
    said, _ = verdicts(",A,library,,share,,5.5,%,formula,0.1")
    assert said["area of library is at least 80 sq cm"].value == pytest.approx(0.055 * 45 * 35)


@pytest.mark.parametrize(
    ("allowed", "hand"), [("", "not met"), ("0.1%", "not met"), ("10%", "met"), ("nonsense", "not measured")]
)
def test_what_the_photo_was_allowed_the_hand_is_too(verdicts, allowed, hand):
    said, _ = verdicts(",A,library,,area,,76.9,cm,formula,0.01", allowed=allowed)
    assert said["area of library is at least 80 sq cm"].hand == hand
