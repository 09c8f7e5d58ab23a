"""What holds for all tests."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from hypothesis import settings

# CI tries the same examples every time, so that a change is judged by what it changed; elsewhere new ones are tried.
settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):
    settings.load_profile("ci")


@pytest.fixture(autouse=True)
def _own_configuration(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Lens profiles of whoever runs the tests must not change what is measured."""
    folder = tmp_path_factory.getbasetemp() / "no-profiles"
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(folder))
    return folder
