"""Tags as vector outlines against OpenCV's own pictures of them."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import shapely

from calib.printed import CARD_TAG, LENS_TAGS, TAG_CELLS, TEAM_TAGS, ZONE_TAGS
from tapeplat.paper.pdf.tag_paths import tag_rings


@pytest.mark.parametrize("tag", [CARD_TAG, 1, 2, 3, 4, TEAM_TAGS[0], ZONE_TAGS[-1], LENS_TAGS[0], LENS_TAGS[-1]])
def test_outlines_fill_exactly_the_black_cells(tag):
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    black = cv2.aruco.generateImageMarker(dictionary, tag, TAG_CELLS) == 0
    # Even-odd: a point is inside where an odd number of rings hold it.
    for (y, x), is_black in np.ndenumerate(black):
        centre = shapely.Point(x + 0.5, y + 0.5)
        assert sum(shapely.Polygon(ring).contains(centre) for ring in tag_rings(tag)) % 2 == is_black


def test_cells_that_touch_are_one_shape():
    """No outline runs between two cells of one colour, so no program can show a hairline there."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_APRILTAG_36h11)
    for tag in (CARD_TAG, 50, 200):
        cells = np.pad(cv2.aruco.generateImageMarker(dictionary, tag, TAG_CELLS) > 0, 1, constant_values=True)
        changes = np.count_nonzero(np.diff(cells, axis=0)) + np.count_nonzero(np.diff(cells, axis=1))
        assert sum(shapely.LinearRing(ring).length for ring in tag_rings(tag)) == changes
