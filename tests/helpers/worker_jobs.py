"""Jobs for worker processes, which import this module and so as little as it does."""

from __future__ import annotations

import os
import signal
import time
from dataclasses import dataclass


@dataclass(frozen=True)
class Double:
    number: int

    def run(self) -> int:
        return 2 * self.number


@dataclass(frozen=True)
class Moody:
    """Does what its name says."""

    name: str

    def run(self) -> str:
        if self.name == "dies":
            os.kill(os.getpid(), signal.SIGKILL)
        if self.name == "raises":
            raise ValueError("a mistake of ours")
        if self.name == "hangs":
            time.sleep(60)
        if self.name.endswith("rests"):
            time.sleep(0.1)
        if self.name == "odd":
            return lambda: None  # type: ignore[return-value]
        return f"{self.name} by {os.getpid()}"


@dataclass(frozen=True)
class Unreadable:
    """Cannot be made again where it arrives."""

    def __reduce__(self) -> tuple[type[int], tuple[str]]:
        return int, ("no number",)

    def run(self) -> str:
        return ""


@dataclass(frozen=True)
class Settings:
    def run(self) -> tuple[int, str, int]:
        import cv2

        return cv2.getNumThreads(), os.environ["OPENBLAS_NUM_THREADS"], os.nice(0)


@dataclass(frozen=True)
class Slow:
    seconds: float = 0.2

    def run(self) -> int:
        time.sleep(self.seconds)
        return os.getpid()


@dataclass(frozen=True)
class Busy:
    """Computes until it is ended."""

    def run(self) -> int:
        number = 0
        while True:
            number += 1


@dataclass(frozen=True)
class Greedy:
    """Holds so many MB for a moment; says which process it was."""

    mb: int

    def run(self) -> int:
        return os.getpid() if b"x" * (self.mb << 20) else 0


_KEPT: list[bytes] = []


@dataclass(frozen=True)
class Large:
    """Leaves so many MB behind in a ring of objects, as a refused photo does; for good where it keeps them."""

    mb: int
    keeps: bool = False

    def run(self) -> int:
        ring: list[object] = [b"x" * (self.mb << 20)]
        ring.append(ring)
        if self.keeps:
            _KEPT.append(b"x" * (self.mb << 20))
        return os.getpid()
