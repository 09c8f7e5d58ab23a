"""A class's photos by one phone tell each other of its lens; a filed result stays until somebody measures again."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest
from click.testing import CliRunner

from measure.result.result import Result, read_result
from tapeplat.classroom.lens_pass import lens_note
from tapeplat.cli.main import main
from tapeplat.lens.class_lens_store import class_lenses
from tests.benchmarks.class_lens import with_lens
from tests.helpers.scenes.draw import draw
from tests.helpers.scenes.files import encoded
from tests.helpers.scenes.village import village

CHALLENGE = """title = "Quarry Lake Village"
unit = "in"
rules = ["library covers at most {share} of the parcel", "stables are at least 4 1/2 in from library"]
[parcel]
width = 12
depth = 10
thickness = 0.2
[card]
surface = "table"
printed_line = [100.0, 80.0]
[priors]
printed_line = 0.02
flatness = 0.05
thickness = 0.05
parcel = 0.05
[[zone]]
name = "library"
swatch = 1
[[zone]]
name = "stables"
swatch = 2
[[zone]]
name = "meadow"
swatch = 3
"""
MOUSTACHE = (0.12, -0.25, 0.13)
SHARE = 90 * 70 / (304.8 * 254.0)


@pytest.fixture(scope="module")
def drawn() -> list[bytes]:
    """Five models' photos by one phone, the fifth by another of the same name."""
    scenes = [village(tiles=False, thickness=5.08, tilt=3.0 + 4 * i, seed=i, size=(1120, 840)) for i in range(5)]
    return [encoded(draw(with_lens(s, MOUSTACHE if i < 4 else (-0.2, 0.3, -0.1)))) for i, s in enumerate(scenes)]


@pytest.fixture
def room(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("TAPEPLAT_CONFIG", str(tmp_path / "config"))
    (tmp_path / "c.toml").write_text(CHALLENGE.format(share="1/5"), encoding="utf-8")
    (tmp_path / "photos").mkdir()
    return tmp_path


def hand_in(room: Path, photos: dict[str, bytes]) -> None:
    for team, data in photos.items():
        (room / "photos" / f"{team}.jpg").write_bytes(data)


def run(room: Path, *more: str, out: str = "out") -> str:
    asked = ["class", str(room / "c.toml"), str(room / "photos"), "--out", str(room / out), "--jobs", "1", *more]
    answer = CliRunner().invoke(main, asked)
    assert answer.exit_code == 0, answer.output
    return " ".join(answer.output.split())


def result(room: Path, team: str, out: str = "out") -> Result:
    return read_result(room / out / f"team-{team}")


def test_a_class_tells_the_lens_whoever_s_photo_comes_first(room: Path, drawn: list[bytes]) -> None:
    hand_in(room, {"1": drawn[0], "2": drawn[1], "3": drawn[2]})
    said = run(room)
    assert "Invented Phone 1, 26 mm lens: 3 photos tell its lens together" in said
    told = result(room, "1")
    assert told.photos[0].lens == "estimated from the photo and 2 other photos of Invented Phone 1, 26 mm lens"
    assert told.photos[0].radial is not None
    assert told.photos[0].radial.others == 2
    run(room, out="again")  # all that is kept are the same photos: nobody is told of itself, or of one twice
    assert result(room, "1", "again").zones == told.zones
    shutil.rmtree(room / "config")
    hand_in(room, {"1": drawn[2], "3": drawn[0]})
    run(room, out="turned")
    for one, other in zip(result(room, "3", "turned").zones, told.zones, strict=True):
        assert one.area is not None
        assert other.area is not None
        assert one.area.value == pytest.approx(other.area.value, rel=1e-7)
        assert one.area.u95 == pytest.approx(other.area.u95, rel=1e-5)


def test_a_result_stays_until_somebody_measures_again(room: Path, drawn: list[bytes]) -> None:
    hand_in(room, {"1": drawn[0]})
    run(room)
    alone = (room / "out" / "team-1" / "result.json").read_bytes()
    hand_in(room, {"2": drawn[1], "3": drawn[2], "4": drawn[3]})
    said = run(room)
    assert "add --again" in said
    assert (room / "out" / "team-1" / "result.json").read_bytes() == alone
    before = result(room, "1").zones
    run(room, "--again")
    told = result(room, "1")
    assert told.photos[0].radial is not None
    assert told.photos[0].radial.others == 3
    assert all(
        new.area is not None and old.area is not None and new.area.u95 < old.area.u95
        for new, old in zip(told.zones, before, strict=True)
    )
    assert "add --again" not in run(room)


def test_the_verdicts_that_would_change_are_those_that_do(room: Path, drawn: list[bytes]) -> None:
    """A limit so near that the lens decides: what is said beforehand from the filed result is what comes out."""
    hand_in(room, {"1": drawn[0]})
    run(room, out="alone")
    hand_in(room, {"2": drawn[1], "3": drawn[2], "4": drawn[3]})
    run(room, out="told")
    rule, sure = result(room, "1", "alone").rules[0], result(room, "1", "told").rules[0]
    assert rule.value is not None
    assert sure.value is not None
    assert rule.u95 is not None
    assert sure.u95 is not None
    # Between what both take for sure: chance 0.95 lies 0.82 u95 from the limit.
    reach = [v + 0.8225 * u for v, u in ((rule.value, rule.u95), (sure.value, sure.u95))]
    limit = sum(reach) / 2
    assert reach[1] < reach[0]
    shutil.rmtree(room / "config")
    for team in "234":
        (room / "photos" / f"{team}.jpg").unlink()
    (room / "c.toml").write_text(CHALLENGE.format(share=f"{limit:.8f}"), encoding="utf-8")
    run(room)
    assert result(room, "1").rules[0].verdict == "too close to call"
    hand_in(room, {"2": drawn[1], "3": drawn[2], "4": drawn[3]})
    said = run(room)
    assert 'of the parcel": too close to call, would be met' in said
    run(room, "--again")
    assert result(room, "1").rules[0].verdict == "met"


def test_a_later_photo_uses_what_is_kept_until_it_is_forgotten(room: Path, drawn: list[bytes]) -> None:
    hand_in(room, {"1": drawn[0], "2": drawn[1]})
    run(room)
    (room / "later.jpg").write_bytes(drawn[2])
    ask = ["measure", str(room / "c.toml"), str(room / "later.jpg"), "--out", str(room / "later")]
    answer = CliRunner().invoke(main, ask)
    assert "lens: estimated from the photo and 2 other photos of Invented Phone 1, 26 mm lens" in answer.output
    assert len(class_lenses()[0].photos) == 2  # measuring one model keeps nothing
    listed = CliRunner().invoke(main, ["lens", "--list"])
    assert "Invented Phone 1, 26 mm lens: told by 2 photos of models" in listed.output
    gone = CliRunner().invoke(main, ["lens", "--forget", "invented phone 1"])
    assert gone.output == "forgotten: what photos told of its lens of invented phone 1\n"
    assert not class_lenses()
    alone = CliRunner().invoke(main, [*ask[:-1], str(room / "alone")])
    assert "other photo" not in alone.output


def test_another_phone_of_the_same_name_is_measured_alone(room: Path, drawn: list[bytes]) -> None:
    hand_in(room, {str(i + 1): data for i, data in enumerate(drawn)})
    assert "4 photos tell its lens together; 1 that does not agree is measured alone" in run(room)
    odd, others = result(room, "5"), [result(room, team) for team in "1234"]
    assert odd.photos[0].lens == "estimated from the photo"
    assert all(r.photos[0].radial is not None and r.photos[0].radial.others == 3 for r in others)
    (room / "odd.jpg").write_bytes(drawn[4])
    ask = ["measure", str(room / "c.toml"), str(room / "odd.jpg"), "--out", str(room / "odd")]
    answer = CliRunner().invoke(main, ask)
    assert "does not show its lens as" in " ".join(answer.output.split())


def test_photos_that_say_nothing_of_their_camera_are_measured_as_ever(room: Path, drawn: list[bytes]) -> None:
    plain = [encoded(draw(village(seed=i)), equivalent=None) for i in range(2)]
    hand_in(room, {"1": plain[0], "2": plain[1]})
    assert "tell its lens" not in run(room)
    assert result(room, "1").photos[0].lens == "estimated from the photo"
    assert result(room, "1").photos[0].radial is None
    assert not class_lenses()


@pytest.mark.parametrize(
    ("agree", "kept", "said"),
    [
        ([True], 0, "1 photo tells its lens by itself"),
        ([True, False], 0, "1 photo tells its lens by itself; 1 that does not agree is measured alone"),
        ([True], 4, "1 photo and 4 of earlier classes tell its lens together"),
        ([True, True], 0, "2 photos tell its lens together"),
    ],
)
def test_one_photo_is_not_said_to_be_several(agree: list[bool], kept: int, said: str) -> None:
    assert lens_note("Invented Phone 1", agree, kept) == f"Invented Phone 1: {said}"
