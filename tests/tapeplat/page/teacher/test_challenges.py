"""Challenges on the page: made, edited with each rule's reading, as text, copied, removed."""

from __future__ import annotations

import errno
import io
import os
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pypdfium2
import pytest
from docx import Document
from hypothesis import given
from hypothesis import strategies as st
from werkzeug.datastructures import MultiDict

from measure.challenge import parse_challenge, read_challenge
from tapeplat.page.challenge.challenge_checking import checked
from tapeplat.page.challenge.challenge_fields import ChallengeFields, ZoneFields, from_browser, from_text
from tapeplat.page.challenge.challenge_writing import written
from tapeplat.page.session.services import Services
from tapeplat.page.store.challenges import Challenges
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.paths import SAMPLES

CHALLENGES = sorted(SAMPLES.glob("*.toml"))
ZONE = dict.fromkeys(("tile", "aliases", "place_x", "place_y", "place_within", "size_x", "size_y", "size_within"), "")
LINE = dict.fromkeys(("name", "told", "aliases", "made_of", "height", "cost", "was"), "")


def form(**changes: object) -> MultiDict[str, str]:
    """What a browser sends for a small challenge."""
    said: list[tuple[str, str]] = []
    top = {"title": "Gull Point", "unit": "cm", "width": "40", "depth": "30 1/2", "thickness": "", "surface": "parcel"}
    top |= {"line_along": "", "line_up": "", "tape_edge": "middle", "numbers": "percent", "touch_gap": "", "allow": ""}
    zones = [("market", "1"), ("dock", "2")]
    rules = ["market covers at most 1/5 of the parcel", "market is at least 4 cm from dock"]
    said += [(name, str(changes.get(name, value))) for name, value in top.items()]
    for name, swatch in changes.get("zones", zones):  # type: ignore[attr-defined]
        row = {"name": name, "swatch": swatch, "kind": "zone", "was": "", **ZONE}
        said += [(f"zone_{key}", value) for key, value in row.items()]
    for line in changes.get("lines", ()):  # type: ignore[attr-defined]
        said += [(f"line_{key}", value) for key, value in (LINE | line).items()]
    said += [("rule", rule) for rule in changes.get("rules", rules)]  # type: ignore[attr-defined]
    return MultiDict(said)


def test_a_challenge_is_made_from_the_form(teacher: Browser, house: Services) -> None:
    answer = teacher.post("/teacher/new", form().to_dict(flat=False))
    assert answer.location == "/teacher/challenge/gull-point"
    made = read_challenge(house.challenges.folder / "gull-point.toml")
    assert (made.parcel.width, made.parcel.depth) == (400, 305)
    assert [zone.name for zone in made.zones] == ["market", "dock"]
    assert "the area of market is at most 20% of the parcel" in teacher.text("/teacher/challenge/gull-point")


def test_readings_come_as_one_types_and_a_mistake_stands_in_its_place(teacher: Browser) -> None:
    rules = ["market covers at most 1/5 of the parcel", "dock is big", "there is a markt"]
    found = teacher.post("/teacher/reading", form(rules=rules).to_dict(flat=False)).json
    assert found is not None
    first, second, third = found["readings"]
    assert "Read as: the area of market is at most 20% of the parcel" in first
    assert "big" in second
    assert "^^^" in second
    assert "did you mean “market”" in third
    assert "Everything here can be read" not in found["together"]


def test_what_is_refused_comes_with_buttons_that_write_what_would_do(teacher: Browser) -> None:
    rules = ["Nobody likes 2 noises, so no piece of dock touches market", "nice market"]
    found = teacher.post("/teacher/reading", form(rules=rules).to_dict(flat=False)).json
    assert found is not None
    first, second = found["readings"]
    assert 'data-write="no piece of dock touches market"' in first
    assert "this leaves out “Nobody likes 2 noises, so”" in first
    assert 'data-write="by eye: nice market"' in second


def test_rules_are_read_while_other_fields_are_still_empty(teacher: Browser) -> None:
    found = teacher.post("/teacher/reading", form(title="", width="").to_dict(flat=False)).json
    assert found is not None
    assert all("Read as" in reading for reading in found["readings"])


def test_what_is_allowed_is_a_field_and_stands_in_the_readings(teacher: Browser, house: Services) -> None:
    rules = ["market covers exactly 1/5 of the parcel", "there is a dock"]
    sent = form(allow="2 mm", rules=rules).to_dict(flat=False)
    readings = teacher.post("/teacher/reading", sent).json["readings"]  # type: ignore[index]
    assert "exactly 20% of the parcel (2 mm allowed)" in readings[0]
    assert "allowed" not in readings[1]
    assert teacher.post("/teacher/new", sent).status_code == 302
    assert read_challenge(house.challenges.folder / "gull-point.toml").rules[0].reads_as().endswith("(2 mm allowed)")
    assert "(2 mm allowed)" in teacher.text("/teacher/challenge/gull-point")
    assert 'value="2 mm"' in teacher.text("/teacher/challenge/gull-point/edit")


def test_what_is_allowed_of_kinds_and_single_rules_stays_as_the_file_has_it() -> None:
    text = CHALLENGE.replace("[parcel]", '[allow]\nevery = "2%"\ndistance = "3 mm"\n\n[parcel]', 1)
    fields = from_text(text)
    assert fields.allow == "2%"
    assert written(fields, text) == text
    assert 'every = "1%"\ndistance = "3 mm"' in written(replace(fields, allow="1%"), text)


def test_contradictions_are_told_together(teacher: Browser) -> None:
    rules = ["market covers at least 1/2 of the parcel", "market covers at most 1/5 of the parcel"]
    found = teacher.post("/teacher/reading", form(rules=rules).to_dict(flat=False)).json
    assert found is not None
    assert "contradict each other" in found["together"]


LINES = """
# strings
[[line]]
name = "road"
swatch = 4
made_of = ["drawn stroke", "tape strip"]
cost = 2.5  # a cm

[[line]]
name = "power line"
colour = "black"
height = 0.5
"""


def test_lines_are_rows_and_their_text_stays_as_it_was() -> None:
    text = CHALLENGE + LINES
    fields = from_text(text)
    road, power = fields.lines
    assert (road.told, road.made_of, road.cost) == ("4", "drawn stroke, tape strip", "2.5")
    assert (power.told, power.height) == ("black", "0.5")
    assert written(fields, text) == text
    renamed = written(replace(fields, lines=(replace(road, name="street", told="grey"), power)), text)
    made = parse_challenge(renamed).lines
    assert [(line.name, line.swatch, line.colour, line.aliases) for line in made] == [
        ("street", None, "grey", ("road",)), ("power line", None, "black", ()),
    ]  # fmt: skip
    assert "cost = 2.5  # a cm" in renamed
    both = text.replace("swatch = 4", 'swatch = 4\ncolour = "grey"')
    assert from_text(both).lines[0].told == ""
    assert written(from_text(both), both) == both
    assert "a swatch and a colour" in " ".join(checked(from_text(both), both).wrong["line_0_told"])


def test_a_line_is_made_in_the_form_and_its_rules_are_read(teacher: Browser, house: Services) -> None:
    road = {"name": "road", "told": "3", "cost": "2 1/2"}
    sent = form(lines=[road], rules=["the road joins market and dock", "the road is at most 12 cm long"]).to_dict(
        flat=False
    )
    readings = teacher.post("/teacher/reading", sent).json["readings"]  # type: ignore[index]
    assert "road joins market and dock" in readings[0]
    assert "the length of road is at most 12 cm" in readings[1]
    assert teacher.post("/teacher/new", sent).status_code == 302
    (made,) = read_challenge(house.challenges.folder / "gull-point.toml").lines
    assert (made.name, made.swatch, made.cost) == ("road", 3, 2.5)
    assert "<td>road</td>" in teacher.text("/teacher/challenge/gull-point").replace("</td>\n", "</td>")
    more = teacher.post("/teacher/challenge/gull-point/edit", {**sent, "do": "line", "line_was": "road"}).text
    assert more.count('name="line_name"') == 3  # the road's, the new one, and that in the template


def test_what_is_typed_is_escaped(teacher: Browser) -> None:
    found = teacher.post("/teacher/reading", form(rules=["<script>alert(1)</script> covers"]).to_dict(flat=False)).json
    assert found is not None
    assert "<script>" not in found["readings"][0]
    page = teacher.post("/teacher/new", form(title='"><script>alert(1)</script>', width="x").to_dict(flat=False)).text
    assert "<script>alert" not in page


@pytest.mark.parametrize(
    ("changes", "field", "message"),
    [
        ({"width": "wide"}, "width", "is not a number"),
        ({"width": "-3"}, "width", "must be more than 0"),
        ({"title": ""}, "title", "Give the challenge a name"),
        ({"zones": [("market", "1"), ("Market", "2")]}, "zone_1_name", "used twice"),
        ({"zones": [("market", "1"), ("dock", "1")]}, "zone_1_swatch", "same tape"),
        ({"surface": "table"}, "surface", "thickness"),
        ({"line_along": "12"}, "line_along", "near 100 mm"),
        ({"lines": [{"told": "black"}]}, "line_0_name", "Give the line a name"),
        ({"lines": [{"name": "road"}]}, "line_0_name", "neither a swatch nor a colour"),
        ({"lines": [{"name": "road", "told": "2"}]}, "line_0_told", "Box 2 holds the tape or piece of zone dock"),
        ({"lines": [{"name": "dock", "told": "3"}]}, "line_0_name", "used twice"),
        ({"lines": [{"name": "road", "told": "3", "made_of": "yarns"}]}, "line_0_made_of", 'Made of is "yarns"'),
        ({"lines": [{"name": "road", "told": "3", "cost": "much"}]}, "line_0_cost", "is not a number"),
        ({"allow": "2"}, "allow", "a length with its unit or a per cent"),
    ],
)
def test_mistakes_stand_beside_their_field(changes: dict[str, object], field: str, message: str) -> None:
    found = checked(from_browser(form(**changes)))
    assert found.challenge is None
    assert message in " ".join(found.wrong[field])


def test_a_draft_with_mistakes_is_kept_but_never_over_a_sound_challenge(teacher: Browser, house: Services) -> None:
    assert teacher.post("/teacher/new", form(width="wide").to_dict(flat=False)).status_code == 302
    stored = house.challenges.get("gull-point")
    assert stored is not None
    assert stored.challenge is None
    assert "Not ready yet" in teacher.text("/teacher/challenge/gull-point")
    assert 'value="wide"' in teacher.text("/teacher/challenge/gull-point/edit")
    house.challenges.save("sound", CHALLENGE)
    refused = teacher.post("/teacher/challenge/sound/edit", form(width="wide").to_dict(flat=False))
    assert refused.status_code == 400
    assert 'value="wide"' in refused.text
    assert house.challenges.text("sound") == CHALLENGE


def test_without_a_script_buttons_add_rows_and_show_readings(teacher: Browser) -> None:
    page = teacher.post("/teacher/new", {**form().to_dict(flat=False), "do": "rule"}).text
    assert page.count('name="rule"') == 3 + 1  # with the row that the script copies
    assert "Read as" in page
    assert teacher.post("/teacher/new", {**form().to_dict(flat=False), "do": "zone"}).text.count("zone_name") == 3 + 1


@pytest.mark.parametrize("sample", CHALLENGES, ids=[path.stem for path in CHALLENGES])
def test_a_file_that_the_form_only_shows_stays_as_it_is(sample: Path) -> None:
    text = sample.read_text(encoding="utf-8")
    assert written(from_text(text), text) == text


def test_comments_and_keys_that_the_form_does_not_know_stay(teacher: Browser, house: Services) -> None:
    text = CHALLENGE.replace('name = "dock"', 'name = "dock"  # by the water\ntape_height = 0.2').replace(
        "[parcel]", "[priors]\nflatness = 0.5\n\n[parcel]  # foam board"
    )
    house.challenges.save("gull", text)
    fields = from_text(text)
    changed = written(ChallengeFields(**{**vars(fields), "width": "41"}), text)
    assert "# by the water" in changed
    assert "# foam board" in changed
    challenge = parse_challenge(changed)
    assert (challenge.parcel.width, challenge.priors.flatness, challenge.zones[1].tape_height) == (410, 0.5, 2)


def test_zones_keep_what_the_form_does_not_know_when_they_are_reordered_or_renamed() -> None:
    text = CHALLENGE + "tape_height = 0.2\n"
    fields = from_text(text)
    first, second = fields.zones
    swapped = ChallengeFields(**{**vars(fields), "zones": (ZoneFields(**{**vars(second), "name": "quay"}), first)})
    zones = tomllib.loads(written(swapped, text))["zone"]
    assert zones == [
        {"name": "quay", "swatch": 2, "tape_height": 0.2, "aliases": ["dock"]},
        {"name": "market", "swatch": 1},
    ]


words = st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=30).map(str.strip)


@given(title=words, name=words, rule=words, width=words)
def test_whatever_is_typed_is_written_as_toml_and_comes_back(title: str, name: str, rule: str, width: str) -> None:
    zones = (ZoneFields(name=name, swatch="1"),)
    fields = ChallengeFields(title=title, width=width, zones=zones, rules=(rule,))
    back = from_text(written(fields))
    assert back.title == title
    assert back.zones[0].name == name
    assert back.rules == (rule,)
    checked(fields)


def test_the_text_is_edited_with_all_mistakes_at_once(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    wrong = CHALLENGE.replace("width = 40", "widht = 40").replace("swatch = 2", "swatch = 12")
    refused = teacher.post("/teacher/challenge/gull/text", {"text": wrong})
    assert refused.status_code == 400
    assert "did you mean “width”" in refused.text
    assert "box of the card, 1 to 8" in refused.text
    assert "widht" in refused.text
    right = CHALLENGE.replace("width = 40", "width = 42")
    assert teacher.post("/teacher/challenge/gull/text", {"text": right.replace("\n", "\r\n")}).status_code == 302
    assert house.challenges.text("gull") == right


def test_a_file_is_taken_in_downloaded_copied_and_removed(teacher: Browser, house: Services) -> None:
    sent = {"file": (io.BytesIO(CHALLENGE.encode()), "../../x.toml")}
    assert teacher.post("/teacher/upload", sent).location == "/teacher/challenge/gull-point-harbour"
    answer = teacher.get("/teacher/challenge/gull-point-harbour.toml")
    assert answer.text == CHALLENGE
    assert answer.headers["Content-Disposition"].startswith("attachment")
    copied = teacher.post("/teacher/challenge/gull-point-harbour/copy").location
    assert copied == "/teacher/challenge/gull-point-harbour-2"
    assert teacher.post(f"{copied}/remove").status_code == 302
    assert teacher.get(copied).status_code == 404
    assert (house.challenges.folder / "removed" / "gull-point-harbour-2-1.toml").is_file()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe\x00", b"no toml at all", b"x" * 300_000])
def test_what_is_no_challenge_file_is_refused(teacher: Browser, content: bytes) -> None:
    answer = teacher.post("/teacher/upload", {"file": (io.BytesIO(content), "x.toml")})
    assert answer.status_code in (400, 413)
    assert 'role="alert"' in answer.text


@pytest.mark.parametrize("slug", ["..", "../page", "a/b", "A", "", "-a", "a" * 70, "x.toml"])
def test_only_plain_names_are_files(tmp_path: Path, slug: str) -> None:
    shelf = Challenges(tmp_path / "challenges")
    (tmp_path / "page.toml").write_text("secret = 1", encoding="utf-8")
    assert shelf.file(slug) is None
    with pytest.raises(ValueError, match="no name"):
        shelf.save(slug, "x")


def test_sheets_are_a_pdf_of_what_was_chosen(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    assert "Corner tiles" in teacher.text("/teacher/challenge/gull/sheets")
    answer = teacher.get("/teacher/challenge/gull/sheets.pdf?paper=a4&teams=4&only=card")
    assert answer.mimetype == "application/pdf"
    assert answer.data.startswith(b"%PDF-")
    assert teacher.get("/teacher/challenge/gull/sheets.pdf?paper=a5").status_code == 400
    assert teacher.get("/teacher/challenge/gull/sheets.pdf?only=nosuch").status_code == 400
    assert teacher.get("/teacher/challenge/gull/sheets.pdf?set=ticked").status_code == 400
    assert teacher.get("/teacher/challenge/gull/sheets.pdf?set=nosuch").status_code == 400


def test_pages_and_ink_are_counted_before_printing(teacher: Browser, house: Services) -> None:
    """What the page says of a set is what the file has, copies and all."""
    house.challenges.save("gull", CHALLENGE)
    page = teacher.text("/teacher/challenge/gull/sheets?teams=3&paper=a4")
    found = re.search(r"What a class needs: (\d+) pages</strong>, (\d+) for each team, ink as for about", page)
    assert found
    alone = {}
    for name in ("slim", "team", "class"):
        answer = teacher.get(f"/teacher/challenge/gull/sheets.pdf?set={name}&teams=3&paper=a4&only=lens")
        alone[name] = len(pypdfium2.PdfDocument(answer.data))
    assert alone["team"] == int(found[2]) <= 8
    assert alone["slim"] == 1 + alone["team"] + alone["class"] - 1  # each file of the class begins with its contents
    card_and_spare = 1
    assert int(found[1]) == alone["class"] + 3 * alone["team"] + card_and_spare


def test_the_unit_kit_is_a_document_and_a_pdf(teacher: Browser, nobody: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE)
    assert "Unit kit" in teacher.text("/teacher/challenge/gull/sheets")
    document = Document(io.BytesIO(teacher.get("/teacher/challenge/gull/kit.docx?teams=3&paper=a4").data))
    assert "Shopping and cutting list" in [paragraph.text for paragraph in document.paragraphs]
    assert teacher.get("/teacher/challenge/gull/kit.pdf").data.startswith(b"%PDF-")
    assert teacher.get("/teacher/challenge/gull/kit.txt").status_code == 404
    assert nobody.get("/teacher/challenge/gull/kit.docx").status_code == 302


def test_a_challenge_with_mistakes_is_not_used(teacher: Browser, house: Services) -> None:
    house.challenges.save("gull", CHALLENGE.replace("width", "widht"))
    assert teacher.get("/teacher/challenge/gull/sheets").status_code == 409
    assert teacher.get("/teacher/challenge/gull/photos").status_code == 409


@pytest.mark.parametrize("way", ["edit", "text"])
def test_two_teachers_do_not_overwrite_each_other_unawares(teacher: Browser, house: Services, way: str) -> None:
    house.challenges.save("gull", CHALLENGE)
    address = f"/teacher/challenge/gull/{way}"
    seen = re.search(r'name="seen" value="(\w+)"', teacher.text(address))
    assert seen is not None
    other = CHALLENGE.replace("at least 4 cm", "at least 6 cm")
    house.challenges.save("gull", other)
    mine = {**form().to_dict(flat=False), "text": CHALLENGE.replace("at least 4 cm", "at least 9 cm")}
    answer = teacher.post(address, {**mine, "seen": seen[1]})
    assert answer.status_code == 409
    assert "somebody else saved this challenge" in answer.text
    assert house.challenges.text("gull") == other
    if way == "edit":
        assert "Saved, and not here: market is at least 6 cm from dock" in answer.text
        assert "Here, and not saved: market is at least 4 cm from dock" in answer.text
        assert "Depth: saved is 30, here stands 30 1/2." in answer.text
    now = re.search(r'name="seen" value="(\w+)"', answer.text)
    assert now is not None
    assert teacher.post(address, {**mine, "seen": now[1]}).status_code == 302
    assert house.challenges.text("gull") != other


def test_another_unit_with_the_old_numbers_is_asked_about_once(teacher: Browser, house: Services) -> None:
    teacher.post("/teacher/new", form().to_dict(flat=False))
    address, before = "/teacher/challenge/gull-point/edit", house.challenges.text("gull-point")
    changed = form(unit="in").to_dict(flat=False)
    answer = teacher.post(address, changed)
    assert answer.status_code == 409
    assert "it was 40 × 30 1/2 cm and would be 40 × 30 1/2 in" in answer.text
    assert house.challenges.text("gull-point") == before
    assert teacher.post(address, {**changed, "unit_meant": "in"}).status_code == 302
    assert read_challenge(house.challenges.folder / "gull-point.toml").unit == "in"
    assert teacher.post(address, form(unit="cm", width="102", depth="77").to_dict(flat=False)).status_code == 302


@pytest.mark.parametrize("name", ["CON", "nul", "Lpt 1", "lpt1"])
def test_a_file_is_called_as_every_computer_can_call_one(house: Services, name: str) -> None:
    slug = house.challenges.create(name, CHALLENGE)
    assert slug.split("-")[0] not in {"con", "nul", "lpt1"}
    assert house.challenges.file(slug) is not None


def test_a_removed_challenge_comes_back_with_its_class(teacher: Browser, house: Services) -> None:
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)
    code = house.classes.of(slug).code
    assert "Removed challenges" not in teacher.text("/teacher/")
    teacher.post(f"/teacher/challenge/{slug}/remove")
    assert house.challenges.get(slug) is None
    page = teacher.text("/teacher/")
    assert "Removed challenges" in page
    assert f'action="/teacher/challenge/{slug}/bring-back"' in page
    assert teacher.post("/teacher/challenge/nothing/bring-back").status_code == 404
    assert teacher.post(f"/teacher/challenge/{slug}/bring-back").status_code == 302
    assert house.challenges.text(slug) == CHALLENGE
    assert house.classes.of(slug).code == code
    assert "Removed challenges" not in teacher.text("/teacher/")
    assert teacher.post(f"/teacher/challenge/{slug}/bring-back").status_code == 404


def test_a_full_disk_leaves_no_half_written_challenge(house: Services, monkeypatch: pytest.MonkeyPatch) -> None:
    slug = house.challenges.create("Gull Point Harbour", CHALLENGE)

    def full(_: int) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        house.challenges.save(slug, CHALLENGE + "# more\n")
    assert [file.name for file in house.challenges.folder.iterdir()] == [f"{slug}.toml"]
    assert house.challenges.text(slug) == CHALLENGE
