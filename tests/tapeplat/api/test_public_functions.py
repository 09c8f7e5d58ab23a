"""What `import tapeplat` offers: it costs nothing, nothing replaces it, and it takes what callers have at hand."""

from __future__ import annotations

import dataclasses
import pkgutil
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

import tapeplat
from measure.challenge import Challenge
from tests.helpers.paths import ROOT, SAMPLES

TOML, JPEG = (SAMPLES / f"quarry-lake-1.{ending}" for ending in ("toml", "jpg"))
FUNCTIONS = {"check", "compare_hand", "draw", "measure", "read_challenge", "repair", "solve", "suggest"}
CLASSES = {"Change", "FolderNotWritable", "InputMistakes", "PhotoRefused"}
TABLE = "team,zone,quantity,value,unit\n3,waterworks,area,7,sq in\n"

EVERY_MODULE_THEN_EVERY_FUNCTION = f"""
import importlib, pkgutil, sys
import calib, measure, tapeplat, vision
for package in (calib, measure, tapeplat, vision):
    for found in pkgutil.walk_packages(package.__path__, f"{{package.__name__}}."):
        importlib.import_module(found.name)
challenge = tapeplat.read_challenge({str(TOML)!r})
model = tapeplat.measure(challenge, {str(JPEG)!r}, team=3)
assert tapeplat.check(challenge, model).rules[0].verdict == model.rules[0].verdict == "met"
assert tapeplat.repair(model, [{{"do": "remove", "zone": "landing", "piece": 1}}]).zone("landing").area is None
assert tapeplat.draw(model, "svg").startswith("<?xml")
assert tapeplat.compare_hand(model, {TABLE!r}).rows[0].agrees
assert tapeplat.solve(challenge, seconds=20).solvable
assert tapeplat.suggest(challenge, model, seconds=20).lines
"""


def run(program: str) -> str:
    """What another interpreter prints, in which nothing is imported yet."""
    done = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def challenge() -> Challenge:
    return tapeplat.read_challenge(TOML)


@pytest.fixture(scope="module")
def pixels() -> NDArray[np.uint8]:
    return np.asarray(cv2.imread(str(JPEG)), dtype=np.uint8)


def test_importing_it_loads_none_of_the_libraries_and_none_of_the_rest() -> None:
    said = run("import sys, tapeplat; dir(tapeplat); print([m for m in sys.modules if m.startswith('tapeplat.')])")
    assert said.strip() == "[]"
    heavy = "{'numpy', 'cv2', 'shapely', 'scipy', 'pydantic', 'flask', 'click', 'measure', 'vision', 'calib', 'PIL'}"
    assert run(f"import sys, tapeplat; print({heavy} & {{*sys.modules}})").strip() == "set()"


def test_measuring_a_photo_waits_for_no_library_or_room_that_it_does_not_use(tmp_path: Path) -> None:
    command = ["measure", str(JPEG.with_suffix(".toml")), str(JPEG), "--out", str(tmp_path)]
    script = (
        f"import sys\nfrom tapeplat.cli.main import main\ntry: main({command})\nexcept SystemExit: print(*sys.modules)"
    )
    loaded = run(script).splitlines()[-1].split()
    assert "vision.tracing" in loaded
    unused = ("scipy", "skimage", "reportlab", "flask", "ortools", "tapeplat.archive", "tapeplat.paper", "pillow_heif")
    assert not {*unused} & {*loaded}
    assert not {"vision.solids", "vision.lines.find_lines", "http.client"} & {*loaded}
    # Every rule of this challenge is read by the plain grammar.
    english = tuple(
        f"measure.rules.{part}" for part in ("language.everyday", "frames", "offers", "formula", "speech.speech")
    )
    assert not [name for name in loaded if name.startswith(english)]


def test_no_module_takes_a_public_names_place() -> None:
    assert {*tapeplat.__all__} == FUNCTIONS | CLASSES
    assert {*tapeplat.__all__} <= {*dir(tapeplat)}
    beside = {found.name for found in pkgutil.iter_modules(tapeplat.__path__)}
    assert beside & {*tapeplat.__all__} == set()
    with pytest.raises(AttributeError, match="has no attribute 'measures'"):
        tapeplat.measures  # noqa: B018


def test_every_function_works_after_every_module_was_imported() -> None:
    run(EVERY_MODULE_THEN_EVERY_FUNCTION)


def test_a_challenge_is_read_from_a_path_a_text_and_bytes_alike() -> None:
    text = TOML.read_text(encoding="utf-8")
    read = [tapeplat.read_challenge(given) for given in (TOML, str(TOML), text, text.encode())]
    assert read[1:] == read[:-1]
    with pytest.raises(tapeplat.InputMistakes, match=r"the challenge, line 1: `unit` is missing"):
        tapeplat.read_challenge(b'title = "Mill"')
    with pytest.raises(tapeplat.InputMistakes, match=r"nowhere\.toml: cannot be read"):
        tapeplat.read_challenge("nowhere.toml")


def test_a_photos_bytes_are_measured_like_its_file(challenge: Challenge) -> None:
    file, content = (tapeplat.measure(challenge, photo, team="3") for photo in (str(JPEG), JPEG.read_bytes()))
    assert content.zones == file.zones
    assert content.rules == file.rules
    assert content.photos[0].sha256 == file.photos[0].sha256
    assert (content.photos[0].file, file.photos[0].file) == ("photo 1", "quarry-lake-1.jpg")


def test_a_pictures_pixels_are_measured_without_knowing_the_lens(
    challenge: Challenge, pixels: NDArray[np.uint8]
) -> None:
    before = pixels.copy()
    file, array = (tapeplat.measure(challenge, photo) for photo in (JPEG, pixels))
    assert (pixels == before).all()
    for one, other in zip(file.zones, array.zones, strict=True):
        assert one.area is not None
        assert other.area is not None
        assert abs(one.area.value - other.area.value) < one.area.u95 + other.area.u95
    again = tapeplat.measure(challenge, [np.asfortranarray(pixels)])
    assert again.zones == array.zones
    assert again.photos[0].sha256 == array.photos[0].sha256


@pytest.mark.parametrize(
    "wrong",
    [np.zeros((400, 400), np.uint8), np.zeros((400, 400, 4), np.uint8), np.zeros((400, 400, 3)), np.uint8(3)],
    ids=["grey", "four channels", "floats", "no array"],
)
def test_an_array_that_is_no_picture_is_told(challenge: Challenge, wrong: NDArray[np.uint8]) -> None:
    with pytest.raises((tapeplat.InputMistakes, TypeError), match=r"photo 1: it is an array of|uint8"):
        tapeplat.measure(challenge, [wrong])


def test_photos_that_cannot_be_measured_are_refused(challenge: Challenge, pixels: NDArray[np.uint8]) -> None:
    for photo, reason in ((b"GIF89a", "unreadable"), (pixels[:200, :200], "unreadable"), (pixels[:, :900], "no-card")):
        with pytest.raises(tapeplat.PhotoRefused) as refused:
            tapeplat.measure(challenge, photo)
        assert refused.value.reason == reason
    with pytest.raises(tapeplat.InputMistakes, match="give at least one photo"):
        tapeplat.measure(challenge, [])


@pytest.mark.parametrize("sample", ["quarry-lake-2", "quarry-lake-3"])
def test_pictures_that_measuring_made_are_refused_as_photos(sample: str) -> None:
    """As they are, and where nothing in the file tells any more: one has its list, the other is seen too exactly."""
    challenge = tapeplat.read_challenge(SAMPLES / f"{sample}.toml")
    made = tapeplat.measure(challenge, SAMPLES / f"{sample}.jpg")
    for file in ("annotated.png", "corrected.jpg"):
        drawn = cv2.imdecode(np.frombuffer(made.files[file], np.uint8), cv2.IMREAD_COLOR)
        smaller = cv2.resize(drawn, None, fx=0.8, fy=0.8, interpolation=cv2.INTER_AREA)
        for picture in (made.files[file], drawn, smaller):
            with pytest.raises(tapeplat.PhotoRefused) as refused:
                tapeplat.measure(challenge, picture)
            assert refused.value.reason == "our-own-picture"


def test_of_several_photos_a_refused_one_is_left_out_by_the_name_it_has(challenge: Challenge) -> None:
    made = tapeplat.measure(challenge, [JPEG.read_bytes(), b"GIF89a"])
    assert any(warning.startswith("photo 2 is left out (unreadable)") for warning in made.warnings)


def test_what_is_given_back_cannot_be_changed(challenge: Challenge) -> None:
    made = tapeplat.measure(challenge, JPEG)
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.result = made.result  # type: ignore[misc]
    with pytest.raises(dataclasses.FrozenInstanceError):
        made.rules[0].verdict = "met"  # type: ignore[misc]
    with pytest.raises(ValueError, match="read-only"):
        tapeplat.draw(made)[0, 0] = 0


def test_saving_writes_all_or_nothing_and_opens_again(challenge: Challenge, tmp_path: Path) -> None:
    made = tapeplat.measure(challenge, JPEG, team="3")
    made.save(tmp_path / "team-3")
    opened = tapeplat.check(challenge, tmp_path / "team-3")
    assert opened.picture is not None
    assert [rule.verdict for rule in opened.rules] == [rule.verdict for rule in made.rules]
    assert {name: (tmp_path / "team-3" / name).read_bytes() for name in made.files} == dict(made.files)
    (tmp_path / "file").write_text("")
    with pytest.raises(tapeplat.FolderNotWritable):
        made.save(tmp_path / "file")


def test_outlines_without_a_photo_are_drawn_as_a_plat_alone(challenge: Challenge) -> None:
    text = '{"type": "FeatureCollection", "features": []}'
    with pytest.raises(tapeplat.InputMistakes, match="the plat: there is no outline in it"):
        tapeplat.check(challenge, text)
    solved = tapeplat.solve(challenge, seconds=20)
    assert solved.layout is not None
    layout = tapeplat.check(challenge, solved.layout)
    assert tapeplat.draw(layout, "svg").startswith("<?xml")
    for form in ("array", "png"):
        with pytest.raises(tapeplat.InputMistakes, match="come from no photo"):
            tapeplat.draw(layout, form)  # type: ignore[call-overload]
    with pytest.raises(ValueError, match="not as 'gif'"):
        tapeplat.draw(layout, "gif")  # type: ignore[call-overload]
    with pytest.raises(tapeplat.InputMistakes, match="it belongs to no photo"):
        tapeplat.repair(layout, [])


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"do": "burn", "zone": "landing"}, "change 1, do: input should be 'reshape', 'add', 'remove' or 'rezone'"),
        ({"do": "remove", "zone": "landing", "piece": 7}, "landing"),
        (3, "change 1: "),
    ],
)
def test_a_change_that_cannot_be_made_is_told(challenge: Challenge, change: dict[str, object], said: str) -> None:
    made = tapeplat.measure(challenge, JPEG)
    with pytest.raises(tapeplat.InputMistakes) as wrong:
        tapeplat.repair(made, [change])
    assert said in str(wrong.value)


def test_hand_measurements_name_everything_that_is_wrong(tmp_path: Path) -> None:
    with pytest.raises(tapeplat.InputMistakes, match="cannot be read"):
        tapeplat.compare_hand([tmp_path / "none"], TABLE)
