"""`tapeplat selfcheck` on the sheet drawn exactly, and on its own PDF as another program renders it."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import numpy as np
import pytest
from click.testing import CliRunner

from calib.photo_refused import PhotoRefused
from calib.printed import SELF_CHECK_OUTLINES
from measure.challenge import read_challenge
from tapeplat.cli.main import main
from tapeplat.lens.lens_words import selfcheck_in_words
from tapeplat.lens.selfcheck import OutlineCheck, PaperCheck, SelfCheck, self_check
from tapeplat.paper.book import SHEETS, make_book
from tapeplat.paper.pdf.pdf_canvas import PAPERS
from tapeplat.paper.sheets.sheet_job import Job
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded, photo_of
from tests.helpers.scenes.selfcheck_sheet import A4, sheet_scene
from tests.helpers.scenes.village import village
from vision.picture.photo import photo_from_bytes

CLAIM = "as good as the program claims"
CHALLENGE = 'title = "Quarry Lake Village"\nunit = "in"\nrules = []\n[parcel]\nwidth = 18\ndepth = 14\n'
CHALLENGE += '[[zone]]\nname = "library"\nswatch = 1\n'


def said(check: SelfCheck, **more: object) -> str:
    return selfcheck_in_words(check, more.get("printed_line", (None, None)))  # type: ignore[arg-type]


@pytest.mark.parametrize("scene", [{}, {"tilt": 22.0, "paper": A4}, {"table": (32, 31, 33)}])
def test_a_true_print_is_trusted_and_its_numbers_are_right(scene):
    check = self_check(photo_of(sheet_scene(**scene)))
    assert [o.name for o in check.outlines] == [o.name for o in SELF_CHECK_OUTLINES]
    assert max(abs(o.area) for o in check.outlines) < 0.002
    assert max(abs(o.sides).max() for o in check.outlines) < 0.1
    assert check.paper is not None
    assert check.paper.name == ("a4" if "paper" in scene else "letter")
    assert check.paper.scale == pytest.approx(1, abs=0.002)
    assert CLAIM in said(check)
    assert "check lines" not in said(check)
    assert "\n" not in said(check)


@pytest.mark.parametrize(("scale", "way"), [(0.99, "too large"), (1.01, "too small")])
def test_a_print_of_another_scale_is_told_by_the_paper_s_size(scale, way):
    check = self_check(photo_of(sheet_scene(scale)))
    assert check.paper is not None
    assert check.paper.scale == pytest.approx(1 / scale, abs=0.002)
    line = said(check)
    # The areas' error is 1 / scale squared less 1: 2.0 and -2.0 %.
    assert line.startswith("areas come out ")
    assert float(line.split()[3]) == pytest.approx(2.0, abs=0.3)
    assert f"% {way} everywhere" in line
    assert "printed_line" in line


def test_the_same_print_with_its_lines_measured_is_trusted():
    check = self_check(photo_of(sheet_scene(0.99)), (99.0, 79.2))
    assert check.paper is not None
    assert check.paper.scale == pytest.approx(1, abs=0.002)
    assert CLAIM in said(check, printed_line=(99.0, 79.2))


def test_a_true_print_with_wrongly_read_lines_is_told():
    check = self_check(photo_of(sheet_scene(paper=A4)), (98.5, 78.8))
    line = said(check, printed_line=(98.5, 78.8))
    assert "too small everywhere" in line
    along, up = (float(line.split("about ")[1].split(" and ")[i].split()[0]) for i in (0, 1))
    assert (along, up) == (pytest.approx(100, abs=0.2), pytest.approx(80, abs=0.2))


def test_where_the_paper_s_edges_do_not_show_the_ruler_has_to():
    check = self_check(photo_of(sheet_scene(table=(247, 246, 245))))
    assert check.paper is None
    assert CLAIM in said(check)
    assert "ruler" in said(check)


def test_a_sheet_that_bulges_is_not_trusted():
    """Its upper part lies 9 mm higher than its card: the outlines there come out 6 % too large."""
    bgr = draw(sheet_scene())
    grown = cv2.warpAffine(bgr, np.array([[1.03, 0, -22.0], [0, 1.03, -18.0]]), bgr.shape[1::-1])
    rows = int(0.36 * bgr.shape[0])
    bgr[:rows] = grown[:rows]
    line = said(self_check(photo_from_bytes(encoded(bgr), "bulge.jpg")))
    assert "more than the program claims" in line
    assert "lens profile" in line


def checked(*sides: float) -> SelfCheck:
    """One outline of the sheet whose area is right and whose sides differ by so many mm, claimed within 0.2 mm."""
    outline = OutlineCheck("A", 0.0, 0.001, np.array(sides), np.full(len(sides), 0.1))
    return SelfCheck((outline,), PaperCheck("letter", 1.0, 0.002), "")


@pytest.mark.parametrize(
    ("sides", "says"),
    [
        ((0.2, -0.21, 0.05, 0.1), CLAIM),
        ((0.25, 0.05, 0.05, 0.1), "1 of 5 is more than the program claims, as one in twenty may be"),
        ((0.25, -0.3, 0.05, 0.1), "2 of 5 are more than the program claims, as one in twenty may be"),
        ((0.4, 0.05, 0.05, 0.1), "more than the program claims: lay the sheet flat"),
        ((0.3, 0.3, 0.3, -0.3), "more than the program claims: lay the sheet flat"),
    ],
)
def test_only_what_is_within_the_claim_is_called_as_good_as_claimed(sides, says):
    """The claim is 0.22 mm: twice the program's 0.1 and the printer's 0.05 together."""
    line = said(checked(*sides))
    assert says in line
    assert (CLAIM in line) == (says == CLAIM)


@pytest.mark.parametrize(("lens_from", "advised"), [("", True), ("the lens profile of Phone", False)])
def test_a_wide_claim_is_told_as_one(lens_from, advised):
    """1.5 % of an area is within a claim of 1.6 %, but a teacher should know that it is that wide."""
    outline = OutlineCheck("A", 0.015, 0.008, np.zeros(4), np.full(4, 0.3))
    line = said(SelfCheck((outline,), PaperCheck("letter", 1.0, 0.002), lens_from))
    assert f"{CLAIM}, which is no more than 1.6 % of an area here" in line
    assert ("lens profile" in line) == advised
    assert "no more than" not in said(checked(0.0, 0.0, 0.0, 0.0))


def test_a_model_s_photo_is_told_what_the_self_check_needs():
    """Nothing of a challenge's parcel, which there is none of."""
    with pytest.raises(PhotoRefused) as refusal:
        self_check(photo_of(village()))
    assert "no whole self-check sheet: a model is in it" in refusal.value.advice
    assert "parcel" not in refusal.value.advice


@pytest.mark.parametrize("without", ["C", "ABCDE"])
def test_a_sheet_without_all_its_outlines_is_refused(without):
    with pytest.raises(PhotoRefused, match="self-check sheet") as refusal:
        self_check(photo_of(sheet_scene(without=without)))
    assert refusal.value.reason == "no-tape"


@pytest.fixture
def sheet_photo(tmp_path: Path) -> Callable[[str], Path]:
    """The sheet's PDF rendered by PDFium at 300 dpi and photographed, a little slanted, on a grey table."""
    pdfium = pytest.importorskip("pypdfium2")

    def made(paper: str) -> Path:
        (tmp_path / "c.toml").write_text(CHALLENGE, "utf-8")
        sheets = [s for s in SHEETS if s.name == "selfcheck"]
        book = make_book(Job(read_challenge(tmp_path / "c.toml"), PAPERS[paper]), sheets)
        page = np.array(pdfium.PdfDocument(book)[0].render(scale=300 / 72, grayscale=True).to_numpy()).squeeze()
        size = np.array([PAPERS[paper].width, PAPERS[paper].height])
        view = sheet_scene(paper=(float(size[0]), float(size[1]))).view
        onto = view.project(np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * size).astype(np.float32)
        # PDFium's pixel i covers i to i + 1; here pixels count from their centres.
        corners = np.array([[0, 0], [1, 0], [1, 1], [0, 1]]) * np.array(page.shape[::-1]) - 0.5
        matrix = cv2.getPerspectiveTransform(corners.astype(np.float32), onto)
        soft = cv2.GaussianBlur(page, (0, 0), 0.8)
        photo = cv2.warpPerspective(soft, matrix, view.size, flags=cv2.INTER_LINEAR, borderValue=118)
        noise = np.random.default_rng(4).normal(0, 1.5, photo.shape)
        # Ink on paper reflects a few per cent, unlike a PDF's black.
        photo = np.clip(photo * 0.8 + 28 + noise, 0, 255).astype(np.uint8)
        file = tmp_path / f"{paper}.jpg"
        file.write_bytes(encoded(np.repeat(photo[..., None], 3, axis=2)))
        return file

    return made


@pytest.mark.parametrize("paper", ["letter", "a4"])
def test_the_printed_sheet_itself_passes(sheet_photo, paper):
    result = CliRunner().invoke(main, ["selfcheck", str(sheet_photo(paper))])
    assert result.exit_code == 0, result.output
    assert result.stdout.count("\n") == 1
    assert CLAIM in result.stdout
    assert "the paper's size within" in result.stdout


def test_every_outline_is_shown_when_asked_for(sheet_photo):
    result = CliRunner().invoke(main, ["selfcheck", str(sheet_photo("letter")), "--all", "--printed-line", "100,80"])
    assert result.exit_code == 0
    assert [line[2] for line in result.stdout.splitlines()[1:]] == list("ABCDE")


def test_a_photo_without_the_sheet_is_exit_3(tmp_path):
    file = tmp_path / "table.jpg"
    file.write_bytes(encoded(np.full((900, 1200, 3), 120, np.uint8)))
    result = CliRunner().invoke(main, ["selfcheck", str(file)])
    assert result.exit_code == 3
    assert result.stderr.startswith("photo refused (")
    assert result.stdout == ""


@pytest.mark.parametrize("line", ["abc", "1,2,3", "9.9", "100,8", "nan"])
def test_a_line_that_cannot_be_is_exit_2(tmp_path, line):
    file = tmp_path / "p.jpg"
    file.write_bytes(b"")
    result = CliRunner().invoke(main, ["selfcheck", str(file), "--printed-line", line])
    assert result.exit_code == 2
    assert "mm" in result.stderr


@pytest.mark.parametrize(
    ("line", "meant"),
    [("99,5", "99.5"), ("99,5 79,6", "99.5,79.6"), ("99,5;79,6", "99.5,79.6"), ("99,5,79,6", "99.5,79.6")],
)
def test_decimal_commas_are_told_from_the_comma_between_two_lengths(tmp_path, line, meant):
    file = tmp_path / "p.jpg"
    file.write_bytes(b"")
    result = CliRunner().invoke(main, ["selfcheck", str(file), "--printed-line", line])
    assert result.exit_code == 2
    assert f"with decimal points write {meant}" in result.stderr
