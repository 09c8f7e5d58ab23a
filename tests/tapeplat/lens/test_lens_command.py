"""`tapeplat lens` from files to the stored profile, and what `measure`'s reader makes of it."""

from __future__ import annotations

import io
import json
from dataclasses import asdict, replace
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner
from hypothesis import given
from hypothesis import strategies as st
from PIL import ExifTags, Image

import tapeplat
from calib.estimate.adjustment import INDEX, Adjustment
from calib.lens.lens_prior import focal_prior, radial_prior
from calib.lens.lens_sheet import find_sheet
from calib.photo_setup import PhotoSetup
from calib.prints.edge_shift import EdgeShift
from measure.challenge import read_challenge
from tapeplat.cli.demo_command import samples
from tapeplat.cli.main import main
from tapeplat.lens import lens_store
from tapeplat.lens.lens_making import make_profile
from tapeplat.lens.lens_store import LensProfile, damaged, fits, forget, lens_of, read_photo_with_profile, store, stored
from tapeplat.paper.book import SHEETS, make_book
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheets.sheet_job import Job
from tests.helpers.made.lens_profiles import PROFILE
from tests.helpers.scenes.files import encoded, exif
from tests.helpers.scenes.lens_sheet import photographed, ten_views
from vision.picture.photo import Photo, photo_from_bytes

SIZE = (1200, 900)
K1, K2 = -0.04, 0.015
OFF_CENTRE = (5.0, -4.0)
OLD = "tapeplat/lens-1"


@pytest.fixture
def config(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    return tmp_path / "config" / "lenses"


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> list[Path]:
    """Six photos; two were taken with the phone held upright (EXIF orientation 6: a quarter turn to the right)."""
    folder = tmp_path_factory.mktemp("sheet")
    made = []
    for i, view in enumerate(ten_views(SIZE, 6, k1=K1, k2=K2, off_centre=OFF_CENTRE)):
        path = folder / f"IMG_{i}.jpg"
        path.write_bytes(encoded(photographed(view, seed=i), quality=95, orientation=6 if i in (1, 2) else 1))
        made.append(path)
    return made


def run(*arguments: object):
    return CliRunner().invoke(main, ["lens", *map(str, arguments)])


def photo(size: tuple[int, int] = (1600, 1200), **more: object) -> Photo:
    return photo_from_bytes(encoded(np.full((size[1], size[0], 3), 128, np.uint8), **more), "p.jpg")  # type: ignore[arg-type]


def test_photos_become_a_profile_that_is_listed_and_forgotten(files, config):
    said = run(*files)
    assert said.exit_code == 0, said.output
    assert "Invented Phone 1, 26 mm lens" in said.stdout
    assert said.stdout.count("pixels off\n") == len(files)
    profile = json.loads(next(config.glob("*.json")).read_text("utf-8"))
    assert profile["radial"][0] == pytest.approx(K1, abs=3 * max(profile["radial_spread"][0], 0.001))
    diagonal = np.hypot(*SIZE)
    assert np.array(profile["centre"]) * diagonal == pytest.approx(OFF_CENTRE, abs=1.0)
    assert profile["focal"] == pytest.approx(26 / np.hypot(36, 24), rel=0.002)
    assert [p.name for p in config.iterdir()] == [next(config.glob("*.json")).name]
    assert "Invented Phone 1" in run("--list").stdout
    assert run("--forget", "invented phone 1").exit_code == 0
    assert stored() == ()
    assert "no lens profile" in run("--list").stdout


def test_what_a_profile_says_of_a_drawn_camera_holds_in_a_photo_held_either_way(files):
    """The optical centre turns with the picture: as drawn where nothing was turned, a quarter turn on where it was."""
    profile = make_profile(files).profile
    for file, centre in ((files[0], OFF_CENTRE), (files[1], (-OFF_CENTRE[1], OFF_CENTRE[0]))):
        seen = read_photo_with_profile(file, [profile])
        assert seen.lens_from == f"profile of Invented Phone 1, 26 mm lens, made {profile.made}"
        assert seen.lens.centre == pytest.approx(centre, abs=1.0)


def test_photos_that_say_nothing_are_left_out_and_said(files, config, tmp_path):
    other = tmp_path / "table.jpg"
    other.write_bytes(encoded(np.full((900, 1200, 3), 120, np.uint8)))
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(files[0].read_bytes()[:5000])
    said = run(*files, other, broken)
    assert said.exit_code == 0
    assert "table.jpg: left out: the lens sheet was not found in it" in said.stdout
    assert "broken.jpg: left out: the file is damaged" in said.stdout


def altered(file: Path, folder: Path, change) -> Path:
    """The same picture with other EXIF."""
    with Image.open(file) as image:
        data = exif(26, image.size)
        pixels = change(data) or image.copy()
    buffer = io.BytesIO()
    pixels.save(buffer, "JPEG", quality=95, exif=data)
    path = folder / f"altered-{file.name}"
    path.write_bytes(buffer.getvalue())
    return path


def _zoomed(data: Image.Exif) -> None:
    data.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.DigitalZoomRatio] = 2.0


def _cropped(data: Image.Exif) -> None:
    data.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.ExifImageHeight] = 2000


def _nameless(data: Image.Exif) -> None:
    del data[ExifTags.Base.Make], data[ExifTags.Base.Model]


@pytest.mark.parametrize(
    ("change", "why"), [(_zoomed, "zoomed (2.0 times)"), (_cropped, "cropped"), (_nameless, "which camera")]
)
def test_zoomed_cropped_and_nameless_photos_are_refused(files, config, tmp_path, change, why):
    said = run(*(altered(file, tmp_path, change) for file in files[:4]))
    assert said.exit_code == 3
    assert said.stdout == ""
    assert said.stderr.startswith("no lens profile made: 4 usable photos")
    assert said.stderr.count(why) == 4
    assert not config.exists()


def _other_model(data: Image.Exif) -> None:
    data[ExifTags.Base.Model] = "Phone 2"


def _wide(data: Image.Exif) -> None:
    data.get_ifd(ExifTags.IFD.Exif)[ExifTags.Base.FocalLengthIn35mmFilm] = 13


@pytest.mark.parametrize(("change", "why"), [(_other_model, "Invented Phone 2"), (_wide, "13 mm, 26 mm")])
def test_photos_of_two_cameras_or_lenses_are_refused(files, config, tmp_path, change, why):
    said = run(*files[:5], altered(files[5], tmp_path, change))
    assert said.exit_code == 3
    assert why in said.stderr


@pytest.mark.parametrize("arguments", [(), ("--list", "--forget", "X"), ("nowhere.jpg",), ("--forget", "Phone 9")])
def test_a_wrong_command_line_is_exit_2(config, arguments):
    said = run(*arguments)
    assert said.exit_code == 2
    assert said.stderr


def test_a_damaged_profile_is_named_with_what_to_do_and_stops_nothing(config, tmp_path):
    file = store(PROFILE)
    whole = file.read_text("utf-8")
    file.write_text(whole.replace('"focal": 0.61', '"focal": -1'), "utf-8")
    (file.parent / "other.json").write_text(whole.replace(PROFILE.camera, "Another"), "utf-8")
    assert [profile.camera for profile in stored()] == ["Another"]
    assert damaged() == (file,)
    assert f"{file} is damaged and is not used; delete the file" in run("--list").stderr
    challenge, photo = next(iter(samples()))
    measured = tapeplat.measure(challenge, photo)
    assert f"the lens profile {file.name} is damaged and was not used" in "\n".join(measured.warnings)


def test_a_folder_that_cannot_be_written_is_exit_2(files, tmp_path, monkeypatch):
    (tmp_path / "file").write_text("")
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "file"))
    said = run(*files)
    assert said.exit_code == 2
    assert "cannot be written" in said.stderr


NUMBER = st.floats(-0.5, 0.5)
SPREAD = st.floats(0, 0.5)


@given(
    st.builds(
        LensProfile, camera=st.text(min_size=1).filter(lambda t: t.isprintable()), made=st.just("2025-01-02"),
        photos=st.integers(4, 99), size=st.tuples(st.integers(300, 9000), st.integers(300, 9000)),
        stated_focal=st.none() | st.floats(0.2, 3), focal=st.floats(0.2, 3), focal_spread=SPREAD,
        centre=st.tuples(NUMBER, NUMBER), centre_spread=SPREAD, radial=st.tuples(NUMBER, NUMBER, NUMBER),
        radial_correlation=st.just((0.5, -0.5, 0.25)) | st.just(()),
        radial_spread=st.tuples(SPREAD, SPREAD, SPREAD), residual=st.floats(0, 9),
    )
)  # fmt: skip
def test_profiles_survive_their_file(tmp_path_factory, profile):
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TAPEPLAT_CONFIG", str(tmp_path_factory.mktemp("round")))
        store(PROFILE)
        store(profile)
        assert set(stored()) == {PROFILE, profile}
        store(replace(profile, photos=3))
        assert len(stored()) == 2
        assert forget(profile.camera) == 1


def test_a_profile_of_two_terms_is_read_as_before(config):
    """As the program wrote them while the lens had k1 and k2 alone."""
    two = asdict(
        replace(PROFILE, radial=(-0.03, 0.01), radial_spread=(0.001, 0.002), radial_correlation=(), format=OLD)
    )
    del two["radial_correlation"]
    config.mkdir(parents=True)
    (config / "old.json").write_text(json.dumps(two), "utf-8")
    (profile,) = stored()
    assert profile.radial == (-0.03, 0.01)
    k1, k2, k3, *others = lens_of(replace(profile, stated_focal=None), photo()).radial
    assert others == [0, 0]
    at = np.array([0.4, 0.7, 0.9])
    now, then = (at**2 * (k[0] + at**2 * (k[1] + at**2 * k[2])) for k in ((k1, k2, k3), (-0.03, 0.01, 0)))
    assert now == pytest.approx(then, abs=0.002)


@pytest.mark.parametrize("broken", [{"radial": (0.1, 0.2)}, {"radial_correlation": (1.0, -1.0, 1.0)}, {"format": "x"}])
def test_numbers_of_no_camera_are_no_profile(broken):
    with pytest.raises(ValueError, match="no numbers of a camera"):
        replace(PROFILE, **broken)


@pytest.mark.parametrize("size", [(1600, 1200), (4000, 3000)])
def test_a_profile_is_scaled_to_the_photo(size):
    seen = photo(size)
    lens = lens_of(replace(PROFILE, stated_focal=None), seen)
    diagonal = np.hypot(*size)
    assert lens.focal == pytest.approx(0.61 * diagonal)
    assert lens.centre == pytest.approx((0.003 * diagonal, -0.001 * diagonal))
    assert lens.radial == pytest.approx((*PROFILE.radial, 0, 0), abs=0.003)


def test_of_a_photo_turned_already_the_lenses_middle_is_less_sure():
    """Which way it was turned is not known, so the profile's middle may lie on any side of the picture's."""
    turned, straight = (lens_of(replace(PROFILE, stated_focal=None), photo(s)) for s in ((1200, 1600), (1600, 1200)))
    assert turned.centre == (0.0, 0.0)
    assert turned.centre_spread**2 == pytest.approx(straight.centre_spread**2 + np.sum(np.square(straight.centre)))
    assert (turned.focal, turned.radial) == (straight.focal, straight.radial)


@pytest.mark.parametrize(
    ("more", "held"),
    [
        ({}, True),
        ({"size": (1200, 1600), "orientation": 1}, True),  # turned before it was written
        ({"orientation": 6}, True),
        ({"orientation": 2}, False),
        ({"size": (1600, 900)}, False),
        ({"equivalent": 13}, False),
        ({"equivalent": None}, False),
        ({"stated": (4000, 2000)}, False),
        ({"stated": (4000, 3000)}, True),
    ],
)
def test_a_profile_holds_for_whole_photos_of_its_lens_alone(more, held):
    profile = replace(PROFILE, stated_focal=26 / float(np.hypot(36, 24)))
    assert fits(profile, photo(**more)) is held
    assert not fits(replace(profile, camera="Another"), photo(**more))


def test_the_estimate_starts_from_the_profile_and_from_the_usual_without_one():
    seen = photo()
    for lens in (lens_of(PROFILE, seen), seen.lens):
        adjustment = Adjustment((), EdgeShift(0.2, 0.1), seen.size, PhotoSetup(300, 200), lens, ())
        expected, spread = adjustment.prior.expected, 1 / np.diag(adjustment.prior.whitening)
        assert lens.focal is not None
        excess, u_focal = (0.0, lens.focal_spread) if lens.focal_spread else focal_prior()
        assert expected[INDEX["log_f"]] == pytest.approx(np.log(lens.focal) + excess)
        assert spread[INDEX["log_f"]] == pytest.approx(u_focal)
        assert expected[INDEX["cx"]] == pytest.approx(799.5 + lens.centre[0])
        assert spread[INDEX["cy"]] == pytest.approx(lens.centre_spread or 0.008 * 2000)
        assert expected[INDEX["k1"]] == (radial_prior().mean[0] if lens.radial is None else lens.radial[0])


def test_measure_says_which_profile_it_used(config, tmp_path):
    from tapeplat.cli.demo_command import samples

    challenge, sample = next(samples())
    with Image.open(sample) as image:
        file = Path(tmp_path / "photo.jpg")
        file.write_bytes(encoded(np.asarray(image.convert("RGB"))[..., ::-1], quality=95))
        size = image.size
    plain = replace(PROFILE, radial=(0.0, 0.0, 0.0), centre=(0.0, 0.0))
    store(replace(plain, size=size, stated_focal=26 / lens_store.FULL_FRAME))
    results = []
    for folder in ("with", "without"):
        said = CliRunner().invoke(main, ["measure", str(challenge), str(file), "--out", str(tmp_path / folder)])
        assert said.exit_code == 0, said.output
        results.append((said.stdout, json.loads((tmp_path / folder / "result.json").read_text("utf-8"))["photos"][0]))
        forget(PROFILE.camera)
    expected = "profile of Invented Phone 1, 26 mm lens, made 2025-03-04"
    assert f"lens: {expected}\n" in results[0][0]
    assert results[0][1]["lens"] == expected
    assert "lens:" not in results[1][0]
    assert results[1][1]["lens"] == "estimated from the photo"


def test_the_printed_lens_sheet_is_the_one_that_is_looked_for(tmp_path):
    """Its PDF as PDFium shows it at 200 dpi: every corner 24 mm from the next, in OpenCV's order."""
    pdfium = pytest.importorskip("pypdfium2")
    text = 'title = "Quarry Lake Village"\nunit = "cm"\nrules = []\n[parcel]\nwidth = 45\ndepth = 35\n'
    (tmp_path / "c.toml").write_text(text + '[[zone]]\nname = "library"\nswatch = 1\n', "utf-8")
    sheets = [s for s in SHEETS if s.name == "lens"]
    book = make_book(Job(read_challenge(tmp_path / "c.toml"), PAPERS["a4"]), sheets)
    page = np.array(pdfium.PdfDocument(book)[0].render(scale=200 / 72, grayscale=True).to_numpy()).squeeze()
    sheet = find_sheet(np.ascontiguousarray(page))
    assert len(sheet.board) == 54
    # One common shift is where the board lies on the page.
    off = sheet.pixels * 25.4 / 200 - sheet.board
    assert np.abs(off - off.mean(axis=0)).max() < 0.05
