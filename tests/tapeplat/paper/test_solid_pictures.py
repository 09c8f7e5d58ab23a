"""The sheet for structures: every solid is drawn with the sizes that its row of the table needs."""

from __future__ import annotations

import pytest
import shapely

from measure.structures.solid_volumes import POSES, SOLIDS
from tapeplat.paper.solids.solid_pictures import PICTURES
from tapeplat.paper.solids.structures_sheet import WORDS


def test_every_solid_has_a_picture_and_a_name():
    assert set(PICTURES) == set(WORDS) == set(SOLIDS)
    assert all(words.split(":")[0] == name for name, words in WORDS.items())


@pytest.mark.parametrize("name", SOLIDS)
def test_the_picture_shows_the_sizes_that_the_table_needs(name):
    shown = {size.name for size in PICTURES[name].sizes}
    assert shown in [set(pose.needs) for pose in POSES[name]]


@pytest.mark.parametrize("name", SOLIDS)
def test_nothing_of_a_picture_lies_on_its_words(name):
    """Faces are rings without crossings; the names of sizes stand clear of each other."""
    picture = PICTURES[name]
    assert all(shapely.Polygon(face.ring).is_valid for face in picture.faces)
    words = [shapely.Point(size.word).buffer(3.0) for size in picture.sizes]
    assert not any(a.intersects(b) for at, a in enumerate(words) for b in words[:at])


def test_a_box_s_faces_are_as_large_as_its_sizes():
    front, side, top = sorted(PICTURES["box"].faces, key=lambda face: -shapely.Polygon(face.ring).area)[:3]
    assert shapely.Polygon(front.ring).area == pytest.approx(20 * 11)
    assert shapely.Polygon(side.ring).area + shapely.Polygon(top.ring).area == pytest.approx((20 + 11) * 14 * 0.5**1.5)
