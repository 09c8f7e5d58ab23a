"""Which program a computer runs: results are to be the same whoever makes them, so workers must run the same one."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from importlib.metadata import version
from pathlib import Path

_ROOMS = ("calib", "measure", "tapeplat", "vision")


@dataclass(frozen=True)
class Program:
    """The versions that results depend on, and that of Dask, by which jobs travel.

    source is a checksum of the program's own files. Equal ones make the same results on processors of the same kind.
    """

    tapeplat: str
    source: str
    opencv: str
    numpy: str
    dask: str

    def differs_from(self, other: Program) -> str:
        """In words, what differs: `OpenCV 4.14.0 there, 4.15.1 here`."""
        pairs = [("Tapeplat", self.tapeplat, other.tapeplat), ("OpenCV", self.opencv, other.opencv)]
        pairs += [("numpy", self.numpy, other.numpy), ("Dask", self.dask, other.dask)]
        said = [f"{name} {there} there, {here} here" for name, there, here in pairs if there != here]
        return "; ".join(said) or "the program's files are others there than here, though its version is the same"


@cache
def this_program() -> Program:
    """The one that runs here."""
    import cv2
    import numpy as np

    return Program(version("tapeplat"), _source(), cv2.__version__, np.__version__, version("distributed"))


def _source() -> str:
    """A checksum of the program's files, in the order of their names."""
    whole = hashlib.sha256()
    for room in _ROOMS:
        top = Path(import_module(room).__path__[0])
        for file in sorted(top.rglob("*")):
            if file.suffix in (".py", ".lark", ".txt"):
                whole.update(file.relative_to(top).as_posix().encode())
                whole.update(file.read_bytes())
    return whole.hexdigest()
