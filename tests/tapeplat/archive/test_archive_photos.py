"""Photos on their way into the archive and out of it: black around the model, without what their files tell."""

from __future__ import annotations

import hashlib
import io
import json
import shutil
import zipfile
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

import tapeplat
from measure.errors import InputMistakes
from measure.result.result import parse_result
from tapeplat.archive import Archive
from tapeplat.archive.export import PARTS, export
from tapeplat.archive.filing import attempt_of, taken_at
from tapeplat.cli.demo_command import samples
from tapeplat.output.result_folder import FolderNotWritable
from tests.helpers.made.attempts import as_bytes, attempt, result
from tests.tapeplat.archive.test_archive_pictures import assert_tells_nothing, scene, telling_jpeg

LEFT_HALF = [[0, 0], [47, 0], [47, 63], [0, 63]]


def photographed(folder: Path, data: bytes, subject, name: str = "Ada and Bo.jpg", **more: object):
    """An attempt with one photo, whose result says where in it the model is."""
    photo = folder / name
    photo.write_bytes(data)
    facts = {"file": name, "sha256": hashlib.sha256(data).hexdigest(), "mm_per_px": 1.0, "tilt_deg": 0.0}
    facts |= {} if subject is None else {"subject": subject}
    made = result(photos=[facts], warnings=[f"{name} is slanted"], **more)
    return attempt(photos=[photo], files={"result.json": as_bytes(made)})


def pixels(data: bytes) -> np.ndarray:
    return cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)[..., ::-1].astype(int)


def test_a_photo_is_filed_black_around_its_subject_and_tells_nothing(tmp_path):
    data = telling_jpeg()
    entry = Archive(tmp_path / "archive").save(photographed(tmp_path, data, [LEFT_HALF]))
    kept = (entry.folder / "photo-1.jpg").read_bytes()
    assert_tells_nothing(kept)
    after, before = pixels(kept), pixels(data)
    assert after[:, 56:].max() < 12, "black, but for a JPEG's ripple beside the edge"
    assert np.abs(after[:, :40] - before[:, :40]).mean() < 2.0
    assert not any(b"Ada" in path.read_bytes() for path in entry.folder.iterdir())
    filed = json.loads((entry.folder / "result.json").read_text())
    assert filed["photos"][0]["file"] == "photo-1.jpg"
    assert filed["photos"][0]["sha256"] == hashlib.sha256(data).hexdigest()
    assert filed["warnings"] == ["photo-1.jpg is slanted"]


@pytest.mark.parametrize("orientation", [3, 6, 8])
def test_the_subject_is_where_it_is_once_the_photo_is_upright(tmp_path, orientation):
    data = telling_jpeg(orientation)
    upright = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)[..., ::-1].astype(int)
    height, width = upright.shape[:2]
    top = [[0, 0], [width - 1, 0], [width - 1, height // 2], [0, height // 2]]
    entry = Archive(tmp_path / "archive").save(photographed(tmp_path, data, [top]))
    after = pixels((entry.folder / "photo-1.jpg").read_bytes())
    assert after.shape == upright.shape
    assert after[height // 2 + 9 :].max() < 12
    assert np.abs(after[: height // 2 - 8] - upright[: height // 2 - 8]).mean() < 4.0


def test_a_png_photo_is_black_around_its_subject_exactly(tmp_path):
    out = io.BytesIO()
    scene().save(out, "PNG")
    entry = Archive(tmp_path / "archive").save(photographed(tmp_path, out.getvalue(), [LEFT_HALF], "a.png"))
    after = pixels((entry.folder / "photo-1.png").read_bytes())
    assert not after[:, 48:].any()
    assert np.array_equal(after[:, :48], np.asarray(scene())[:, :48])


def test_surroundings_and_originals_are_kept_on_request_alone(tmp_path):
    data = telling_jpeg()
    new = photographed(tmp_path, data, [LEFT_HALF])
    archive = Archive(tmp_path / "archive")
    assert not (archive.save(new).folder / "originals").exists()
    whole = archive.save(new, surroundings=True, keep_originals=True)
    assert np.array_equal(pixels((whole.folder / "photo-1.jpg").read_bytes()), pixels(data))
    assert_tells_nothing((whole.folder / "photo-1.jpg").read_bytes())
    assert (whole.folder / "originals" / "photo-1.jpg").read_bytes() == data
    assert archive.verify() == ()


def test_photos_in_which_nothing_was_measured_are_not_kept(tmp_path):
    new = photographed(tmp_path, telling_jpeg(), None)
    other = tmp_path / "other.jpg"
    other.write_bytes(telling_jpeg(6))
    entry = Archive(tmp_path / "archive").save(
        attempt(photos=[*new.photos, other], files=dict(new.files)),
    )
    assert not [name for name in entry.files if name.startswith("photo")]
    assert entry.remarks == (
        "photo 1 is not kept: the result does not say where in it the parcel is",
        "photo 2 is not kept: nothing was measured in it",
    )


def test_two_photos_of_one_name_stay_apart(tmp_path):
    """From two folders, as phones name their photos alike; a name is no part of a word in a warning."""
    photos, facts = [], []
    for number, orientation in enumerate((1, 3)):
        folder = tmp_path / str(number)
        folder.mkdir()
        photos.append(folder / "a")
        photos[-1].write_bytes(telling_jpeg(orientation))
        checksum = hashlib.sha256(photos[-1].read_bytes()).hexdigest()
        facts.append({"file": "a", "sha256": checksum, "mm_per_px": 1, "tilt_deg": 0, "subject": [LEFT_HALF]})
    made = result(photos=facts[::-1], warnings=["a is a dark photo"])
    entry = Archive(tmp_path / "archive").save(
        attempt(photos=photos, files={"result.json": as_bytes(made)}), keep_originals=True
    )
    filed = json.loads((entry.folder / "result.json").read_text())
    assert [photo["file"] for photo in filed["photos"]] == ["photo-2.jpg", "photo-1.jpg"]
    assert {"originals/photo-1.jpg", "originals/photo-2.jpg"} <= set(entry.files)
    assert "dark photo" in filed["warnings"][0]


def test_a_repaired_result_keeps_what_is_known_of_its_photos(tmp_path):
    archive = Archive(tmp_path / "archive")
    entry = archive.save(photographed(tmp_path, telling_jpeg(), [LEFT_HALF]))
    made = json.loads((entry.folder / "result.json").read_text())
    made["photos"][0]["file"] = "Ada again.jpg"
    archive.replace_result(entry, {"result.json": as_bytes(made)}, "zone named")
    filed = json.loads((entry.folder / "result.json").read_text())
    assert filed["photos"][0]["file"] == "photo-1.jpg"
    assert filed["photos"][0]["subject"]


def test_pictures_that_measuring_made_are_cleaned_too(tmp_path):
    new = attempt(files={"result.json": as_bytes(result()), "corrected.jpg": telling_jpeg()})
    assert_tells_nothing((Archive(tmp_path).save(new).folder / "corrected.jpg").read_bytes())


def test_a_corrected_picture_that_shows_the_whole_room_is_black_around_the_outlines_and_the_card(tmp_path):
    """Where only the card is known its frame is the card's: 180 x 120 mm from the origin; the outline is in cm."""
    corrected = {"file": "corrected.jpg", "mm_per_px": 2.0, "origin_mm": [-100, -100]}
    made = result(frame="card", corrected=corrected, outline=[[20, 10], [25, 10], [25, 15], [20, 15]])
    white = Image.new("RGB", (300, 250), "white")
    with_list = Image.new("RGB", (400, 250), "white")
    files = {"result.json": as_bytes(made)}
    for name, image in (("corrected.jpg", white), ("annotated.png", with_list)):
        out = io.BytesIO()
        image.save(out, "JPEG" if name.endswith("jpg") else "PNG")
        files[name] = out.getvalue()
    entry = Archive(tmp_path).save(attempt(files=files))
    annotated = pixels((entry.folder / "annotated.png").read_bytes())
    for place, shown in (
        ((0, 0), True),
        ((180, 120), True),
        ((250, 150), True),
        ((265, 150), False),
        ((-20, 0), False),
    ):
        at = [round((c + 100) / 2) for c in place]
        assert annotated[at[1], at[0], 0] == 255 * shown, place
    assert (annotated[:, 300:] == 255).all(), "the list of rules stays"
    assert pixels((entry.folder / "corrected.jpg").read_bytes())[240, 290].max() < 12


@pytest.fixture(scope="module")
def measured(tmp_path_factory):
    """A sample photo, measured."""
    challenge, photo = list(samples())[2]
    return challenge, photo, tapeplat.measure(challenge, [photo], team="Blue Herons")


def test_a_filed_photo_can_be_measured_again(measured, tmp_path):
    """The sample whose parcel is found by the board's edges, which the black must not stand in for."""
    challenge, photo, first = measured
    entry = Archive(tmp_path / "archive").save(attempt_of(first.files, challenge, [photo], notes="n"))
    assert entry.team == "Blue Herons"
    kept = entry.folder / "photo-1.jpg"
    shown = pixels(kept.read_bytes()).max(axis=2) > 16
    assert 0.1 < shown.mean() < 0.6
    again = tapeplat.measure(challenge, [kept])
    before, after = (parse_result(m.files["result.json"].decode()) for m in (first, again))
    assert before.parcel.frame == after.parcel.frame == "board"
    for one, two in zip(before.zones, after.zones, strict=True):
        assert abs(one.area.value - two.area.value) < one.area.u95 + two.area.u95


def test_the_subject_reaches_around_the_parcel_and_the_card_and_no_farther(measured):
    """Against the outlines as measured: all of the plat is kept, and a card's breadth away nothing is."""
    _, photo, first = measured
    result_ = parse_result(first.files["result.json"].decode())
    subject = [np.array(p) for p in result_.photos[0].subject]
    height, width = cv2.imread(str(photo)).shape[:2]
    kept = np.zeros((height, width), np.uint8)
    for polygon in subject:
        cv2.fillPoly(kept, [np.rint(polygon).astype(np.int32)], 1)
    parcel_px = result_.parcel.width * 25.4 * result_.parcel.depth * 25.4 / result_.photos[0].mm_per_px ** 2
    assert 1.0 < kept.sum() / parcel_px < 1.35


def test_an_attempt_is_dated_by_its_photo_where_the_date_can_be_true(tmp_path):
    photo = tmp_path / "a.jpg"
    photo.write_bytes(telling_jpeg())
    assert taken_at([photo]).strftime("%Y-%m-%d %H:%M") == "2026-03-05 10:30"
    out = io.BytesIO()
    scene().save(out, "JPEG")
    photo.write_bytes(out.getvalue())
    assert taken_at([photo, tmp_path / "missing.jpg"]) is None
    photo.write_bytes(telling_jpeg().replace(b"2026:03:05", b"1980:01:01"))
    assert taken_at([photo]) is None


@pytest.fixture
def two(tmp_path):
    archive = Archive(tmp_path / "archive")
    new = photographed(tmp_path, telling_jpeg(), [LEFT_HALF])
    return archive, archive.save(new), archive.save(new, surroundings=True, keep_originals=True)


@pytest.mark.parametrize("form", ["out", "out.zip"])
def test_an_export_holds_what_was_asked_and_nothing_else(two, tmp_path, form):
    archive, one, other = two
    out = tmp_path / form
    export([one, other], out, ["photos", "challenge"])
    expected = sorted(f"{e.id}/{name}" for e in (one, other) for name in ("challenge.toml", "photo-1.jpg"))
    if form == "out":
        found = sorted(p.relative_to(out).as_posix() for p in out.rglob("*") if p.is_file())
        assert sorted(p.name for p in tmp_path.iterdir()) == ["Ada and Bo.jpg", "archive", "out"]
    else:
        with zipfile.ZipFile(out) as packed:
            found = sorted(packed.namelist())
            assert packed.testzip() is None
            assert not packed.comment
            assert all(not info.extra and not info.comment for info in packed.infolist())
    assert found == expected
    assert archive.verify() == ()


def test_every_part_can_be_exported_but_no_original(two, tmp_path):
    _, _, other = two
    export([other], tmp_path / "out", PARTS)
    data = [p.read_bytes() for p in (tmp_path / "out").rglob("*") if p.is_file()]
    assert data
    assert not any(secret in content for content in data for secret in (b"SERIAL-4711", b"GPS", b"Exif"))


def test_an_exported_page_links_only_what_is_with_it(two, tmp_path):
    _, one, _ = two
    export([one], tmp_path / "out", ["page", "photos"])
    page = (tmp_path / "out" / one.id / "index.html").read_text()
    assert 'href="photo-1.jpg"' in page
    assert "result.json" not in page
    assert "../" not in page
    assert "1 of 2 rules met" in page


def test_photos_kept_whole_are_blacked_out_on_their_way_out(two, tmp_path):
    _, _, other = two
    export([other], tmp_path / "out", ["photos"], blackout=True)
    assert pixels((tmp_path / "out" / other.id / "photo-1.jpg").read_bytes())[:, 56:].max() < 12


def test_an_export_that_cannot_be_is_refused_and_leaves_nothing(two, tmp_path):
    _, one, _ = two
    (tmp_path / "full").mkdir()
    (tmp_path / "full" / "x").write_text("x")
    with pytest.raises(InputMistakes, match="not empty"):
        export([one], tmp_path / "full")
    with pytest.raises(InputMistakes, match="unknown part: originals"):
        export([one], tmp_path / "out", ["originals"])
    with pytest.raises(InputMistakes, match="nothing of what was asked"):
        export([one], tmp_path / "out", ["hand"])
    with pytest.raises(FolderNotWritable, match="nothing was exported"):
        export([one], tmp_path / "full" / "x" / "out")
    (one.folder / "photo-1.jpg").write_bytes(b"x")
    with pytest.raises(InputMistakes, match=r"photo-1\.jpg is changed"):
        export([one], tmp_path / "out.zip")
    assert sorted(p.name for p in tmp_path.iterdir()) == ["Ada and Bo.jpg", "archive", "full"]


def test_an_archive_that_was_copied_elsewhere_exports_the_same(two, tmp_path):
    archive, one, _ = two
    shutil.copytree(archive.root, tmp_path / "copy")
    other = Archive(tmp_path / "copy").entry(one.id)
    for entry, name in ((one, "a.zip"), (other, "b.zip")):
        export([entry], tmp_path / name, ["result", "plat", "photos"])
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()
