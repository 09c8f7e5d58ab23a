"""What holds for all tests."""

from __future__ import annotations

import os
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import settings

from tests.helpers.examples import USUAL
from tests.helpers.selection import mark

# How long one example takes says nothing on a machine that does other things, too. CI and long runs try the same
# examples every time, so that a change is judged by what it changed; elsewhere new ones are tried.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.register_profile("long", deadline=None, derandomize=True, max_examples=20 * USUAL)


def pytest_configure(config: pytest.Config) -> None:
    """Choose how many examples, before the tests are read."""
    settings.load_profile("long" if _is_long(config) else "ci" if os.environ.get("CI") else "here")


def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """As many processes as there are processors for the suite or a folder of it; for files and single tests, none."""
    folders = config.args_source == pytest.Config.ArgsSource.TESTPATHS or all(map(os.path.isdir, config.args))
    return None if folders else 0


def _is_long(config: pytest.Config) -> bool:
    return str(config.option.markexpr).strip() == "long"


@pytest.hookimpl(tryfirst=True)  # before pytest itself leaves out what `-m` does not name
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Mark what is quick and what is long."""
    mark(items, properties_too=_is_long(config))


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is printed is as wide as where there is no terminal, whatever the tests are started from."""
    monkeypatch.setenv("COLUMNS", "100")


@pytest.fixture(autouse=True)
def _own_configuration(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """What is kept of lenses, by whoever runs the tests or by another test, must not change what is measured."""
    folder = tmp_path_factory.getbasetemp() / "no-profiles" / uuid4().hex
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(folder))
    return folder


@pytest.fixture(autouse=True)
def _a_terminal_of_usual_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """The width of whoever runs the tests must not change how texts are wrapped."""
    monkeypatch.setenv("COLUMNS", "100")
