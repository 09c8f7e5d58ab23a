"""What is named as slow is there, so that no file that moved becomes quick unawares."""

from __future__ import annotations

from importlib.util import find_spec

from tests.helpers.paths import ROOT
from tests.helpers.selection import SLOW_HELPERS, SLOW_PLACES


def test_every_place_and_helper_that_is_slow_is_there() -> None:
    assert [place for place in SLOW_PLACES if not (ROOT / place).exists()] == []
    assert [helper for helper in SLOW_HELPERS if find_spec(helper) is None] == []
