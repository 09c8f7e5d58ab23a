"""What holds for all tests."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture(autouse=True)
def _own_configuration(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Lens profiles of whoever runs the tests must not change what is measured."""
    folder = tmp_path_factory.getbasetemp() / "no-profiles"
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(folder))
    return folder
