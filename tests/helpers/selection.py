"""Which tests are quick, and which are long: told by where they are and what they use, seldom test by test."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.helpers.paths import ROOT

SLOW_PLACES = (
    "tests/calib",
    "tests/measure/hand/test_hand_class.py",
    "tests/measure/plat/test_measures_uncertainty.py",
    "tests/measure/rules/test_rules_monte_carlo.py",
    "tests/measure/solvable",
    "tests/tapeplat/api",
    "tests/tapeplat/archive/test_archive_cli.py",
    "tests/tapeplat/archive/test_archive_crash.py",
    "tests/tapeplat/archive/test_archive_photos.py",
    "tests/tapeplat/classroom/test_class_run.py",
    "tests/tapeplat/cli/test_measure_cli.py",
    "tests/tapeplat/cluster",
    "tests/tapeplat/cli/test_solvable_command.py",
    "tests/tapeplat/district/test_school_index.py",
    "tests/tapeplat/measuring/test_repairing.py",
    "tests/tapeplat/page/teacher/test_models.py",
    "tests/tapeplat/page/teacher/test_repair_on_the_page.py",
    "tests/tapeplat/page/teacher/test_solvable_page.py",
    "tests/tapeplat/page/test_hostile_requests.py",
    "tests/tapeplat/page/test_queue.py",
    "tests/tapeplat/page/test_serving.py",
    "tests/tapeplat/workers",
    "tests/vision",
)
"""Folders and files whose tests measure photos, search for layouts, simulate, or start and kill programs."""
SLOW_HELPERS = ("tests.helpers.scenes", "playwright")
"""What a test file that draws photos, or opens a browser, uses."""


def mark(items: list[pytest.Item], *, properties_too: bool) -> None:
    """Mark each test as quick, long or neither; properties are long where they are tried on many examples."""
    slow = {item.path: _is_slow(item) for item in items}
    for item in items:
        if properties_too and getattr(getattr(item, "obj", None), "is_hypothesis_test", False):
            item.add_marker("long")
        if not (slow[item.path] or item.get_closest_marker("long") or item.get_closest_marker("slow")):
            item.add_marker("quick")


def _is_slow(item: pytest.Item) -> bool:
    """Whether the file of this test is none of the quick ones."""
    place = Path(item.path).relative_to(ROOT).as_posix()
    used = {_home(value) for value in vars(item.module).values()} if isinstance(item, pytest.Function) else set()
    return any(place == slow or place.startswith(f"{slow}/") for slow in SLOW_PLACES) or any(
        home == helper or home.startswith(f"{helper}.") for home in used for helper in SLOW_HELPERS
    )


def _home(value: object) -> str:
    """The module that a function, a class or a module imported by a test comes from."""
    name = getattr(value, "__module__", None) or getattr(value, "__name__", None)
    return name if isinstance(name, str) else ""
