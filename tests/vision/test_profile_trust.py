"""A lens profile against what the photo itself shows: believed where they agree, and dropped where they do not."""

from __future__ import annotations

from dataclasses import replace

from calib.photo_setup import Lens
from tests.helpers.scenes.files import photo_of, photo_setup_of, tapes_of
from tests.helpers.scenes.scoring import compare
from tests.helpers.scenes.village import village
from vision.picture.photo import Photo
from vision.picture.traced import Traced
from vision.profile_trust import trace_with_profile

SURE = 0.003


def profiled(corner: float) -> tuple[Photo, Traced, float]:
    """The village's photo, whose lens bends nothing, with a profile of a lens that moves the corners by this share;
    the photo with the lens that was used, what was traced, and the largest error of an area.
    """
    scene = village(tiles=False)
    photo = photo_of(scene)
    covariance = tuple(tuple(SURE**2 * float(i == j) for j in range(5)) for i in range(5))
    lens = Lens(photo.lens.focal, radial=(corner, 0.0, 0.0, 0.0, 0.0), radial_covariance=covariance, focal_spread=0.01)
    photo = replace(photo, lens=lens, lens_from="profile of a phone", by_file=photo.lens)
    used, traced = trace_with_profile(photo, photo_setup_of(scene), tapes_of(scene))
    return used, traced, max(abs(score.error) for score in compare(scene, traced).scores)


def test_the_profile_of_the_photos_own_lens_is_used() -> None:
    used, traced, error = profiled(0.0)
    assert used.lens_from == "profile of a phone"
    assert all(remark.code != "profile-apart" for remark in traced.remarks)
    assert error < 0.004


def test_the_profile_of_another_phone_is_not_used_and_that_is_said() -> None:
    used, traced, error = profiled(-0.07)
    assert used.lens_from == ""
    assert used.lens == photo_of(village(tiles=False)).lens
    assert any(remark.code == "profile-apart" for remark in traced.remarks)
    assert error < 0.004
