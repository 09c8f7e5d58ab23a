"""What is installed is what is here: every package, and every file that a program needs beside its code."""

from __future__ import annotations

import tomllib
from pathlib import Path

from setuptools import find_namespace_packages

from tests.helpers.paths import ROOT

SETUP = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["tool"]["setuptools"]
HOUSES = ("calib", "measure", "tapeplat", "vision")


def test_every_package_is_installed() -> None:
    found = set(find_namespace_packages(str(ROOT), include=SETUP["packages"]["find"]["include"]))
    here = {".".join(p.parent.relative_to(ROOT).parts) for house in HOUSES for p in (ROOT / house).rglob("*.py")}
    assert here | {"sample_images"} <= found


def test_every_file_beside_the_code_is_installed() -> None:
    packed = {
        path
        for package, patterns in SETUP["package-data"].items()
        for pattern in patterns
        for path in (ROOT / Path(*package.split("."))).glob(pattern)
        if path.is_file()
    }
    files = (path for house in HOUSES for path in (ROOT / house).rglob("*") if path.is_file())
    beside = {path for path in files if path.suffix not in (".py", ".pyc")}
    assert beside
    assert beside - packed == set()
