"""Traced photos put aside in a file until other photos have told of their lens: everything but the pixels."""

from __future__ import annotations

import pickle
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import cast

import numpy as np

from calib.lens.class_lens import NOTHING
from vision.lens_told import with_lens_told, without_pixels
from vision.merging import Views
from vision.picture.photo import name_of, read_photo


def keep_views(views: Views, file: Path) -> None:
    """Put views aside. The file is for this run of the program alone."""
    nothing = np.zeros((0, 0, 3), dtype=np.uint8)
    seen = tuple((replace(photo, bgr=nothing), without_pixels(traced)) for photo, traced in views.seen)
    file.write_bytes(pickle.dumps(replace(views, seen=seen)))


def kept_views(file: Path, photos: Sequence[Path]) -> Views:
    """The views again, with the pixels of the photos (all files of the model). Raises PhotoRefused."""
    views = cast("Views", pickle.loads(file.read_bytes()))
    wanted = {photo.sha256 for photo, _ in views.seen}
    names = {photo.file for photo, _ in views.seen}
    read = [read_photo(path) for path in photos if name_of(path) in names]
    pixels = {photo.sha256: photo.bgr for photo in read if photo.sha256 in wanted}
    seen = [(replace(photo, bgr=pixels[photo.sha256]), traced) for photo, traced in views.seen]
    return replace(views, seen=tuple((photo, with_lens_told(photo, traced, NOTHING)) for photo, traced in seen))
