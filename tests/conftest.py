"""What holds for all tests."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# How long one example takes says nothing on a machine that does other things, too. CI tries the same examples every
# time, so that a change is judged by what it changed; elsewhere new ones are tried.
settings.register_profile("here", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True)
settings.load_profile("ci" if os.environ.get("CI") else "here")


@pytest.fixture(autouse=True)
def _terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """What is printed is as wide as where there is no terminal, whatever the tests are started from."""
    monkeypatch.setenv("COLUMNS", "100")


@pytest.fixture(autouse=True)
def _own_configuration(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Lens profiles of whoever runs the tests must not change what is measured."""
    folder = tmp_path_factory.getbasetemp() / "no-profiles"
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(folder))
    return folder


@pytest.fixture(autouse=True)
def _a_terminal_of_usual_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """The width of whoever runs the tests must not change how texts are wrapped."""
    monkeypatch.setenv("COLUMNS", "100")
