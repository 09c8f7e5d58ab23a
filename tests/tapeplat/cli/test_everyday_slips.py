"""What a new user types by mistake, and what is said: one message, exit code 2, and the line that was meant."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from measure.result.result import result_text
from tapeplat.cli.main import main
from tests.helpers.made.results import ordinary
from tests.helpers.paths import SAMPLES

HAND = "team,who,zone,piece,quantity,other,value,unit,method,division\n3,,library,,area,,20,in,squares,1\n"
TABLE = "team,zone,solid,length,width,height,diameter,unit,count,division\n3,library,box,1,1,1,,in,1,1/8\n"


@pytest.fixture
def desk(tmp_path: Path, monkeypatch) -> Path:
    """A folder as a teacher has it after the first lesson."""
    shutil.copy(SAMPLES / "quarry-lake-4.toml", tmp_path / "quarry.toml")
    shutil.copy(SAMPLES / "quarry-lake-4.jpg", tmp_path / "photo.jpg")
    for folder in ("photos", "team-3", "empty"):
        (tmp_path / folder).mkdir()
    (tmp_path / "photos" / "3.jpg").write_bytes(b"\xff\xd8\xff")
    (tmp_path / "team-3" / "result.json").write_text(result_text(ordinary()), "utf-8")
    shutil.copy(SAMPLES / "quarry-lake-4.jpg", tmp_path / "-photo.jpg")
    for name, text in (("hand.csv", HAND), ("structures.csv", TABLE), ("plat.svg", "<svg/>"), ("notes.xlsx", "PK\3\4")):
        (tmp_path / name).write_text(text)
    monkeypatch.chdir(tmp_path)
    return tmp_path


SLIPS = [
    ("measure photo.jpg quarry.toml --out o", "tapeplat measure quarry.toml photo.jpg --out o"),
    ("measure --out o photo.jpg quarry.toml", "tapeplat measure --out o quarry.toml photo.jpg"),
    ("measure quarry.toml photos --out o", "photos is a folder of photos, where a photo belongs; name the photos"),
    ("measure quarry.toml photo.jpeg --out o", "there is no file photo.jpeg; did you mean photo.jpg?"),
    ("measure quary.toml photo.jpg --out o", "there is no file quary.toml; did you mean quarry.toml?"),
    ("measure quarry.toml photo.jpg —out o", "tapeplat measure quarry.toml photo.jpg --out o"),
    ("measure quarry.toml “photo.jpg” --out o", "did you mean photo.jpg?"),
    ("measure quarry.toml photo.jpg --structures hand.csv --out o", "where the table of structures belongs"),
    ("class photos quarry.toml", "tapeplat class quarry.toml photos"),
    ("class quarry.toml photo.jpg", "photo.jpg is a photo or picture, where the folder of photos belongs"),
    ("check quarry.toml plat.svg", "plat.svg is a drawing (SVG), where the plat belongs; give the result.json"),
    ("check team-3 quarry.toml", "tapeplat check quarry.toml team-3"),
    ("verify hand.csv team-3", "tapeplat verify team-3 hand.csv"),
    ("verify team-3 structures.csv", "that table goes behind --structures"),
    ("verify team-3 notes.xlsx", "in the spreadsheet choose Save as, and the type CSV"),
    ("report photos --out wall.pdf", "there is no result.json in it; tapeplat class measures a folder of photos"),
    ("people photo.jpg --per 12", "photo.jpg is a photo or picture, where a result belongs"),
    ("sheets team-3/result.json --out x.pdf", "team-3/result.json is a result, where the challenge belongs"),
    ("rules photo.jpg", "photo.jpg is a photo or picture, where the challenge belongs"),
    ("solvable team-3", "team-3 is a result's folder, where the challenge belongs"),
    ("lens quarry.toml", "quarry.toml is a challenge, where a photo belongs"),
    ("mesure quarry.toml photo.jpg", 'there is no command "mesure". Did you mean tapeplat measure?'),
    ("print quarry.toml", "Did you mean tapeplat sheets?"),
    ("compare team-3.1 team-3.2", "Did you mean tapeplat archive compare?"),
    ("help measure", "Did you mean tapeplat measure --help?"),
    ("archive help show", "Did you mean tapeplat archive show --help?"),
    ("archive lst", "Did you mean tapeplat archive list?"),
    ("photo.jpg", "a command comes first, as in tapeplat measure CHALLENGE PHOTO --out FOLDER"),
    ("measure quarry.toml photo.jpg", "tapeplat measure quarry.toml photo.jpg --out results"),
    (
        "sheets quarry.toml",
        "--out is missing, which says where to write. Did you mean:\n  tapeplat sheets quarry.toml --out",
    ),
    ("archive export team-3.1", "tapeplat archive export team-3.1 --out attempts.zip"),
    ("measure quarry.toml photo.jpg --ouT o", "--out"),
    ("measure quarry.toml photo.jpg -out o", "tapeplat measure quarry.toml photo.jpg --out o"),
    ("sheets quarry.toml --out sheets.txt", "the name ends in .pdf: sheets.pdf"),
    ("class quarry.toml nowhere", "there is no folder nowhere"),
    ("verify team-3 missing.csv", "tapeplat verify --template CHALLENGE writes an empty table"),
    ("verify team-3", "name the CSV file with the hand measurements behind the results"),
    ("serve --port abc", "abc is no whole number from 1 to 65535"),
    ("measure photo.jpg quarry.toml empty", "tapeplat measure quarry.toml photo.jpg --out empty"),
    ("measure photo.jpg quarry.toml", "tapeplat measure quarry.toml photo.jpg --out results"),
    ("measure quarry.toml photo.jpg --out photo.jpg", "--out photo.jpg: that is a file, and a folder belongs there"),
    ("measure quarry.toml photo.jpg --out=photo.jpg", "--out photo.jpg: that is a file, and a folder belongs there"),
    ("measure quarry.toml photo.jpg --out", "nothing stands behind --out. What belongs there: Folder for the results."),
    ("measure quarry.toml -photo.jpg --out o", "Did you mean:\n  tapeplat measure quarry.toml ./-photo.jpg --out o"),
    ("archive list empty", "Did you mean:\n  tapeplat archive list --archive-folder empty"),
    ("archive list --archive-folder team-3", "team-3 is a result's folder, and no archive"),
    (
        "archive compare team-3.1",
        "  tapeplat archive compare ATTEMPT ATTEMPT\n2 are wanted; ATTEMPT is an attempt's id",
    ),
    (
        "measure quarry.toml",
        "  tapeplat measure CHALLENGE PHOTO...\nCHALLENGE is the challenge's file; PHOTO is a photo",
    ),
    ("serve --port 70000", "70000 is no whole number from 1 to 65535"),
]


@pytest.mark.parametrize(("line", "answer"), SLIPS)
def test_a_slip_is_answered_with_what_was_meant(desk: Path, line: str, answer: str):
    said = CliRunner().invoke(main, line.split(), prog_name="tapeplat", catch_exceptions=False)
    assert said.exit_code == 2
    assert answer in said.stderr
    assert "Traceback" not in said.stderr
    assert said.stdout == ""
    assert not (desk / "o").exists()


HEAD = 'title = "Q"\nunit = "in"\n'
PARCEL = f"{HEAD}[parcel]\nwidth = 1\ndepth = 1\n"
ZONE = '[zone]\nname = "a"\nswatch = 1\n'
PLAIN, CARD = f"[{ZONE.replace(']', ']]')}", "[card]\nprinted_line = "
TYPED = [
    ('title = “Quarry”\nunit = "in"\n', "line 1: the quotation marks are typographic ones (“ ”); type plain ones"),
    (f"{HEAD}rules = [“a”]\n", "line 3: the quotation marks are typographic ones"),
    (f"{HEAD}rules = [„a“]\n", 'line 3: the quotation marks are typographic ones („ “); type plain ones (")'),
    (f'{HEAD}rules = ["a", «b»]\n', "line 3: the quotation marks are typographic ones (« »)"),
    (f'{HEAD}rules = [\n"a", # “x”\n‚b’]\n', "line 5: the quotation marks are typographic ones (‚ ’)"),
    (f"{HEAD}[parcel]\nwidth = 18,5\n", "line 4: a number has a decimal point, not a comma: write 18.5"),
    (f"{HEAD}[parcel]\nwidth = 18 3/4\n", "line 4: lengths are decimals here: write 18.75"),
    (f"{PARCEL}{ZONE}", "line 6: every zone stands under [[zone]]"),
    (f"{PARCEL}{ZONE}{ZONE}", "line 6: every zone stands under [[zone]], in double brackets"),
    (f"{PARCEL}{ZONE}[{ZONE.replace(']', ']]')}", "line 6: every zone stands under [[zone]], in double brackets"),
    (f"{PARCEL}{CARD}99,5\n", "line 7: a number has a decimal point, not a comma: write 99.5"),
    (
        f"{PARCEL}{CARD}[99,5, 79,6]\n{PLAIN}",
        "line 7: `printed_line` is the length in mm of the lines along and up; "
        "a number has a decimal point, not a comma: write [99.5, 79.6]",
    ),
    (f"{PARCEL}{CARD}[99, 5]\n{PLAIN}", "a number has a decimal point, not a comma: write 99.5"),
    (f'{PARCEL}{CARD}"99,5"\n{PLAIN}', "numbers stand without quotation marks: write 99.5"),
    (f"{PARCEL}{CARD}[99, 80, 3]\n{PLAIN}", "such as [100.0, 80.0], or one number"),
    (
        f"{HEAD}[parcel]\nwidth = 1e-300\ndepth = 1\n{PLAIN}",
        "line 4: `width` of [parcel] is 1e-300 in, and no tape fits",
    ),
    (
        f"{HEAD}[parcel]\nwidth = 1\ndepth = 0.0001\n{PLAIN}",
        "line 5: `depth` of [parcel] is 0.0001 in, and no tape fits",
    ),
]


@pytest.mark.parametrize(("text", "answer"), TYPED)
def test_what_keyboards_make_of_a_challenge_is_named(desk: Path, text: str, answer: str):
    Path("c.toml").write_text(text, "utf-8")
    said = CliRunner().invoke(main, ["rules", "c.toml"], catch_exceptions=False)
    assert said.exit_code == 2
    assert answer in said.stderr


def test_letters_of_another_encoding_are_told_with_their_line(desk: Path):
    Path("c.toml").write_bytes(f"{PARCEL}{PLAIN}".replace('"a"', '"Bücherei"').encode("latin-1"))
    said = CliRunner().invoke(main, ["rules", "c.toml"], catch_exceptions=False)
    assert said.exit_code == 2
    assert "c.toml, line 7: Bücherei" in said.stderr
    assert "save the file as UTF-8 text" in said.stderr


def test_lengths_that_mean_what_they_say_are_no_slips(desk: Path):
    for length in ("99", "99.5", "[99.5, 79.6]", "[99, 80]", "[99]"):
        Path("c.toml").write_text(f"{PARCEL}{CARD}{length}\n{PLAIN}", "utf-8")
        assert CliRunner().invoke(main, ["rules", "c.toml"]).exit_code == 0, length


@pytest.mark.parametrize(
    ("words", "answer"),
    [
        (
            ["measure", "", "photo.jpg", "--out", "o"],
            "nothing between the quotation marks, where the challenge belongs",
        ),
        (
            ["measure", "quarry.toml", "photo.jpg,plat.svg", "--out", "o"],
            "a space stands between two names: photo.jpg plat.svg",
        ),
    ],
)
def test_empty_and_joined_names_are_told(desk: Path, words: list[str], answer: str):
    said = CliRunner().invoke(main, words, prog_name="tapeplat", catch_exceptions=False)
    assert (said.exit_code, answer in said.stderr) == (2, True)
