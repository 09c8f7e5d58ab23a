"""One participant who wants to stop the page for all others: a student, a phone and somebody without any right in one.

    python -m tests.benchmarks.page_attack BASE CLASS-CODE PHONE-KEY

Goes on until its standard input ends, then prints how often it was answered what. It has plans of sixty pieces
checked, another one each time, sends plans of 1.9 MB, bodies of 250 MB without any right, sixteen small PNGs and
progressive JPEGs at a time that unfold to 59 megapixels, and asks for pages as fast as it can.
"""

from __future__ import annotations

import io
import math
import random
import socket
import sys
import threading
import time
from collections import Counter
from collections.abc import Callable
from contextlib import suppress
from typing import ClassVar
from urllib.parse import urlsplit

from PIL import Image

from tests.benchmarks.page_client import Client

BOMBS = 8
"""Different ones; drawing them takes the attacker as long as the page."""
SIDE = 7680
"""Pixels: 59 megapixels, just below what the page takes."""
HELD = 3.0
"""s for which a body without a right is sent on."""


def main() -> None:
    """Attack on several threads until the input ends."""
    base, code, key = sys.argv[1:4]
    answers: Counter[str] = Counter()
    goes_on = threading.Event()
    goes_on.set()
    acts: list[Callable[[], None]] = [
        Student(base, code, answers).check_plans,
        Student(base, code, answers).send_too_much,
        lambda: without_a_right(base, answers),
        *[Phone(base, key, answers).send_bombs] * 16,
        lambda: ask_for_pages(base, answers),
    ]
    threads = [threading.Thread(target=repeated, args=(act, goes_on), daemon=True) for act in acts]
    for thread in threads:
        thread.start()
    sys.stdin.read()
    goes_on.clear()
    for thread in threads:
        thread.join(30)
    print(", ".join(f"{name} {count}" for name, count in sorted(answers.items())))


def repeated(act: Callable[[], None], goes_on: threading.Event) -> None:
    """Do it again and again; a connection that the page drops is no reason to stop."""
    while goes_on.is_set():
        with suppress(OSError):
            act()


class Student:
    """Team 29 of the class."""

    def __init__(self, base: str, code: str, answers: Counter[str]) -> None:
        self._client, self._answers, self._chance = Client(base), answers, random.Random(1)
        self._client.open("/class/code")
        self._client.send("/class/code", code=code)
        self._client.send("/class/team", team=29)

    def check_plans(self) -> None:
        """Sixteen checks of plans of sixty pieces, each asked for at once."""
        for _ in range(16):
            page = self._client.send("/class/plan", do="check", **plan(60, 16, self._chance))
            self._answers["plan to check" if "being checked" in page or "check says" in page else "plan refused"] += 1

    def send_too_much(self) -> None:
        """A plan of 1.9 MB."""
        self._client.send("/class/plan", do="save", **plan(60, 80, self._chance), more="1" * 1_500_000)
        self._answers["large plan"] += 1


class Phone:
    """A phone that may send photos; all of its threads are one browser."""

    _ready: Client | None = None
    _lock = threading.Lock()
    _bombs: ClassVar[list[tuple[str, bytes]]] = []

    def __init__(self, base: str, key: str, answers: Counter[str]) -> None:
        self._answers = answers
        with Phone._lock:
            if Phone._ready is None:
                Phone._bombs += [(kind, bomb(kind, 30 * shade)) for shade in range(BOMBS) for kind in ("PNG", "JPEG")]
                Phone._ready = Client(base)
                Phone._ready.open(f"/phone/key/{key}")
                Phone._ready.send(f"/phone/key/{key}")
        self._client = Phone._ready

    def send_bombs(self) -> None:
        """A small file that unfolds to what a large photo has."""
        kind, content = random.choice(Phone._bombs)
        before = len(self._client.wrong)
        self._client.send_photo("/phone/photos", random.randint(1, 29), content)
        self._answers[kind if before == len(self._client.wrong) else self._client.wrong[-1].split(": ", 1)[1]] += 1


def bomb(kind: str, shade: int) -> bytes:
    """A photo of one grey, as small as a file of that kind gets."""
    out = io.BytesIO()
    image = Image.new("L", (SIDE, SIDE), shade)
    if kind == "PNG":
        image.save(out, "PNG", compress_level=9)
    else:
        image.save(out, "JPEG", progressive=True, quality=1, optimize=True)
    return out.getvalue()


def plan(pieces: int, corners: int, chance: random.Random) -> dict[str, list[str]]:
    """Stars all over the parcel, others each time."""
    rows = [star(corners, chance) for _ in range(pieces)]
    zones = [chance.choice(("orchard", "landing", "greenhouse")) for _ in rows]
    empty = [""] * pieces
    sides = {f"piece_{name}": empty for name in ("left", "top", "width", "depth")}
    return {"piece_zone": zones, "piece_corners": rows, **sides}


def star(corners: int, chance: random.Random) -> str:
    """A ring of many corners within the parcel of twelve inches."""
    x, y = chance.uniform(2, 10), chance.uniform(2, 10)
    turns = [2 * math.pi * corner / corners for corner in range(corners)]
    sizes = [1 + corner % 2 * 0.8 for corner in range(corners)]
    places = [(x + size * math.cos(turn), y + size * math.sin(turn)) for turn, size in zip(turns, sizes, strict=True)]
    return " ".join(f"({left:.2f}, {top:.2f})" for left, top in places)


def without_a_right(base: str, answers: Counter[str]) -> None:
    """A body of 250 MB from nobody, sent on as long as anybody listens."""
    host = urlsplit(base).netloc
    head = f"POST /teacher/challenge/lake/photos HTTP/1.1\r\nHost: {host}\r\nContent-Length: 250000000\r\n\r\n"
    until = time.monotonic() + HELD
    with socket.create_connection((urlsplit(base).hostname, urlsplit(base).port), timeout=10) as line:  # type: ignore[arg-type]
        line.sendall(head.encode())
        answers["body without a right"] += 1
        while time.monotonic() < until:
            line.sendall(bytes(65_536))


def ask_for_pages(base: str, answers: Counter[str]) -> None:
    """The first page, without a pause."""
    client = Client(base)
    client.open("/class/code")
    answers["page"] += 1


if __name__ == "__main__":
    main()
