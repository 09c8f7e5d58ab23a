"""No page, and no PDF that is made on one, speaks of commands, of their options or of challenges' files."""

from __future__ import annotations

import ast
import html
import io
import re
import zipfile
from collections.abc import Iterator
from pathlib import Path

import pypdfium2
import pytest
from flask import Flask

import tapeplat.page
from measure.challenge import parse_challenge
from measure.errors import InputMistakes, Mistake
from tapeplat.archive.archive_pages import readme
from tapeplat.archive.export import PARTS
from tapeplat.page.base.mistake_places import placed_mistakes
from tapeplat.page.base.page_words import without_commands
from tapeplat.page.base.reach import Reach
from tapeplat.page.jobs.upload_check import UploadedPhoto
from tapeplat.page.session.services import Services
from tests.helpers.page.browser import CHALLENGE, Browser
from tests.helpers.page.student_world import ENTRY, SLUG, file_attempt, joined, open_all
from tests.helpers.paths import SAMPLES

COMMANDS = re.compile(
    r"(?<![\w-])--\w|\btapeplat [a-z]+|\.toml\b|[Cc]ommand line|\b[Tt]erminal\b|\b(?:a|the|your) shell\b"
)
SAID = re.compile(r'(?:title|alt|placeholder|aria-label)="([^"]*)"')
LINK = re.compile(r'(?:href|src|action|data-address)="(/[^"]*)"')
BROKEN = CHALLENGE.replace('market is at least 4 cm from dock"', 'market is at least 4 kumquats from dock"')


def words_of(page: str) -> str:
    """What somebody reads or hears of a page."""
    heard = " ".join(SAID.findall(page))
    seen = re.sub(r"<(script|style)\b.*?</\1>|<[^>]+>", " ", page, flags=re.DOTALL)
    return html.unescape(f"{seen} {heard}")


def pdf_words(content: bytes) -> str:
    document = pypdfium2.PdfDocument(io.BytesIO(content))
    try:
        return "\n".join(page.get_textpage().get_text_range() for page in document)
    finally:
        document.close()


def walked(browser: Browser, starts: list[str]) -> Iterator[tuple[str, str]]:
    """Every page and PDF that links lead to, with its words."""
    waiting, seen = list(starts), set(starts)
    while waiting:
        path = waiting.pop()
        answer = browser.client.get(path)
        kind, content = answer.mimetype, answer.data
        answer.close()
        if kind == "application/pdf":
            yield path, pdf_words(content)
        if kind != "text/html" or path.startswith("/static"):
            continue
        page = content.decode()
        yield path, words_of(page)
        for link in {html.unescape(link).partition("#")[0] for link in LINK.findall(page)} - seen:
            if not re.search(r"/(?:static|sign-out|start)\b", link):
                seen.add(link)
                waiting.append(link)


def commands_in(found: Iterator[tuple[str, str]]) -> list[str]:
    return [
        f"{path}: {words[max(0, at.start() - 40) : at.end() + 40]}"
        for path, words in found
        for at in COMMANDS.finditer(words)
    ]


@pytest.fixture
def full(house: Services, app: Flask, tmp_path: Path) -> Services:
    """A page with something of everything: measured, refused, waiting, broken, old, numbers, plans."""
    joined(app, house, 3)
    open_all(house)
    entry = file_attempt(house, tmp_path)
    file_attempt(house, tmp_path / "again")
    house.archive.remove(file_attempt(house, tmp_path / "removed", team="4").id)
    (file_attempt(house, tmp_path / "damaged", team="5").folder / "result.json").write_text("{", "utf-8")
    house.challenges.create("Broken Bay", BROKEN)
    house.challenges.save("text-only", "title = “Odd Quotes”\n")
    photo = UploadedPhoto((SAMPLES / "quarry-lake-1.jpg").read_bytes(), ".jpg", "a.jpg", b"")
    for state, message in (("refused", "No card is in it."), ("failed", "It took too long."), ("waiting", "")):
        number = house.jobs.add(SLUG, "3", [photo], "teacher")
        house.jobs.finish(number, state, message)  # type: ignore[arg-type]
    assert entry.attempt == 1
    return house


@pytest.mark.parametrize("shared", [False, True])
def test_no_page_of_the_teachers_speaks_of_commands(full: Services, teacher: Browser, shared: bool) -> None:
    full.reach.listen = lambda host: None
    if shared:
        full.reach.address = "http://192.0.2.7:8417"
    starts = ["/teacher/", "/teacher/challenge/text-only", f"/teacher/challenge/{SLUG}/sheets.pdf?teams=4"]
    found = dict(walked(teacher, starts))
    assert {"/teacher/settings", "/teacher/archive", "/teacher/camera"} <= set(found)
    assert len(found) > 30
    assert sum(path.endswith("pdf") or ".pdf?" in path for path in found) >= 3, sorted(found)
    assert commands_in(iter(found.items())) == []


def test_no_answer_to_a_change_speaks_of_commands(full: Services, teacher: Browser) -> None:
    noise = (io.BytesIO((SAMPLES / "quarry-lake-1.jpg").read_bytes()), "a.jpg")
    asked: list[tuple[str, dict[str, object]]] = [
        (f"/teacher/challenge/{SLUG}/phone", {}),
        ("/teacher/upload", {}),
        ("/teacher/camera/check", {"photos": noise}),
        (f"/teacher/challenge/{SLUG}/text", {"text": BROKEN}),
        (f"/teacher/challenge/{SLUG}/text", {"text": "title = "}),
        (f"/teacher/challenge/{SLUG}/photos", {"team": "1", "photos": (io.BytesIO(b"x"), "b.jpg")}),
        ("/teacher/settings/share", {"share": "yes"}),
        ("/teacher/settings/check", {}),
        ("/teacher/archive/expire", {"months": "1"}),
    ]
    answers = [(path, teacher.post(path, data, follow_redirects=True)) for path, data in asked]
    assert {answer.status_code for _, answer in answers} <= {200, 400, 409}
    assert commands_in((path, words_of(answer.text)) for path, answer in answers) == []
    broken = teacher.client.get("/teacher/challenge/broken-bay/photos")
    assert broken.status_code == 409
    assert "Rule 2: " in words_of(broken.text)
    assert commands_in(iter([("broken", words_of(broken.text))])) == []


def test_no_page_of_the_students_or_of_a_phone_speaks_of_commands(app: Flask, full: Services, nobody: Browser) -> None:
    pupil = joined(app, full, 3)
    for value in ("10", "100", "a lot"):
        assert pupil.post("/class/measure", {**ENTRY, "value": value}).status_code in (303, 400)
    found = dict(walked(pupil, ["/class/home", "/class/code", "/class/team", "/sign-in", "/nowhere"]))
    assert {"/class/plan", "/class/measure", "/class/results"} <= set(found)
    assert commands_in(iter(found.items())) == []
    phone = f"/phone/key/{full.upload_keys.make(SLUG)}"
    assert commands_in(walked(nobody, [phone, "/phone/photos"])) == []


def test_no_file_that_is_handed_on_speaks_of_commands(full: Services, teacher: Browser) -> None:
    parts = "&".join(f"part={part}" for part in PARTS)
    answer = teacher.get(f"/teacher/archive/export.zip?of={full.classes.of(SLUG).id}&{parts}")
    packed = zipfile.ZipFile(io.BytesIO(answer.data))
    texts = {name: packed.read(name).decode() for name in packed.namelist() if not name.endswith((".png", ".jpg"))}
    assert sum(name.endswith("index.html") for name in texts) >= 2
    assert any(name.endswith("result.json") for name in texts)
    texts["README.txt"] = readme().decode().replace("challenge.toml", "")  # a file of that name lies beside it
    for name in ("class", "class-rules"):
        texts[name] = teacher.text(f"/teacher/challenge/{SLUG}/{name}.csv")
    texts["hand"] = teacher.text(f"/teacher/challenge/{SLUG}/numbers/hand.csv")
    named = ((name, words.replace("challenge.toml", "")) for name, words in texts.items())
    assert commands_in((name, words_of(words) if name.endswith(".html") else words) for name, words in named) == []
    assert "sha256sum" not in texts["README.txt"]


TEMPLATES = sorted((Path(tapeplat.page.__file__).parent / "templates").rglob("*.html"))
SCRIPTS = sorted((Path(tapeplat.page.__file__).parent / "static").rglob("*.js"))


@pytest.mark.parametrize("file", [*TEMPLATES, *SCRIPTS], ids=lambda file: file.stem)
def test_no_template_and_no_script_speaks_of_commands(file: Path) -> None:
    text = re.sub(r"\{#.*?#\}|/\*.*?\*/|(?<!:)//[^\n]*", "", file.read_text("utf-8"), flags=re.DOTALL)
    said = re.findall(r"\"[^\"\n]*\"|'[^'\n]*'|`[^`]*`", text) if file.suffix == ".js" else [text]
    plain = (re.sub(r"var\(--[\w-]+|^[\"'`]--[\w-]+[\"'`]$|accept=\"\.toml\"|<!--|-->", "", words) for words in said)
    assert commands_in((file.name, words) for words in plain) == []


IN_A_WINDOW = {"page/serving", "page/session/passphrase", "page/base/process_lock"}
"""What these say is printed where `tapeplat serve` was typed."""
FILTERED = {"paper/book", "paper/sheets/photo_sheet"}
"""Refusals, of which `without_commands` takes out what a page does not show."""
SHOWN = ("page/", "wording/", "output/", "annotate/", "reports/", "paper/", "archive/archive_pages")
"""Whose texts stand on pages, in PDFs and in what is handed on."""


def test_no_text_that_a_page_or_a_pdf_shows_speaks_of_commands() -> None:
    found: dict[str, list[str]] = {}
    root = Path(tapeplat.__file__).parent
    for file in sorted(root.rglob("*.py")):
        name = file.relative_to(root).with_suffix("").as_posix()
        if name.startswith(SHOWN) and name not in IN_A_WINDOW | FILTERED:
            texts = texts_in(ast.parse(file.read_text("utf-8")))
            found[name] = [text for text in texts if COMMANDS.search(re.sub(r"[\w-]*\.toml\b(?!, line)", "", text))]
    assert len(found) > 50
    assert {name: texts for name, texts in found.items() if texts} == {}


def texts_in(tree: ast.Module) -> list[str]:
    """The strings of a module that are not its docstrings."""
    stray = {id(part.value) for part in ast.walk(tree) if isinstance(part, ast.Expr)}
    strings = (part for part in ast.walk(tree) if isinstance(part, ast.Constant) and id(part) not in stray)
    return [part.value for part in strings if isinstance(part.value, str)]


def test_mistakes_are_told_by_rule_and_zone(teacher: Browser, house: Services) -> None:
    house.challenges.create("Broken Bay", BROKEN.replace("swatch = 2", "swatch = 12"))
    page = words_of(teacher.text("/teacher/challenge/broken-bay"))
    assert re.search(r"Rule 2: .*kumquats", page)
    assert re.search(r"Zone dock: ", page)
    assert "line " not in page
    text = words_of(teacher.text("/teacher/challenge/broken-bay/text"))
    assert re.search(r"Line 5 \(rule 2\): ", text)


def test_rules_in_one_line_are_named_together() -> None:
    rules = 'title = "A"\nunit = "cm"\nrules = ["there is a dock", "there is a mole"]\n'
    text = rules + '[parcel]\nwidth = 3\ndepth = 4\n[[zone]]\nname = "dock"\nswatch = 1\n'
    with pytest.raises(InputMistakes) as wrong:
        parse_challenge(text)
    assert placed_mistakes(wrong.value.mistakes, text)[0].startswith("The rules: ")
    assert placed_mistakes([Mistake("x.toml, line 3", "odd", number=3)], "title = “A”")[0] == "Line 3: odd"


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("nothing of the kind; at all.", "nothing of the kind; at all."),
        ("make it anew (tapeplat lens --list says where it is)", "make it anew"),
        ("Other shapes may do it; try more --seconds.", "Other shapes may do it."),
        ("try more --seconds.", ""),
        ("lakeside.toml, line 6: nonsense", "line 6: nonsense"),
        ("A thing. Then name it with `--team NAME`, once. Another one.", "A thing. Another one."),
        ("a gap of 3 cm -- or more", "a gap of 3 cm -- or more"),
    ],
)
def test_what_can_only_be_typed_behind_a_command_is_left_out(said: str, left: str) -> None:
    assert without_commands(said) == left


def test_sharing_without_a_network_is_told(teacher: Browser, house: Services, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tapeplat.page.base.reach.own_names", lambda: iter(["harbour", "harbour.local"]))
    house.reach.listen = lambda host: None
    answer = teacher.post("/teacher/settings/share", {"share": "yes", "passphrase": "lantern harbour nine"})
    assert answer.status_code == 409
    assert "in no network" in answer.text
    assert isinstance(house.reach, Reach)
    assert house.reach.address == ""
