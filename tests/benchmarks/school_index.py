"""An index of many made-up attempts in a PostgreSQL of its own: how long filling it takes, and how long each answer.

    nice -n 10 python -m tests.benchmarks.school_index --attempts 200000 --schools 200

Makes the attempts' files first (20 kB on the disk for each).  Of each question the median of several answers, and once
the whole command with starting Python.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from pathlib import Path

from measure.errors import InputMistakes
from tapeplat.archive.attempt_comparison import compare
from tapeplat.archive.storage.checksums import sums_of
from tapeplat.archive.storage.entry import Record, record_json
from tapeplat.archive.storage.folder_names import attempt_folder, attempt_id, challenge_folder, team_folder
from tapeplat.district.disclosure import published
from tapeplat.district.filed_attempt import Choice
from tapeplat.district.index_connection import connected
from tapeplat.district.index_filling import fill
from tapeplat.district.school_index import SchoolIndex
from tapeplat.district.schools import Schools
from tests.helpers.made.attempts import as_bytes, result
from tests.helpers.postgres_server import postgres_server

_YEARS, _AGAIN, _RULES, _ANSWERS = (2024, 2025, 2026), 3, 10, 15
_WORDS = ("met", "met", "not met", "too close to call")
_TITLES = ("Quarry Lake Village", "Harbour Row", "Windmill Hill")


def main() -> None:
    """Make, fill, ask; print a line for each."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("--attempts", type=int, default=20_000)
    parser.add_argument("--schools", type=int, default=20)
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name, postgres_server() as database:
        root = Path(name) / "district"
        start = time.perf_counter()
        made = make(root, asked.attempts, asked.schools)
        print(f"{made} attempts of {asked.schools} schools made in {time.perf_counter() - start:.0f} s", flush=True)
        for what in ("filled", "looked at again, nothing changed"):
            start, worked = time.perf_counter(), time.process_time()
            fill(Schools(root), database)
            took, own = time.perf_counter() - start, time.process_time() - worked
            print(f"index {what}: {took:.0f} s, {own:.0f} s of it this program's processor time", flush=True)
        with connected(database) as connection:
            size = connection.execute("SELECT pg_database_size(current_database())").fetchone()
            print(f"database: {size[0] / 1e6:.0f} MB" if size else "")
            for said, seconds in answers(SchoolIndex(connection)).items():
                print(f"{said}: {1000 * seconds:.0f} ms", flush=True)
        command = [sys.executable, "-m", "tapeplat.start.program", "archive", "list", "--database", database, "--quiet"]
        start = time.perf_counter()
        subprocess.run([*command, "--team", "7", "--year", "2026"], check=True, stderr=subprocess.DEVNULL)
        print(f"the whole command archive list: {time.perf_counter() - start:.1f} s; load {os.getloadavg()[0]:.0f}")


def make(root: Path, attempts: int, schools: int) -> int:
    """So many attempts' files, as evenly as may be; how many there are."""
    teams = max(1, attempts // (schools * len(_YEARS) * _AGAIN))
    made = 0
    for school in range(schools):
        title = _TITLES[school % len(_TITLES)]
        for team in range(1, teams + 1):
            home = root / f"school {school}" / challenge_folder(title) / team_folder(str(team))
            for number in range(len(_YEARS) * _AGAIN):
                taken = datetime(_YEARS[number // _AGAIN], 5, 4, 10, number).astimezone()
                write(home, title, str(team), number + 1, taken)
                made += 1
    return made


def write(home: Path, title: str, team: str, number: int, taken: datetime) -> None:
    """One attempt: what an index is read from."""
    content = result(title=title, team=team)
    rule = content["rules"][0]
    content["rules"] = [
        {**rule, "text": f"{rule['text']}, {n}", "verdict": _WORDS[(n * 7 + number + len(home.name)) % len(_WORDS)]}
        for n in range(_RULES)
    ]
    name = attempt_id(home.parent.name, home.name, number)
    files = {
        "attempt.json": record_json(Record(name, title, team, number, taken, taken)),
        "result.json": as_bytes(content),
    }
    folder = home / attempt_folder(number, taken)
    folder.mkdir(parents=True)
    for file, data in {**files, "SHA256SUMS": sums_of(files)}.items():
        (folder / file).write_bytes(data)


def answers(index: SchoolIndex) -> dict[str, float]:
    """How long each answer takes, in seconds."""
    school, team = Choice(school="school 7"), Choice(team="7", year=2026)
    first = index.listed(Choice(), 1).entries[0].id

    def compared() -> object:
        return compare(index.entry(first), index.entry(f"{first.rpartition('.')[0]}.2"))

    def refused() -> object:
        with suppress(InputMistakes):
            return index.entry("team-7.2")
        return None

    questions: dict[str, Callable[[], object]] = {
        "list, first 200 of all": lambda: index.listed(Choice(), 200),
        "list, first 200 of a school": lambda: index.listed(school, 200),
        "list, first 200 of a team's name in a year": lambda: index.listed(team, 200),
        "list, first 200 of a challenge": lambda: index.listed(Choice(title=_TITLES[1]), 200),
        "list of a school's year, all as JSON": lambda: json.dumps(
            index.listed(Choice("school 7", 2026), 0).entries, default=str
        ),
        "compare of two attempts": compared,
        "a name that several end in, refused": refused,
        "statistics of all schools and years": lambda: index.challenges(Choice()),
        "statistics by rule of all schools and years": lambda: index.rules(Choice()),
        "statistics by rule of a school": lambda: index.rules(school),
        "what a district publishes": lambda: published(index.rules(Choice()), index.challenges(Choice()), 10),
    }
    return {said: median(question) for said, question in questions.items()}


def median(question: Callable[[], object]) -> float:
    """Seconds that an answer takes, the middle one of several."""
    took = []
    for _ in range(_ANSWERS):
        start = time.perf_counter()
        question()
        took.append(time.perf_counter() - start)
    return statistics.median(took)


if __name__ == "__main__":
    main()
