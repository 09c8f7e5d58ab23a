from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest

from measure.challenge import Challenge, read_challenge
from measure.errors import InputMistakes
from measure.plat.measures import Measures
from measure.plat.plat import Piece, Plat, Ring
from measure.quantity import Quantity
from measure.rules.evaluation.evaluate import evaluate_all
from measure.rules.measured_sizes import NO_STRUCTURES
from measure.rules.rule_context import Built
from measure.rules.verdict import Outcome
from measure.structures.built_structures import BuiltStructures, built_structures
from measure.structures.disagreements import Reader
from measure.structures.structure_rows import StructuresFile
from measure.structures.structures import team_structures
from measure.structures.structures_table import read_structures
from tests.helpers.made.plats import exact, plat, rectangle
from tests.helpers.notices import said as notice_words

HEADER = "team,zone,solid,length,width,height,diameter,unit,count,division\n"
CHALLENGE = """
title = "Quarry Lake Village"
unit = "cm"
rules = [{rules}]
[parcel]
width = 40
depth = 30
[[zone]]
name = "cottages"
aliases = ["small houses"]
swatch = 1
[[zone]]
name = "workshops"
swatch = 2
[[zone]]
name = "crusher"
swatch = 8
kind = "keep-clear"
"""


def challenge(folder: Path, *rules: str) -> Challenge:
    path = folder / "challenge.toml"
    path.write_text(CHALLENGE.format(rules=", ".join(f'"{rule}"' for rule in rules)), encoding="utf-8")
    return read_challenge(path)


def table(folder: Path, text: str | bytes, *, header: str = HEADER) -> StructuresFile:
    path = folder / "structures.csv"
    path.write_bytes(text if isinstance(text, bytes) else (header + text).encode())
    return read_structures(path, challenge(folder))


def mistakes(folder: Path, text: str, *, header: str = HEADER) -> list[str]:
    with pytest.raises(InputMistakes) as found:
        table(folder, text, header=header)
    return [str(mistake) for mistake in found.value.mistakes]


def land(*pieces: Piece) -> Measures:
    standard = (exact("cottages", rectangle(10, 10, 100, 80)), exact("workshops", rectangle(150, 10, 120, 100)))
    return Measures(plat(*(pieces or standard)))


def built(folder: Path, text: str, measures: Measures | None = None, team: str = "") -> BuiltStructures:
    return laid(table(folder, text), measures or land(), team)


def laid(file: StructuresFile, measures: Measures, team: str = "") -> BuiltStructures:
    made = built_structures(team_structures(file, measures, team), measures, "hand", Reader("cm"))
    assert made is not None
    return made


def counted(found: Built) -> float | None:
    return None if found.value is None else found.value.value


def judged(folder: Path, text: str, rule: str, measures: Measures | None = None) -> Outcome:
    measures = measures or land()
    file = table(folder, text)
    return evaluate_all(challenge(folder, rule), measures, laid(file, measures))[0]


# ---- reading, as spreadsheets write


PLAIN = HEADER + "3,cottages,box,2.5,1.5,5 3/8,,in,2,1/8\n3,workshops,cylinder,,,4,3,cm,,0.1\n"


@pytest.mark.parametrize(
    "written",
    [
        PLAIN.encode(),
        ("\ufeff" + PLAIN.replace("\n", "\r\n")).encode(),
        PLAIN.replace(",", ";").replace("2.5", "2,5").replace("1.5", "1,5").replace("0.1", "0,1").encode(),
        ("sep=;\r\n" + PLAIN.replace(",", ";")).encode(),
        PLAIN.replace(",", "\t").encode("utf-16"),
        PLAIN.replace("2.5,1.5", '"2,5","1,5"').replace("5 3/8", '"5⅜ in"').encode(),
        PLAIN.replace("team,zone,solid", "Team, ZONE ,Solid").replace("box", "Rectangular Prism").encode(),
        (PLAIN.replace("box,2.5,1.5,5 3/8,,", "box,2.5,1.5,5.375,-,") + ",,,,,,,,,\n\n").encode(),
    ],
)
def test_the_same_table_in_every_form_that_a_spreadsheet_gives_it(tmp_path: Path, written: bytes) -> None:
    box, cylinder = table(tmp_path, written).rows
    assert (box.number, box.zone, box.solid, box.count, box.unit) == (2, "cottages", "box", 2, "in")
    assert box.sizes == pytest.approx({"length": 63.5, "width": 38.1, "height": 5.375 * 25.4})
    assert box.division == pytest.approx(25.4 / 8)
    assert cylinder.sizes == pytest.approx({"height": 40.0, "diameter": 30.0})
    assert (cylinder.count, cylinder.division, cylinder.warnings) == (1, 1.0, ())


def test_columns_in_another_order_and_names_as_people_write_them(tmp_path: Path) -> None:
    header = "zone,count,solid,diameter,length,unit,division,notes\n"
    file = table(tmp_path, "Small House,2,Half-Cylinders,4,9,cm,0.1,by the pond\n", header=header)
    assert (file.rows[0].zone, file.rows[0].solid) == ("cottages", "half cylinder")
    assert notice_words(file.notices) == ("structures.csv: column `notes` is not used",)


def test_all_mistakes_at_once_each_with_its_row(tmp_path: Path) -> None:
    text = (
        "3,cotages,box,2,1,3-Aug,,furlong,1.5,1/8\n"
        "3,workshops,cylnder,,,4,,cm,,0.1\n"
        ",cottages,cone,,,4,3,cm,,0.1\n"
        '4,cottages,cube,"1,200",,,,cm,,0.1\n'
        "4,cottages,cube,1,,,,cm,,5\n"
        "4,cottages,cubes,,,,,cm,,\n"
        "4,cottages,box,1,-1,,,cm,,0.1\n"
        "4,cottages,hemisphere,,,4,3,cm,,0.1\n"
    )
    assert mistakes(tmp_path, text) == [
        "structures.csv, row 2: `cotages` is no zone of this challenge; did you mean `cottages`?",
        "structures.csv, row 2: `furlong` is no unit of length; write in, cm or mm",
        'structures.csv, row 2: height: "3-Aug" is a date: the spreadsheet turned a fraction into it; make the column '
        "text and type the fraction again, or write it as a decimal (3/8 is 0.375)",
        "structures.csv, row 2: the count is `1.5`; write a whole number from 1 to 10000",
        "structures.csv, row 3: `cylnder` is no solid; did you mean `cylinder`?",
        "structures.csv, row 4: the team is missing; every row says whose structure it is, or none does",
        'structures.csv, row 5: length: "1,200" can be read in two ways; write a decimal point, and no mark for '
        "thousands",
        "structures.csv, row 6: the division 5 is larger than what was measured with it; it is the ruler's smallest "
        "division, such as 1/8 or 0.1",
        "structures.csv, row 7: the count of the cubes is missing; write a whole number from 1 to 10000",
        "structures.csv, row 8: the width is -1; leave the cell empty where there is none",
        "structures.csv, row 9: a hemisphere given by its diameter has a height half its diameter; leave the wrong one "
        "empty",
    ]


@pytest.mark.parametrize(
    ("header", "said"),
    [
        ("team,zone,solid,lenght\n", "there is a column `lenght`; did you mean `length`?"),
        ("team,zone,solid,height (cm)\n", "there is a column `height (cm)`; did you mean `height`?"),
        ("team,zone,zone,solid\n", "column `zone` is there twice; leave one out"),
        ("team,where,what\n", "columns `zone` and `solid` are missing"),
    ],
)
def test_a_header_that_is_not_understood(tmp_path: Path, header: str, said: str) -> None:
    assert said in mistakes(tmp_path, "", header=header)[0]


def test_a_decimal_comma_that_makes_a_cell_too_many(tmp_path: Path) -> None:
    said = mistakes(tmp_path, "3,cottages,box,2,5,1,5,3,,cm,1,0,1\n")
    assert said == [
        "structures.csv, row 2: there are 13 cells under 10 columns; a decimal comma needs quotation marks around the "
        "number, or write a decimal point"
    ]


@pytest.mark.parametrize("raw", [b"", b"PK\x03\x04rest", b"\x00\x01\x02\x00", b'team,zone\n"' + b"x" * 200_000])
def test_files_that_are_no_tables(tmp_path: Path, raw: bytes) -> None:
    with pytest.raises(InputMistakes):
        table(tmp_path, raw)
    with pytest.raises(InputMistakes, match="cannot be read"):
        read_structures(tmp_path / "none.csv", challenge(tmp_path))


def test_what_is_inferred_is_said(tmp_path: Path) -> None:
    team = built(tmp_path, "3,crusher,box,2,1,3.5,7,,1,\n")
    assert (team.rows or ())[0].row.division == pytest.approx(1.0)  # 0.1 cm
    assert notice_words(team.notices) == (
        "structures.csv, row 2: crusher is to be kept clear, and there is a structure in it",
        "structures.csv, row 2: the unit is missing; taken to be cm",
        "structures.csv, row 2: the diameter of a box is not used",
        "structures.csv, row 2: the division is missing; taken to be 1/10 cm, as the sizes are written",
    )


# ---- teams


def test_one_table_for_the_class(tmp_path: Path) -> None:
    text = "Team 3,cottages,cube,4,,,,cm,2,0.1\n4.0,cottages,cube,5,,,,cm,,0.1\n"
    assert counted(built(tmp_path, text, team="3").count(None, None)) == 2
    assert counted(built(tmp_path, text, team="04").count(None, None)) == 1
    with pytest.raises(InputMistakes, match=r"several teams; name the team of this model: Team 3, 4\.0"):
        built(tmp_path, text)


def test_a_team_that_is_not_in_the_table_is_not_measured(tmp_path: Path) -> None:
    team = built(tmp_path, "3,cottages,cube,4,,,,cm,2,0.1\n", team="5")
    assert notice_words(team.notices) == ("structures.csv has no structures of team 5; its teams are 3",)
    answers = (team.count(None, None), team.volume(None), team.different_solids(None))
    assert all(answer.value is None and answer.more for answer in answers)
    assert (team.heights(None, None).known, bool(team.heights(None, None).more)) == ((), True)


# ---- what rules ask


def test_uncertainty_of_a_box_from_how_finely_it_was_read(tmp_path: Path) -> None:
    """By hand: 20 x 15 x 10 mm read to 1 mm, u 0.408 mm each; u(V)/V the root sum of squares, also for two boxes."""
    team = built(tmp_path, "3,cottages,box,2,1.5,1,,cm,2,0.1\n")
    volume = team.volume("cottages").value
    assert volume is not None
    relative = 0.40825 * math.sqrt(1 / 20**2 + 1 / 15**2 + 1 / 10**2)
    assert (volume.value, volume.u) == (pytest.approx(6000), pytest.approx(6000 * relative, rel=1e-4))


def test_rows_are_independent_and_alike_structures_of_a_row_are_not(tmp_path: Path) -> None:
    one_row = built(tmp_path, "3,cottages,cube,2,,,,cm,2,0.1\n").volume(None).value
    two_rows = built(tmp_path, "3,cottages,cube,2,,,,cm,1,0.1\n3,cottages,cube,2,,,,cm,1,0.1\n").volume(None).value
    assert one_row is not None
    assert two_rows is not None
    assert one_row.value == two_rows.value
    assert one_row.u == pytest.approx(math.sqrt(2) * two_rows.u)


def test_a_prism_on_an_outline_keeps_the_photos_uncertainty(tmp_path: Path) -> None:
    """Two prisms on one outline with an exact height: their ratio is exact, as their areas are the same one."""
    points = np.array(rectangle(10, 10, 100, 80), float)
    piece = Piece("cottages", Ring(points, 0.01 * points[:, :, None]), Quantity(10.0))
    measures = land(piece)
    area = measures.piece_area("cottages", 1)
    assert area is not None
    team = built(tmp_path, "3,cottages,prism on outline,,,2,,cm,1,0.000001\n", measures)
    volume = team.volume("cottages").value
    assert volume is not None
    ratio = volume / area
    assert ratio.value == pytest.approx(20)
    assert ratio.u < 1e-4
    assert volume.u / volume.value == pytest.approx(0.02, rel=1e-6)  # twice the scale's 1 %
    sides = team.surface("cottages", sides_only=True).value
    assert sides is not None
    assert sides.value == pytest.approx(360 * 20)


def test_a_reading_never_shares_a_source_with_the_photo(tmp_path: Path) -> None:
    points = np.array(rectangle(10, 10, 100, 80), float)
    moves = np.random.default_rng(2).normal(0, 0.2, (4, 2, 9))
    measures = Measures(Plat(400, 300, (Piece("cottages", Ring(points, moves), Quantity(10.0)),), (), "given"))
    area, volume = (
        measures.area(["cottages"]),
        built(tmp_path, "3,cottages,cube,2,,,,cm,,0.1\n", measures).volume(None).value,
    )
    assert area is not None
    assert volume is not None
    assert area.covariance(volume) == 0.0


def test_a_prism_on_one_of_several_pieces(tmp_path: Path) -> None:
    measures = land(exact("cottages", rectangle(0, 0, 100, 80)), exact("cottages", rectangle(200, 0, 50, 40)))
    header = HEADER.replace("division", "division,piece")
    row = "3,cottages,prism on outline,,,1,,cm,{},0.1,{}\n"

    def volume(count: str, piece: str) -> float | None:
        found = laid(table(tmp_path, row.format(count, piece), header=header), measures).volume("cottages")
        return None if found.more else counted(found)

    assert volume("1", "1") == pytest.approx(80_000)
    assert volume("1", "2") == pytest.approx(20_000)
    assert volume("2", "") == pytest.approx(100_000)
    assert volume("1", "") is volume("1", "3") is None


def test_counted_cubes(tmp_path: Path) -> None:
    team = built(tmp_path, "3,cottages,cubes,,,,,cm,48,\n3,cottages,cube,2,,,,cm,1,0.1\n")
    assert counted(team.count("cottages", "cubes")) == 48
    assert counted(team.count("cottages", "cube")) == 1
    assert counted(team.count("cottages", None)) == 2
    assert counted(team.different_solids("cottages")) == 1
    assert team.surface("cottages", sides_only=False).more
    only_cubes = built(tmp_path, "3,cottages,cubes,,,,,in,48,\n")
    assert only_cubes.count("cottages", "cube").value is None  # structures, or unit cubes? the table does not tell
    volume = only_cubes.volume("cottages").value
    assert volume is not None
    assert (volume.value, volume.u) == (pytest.approx(48 * 16387.064), 0.0)


BUILT = (
    "3,workshops,box,4,3,5,,cm,1,0.1\n3,workshops,cylinder,,,6,3,cm,2,0.1\n"
    "3,workshops,cone,,,4,3,cm,1,0.1\n3,cottages,cubes,,,,,cm,50,\n"
)


@pytest.mark.parametrize(
    ("rule", "verdict", "value"),
    [
        ("there are at least 2 cylinders", "met", 2),
        ("there are at least 3 cylinders", "not met", 2),
        ("there are at least 5 structures", "met", 5),
        ("workshops use at least 3 different solids", "met", 3),
        ("workshops use at least 4 different solids", "not met", 3),
        ("every structure in workshops is at most 7 cm tall", "met", 6),
        ("every structure in workshops is at most 6 cm tall", "too close to call", 6),
        ("every structure in workshops is at most 2 in tall", "not met", 6 / 2.54),
        ("workshops hold at least 145 cubic cm", "met", 60 + 30 * math.pi),
        ("workshops hold at least 154 cubic cm", "too close to call", 60 + 30 * math.pi),
        ("workshops hold at least 10 cubic in", "not met", (60 + 30 * math.pi) / 2.54**3),
        ("cottages house at least 600 people at 12 people per cubic cm", "met", 600),
        ("cottages house at least 601 people at 12 people per cubic cm", "not met", 600),
        ("cottages house at least 600 people at 196.6 people per cubic in", "not met", 50 * 196.6 / 2.54**3),
        ("the side surface area of workshops is at most 300 sq cm", "met",
         70 + 36 * math.pi + 1.5 * math.pi * math.hypot(1.5, 4)),
        ("no structure is taller than 7 cm", "not measured", None),
        ("no structure is taller than 4 cm", "not met", 6),
        ("the surface area of cottages is at least 20 sq cm", "not measured", None),
    ],
)  # fmt: skip
def test_rules_about_structures(tmp_path: Path, rule: str, verdict: str, value: float | None) -> None:
    outcome = judged(tmp_path, BUILT, rule)
    assert outcome.verdict == verdict
    assert outcome.value == (None if value is None else pytest.approx(value))


def test_without_a_table_rules_about_structures_are_not_measured(tmp_path: Path) -> None:
    outcome = evaluate_all(challenge(tmp_path, "there are at least 2 cylinders"), land())[0]
    assert (outcome.verdict, outcome.note) == ("not measured", NO_STRUCTURES)


# ---- bases that cannot fit


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("box,9,9.5,2,,cm", "the base of the box covers 85.5 sq cm, and cottages only 80 sq cm"),
        ("box,14,1,2,,cm", "the base of the box is 14.04 cm long, and cottages at most 12.81 cm"),
        ("cylinder,,,2,9,cm", "the base of the cylinder is 9.00 cm wide, and cottages at most 8.02 cm"),
        ("box,5,4,6,,in", "(in cm it would fit)"),
    ],
)
def test_a_base_that_cannot_fit_is_a_probable_slip(tmp_path: Path, row: str, said: str) -> None:
    (warning,) = notice_words(built(tmp_path, f"3,cottages,{row},1,0.1\n").notices)
    assert warning.startswith("structures.csv, row 2 (team 3, cottages): ")
    assert said in warning
    assert "a probable slip: check the sizes and their unit" in warning


@pytest.mark.parametrize("row", ["box,10,8,9,,cm,30", "cylinder,,,20,8,cm,2", "half cylinder,9.9,,,7.9,cm,1"])
def test_a_base_that_fits_is_no_slip_however_many_are_stacked(tmp_path: Path, row: str) -> None:
    assert built(tmp_path, f"3,cottages,{row},0.1\n").notices == ()


def test_within_the_readings_uncertainty_a_base_may_fit(tmp_path: Path) -> None:
    """10.2 x 8.0 cm on 10 x 8: 1.6 sq cm too large, read to 0.5 cm (u of the area 2.6 sq cm)."""
    assert built(tmp_path, "3,cottages,box,10.2,8,2,,cm,1,0.5\n").notices == ()
    assert len(built(tmp_path, "3,cottages,box,10.2,8,2,,cm,1,0.1\n").notices) == 1
