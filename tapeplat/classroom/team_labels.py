"""The printed team label in a photo, found on a picture of at most a few megapixels: cheap beside measuring."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.errors import PhotoRefused
from calib.printed import TEAM_TAGS
from calib.tags import detect
from vision.picture.photo import MOST_BYTES, read_photo

_REDUCED_FROM = 2_500_000
"""Bytes of a JPEG from which it is decoded at half its size, which takes a third of the time."""


@dataclass(frozen=True)
class Labels:
    """The numbers of the teams whose labels are in a photo."""

    path: Path
    teams: tuple[int, ...]


def labels_in(path: Path) -> Labels:
    """The teams whose printed labels a photo shows; none where it cannot be read, which measuring it will tell."""
    try:
        grey = _grey(path)
    except (OSError, PhotoRefused, cv2.error):
        grey = None
    found = [] if grey is None else [tag - TEAM_TAGS.start for tag, _ in detect(grey) if tag in TEAM_TAGS]
    return Labels(path, tuple(sorted(set(found))))


def _grey(path: Path) -> NDArray[np.uint8] | None:
    """The photo in grey; a tag is found whichever way up it is."""
    if path.stat().st_size > MOST_BYTES:
        return None
    data = path.read_bytes()
    if not data.startswith(b"\xff\xd8"):
        return np.asarray(cv2.cvtColor(read_photo(path).bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    large = len(data) > _REDUCED_FROM
    way = (cv2.IMREAD_REDUCED_GRAYSCALE_2 if large else cv2.IMREAD_GRAYSCALE) | cv2.IMREAD_IGNORE_ORIENTATION
    grey = cv2.imdecode(np.frombuffer(data, np.uint8), way)
    return None if grey is None else np.asarray(grey, dtype=np.uint8)
