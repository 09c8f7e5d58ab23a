"""What counts as a photo in a class's folder, and the team labels in photos."""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np
import pytest

from measure.errors import InputMistakes
from tapeplat.classroom.photo_folder import photos_in
from tapeplat.classroom.team_labels import labels_in


def test_hidden_files_thumbnails_videos_and_papers_are_left_out_with_a_note(tmp_path: Path):
    names = [
        "1.jpg", "2.HEIC", "old.gif", ".1.jpg", "._1.jpg", "Thumbs.db", "thumb_1.jpg", "clip.MOV", "list.csv",
        "Otters/a.png", "Otters/.b.jpg", "Otters/old/c.jpg", ".thumbnails/d.jpg", "@eaDir/e.jpg",
        "results/team-1/x.png",
    ]  # fmt: skip
    for name in names:
        (tmp_path / name).parent.mkdir(parents=True, exist_ok=True)
        (tmp_path / name).touch()
    found = photos_in(tmp_path, without=tmp_path / "results")
    assert [(p.path.name, p.folder) for p in found.photos] == [
        ("1.jpg", ""), ("2.HEIC", ""), ("old.gif", ""), ("a.png", "Otters"),
    ]  # fmt: skip
    notes = "\n".join(found.notes)
    assert "1 video (clip.MOV)" in notes
    assert "1 thumbnail (thumb_1.jpg)" in notes
    assert "6 hidden files or folders" in notes
    assert "1 file that is no photo (list.csv)" in notes
    assert "1 folder inside a team's folder (Otters/old)" in notes
    assert len(found.notes) == 5


def test_a_folder_that_cannot_be_read_is_said(tmp_path: Path):
    with pytest.raises(InputMistakes, match="cannot be read"):
        photos_in(tmp_path / "none")


def labelled(path: Path, *tags: int, side: int = 160) -> Path:
    """A grey picture with tags on white paper; the picture is not seen by whoever drew the labels' sheet."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    grey = np.full((900, 1200), 150, np.uint8)
    for n, tag in enumerate(tags):
        x = 60 + n * (side + 80)
        grey[60 : 60 + side + 60, x - 30 : x + side + 30] = 245
        grey[90 : 90 + side, x : x + side] = cv2.aruco.generateImageMarker(dictionary, tag, side)
    cv2.imwrite(str(path), cv2.GaussianBlur(grey, (0, 0), 1.0))
    return path


def test_the_label_s_tag_less_20_is_the_team_s_number(tmp_path: Path):
    """Tags 20 to 49 are the teams' labels; others (card, corner and zone tiles) are not."""
    assert labels_in(labelled(tmp_path / "a.jpg", 23)) == (3,)
    assert labels_in(labelled(tmp_path / "b.png", 0, 49, 50)) == (29,)
    assert labels_in(labelled(tmp_path / "c.jpg", 31, 22)) == (2, 11)
    assert labels_in(labelled(tmp_path / "d.jpg", 1, 2, 60)) == ()


def test_the_printed_sheet_s_own_label_is_found(tmp_path: Path):
    """The sheet as PDFium renders it, another program than the one that wrote it."""
    from measure.challenge import read_challenge
    from tapeplat.paper.book import SHEETS, make_book
    from tapeplat.paper.pdf.pdf_canvas import PAPERS
    from tapeplat.paper.sheets.sheet_job import Job
    from tests.helpers.made.sheet_challenges import QUARRY
    from tests.helpers.rendered_sheets import Rendered

    (tmp_path / "c.toml").write_text(QUARRY, "utf-8")
    job = Job(read_challenge(tmp_path / "c.toml"), PAPERS["letter"], (1, 2, 3, 4, 5))
    page = Rendered(make_book(job, [sheet for sheet in SHEETS if sheet.name == "labels"])).picture(0, 100)
    cv2.imwrite(str(tmp_path / "sheet.jpg"), page)
    assert labels_in(tmp_path / "sheet.jpg") == (1, 2, 3, 4, 5)


@pytest.mark.parametrize("content", [b"", b"\xff\xd8 broken", b"text", b"\xff\xd8" + bytes(3_000_000)])
def test_what_is_no_photo_has_no_label(tmp_path: Path, content: bytes):
    (tmp_path / "x.jpg").write_bytes(content)
    assert labels_in(tmp_path / "x.jpg") == ()
    assert labels_in(tmp_path / "missing.jpg") == ()
