"""The challenge file: read into mm, or refused with every mistake at once, each with its line."""

from __future__ import annotations

import subprocess
import sys
import tomllib
from pathlib import Path

import pytest
from hypothesis import HealthCheck, example, given
from hypothesis import strategies as st

from measure.challenge import Card, Challenge, Parcel, Priors, Zone, read_challenge
from measure.challenge.toml_lines import TomlLines
from measure.errors import InputMistakes
from measure.rules.zone_groups import Group
from tests.helpers.examples import examples
from tests.helpers.paths import ROOT, SAMPLES

GOOD = """# Quarry Lake Village
title = "Quarry Lake Village"
unit = "in"                  # of every length here unless the key says mm
tape_edge = "middle"
touch_gap = 0.125
numbers = "quarter"
rules = [
  "library covers at most 1/5 of the parcel",
  "stables are at least 4 1/2 in from reading room",   # an alias
  "by eye: every street can be walked from end to end",
]

[parcel]
width = 18
depth = 14
thickness = 0.2

[card]
surface = "parcel"
printed_line = [100.2, 80.1]

[priors]
tile = 0.2

[[zone]]
name = "library"
aliases = ["libraries", "reading room"]
swatch = 1
tape_height = 0.05

[[zone]]
name = "stables"
swatch = 1
tile = 50

[[zone]]
name = "crusher"
swatch = 8
kind = "keep-clear"
place = [9.0, 6.5]
place_within = 0.5
size = [4, 3]
size_within = 0.25
"""


def reading(folder: Path, text: str | bytes, name: str = "challenge.toml") -> Challenge:
    path = folder / name
    path.write_bytes(text.encode() if isinstance(text, str) else text)
    return read_challenge(path)


def mistakes(folder: Path, text: str | bytes) -> list[str]:
    with pytest.raises(InputMistakes) as caught:
        reading(folder, text)
    return [str(mistake).removeprefix("challenge.toml, ") for mistake in caught.value.mistakes]


def test_a_challenge_is_in_mm(tmp_path):
    task = reading(tmp_path, GOOD)
    assert (task.title, task.unit, task.tape_edge, task.numbers) == ("Quarry Lake Village", "in", "middle", "quarter")
    assert task.touch_gap == pytest.approx(3.175)
    assert task.parcel == Parcel(pytest.approx(457.2), pytest.approx(355.6), pytest.approx(5.08))
    assert task.parcel.area == pytest.approx(252 * 645.16)
    assert task.card == Card("parcel", 100.2, 80.1)
    assert task.priors == Priors(tile=0.2)
    library, stables, crusher = task.zones
    assert library == Zone("library", 1, ("libraries", "reading room"), tape_height=pytest.approx(1.27))
    assert (stables.tile, stables.kind) == (50, "zone")
    assert crusher.place == pytest.approx((228.6, 165.1))
    assert (crusher.place_within, crusher.size_within) == pytest.approx((12.7, 6.35))
    assert crusher.size == pytest.approx((101.6, 76.2))
    assert [line.line for line in task.rules] == [8, 9, 10]
    assert task.rules[1].rule.other == Group(("library",))
    assert task.zone("crusher") is crusher
    assert task.warnings == ()


def test_what_may_be_left_out(tmp_path):
    text = 'title = "t"\nunit = "cm"\n[parcel]\nwidth = 40\ndepth = 30\n[[zone]]\nname = "library"\nswatch = 1\n'
    task = reading(tmp_path, text)
    assert (task.touch_gap, task.tape_edge, task.numbers, task.shapes) == (3.0, "middle", "percent", "inclusive")
    assert (task.card, task.priors) == (Card(), Priors())
    assert task.rules == ()
    assert task.warnings == ("the challenge has no rules",)
    assert reading(tmp_path, "\ufeff" + text.replace("\n", "\r\n")) == task


@pytest.mark.parametrize(
    ("stated", "along", "up"), [("[99.5, 80.2]", 99.5, 80.2), ("99.5", 99.5, None), ("[99]", 99.0, None)]
)
def test_one_check_line_or_two(tmp_path, stated, along, up):
    task = reading(tmp_path, GOOD.replace("[100.2, 80.1]", stated))
    assert (task.card.along, task.card.up) == (along, up)


def test_zones_to_subtract(tmp_path):
    task = reading(tmp_path, GOOD.replace("tape_height = 0.05", 'inside = "subtract"'))
    assert task.subtract == {"library"}


# ---- one mistake at a time
ONE = [
    (case["old"], case["new"], case["says"])
    for case in tomllib.loads((Path(__file__).with_name("challenge_mistakes.toml")).read_text(encoding="utf-8"))["case"]
]


@pytest.mark.parametrize(("old", "new", "said"), ONE, ids=[f"{row[1][:40]!r}" for row in ONE])
def test_one_mistake_with_its_line_and_what_would_be_right(tmp_path, old, new, said):
    assert old in GOOD
    assert mistakes(tmp_path, GOOD.replace(old, new, 1)) == said


def test_all_mistakes_are_told_at_once_in_the_files_order(tmp_path):
    changes = [row for row in ONE if row[0] in ('title = "Quarry', "width = 18", "tile = 50", "library covers at most")]
    chosen = {old: (new, said) for old, new, said in changes[::-1]}
    text = GOOD
    for old, (new, _) in chosen.items():
        text = text.replace(old, new, 1)
    said = mistakes(tmp_path, text)
    lines = [int(mistake.split()[1].rstrip(":")) for mistake in said]
    assert lines == sorted(lines)
    assert len(said) == len(chosen)


def test_files_that_cannot_be_read(tmp_path):
    assert mistakes(tmp_path, GOOD.replace("Quarry", "Quärry").encode("latin-1")) == [
        "line 1: Quärry is not written as UTF-8 text; save the file as UTF-8 text"
    ]
    with pytest.raises(InputMistakes, match=r"nowhere\.toml: cannot be read: no such file or directory"):
        read_challenge(tmp_path / "nowhere.toml")
    with pytest.raises(InputMistakes, match="cannot be read: is a directory"):
        read_challenge(tmp_path)
    with pytest.raises(InputMistakes, match="too large for a challenge file"):
        reading(tmp_path, "#" * 1_000_001)


# ---- advice

ADVICE = [
    ("library covers at most 120% of the parcel",
     "rule 1: this is always met: 120% is no less than the whole parcel"),
    ("library covers at least 120% of the parcel",
     "rule 1: this can never be met: 120% is more than the whole parcel"),
    ("library covers more than 100% of the parcel",
     "rule 1: this can never be met: 100% is more than the whole parcel"),
    ("library is at least 23 in from stables",
     "rule 1: this can never be met: 23 in is more than the parcel's diagonal"),
    ("library is at most 60 cm from stables",
     "rule 1: this is always met: 60 cm is no less than the parcel's diagonal"),
    ("library is at least 8 in from the edge",
     "rule 1: this can never be met: 8 in is more than half of the parcel's shorter side"),
    ("library covers at least 300 sq in", "rule 1: this can never be met: 300 sq in is more than the whole parcel"),
    ("library covers exactly 1/6 of the parcel, within 0.1%",
     "rule 1: finer than a photo can tell: a photo gives areas to about 0.3 %"),
    ("library covers as much as stables, within 0.2%",
     "rule 1: finer than a photo can tell: a photo gives areas to about 0.3 %"),
    ("library is exactly 3 in from stables, within 0.2 mm",
     "rule 1: finer than a photo can tell: a photo gives lengths to about 0.5 mm"),
    ("library covers at least 10% of the parcel|the area of library is no less than 0.1 of the parcel",
     "rule 2 says the same as rule 1"),
    ("library covers at least 20% of the parcel|library covers at most 40 sq in",
     "rules 1 and 2 contradict each other: both limit the area of library"),
    ("library covers at least 20% of the parcel|every zone covers at most 10% of the parcel",
     "rules 1 and 2 contradict each other: both limit the area of library"),
    ("library is at least 3 in from stables|stables are within 5 cm of library",
     "rules 1 and 2 contradict each other: both limit the distance from stables to library"),
    ("library covers at least twice stables|library covers less than stables",
     "rules 1 and 2 contradict each other: both limit the area of library beside that of stables"),
    ("there are exactly 2 libraries|there is at most one library",
     "rules 1 and 2 contradict each other: both limit the number of pieces of library"),
    ("library touches stables|stables do not touch library",
     "rules 1 and 2 contradict each other: one wants what the other forbids"),
    ("every zone covers at least half of the parcel|library covers at least 60% of the parcel",
     "rules 1 and 2 ask for 110 % of the parcel in all, so zones must overlap to meet them"),
]  # fmt: skip


@pytest.mark.parametrize(("rules", "warning"), ADVICE, ids=[row[0] for row in ADVICE])
def test_rules_that_mean_nothing_or_contradict_each_other_are_warned_about(tmp_path, rules, warning):
    listed = ", ".join(f'"{rule}"' for rule in rules.split("|"))
    start, end = GOOD.index("rules = ["), GOOD.index("[parcel]")
    task = reading(tmp_path, f"{GOOD[:start]}rules = [{listed}]\n{GOOD[end:]}")
    assert warning in task.warnings


def test_sensible_rules_get_no_warning():
    for path in sorted(SAMPLES.glob("*.toml")):
        assert read_challenge(path).warnings == ()


# ---- any file at all

LINES = GOOD.splitlines()


@examples(150, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    st.lists(
        st.tuples(
            st.integers(0, len(LINES)),
            st.sampled_from(
                [
                    *LINES,
                    "",
                    "x = 1",
                    "[zone]",
                    "[[parcel]]",
                    "rules = 3",
                    "zone = 4",
                    "card = []",
                    "[[zone]]",
                    'name = ["a"]',
                    "swatch = []",
                    "\x00",
                    "aliases = {}",
                ]
            ),
        ),
        max_size=5,
    )
)
@example([(0, "zone = [1, 2]")])
@example([(0, "[[rules]]")])
@example([(3, "parcel = 3")])
def test_no_file_breaks_the_reader(tmp_path, changes):
    lines = list(LINES)
    for at, line in changes:
        lines[at : at + 1] = [line]
    try:
        reading(tmp_path, "\n".join(lines))
    except InputMistakes as caught:
        found = caught.mistakes
    else:
        return
    assert found
    assert all("line " in mistake.where for mistake in found)


TOML = """a = 1 # [b]
"quoted key" = '''
[not.a.table]
x = 2
'''
[b]
c = ["one, [two]", 'three]',
  # a comment with ] and "
  "four"]
[[d]]
e = {f = 1, g = [2, 3]}
[[d]]
e.h = \"\"\"
text \\"\"\" still
\"\"\"
i = 3
"""


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("a",), 1), (("quoted key",), 2), (("b",), 6), (("b", "c"), 7), (("b", "c", 0), 7), (("b", "c", 1), 7),
        (("b", "c", 2), 9), (("d", 0), 10), (("d", 0, "e", "g"), 11), (("d", 1), 12), (("d", 1, "e", "h"), 13),
        (("d", 1, "i"), 16), (("d", 1, "missing"), 12), (("nowhere",), 1),
    ],
)  # fmt: skip
def test_lines_of_a_toml_file(path, line):
    tomllib.loads(TOML)
    assert TomlLines(TOML).of(path) == line


def test_reading_a_challenge_starts_no_statistics_library():
    script = "import sys; import measure.challenge; print('scipy.stats' in sys.modules)"
    run = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, cwd=ROOT)
    assert run.stdout.strip() == "False"
