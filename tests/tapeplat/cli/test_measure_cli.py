from __future__ import annotations

import json
from pathlib import Path

import cv2
import numpy as np
import pytest
from click.testing import CliRunner, Result

from tapeplat.cli.demo_command import samples
from tapeplat.cli.main import main
from tests.helpers.reading_back import read_back, svg_rings
from vision.picture.rectified import Rectified

SAMPLES = list(samples())
NAMES = [photo.stem for _, photo in SAMPLES]


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, [str(argument) for argument in arguments], catch_exceptions=False)


@pytest.fixture(scope="module")
def demo(tmp_path_factory) -> tuple[Path, Result]:
    """All samples measured once."""
    folder = tmp_path_factory.mktemp("demo")
    return folder, run("demo", "--out", folder)


@pytest.fixture
def empty(tmp_path: Path) -> Path:
    """A sharp photo of a table with nothing on it."""
    photo = tmp_path / "empty.jpg"
    squares = np.random.default_rng(5).integers(60, 200, (40, 30, 3)).astype(np.uint8)
    cv2.imwrite(str(photo), np.kron(squares, np.ones((50, 50, 1), np.uint8)))
    return photo


def test_the_demo_measures_every_sample_and_says_where_the_pictures_are(demo):
    folder, said = demo
    assert said.exit_code == 0
    assert sorted(path.name for path in folder.iterdir()) == NAMES
    assert str(folder) in said.output
    assert "not photographs of real classrooms" in said.output
    for _, photo in SAMPLES:
        files = sorted(path.name for path in (folder / photo.stem).iterdir())
        assert files == ["annotated.png", "corrected.jpg", "plat.svg", "result.json"]


@pytest.mark.parametrize("name", NAMES)
def test_a_sample_has_rules_met_and_broken_and_its_result_says_what_the_table_says(demo, name):
    folder, said = demo
    result = json.loads((folder / name / "result.json").read_text())
    assert result["format"] == "tapeplat/result-1"
    verdicts = {rule["verdict"] for rule in result["rules"]}
    assert {"met", "not met", "by eye"} <= verdicts
    table = said.output[said.output.index(f"({name}.jpg)") :].splitlines()
    for number, rule in enumerate(result["rules"], start=1):
        line = next(line for line in table if line.startswith(f"{number} "))
        assert line.split("  ", 1)[1].strip().startswith(rule["verdict"])


@pytest.mark.parametrize("name", NAMES)
def test_picture_and_drawing_agree_with_the_result(demo, name):
    folder = demo[0] / name
    result = json.loads((folder / "result.json").read_text())
    where = result["corrected"]
    frame = Rectified(np.zeros((1, 1, 3), np.uint8), where["mm_per_px"], np.array(where["origin_mm"]))
    image, drawn = cv2.imread(str(folder / "annotated.png")), svg_rings((folder / "plat.svg").read_text())
    corrected = cv2.imread(str(folder / where["file"]))
    assert (np.array(image.shape) >= corrected.shape).all()
    for zone in result["zones"]:
        for index, piece in enumerate(zone["pieces"], start=1):
            outline = np.array(piece["outline"]) * 25.4
            assert np.abs(drawn[zone["name"], index, "outline"] - outline).max() < 0.1
            off = read_back(image, frame.to_px(np.vstack([outline, outline[:1]])))
            seen = off[~np.isnan(off)]
            assert len(seen) > 0.3 * len(off)
            assert np.abs(seen).max() < 2


def test_measure_writes_the_team_and_prints_where_the_picture_is(tmp_path):
    challenge, photo = SAMPLES[0]
    said = run("measure", challenge, photo, "--out", tmp_path / "out", "--team", "Team 3")
    assert said.exit_code == 0
    assert str(tmp_path / "out" / "annotated.png") in said.output
    assert json.loads((tmp_path / "out" / "result.json").read_text())["team"] == "Team 3"


def test_a_refused_photo_leaves_the_folder_as_it_was(tmp_path, empty):
    new, old = tmp_path / "new", tmp_path / "old"
    old.mkdir()
    (old / "result.json").write_text("last week's")
    for out in (new, old):
        said = run("measure", SAMPLES[0][0], empty, "--out", out)
        assert said.exit_code == 3
        assert said.stderr.startswith("photo refused (no-card): ")
        assert said.stdout == ""
    assert sorted(path.name for path in tmp_path.iterdir()) == ["empty.jpg", "old"]
    assert [(path.name, path.read_text()) for path in old.iterdir()] == [("result.json", "last week's")]


def test_a_file_that_is_no_picture_is_refused_as_unreadable(tmp_path):
    (tmp_path / "notes.jpg").write_text("no picture")
    said = run("measure", SAMPLES[0][0], tmp_path / "notes.jpg", "--out", tmp_path / "out")
    assert (said.exit_code, said.stderr[:28]) == (3, "photo refused (unreadable): ")


def test_a_wrong_command_line_or_challenge_is_exit_2_in_plain_words(tmp_path, empty):
    challenge, out = SAMPLES[0][0], tmp_path / "out"
    (tmp_path / "broken.toml").write_text("title = ")
    (tmp_path / "binary.toml").write_bytes(bytes(range(256)))
    (tmp_path / "odd.toml").write_text('title = "x"\nunit = "ells"\n')
    wrong = [
        (challenge, tmp_path / "missing.jpg", "--out", out),
        (tmp_path / "missing.toml", empty, "--out", out),
        (challenge, tmp_path, "--out", out),
        (tmp_path, empty, "--out", out),
        (challenge, "--out", out),
        (challenge, empty),
        (challenge, empty, "--out", empty),
        (tmp_path / "broken.toml", empty, "--out", out),
        (tmp_path / "binary.toml", empty, "--out", out),
        (tmp_path / "odd.toml", empty, "--out", out),
        (challenge, empty, "--out", out, "--structures", tmp_path / "missing.csv"),
        (challenge, empty, "--out", out, "--structures", tmp_path / "binary.toml"),
    ]
    for arguments in wrong:
        said = run("measure", *arguments)
        assert said.exit_code == 2, arguments
        assert said.stderr.strip()
        assert "Traceback" not in said.output
        assert not out.exists()
