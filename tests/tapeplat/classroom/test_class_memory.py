"""A class of many photos takes no more memory, and no more time a photo, than a small one."""

from __future__ import annotations

import pytest

from tests.benchmarks.class_of_photos import SAMPLE, measured


@pytest.mark.long
def test_memory_and_time_a_photo_are_flat() -> None:
    few, many = (measured([SAMPLE], SAMPLE.with_suffix(".toml"), size, 2) for size in (10, 40))
    assert (few.exit_code, many.exit_code) == (0, 0)
    assert (few.refused, many.refused) == (0, 0)
    assert many.peak < 1.1 * few.peak
    assert many.cpu / 40 < 1.1 * few.cpu / 10
