"""What is uploaded: photos come in, everything else is refused with a message that says what it is."""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from tapeplat.page.jobs import upload_check as looking
from tapeplat.page.jobs.upload_check import UploadRefused, checked_upload, shown_name
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser, sent


def photo(kind: str = "JPEG", size: tuple[int, int] = (640, 480), **more: Any) -> bytes:
    out = io.BytesIO()
    Image.effect_noise(size, 40).convert("RGB").save(out, kind, **more)
    return out.getvalue()


def bomb() -> bytes:
    """A PNG of 900 megapixels in a megabyte."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", 30_000, 30_000, 8, 0, 0, 0, 0)
    lines = zlib.compressobj()
    data = b"".join([lines.compress(bytes(30_001)) for _ in range(300)]) + lines.flush()
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def zipped() -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr("page.html", "<p>")
    return out.getvalue()


SVG = b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>'
HOSTILE = {
    "empty": (b"", "a.jpg", "is empty"),
    "text": (b"hello, this is a photo", "a.jpg", "not a photo"),
    "svg": (SVG, "a.jpg", "an SVG drawing"),
    "svg with a declaration": (b'<?xml version="1.0"?>' + SVG, "a.svg", "an SVG drawing"),
    "page": (b"<!doctype html><script>alert(1)</script>", "a.jpg", "a web page"),
    "pdf": (b"%PDF-1.7 ...", "a.jpg", "a PDF document"),
    "program": (b"MZ\x90\x00" + bytes(100), "a.jpg", "a Windows program"),
    "gif": (photo("GIF"), "a.jpg", "a GIF picture"),
    "zip": (zipped(), "a.jpg", "a ZIP archive"),
    "film": (b"\0\0\0\x18ftypmp42" + bytes(100), "a.heic", "a film"),
    "bomb": (bomb(), "a.png", "megapixels"),
    "truncated": (photo()[:-4000], "a.jpg", "damaged or incomplete"),
    "truncated png": (photo("PNG")[:-4000], "a.png", "damaged or incomplete"),
    "only a start": (b"\xff\xd8\xff\xe0" + bytes(50), "a.jpg", ""),
    "only a start of heic": (b"\0\0\0\x18ftypheic" + bytes(50), "a.heic", ""),
    "small": (photo(size=(120, 80)), "a.jpg", "too few to measure in"),
    "path": (photo(), "../../etc/a.jpg", "holds a path"),
    "photo and page": (photo() + b"<html><script>alert(1)</script>", "a.jpg", "a web page or script"),
    "photo with a script inside": (photo(comment=b"<script>alert(1)</script>"), "a.jpg", "a web page or script"),
    "photo and php": (photo() + b"<?php system('x');", "a.jpg", "a web page or script"),
    "photo and zip": (photo() + zipped(), "a.jpg", "a ZIP archive"),
    "pdf in a photo": (photo(comment=b"%PDF-1.7"), "a.jpg", "a PDF document"),
}


@pytest.mark.parametrize("case", HOSTILE)
def test_hostile_files_are_refused_with_a_message_and_nothing_is_kept(
    teacher: Browser, house: Services, case: str
) -> None:
    content, name, message = HOSTILE[case]
    house.challenges.save("gull", CHALLENGE)
    sent = {"team": "1", "photos": (io.BytesIO(content), name)}
    answer = teacher.post("/teacher/challenge/gull/photos", sent)
    assert answer.status_code == 400
    assert message in answer.text
    assert "Choose the photos again" in answer.text or "No photo" in answer.text
    assert house.jobs.of("gull") == []
    assert not (house.settings.data / "photos").exists()


@pytest.mark.parametrize("name", ["C:\\photos\\a.jpg", "a\0.jpg", "..", "/a.jpg"])
def test_names_with_paths_are_refused_however_they_come(name: str) -> None:
    with pytest.raises(UploadRefused, match="holds a path"):
        checked_upload(photo(), name)


@pytest.mark.parametrize(("kind", "ending"), [("JPEG", ".jpg"), ("PNG", ".png"), ("HEIF", ".heic")])
def test_photos_come_in_whatever_they_are_called(kind: str, ending: str) -> None:
    looking.checked_upload(photo(), "warm-up.jpg")  # registers HEIC with Pillow
    found = checked_upload(photo(kind), "holiday.exe")
    assert found.ending == ending
    with Image.open(io.BytesIO(found.preview)) as preview:
        assert (preview.format, preview.size) == ("JPEG", (480, 360))


def test_a_phones_trailer_behind_the_photo_is_no_polyglot() -> None:
    trailer = b"\0\0SEFHk\0\0\0\x01\0\0\0SEFT" + bytes(range(256)) * 40
    assert checked_upload(photo() + trailer, "a.jpg").ending == ".jpg"


def test_a_preview_carries_nothing_of_the_file() -> None:
    exif = Image.Exif()
    exif[0x010E] = "the school's name"
    assert b"school" not in checked_upload(photo(exif=exif, comment=b"school"), "a.jpg").preview


def test_25_megabytes_are_the_most(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(looking, "MOST_BYTES", 5_000)
    with pytest.raises(UploadRefused, match="has more than 0 MB"):
        checked_upload(photo(), "a.jpg")


def test_200_megabytes_are_told_to_be_too_much(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    zeros = io.BytesIO(b"\xff\xd8\xff" + bytes(198_000_000))
    answer = teacher.post("/teacher/challenge/gull/photos", {"team": "1", "photos": (zeros, "a.jpg")})
    assert answer.status_code == 400
    assert "more than 25 MB" in answer.text
    length = {"CONTENT_LENGTH": "300000000"}
    headers = {"Content-Type": "multipart/form-data; boundary=x"}
    answer = teacher.client.post("/teacher/challenge/gull/photos", environ_overrides=length, headers=headers)
    assert answer.status_code == 413
    assert "a photo has at most 25 MB" in answer.text


def test_nobody_but_the_teacher_may_send_much(nobody: Browser) -> None:
    nobody.token()
    for address in ("/teacher/challenge/gull/photos", "/phone/photos"):
        big = {"csrf": "x", "photos": (io.BytesIO(bytes(3_000_000)), "a.jpg")}
        assert sent(nobody.client.post(address, data=big)).status_code == 413


def test_too_many_photos_or_none_or_no_team(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    address = "/teacher/challenge/gull/photos"
    many = [(io.BytesIO(b"x"), f"{number}.jpg") for number in range(9)]
    assert "one model takes at most 8" in teacher.post(address, {"team": "1", "photos": many}).text
    assert "No photo was chosen" in teacher.post(address, {"team": "1"}).text
    assert "Whose model" in teacher.post(address, {"photos": (io.BytesIO(photo()), "a.jpg")}).text
    assert "Whose model" in teacher.post(address, {"team": "30", "photos": (io.BytesIO(photo()), "a.jpg")}).text


TAGS = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)


def labelled(*teams: int) -> bytes:
    """A photo with teams' labels in it."""
    grey = np.full((900, 1200), 230, np.uint8)
    for at, team in enumerate(teams):
        tag = cv2.aruco.generateImageMarker(TAGS, team + 20, 160)
        grey[100:260, 100 + 300 * at : 260 + 300 * at] = tag
    return cv2.imencode(".jpg", cv2.cvtColor(grey, cv2.COLOR_GRAY2BGR))[1].tobytes()


def test_a_whole_class_is_sent_at_once_and_shared_out_by_the_labels_in_the_photos(
    teacher: Browser, house: Services
) -> None:
    house.challenges.save("gull", CHALLENGE)
    photos = {"a.jpg": labelled(4), "b.jpg": labelled(2), "c.jpg": labelled(4), "d.jpg": labelled()}
    photos |= {"e.jpg": labelled(1, 2), "f.jpg": labelled(29), "g.txt": b"x"}
    sent = [(io.BytesIO(content), name) for name, content in photos.items()]
    answer = teacher.post("/teacher/challenge/gull/photos", {"team": "label", "photos": sent})
    assert answer.status_code == 400
    assert "6 of 7 photos were taken in" in answer.text
    assert "g.txt" in answer.text
    jobs = house.jobs.of("gull")
    assert {job.team: job.given for job in jobs if job.team} == {"2": ("b.jpg",), "4": ("a.jpg", "c.jpg")}
    assert {job.given[0]: job.message for job in jobs if not job.team} == {
        "d.jpg": "No team label is in it.",
        "e.jpg": "The labels of teams 1 and 2 are in it.",
        "f.jpg": "Team 29's label is in it, and this class has no such team.",
    }
    right = {"team": "label", "photos": (io.BytesIO(labelled(3)), "a.jpg")}
    assert teacher.post("/teacher/challenge/gull/photos", right).status_code == 303


def test_one_bad_photo_keeps_all_of_its_model_out(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    both = [(io.BytesIO(photo()), "a.jpg"), (io.BytesIO(b"x"), "b.jpg")]
    answer = teacher.post("/teacher/challenge/gull/photos", {"team": "1", "photos": both})
    assert answer.status_code == 400
    assert "b.jpg" in answer.text
    assert house.jobs.of("gull") == []


@pytest.mark.parametrize(
    ("given", "shown"),
    [("a.jpg", "a.jpg"), ("a\x00\x1b[31m.jpg", "a[31m.jpg"), ("x" * 99 + ".jpg", "x" * 40 + "…" + "x" * 11 + ".jpg")],
)
def test_names_are_shown_harmless_and_short(given: str, shown: str) -> None:
    assert shown_name(given) == shown


def test_photos_lie_under_names_of_our_own_and_only_the_preview_is_served(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    sent = {"team": "2", "photos": (io.BytesIO(photo()), "<b>me.jpg")}
    assert teacher.post("/teacher/challenge/gull/photos", sent).status_code == 303
    (job,) = house.jobs.of("gull")
    assert [file.name for file in house.jobs.photos(job.id)] == ["photo-1.jpg"]
    preview = teacher.get(f"/teacher/job/{job.id}/preview.jpg")
    assert preview.mimetype == "image/jpeg"
    assert preview.headers["X-Content-Type-Options"] == "nosniff"
    preview.close()
    assert "<b>me" not in teacher.text("/teacher/challenge/gull/photos")


class TestPhone:
    def _key(self, house: Services) -> str:
        house.challenges.save("gull", CHALLENGE)
        return house.upload_keys.make("gull")

    def test_a_phone_sends_photos_with_the_codes_address_and_sees_nothing_else(
        self, nobody: Browser, house: Services
    ) -> None:
        key = self._key(house)
        assert "Use this phone" in nobody.text(f"/phone/key/{key}")
        assert nobody.post(f"/phone/key/{key}").location == "/phone/photos"
        sent = {"team": "2", "photos": (io.BytesIO(photo()), "a.jpg")}
        assert nobody.post("/phone/photos", sent).status_code == 303
        assert [job.team for job in house.jobs.of("gull")] == ["2"]
        assert nobody.get("/teacher/").status_code == 302
        assert nobody.get("/teacher/challenge/gull/photos").status_code == 302

    def test_a_code_works_once(self, app: Any, nobody: Browser, house: Services) -> None:
        key = self._key(house)
        nobody.post(f"/phone/key/{key}")
        other = Browser(app.test_client(), house)
        assert other.get(f"/phone/key/{key}").status_code == 403
        assert other.post(f"/phone/key/{key}").status_code == 403
        assert other.get("/phone/photos").status_code == 403

    def test_a_code_and_a_phones_leave_end(
        self, nobody: Browser, house: Services, monkeypatch: pytest.MonkeyPatch
    ) -> None:
        key = self._key(house)
        later = __import__("time").time() + 3600
        nobody.post(f"/phone/key/{self._key(house)}")
        monkeypatch.setattr("time.time", lambda: later)
        assert nobody.get(f"/phone/key/{key}").status_code == 403
        assert nobody.get("/phone/photos").status_code == 200
        later += 4 * 3600
        assert nobody.get("/phone/photos").status_code == 403

    def test_without_sharing_there_is_no_code(self, teacher: Browser, house: Services) -> None:
        house.challenges.save("gull", CHALLENGE)
        answer = teacher.post("/teacher/challenge/gull/phone")
        assert answer.status_code == 409
        assert "Let phones in under Settings" in answer.text
