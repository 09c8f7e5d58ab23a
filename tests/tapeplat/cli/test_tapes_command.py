"""`tapeplat tapes`: what it says of a card before building, and how it ends."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from click.testing import CliRunner

from tapeplat.cli.main import main
from tests.helpers.paths import SAMPLES
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded
from tests.helpers.scenes.model import Tape
from tests.helpers.scenes.village import village

CHALLENGE = """
title = "Quarry Lake Village"
unit = "mm"
rules = []
[parcel]
width = 304.8
depth = 254
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
[[zone]]
name = "school"
swatch = 2
tile = 50
[[zone]]
name = "meadow"
swatch = 4
"""


@pytest.fixture
def files(tmp_path: Path) -> tuple[str, str]:
    """A challenge, and a photo with tape in boxes 1 to 3, of which 1 and 2 are nearly of one red."""
    scene = village()
    prints = tuple(replace(p, dotted=True) if p.kind == "card" else p for p in scene.prints)
    tapes = {**scene.tapes, 2: Tape((200, 40, 34), 18.0)}
    (tmp_path / "photo.jpg").write_bytes(encoded(draw(replace(scene, strips=(), prints=prints, tapes=tapes))))
    (tmp_path / "challenge.toml").write_text(CHALLENGE)
    return str(tmp_path / "challenge.toml"), str(tmp_path / "photo.jpg")


def test_it_says_what_every_box_holds_and_what_to_change(files: tuple[str, str]) -> None:
    said = CliRunner().invoke(main, ["tapes", *files])
    assert said.exit_code == 0, said.output
    assert said.output.splitlines() == [
        "Quarry Lake Village (photo.jpg)",
        "box 1 (library) holds tape",
        "box 2 (stables, school) holds tape",
        "box 3 holds tape",
        "box 4 (meadow) is empty",
        "change: box 4 (meadow) is empty: stick a piece of its tape over its dots",
        "change: the tapes of box 1 (library) and box 2 (stables, school) look alike in this light: take another tape "
        "for one of them, or a whiter light",
        "note: box 3 holds tape that no zone of this challenge has",
        "2 things to change before building",
    ]


def test_a_sample_is_well(tmp_path: Path) -> None:
    said = CliRunner().invoke(
        main, ["tapes", *(str(SAMPLES / f"quarry-lake-1.{ending}") for ending in ("toml", "jpg"))]
    )
    assert said.exit_code == 0
    assert said.output.splitlines()[-1] == "every tape is seen, and told from the others and from the board"


def test_a_refused_photo_is_3_and_a_wrong_challenge_2(files: tuple[str, str], tmp_path: Path) -> None:
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(Path(files[1]).read_bytes()[:20_000])
    refused = CliRunner().invoke(main, ["tapes", files[0], str(broken)])
    assert (refused.exit_code, refused.stderr[:23]) == (3, "photo refused (damaged)")
    (tmp_path / "wrong.toml").write_text("title = 3")
    assert CliRunner().invoke(main, ["tapes", str(tmp_path / "wrong.toml"), files[1]]).exit_code == 2
