"""The plane of a photo that shows a card alone, as measuring finds it."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from calib.estimate.plane import Plane, estimate_plane
from calib.photo_refused import PhotoRefused
from calib.photo_setup import Lens, PhotoSetup
from calib.prints.edge_shift import edge_shift
from calib.prints.tags import find_tags
from vision.refusals import check_tags


def plane_of(picture: NDArray[np.uint8]) -> Plane | None:
    """None where the photo is refused for its card."""
    grey = np.asarray(cv2.cvtColor(picture, cv2.COLOR_BGR2GRAY), dtype=np.uint8)
    tags = find_tags(grey)
    try:
        check_tags(grey, picture, tags)
    except PhotoRefused:
        return None
    size = (picture.shape[1], picture.shape[0])
    return estimate_plane(tags, edge_shift(grey, tags), size, PhotoSetup(600.0, 450.0), Lens())
