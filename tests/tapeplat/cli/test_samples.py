from __future__ import annotations

from collections import Counter

import pytest
from PIL import Image

from measure.challenge import Priors, read_challenge
from tapeplat.cli.demo_command import samples
from vision.picture.one_camera import one_camera_of

SAMPLES = list(samples())


def test_there_are_three_or_four():
    assert 3 <= len(SAMPLES) <= 4


@pytest.mark.parametrize(("challenge", "photo"), SAMPLES, ids=lambda path: path.stem)
def test_a_sample_is_a_whole_task_with_a_phone_s_photo(challenge, photo):
    read = read_challenge(challenge)
    assert read.title.startswith("Quarry Lake Village")
    assert read.priors == Priors()
    assert len(read.rules) >= 8
    assert len({line.rule.kind_name for line in read.rules}) >= 5
    assert Counter(line.rule.kind_name == "by eye" for line in read.rules)[True] == 1
    with Image.open(photo) as image:
        assert image.format == "JPEG"
        assert min(image.size) >= 2400
        assert image.getexif()


def test_the_page_about_them_names_each_and_says_how_they_were_made():
    page = (SAMPLES[0][0].parent / "README.md").read_text()
    assert all(photo.name in page for _, photo in SAMPLES)
    assert "not photographs of real classrooms" in page
    assert "ray-traced" in page


def test_each_sample_s_lens_is_its_own_camera_s():
    """They were drawn with four lenses: under one name they would be told not to agree on one."""
    cameras = [one_camera_of(photo) for _, photo in SAMPLES]
    assert None not in cameras
    assert len({camera.key for camera in cameras}) == len(SAMPLES)
