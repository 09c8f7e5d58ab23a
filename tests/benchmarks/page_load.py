"""How quick the page stays for a whole class: many clients enter measurements while photos are being measured.

    python -m tests.benchmarks.page_load [--clients 30] [--photos 8] [--pause 1.0]

A program of its own serves the page. Every client is a browser of one team (beyond 29 clients teams have two): it
opens the form, sends a number, and sees the answer, with a pause between as a child would make. Printed are the
answers' times in milliseconds while photos are being measured, and whatever went wrong.
"""

from __future__ import annotations

import argparse
import random
import re
import socket
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.error import URLError
from urllib.parse import urlencode
from urllib.request import HTTPCookieProcessor, Request, build_opener

import numpy as np

from tests.helpers.paths import SAMPLES

TEAMS = 29
"""The most that a class may have."""
SAMPLE = SAMPLES / "quarry-lake-1.jpg"


@dataclass
class Client:
    """A browser without a window, and how long each answer took."""

    base: str
    jar: CookieJar = field(default_factory=CookieJar)
    times: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._opener = build_opener(HTTPCookieProcessor(self.jar))
        self._token = ""

    def open(self, path: str, data: bytes | None = None, kind: str = "application/x-www-form-urlencoded") -> str:
        """The page at a path, or the one that follows a change."""
        headers = {"X-CSRF": self._token, "Content-Type": kind} if data is not None else {}
        begun = time.perf_counter()
        try:
            with self._opener.open(Request(self.base + path, data, headers), timeout=60) as answer:
                page = str(answer.read().decode("utf-8", "replace"))
        except URLError as error:
            self.wrong.append(f"{path}: {error}")
            return ""
        self.times.append(time.perf_counter() - begun)
        token = re.search(r'name="csrf" content="([^"]+)"', page)
        self._token = token[1] if token else self._token
        return page

    def send(self, path: str, **fields: object) -> str:
        """Send a form."""
        return self.open(path, urlencode(fields, doseq=True).encode())

    def send_photo(self, path: str, team: int, content: bytes) -> str:
        """Send a photo of a team's model."""
        head = f'--x\r\nContent-Disposition: form-data; name="team"\r\n\r\n{team}\r\n'
        head += '--x\r\nContent-Disposition: form-data; name="photos"; filename="a.jpg"\r\n\r\n'
        body = head.encode() + content + b"\r\n--x--\r\n"
        return self.open(path, body, "multipart/form-data; boundary=x")


def main() -> None:
    """Print one row for pages and one for changes."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--clients", type=int, default=30)
    ask.add_argument("--photos", type=int, default=8)
    ask.add_argument("--pause", type=float, default=1.0)
    given = ask.parse_args()
    with tempfile.TemporaryDirectory() as folder, served(Path(folder)) as (base, start):
        teacher = Client(base)
        teacher.open(start)
        code = prepared(teacher, given.clients)
        busy = threading.Event()
        busy.set()
        jars = [CookieJar() for _ in range(TEAMS)]
        pupils = [Client(base, jars[number % TEAMS]) for number in range(given.clients)]
        threads = [
            threading.Thread(target=pupil_at_work, args=(pupil, code, number, busy, given.pause))
            for number, pupil in enumerate(pupils)
        ]
        for thread in threads:
            thread.start()
        begun = time.perf_counter()
        for team in range(1, given.photos + 1):
            teacher.send_photo("/teacher/challenge/lake/photos", team, SAMPLE.read_bytes())
        while teacher.open("/teacher/challenge/lake/queue").count("See the result") < given.photos:
            time.sleep(0.5)
        took = time.perf_counter() - begun
        busy.clear()
        for thread in threads:
            thread.join()
    report(pupils, teacher, took, given.photos)


def report(pupils: list[Client], teacher: Client, took: float, photos: int) -> None:
    """What was measured."""
    times = np.array([seconds for pupil in pupils for seconds in pupil.times]) * 1000
    middle, high, highest = np.percentile(times, [50, 95, 100])
    print(f"{photos} photos in {took:.1f} s; {len(times)} answers to {len(pupils)} clients ({len(times) / took:.0f}/s)")
    print(f"median {middle:.0f} ms, 95th percentile {high:.0f} ms, longest {highest:.0f} ms")
    wrong = [said for client in (*pupils, teacher) for said in client.wrong]
    print(f"errors: {len(wrong)}", *wrong[:10], sep="\n")


def pupil_at_work(pupil: Client, code: str, number: int, busy: threading.Event, pause: float) -> None:
    """Come in, then measure until all photos are done. A team's second client has the first one's session."""
    chance = random.Random(number)
    time.sleep(chance.random() * pause)
    if number < TEAMS:
        pupil.open("/class/code")
        pupil.send("/class/code", code=code)
        pupil.send("/class/team", team=number + 1)
    else:
        time.sleep(3 * pause)
    while busy.is_set():
        page = pupil.open("/class/measure")
        if "look again" not in page and "Measure" not in page:
            pupil.wrong.append(f"team {number} does not see the form: {re.sub('<[^>]+>', ' ', page)[:200]}")
            return
        time.sleep(pause * (0.5 + chance.random()))
        value = f"{chance.randint(2, 20)} {chance.randint(1, 7)}/8"
        pupil.send("/class/measure", **{**FORM, "value": value})
        time.sleep(pause * (0.5 + chance.random()))


FORM = {
    "who": "", "quantity": "perimeter", "zone": "landing", "piece": "", "side": "", "other": "", "unit": "in",
    "share_unit": "%", "method": "ruler", "mark": "1/8 in", "square": "1/2 in", "cube": "1 in",
}  # fmt: skip


def prepared(teacher: Client, clients: int) -> str:
    """Open the entry of measurements to enough teams; returns the class code."""
    page = teacher.open("/teacher/challenge/lake/students")
    teams = min(TEAMS, max(8, clients))
    teacher.send("/teacher/challenge/lake/students", teams=teams, tries=3, opened=["entry", "plan"])
    code = re.search(r'code-large">(\w+)<', page)
    assert code is not None
    return code[1]


@contextmanager
def served(folder: Path) -> Iterator[tuple[str, str]]:
    """The program: its address, and the path that signs the teacher in."""
    (folder / "challenges").mkdir()
    (folder / "challenges" / "lake.toml").write_bytes(SAMPLE.with_suffix(".toml").read_bytes())
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    command = [sys.executable, "-c", "from tapeplat.cli.main import main; main()", "serve", "--no-browser"]
    command += ["--port", str(port), "--data", str(folder), "--archive-folder", str(folder / "archive")]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, stdin=subprocess.DEVNULL) as program:
        assert program.stdout is not None
        said = ""
        while "Stop with Ctrl-C" not in said:
            said += program.stdout.readline()
        time.sleep(2)
        start = re.search(r"(http://127\.0\.0\.1:\d+)(/start/\S+)", said)
        assert start is not None
        try:
            yield start[1], start[2]
        finally:
            program.kill()


if __name__ == "__main__":
    main()
