"""Spoilt inputs, in this process: each is read and worked with, or refused in words; nothing else may happen.

`python -m tests.benchmarks.fuzz FIRST COUNT [--kind KIND,...]`.  Input number n of a kind is the same every time.
Prints every input that ended otherwise, or took longer than PATIENCE, and how many of each kind were tried.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import signal
import tempfile
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from copy import deepcopy
from dataclasses import asdict
from functools import cache
from pathlib import Path
from typing import Any

import tapeplat
from calib.photo_refused import PhotoRefused
from measure.challenge import Challenge, read_challenge
from measure.errors import InputMistakes
from measure.result.result import parse_result, result_text
from measure.structures.structures_table import read_structures
from tapeplat.classroom.class_outcome import class_files, content_of_class
from tapeplat.classroom.class_record import FILE, ClassRecord, ModelRecord, PhotoRead, read_record, write_record
from tapeplat.lens import lens_store
from tapeplat.measuring.measured_model import MeasuredModel
from tapeplat.output.result_folder import FolderNotWritable
from tapeplat.page.content.repair_request import read_request
from tapeplat.page.plan.plan_form import PieceRow, read_rows, rows_json
from tests.helpers.made.lens_profiles import PROFILE
from tests.helpers.paths import SAMPLES

PATIENCE = 20
SLIPS = ("", "-", "/", ",", ".", "\x00", '"', "“", "[", "e999", " 3/8-", "\ud800", "⅜", "9" * 60, ";", "'")
REFUSED = (InputMistakes, PhotoRefused, FolderNotWritable)
ODD: tuple[object, ...] = (
    None, True, False, 0, -1, 1, 2, 10**400, -(10**30), 1e308, -1e308, 5e-324, 1e-9, 0.1, 10**9, "", "x", "market",
    "nan", "Straße", "\x00", "\ud800", "9" * 5000, [], {}, [[]], [[0, 0]], [None], {"value": 1e308, "u95": 1e308},
    "../..",
)  # fmt: skip


def result(seed: int) -> None:
    """A result file that is judged again."""
    spoilt = spoilt_json(seed, json.loads(sample().files["result.json"]))
    written(tapeplat.check(challenge(), spoilt))


def plat(seed: int) -> None:
    """Outlines as GeoJSON or as a table."""
    chance = random.Random(seed)
    if chance.random() < 0.5:
        written(tapeplat.check(challenge(), spoilt_json(seed, GEOJSON)))
    else:
        written(tapeplat.check(challenge(), spoilt_text(chance, WKT) + "\n"))


def classes(seed: int) -> None:
    """A class's record, from which the next run and the report go on."""
    with folder() as out:
        write_record(out, RECORD)
        (out / FILE).write_text(spoilt_json(seed, json.loads((out / FILE).read_text())), "utf-8", "surrogatepass")
        record = read_record(out)
        class_files(content_of_class(record, out), "letter")


def lens(seed: int) -> None:
    """A lens profile among the stored ones."""
    with folder() as out:
        os.environ[lens_store.FOLDER_VARIABLE] = str(out)
        (out / "lenses").mkdir()
        text = spoilt_json(seed, json.loads(json.dumps(asdict(PROFILE))))
        (out / "lenses" / "one.json").write_text(text, "utf-8", "surrogatepass")
        for profile in lens_store.stored():
            profile.covariance()
        lens_store.damaged()


def repair(seed: int) -> None:
    """Changes to outlines, as the page sends them and as Python does."""
    model = sample()
    chance = random.Random(-seed)
    some = chance.sample(EDITS, chance.randint(1, 2))
    text = (
        spoilt_json(seed, {"base": "0" * 16, "edits": some})
        if chance.random() < 0.8
        else json.dumps({"base": "0" * 16, "edits": [{**edit, "outline": _bent(chance)} for edit in some]})
    )
    edits = read_request(text, model.challenge.unit).edits
    written(tapeplat.repair(model, edits))


def written(model: MeasuredModel) -> None:
    """What was read can be written down, and read again."""
    parse_result(result_text(model.result).encode("utf-8"))


def _bent(chance: random.Random) -> list[list[float]]:
    """An outline that may cross itself, be thin, or lie elsewhere."""
    return [
        [chance.choice([0, 1, 2, 5, 17.9, 1e-7, -3, 40]), chance.uniform(-1, 15)] for _ in range(chance.randint(1, 9))
    ]


def plan(seed: int) -> None:
    """A drawn plan's rows, read and judged."""
    chance = random.Random(seed)
    rows = [PieceRow(*(spoilt_text(chance, text) if chance.random() < 0.3 else text for text in row)) for row in ROWS]
    read = read_rows(rows, challenge())
    rows_json(rows)
    if read.pieces and not read.wrong:
        features = [feature(p.zone, [[float(x), float(y)] for x, y in p.corners]) for p in read.pieces]
        tapeplat.check(challenge(), {"type": "FeatureCollection", "features": features})


def structures(seed: int) -> None:
    """A table of structures."""
    from measure.file_content import FileContent

    text = spoilt_text(random.Random(seed), TABLE)
    read_structures(FileContent("s.csv", text.encode("utf-8", "surrogatepass")), challenge())


def hand(seed: int) -> None:
    """A table of hand measurements, compared with the photo's."""
    tapeplat.compare_hand(sample(), spoilt_text(random.Random(seed), HAND) + "\n")


def challenges(seed: int) -> None:
    """A challenge file."""
    text = spoilt_text(random.Random(seed), (SAMPLES / "quarry-lake-4.toml").read_text("utf-8"))
    tapeplat.read_challenge(text + "\n")


KINDS: dict[str, Callable[[int], None]] = {
    "result": result, "plat": plat, "class": classes, "lens": lens, "repair": repair, "plan": plan,
    "structures": structures, "hand": hand, "challenge": challenges,
}  # fmt: skip


def tried(kind: str, seeds: range) -> Iterator[str]:
    """What went otherwise than it may, an input a line."""
    sample()  # measured before any input is timed
    for seed in seeds:
        started = time.monotonic()
        signal.signal(signal.SIGALRM, _too_long)
        signal.alarm(PATIENCE)
        try:
            KINDS[kind](seed)
        except REFUSED as refusal:
            if not str(refusal).strip():
                yield f"{kind} {seed}: refused without a word"
        except Exception as error:
            last = traceback.extract_tb(error.__traceback__)[-1]
            yield f"{kind} {seed}: {type(error).__name__}: {str(error)[:90]} ({last.filename[-50:]}:{last.lineno})"
        finally:
            signal.alarm(0)
        if time.monotonic() - started > PATIENCE:
            yield f"{kind} {seed}: took {time.monotonic() - started:.0f} s"


def _too_long(*_: object) -> None:
    raise TimeoutError("not answered in time")


def spoilt_json(seed: int, content: Any) -> str:
    """JSON with one to three places changed, or its text spoilt."""
    chance = random.Random(seed)
    made = json.loads(json.dumps(content))
    if chance.random() < 0.15:
        return spoilt_text(chance, json.dumps(made))
    for _ in range(chance.randint(1, 3)):
        places = list(_places(made))
        holder, key = chance.choice(places)
        how = chance.random()
        value = holder[key]
        if how < 0.15:
            del holder[key]
        elif how < 0.5 and isinstance(value, int | float) and not isinstance(value, bool):
            holder[key] = min(float(min(value, 10**300)) * chance.choice([-1, 1e-12, 1e6, 1e300, 1.5, 0]), 1e308)
        elif how < 0.6 and isinstance(value, list):
            holder[key] = chance.choice([value * 2, value[:1], value[::-1], [*value, *value[:1]]])
        else:
            holder[key] = deepcopy(chance.choice(ODD))
        if not list(_places(made)):
            break
    return json.dumps(made)


def spoilt_text(chance: random.Random, text: str) -> str:
    """A text with some letters lost, doubled, or replaced."""
    for _ in range(chance.randint(1, 4)):
        at = chance.randrange(len(text) + 1)
        more = chance.choice(SLIPS)
        text = text[:at] + more + text[at + chance.choice([0, 1, 5]) :]
    return text


def _places(content: Any) -> Iterator[tuple[Any, Any]]:
    """Every place in nested lists and mappings; of long lists the first few."""
    if isinstance(content, dict):
        inside = list(content.items())
    elif isinstance(content, list):
        inside = list(enumerate(content[:6]))
    else:
        return
    for key, value in inside:
        yield content, key
        yield from _places(value)


@contextmanager
def folder() -> Iterator[Path]:
    """A folder for one input."""
    with tempfile.TemporaryDirectory(prefix="tapeplat-fuzz-") as name:
        yield Path(name)


@cache
def challenge() -> Challenge:
    """A sample's challenge."""
    return read_challenge(SAMPLES / "quarry-lake-4.toml")


@cache
def sample() -> MeasuredModel:
    """A measured sample, with a curve and six corners."""
    return tapeplat.measure(challenge(), SAMPLES / "quarry-lake-4.jpg", team="3")


def feature(zone: str, ring: list[list[float]]) -> dict[str, Any]:
    """A piece as GeoJSON."""
    shape = {"type": "Polygon", "coordinates": [[*ring, ring[0]]]}
    return {"type": "Feature", "properties": {"zone": zone, "u95": 0.05}, "geometry": shape}


SQUARE = [[1.0, 1.0], [6.0, 1.0], [6.0, 5.0], [1.0, 5.0]]
GEOJSON = {"type": "FeatureCollection", "features": [feature(z.name, SQUARE) for z in challenge().zones[:3]]}
WKT = (
    'zone,wkt,u95\nmarket,"POLYGON ((1 1, 9 1, 9 5, 1 5, 1 1))",0.1\nstables,"POLYGON ((2 7, 3 7, 3 9, 2 9, 2 7))",0\n'
)
EDITS = [
    {"do": "reshape", "zone": "market", "piece": 1, "outline": SQUARE, "holes": [], "to": ""},
    {"do": "add", "zone": "stables", "outline": [[8.0, 8.0], [10.0, 8.0], [9.0, 10.0]], "holes": []},
    {"do": "remove", "zone": "market", "piece": 1},
    {"do": "rezone", "zone": "stables", "piece": 1, "to": "market"},
]
MODEL = ModelRecord("3", "team-3", "0" * 64, "measured", (PhotoRead("3.jpg", "0" * 64),))
RECORD = ClassRecord(title="Quarry", models=(MODEL, ModelRecord("4", "team-4", "1" * 64, "refused", ())))
ROWS = [("market", "1", "1 1/2", "4", "3,5", ""), ("stables", "", "", "", "", "(2, 3) (6, 3) (6, 8)")]
TABLE = (
    "team,zone,solid,length,width,height,diameter,unit,count,division\n"
    "3,market,box,2 1/2,1 3/4,5 3/8,,in,2,\n3,stables,cylinder,,,4.5,3.2,cm,1,0.1\n3,market,cubes,,,,,cm,48,\n"
)
HAND = (
    "team,who,zone,piece,quantity,other,value,unit,method,division\n3,A,market,1,side,1,5 3/8,in,ruler,1/8\n"
    "3,A,market,,area,,41.2,in,squares,1\n3,B,market,,gap,stables,13.2,cm,ruler,0.1\n"
)


if __name__ == "__main__":
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("first", type=int)
    parser.add_argument("count", type=int)
    parser.add_argument("--kind", default=",".join(KINDS))
    given = parser.parse_args()
    begun = time.monotonic()
    for name in given.kind.split(","):
        wrong = 0
        for line in tried(name, range(given.first, given.first + given.count)):
            wrong += 1
            print(line, flush=True)
        print(f"{name}: {given.count} inputs, {wrong} went wrong, {time.monotonic() - begun:.0f} s so far", flush=True)
