"""Inputs with letters lost and numbers changed are read, or refused in words: never a traceback, never minutes."""

from __future__ import annotations

import json

import numpy as np
import pytest

import tapeplat
from measure.errors import InputMistakes
from measure.file_content import FileContent
from measure.plat.side_tests import may_be_zero
from measure.quantity import Quantity
from measure.structures.structures_table import read_structures
from tests.benchmarks.fuzz import KINDS, challenge, sample, tried

pytestmark = pytest.mark.slow


@pytest.mark.filterwarnings("ignore::RuntimeWarning")
@pytest.mark.parametrize("count", [40, pytest.param(4000, marks=pytest.mark.long)])
@pytest.mark.parametrize("kind", KINDS)
def test_spoilt_inputs_are_read_or_refused_in_words(kind: str, count: int, monkeypatch):
    monkeypatch.setenv("TAPEPLAT_CONFIG", "")
    assert list(tried(kind, range(count))) == []


@pytest.mark.parametrize("seed", [700382, 702978])
def test_a_rule_with_a_word_of_sixty_letters_is_answered(seed: int):
    """Patterns parted the word in millions of ways."""
    assert list(tried("challenge", range(seed, seed + 1))) == []


@pytest.mark.parametrize("size", [1e307, 1e150, 1e30])
def test_a_result_whose_sensitivities_were_altered_is_refused(size: float):
    """They ended in LinAlgError and ValidationError, or ran for a minute."""
    content = json.loads(sample().files["result.json"])
    for piece in content["uncertainty"]["pieces"]:
        piece["rings"][0][0][2][0] = size
    with pytest.raises(InputMistakes, match="less certain than any measurement"):
        tapeplat.check(challenge(), json.dumps(content))


@pytest.mark.parametrize("key", ["width", "depth"])
@pytest.mark.parametrize("size", [0, -1, 1e300])
def test_a_result_of_no_parcel_is_refused(key: str, size: float):
    content = json.loads(sample().files["result.json"])
    content["parcel"][key] = size
    with pytest.raises(InputMistakes, match="the parcel: it is"):
        tapeplat.check(challenge(), json.dumps(content))


def test_deviations_that_cannot_move_freely_are_tested_all_the_same():
    one, other = np.array([1.0, 0.0]), np.array([1.0, 0.0])
    assert may_be_zero([Quantity(1.0, one), Quantity(1.0, other)])
    assert not may_be_zero([Quantity(1.0, one), Quantity(2.0, other)])


@pytest.mark.parametrize("division", ["", "1/8"])
def test_a_fraction_with_a_hyphen_behind_it_is_read(division: str):
    head = "team,zone,solid,length,width,height,diameter,unit,count,division"
    rows = f"{head}\n3,market,box,2 3/8-,2,2,,in,1,{division}\n"
    read = read_structures(FileContent("s.csv", rows.encode()), challenge())
    assert read.rows[0].sizes["length"] == pytest.approx(2.375 * 25.4)


@pytest.mark.parametrize("place", ["team", "title"])
def test_half_letters_in_a_result_are_refused_before_it_is_to_be_written(place: str):
    content = {**json.loads(sample().files["result.json"]), place: "\ud800x"}
    with pytest.raises(InputMistakes, match="half a letter"):
        tapeplat.check(challenge(), json.dumps(content))


def test_a_team_of_bytes_in_place_of_letters_is_refused_before_anything_is_measured():
    with pytest.raises(InputMistakes, match="the team's name Bl\\?u: it holds bytes that are no letters"):
        tapeplat.check(challenge(), sample(), team="Bl\udce4u")
