"""Whether a zone without an outline is absent, or may be there: by tapes that look alike."""

from __future__ import annotations

from types import SimpleNamespace
from typing import Any, cast

import pytest

from vision.naming import unsure
from vision.picture.traced import TapeSpec

TAPES = [TapeSpec("park", 1), TapeSpec("school", 2), TapeSpec("lake", 3)]


@pytest.mark.parametrize(
    ("shown", "alike", "may_be_there"),
    [
        (["school", "lake"], [(1, 2)], ["park"]),
        (["school", "lake"], [(2, 1)], ["park"]),
        (["school", "lake"], [], []),
        (["park", "school", "lake"], [(1, 2)], []),
        (["lake"], [(1, 2)], []),
        (["lake"], [(1, 2), (2, 3)], ["school"]),
    ],
)
def test_a_zone_may_be_there_where_an_outline_of_a_tape_like_its_own_is(
    shown: list[str], alike: list[tuple[int, int]], may_be_there: list[str]
) -> None:
    outlines = [cast("Any", SimpleNamespace(swatch=tape.swatch)) for tape in TAPES if tape.zone in shown]
    named = list(zip(outlines, shown, strict=True))
    said = unsure(named, outlines, [], TAPES, alike)
    assert [(remark.code, remark.zone) for remark in said] == [("like-unread-tape", zone) for zone in may_be_there]
