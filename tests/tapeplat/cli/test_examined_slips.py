"""Faults that an examiner of the command line found, who knew neither code nor tests: each was a traceback."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from measure.challenge.challenge_file import parse_challenge
from measure.errors import InputMistakes
from tests.helpers.paths import ROOT
from vision.picture.one_camera import one_camera_of

CHALLENGE = """
title = "Quarry Lake Village"
unit = "in"
rules = ["there is a park"]
[parcel]
width = {}
depth = 14
[[zone]]
name = "park"
swatch = 1
"""


@pytest.mark.parametrize("content", [b"", bytes(range(256)) * 20])
def test_what_is_no_photo_has_no_camera(tmp_path: Path, content: bytes):
    """One such file in a folder ended the whole class's run."""
    file = tmp_path / "team-6.jpg"
    file.write_bytes(content)
    assert one_camera_of(file) is None


@pytest.mark.parametrize("width", ["9" * 5000, "1e308", "1e20"])
def test_a_parcel_that_nobody_could_build_is_refused(width: str):
    with pytest.raises(InputMistakes):
        parse_challenge(CHALLENGE.format(width))


@pytest.mark.parametrize("cell", ["1′", "2″", "2’"])
def test_an_inch_mark_in_a_table_of_structures_is_answered_in_words(tmp_path: Path, cell: str):
    table = tmp_path / "structures.csv"
    head = "team,zone,solid,length,width,height,diameter,unit,count,division\n"
    table.write_text(f"{head}1,library,box,{cell},2,2,,in,1,\n", encoding="utf-8")
    samples = ROOT / "sample_images"
    plat = tmp_path / "plat.geojson"
    plat.write_text('{"type": "FeatureCollection", "features": []}', encoding="utf-8")
    command = [sys.executable, "-m", "tests.helpers.program", "check", str(samples / "quarry-lake-1.toml"), str(plat)]
    done = subprocess.run([*command, "--structures", str(table)], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    assert done.returncode in (0, 2)


@pytest.mark.skipif(shutil.which("sh") is None, reason="closes its output in a shell")
def test_closed_output_is_no_failure(tmp_path: Path):
    challenge = tmp_path / "challenge.toml"
    challenge.write_text(CHALLENGE.format(18), encoding="utf-8")
    line = f'"{sys.executable}" -m tests.helpers.program rules "{challenge}" >&-'
    done = subprocess.run(["sh", "-c", line], cwd=ROOT, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    assert done.returncode == 0
