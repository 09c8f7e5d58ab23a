"""The printed team label in a photo, found on a picture of at most a few megapixels: cheap beside measuring."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.photo_refused import PhotoRefused
from calib.printed import TEAM_TAGS
from calib.prints.tags import detect
from vision.picture.photo import MOST_BYTES, PhotoContent, photo_from_bytes

_REDUCED_FROM = 2_500_000
"""Bytes of a JPEG from which it is decoded at half its size, which takes a third of the time."""


@dataclass(frozen=True)
class LabelJob:
    """A photo whose labels a worker process reads."""

    path: Path

    def run(self) -> tuple[int, ...]:
        """See labels_in."""
        return labels_in(self.path)

    def input_files(self) -> Mapping[str, Path]:
        """The photo."""
        return {self.path.name: self.path}

    def moved(self, places: Mapping[str, Path], out: Path) -> LabelJob:
        """The same with the photo elsewhere."""
        return LabelJob(places[self.path.name])

    def output_folder(self) -> None:
        """Nothing is written."""


def labels_in(photo: Path | PhotoContent) -> tuple[int, ...]:
    """The teams whose printed labels a photo shows; none where it cannot be read, which measuring it will tell."""
    try:
        grey = _grey(photo)
    except (OSError, PhotoRefused, cv2.error):
        grey = None
    found = [] if grey is None else [tag - TEAM_TAGS.start for tag, _ in detect(grey) if tag in TEAM_TAGS]
    return tuple(sorted(set(found)))


def _grey(photo: Path | PhotoContent) -> NDArray[np.uint8] | None:
    """The photo in grey; a tag is found whichever way up it is."""
    if isinstance(photo, Path) and photo.stat().st_size > MOST_BYTES:
        return None
    data = photo.read_bytes() if isinstance(photo, Path) else photo.data
    if not data.startswith(b"\xff\xd8"):
        return np.asarray(cv2.cvtColor(photo_from_bytes(data, photo.name).bgr, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    large = len(data) > _REDUCED_FROM
    way = (cv2.IMREAD_REDUCED_GRAYSCALE_2 if large else cv2.IMREAD_GRAYSCALE) | cv2.IMREAD_IGNORE_ORIENTATION
    grey = cv2.imdecode(np.frombuffer(data, np.uint8), way)
    return None if grey is None else np.asarray(grey, dtype=np.uint8)
