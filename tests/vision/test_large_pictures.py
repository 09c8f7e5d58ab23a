"""Pictures of many megapixels take little more memory than their own bytes, and give what whole copies gave."""

from __future__ import annotations

import io
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tests.helpers.paths import ROOT
from vision.picture.byte_values import percentile_of_bytes
from vision.picture.photo import photo_from_bytes
from vision.picture.scan_damage import BAND, Scan, _steps, _steps_at

SIDE = 6000
"""Pixels: 36 megapixels, 108 MB."""
PEAK = """
import sys
from tapeplat.page.jobs.photo_look import Look
from tapeplat.workers.memory_bounds import used_mb
before, content = used_mb(), open(sys.argv[1], "rb").read()
assert Look(content, "a.png").run().preview
print(used_mb() - before)
"""


@pytest.mark.parametrize("rows", [1, 2, 300, 700])
@pytest.mark.parametrize("percent", [0, 5, 50, 99.95, 100])
def test_percentiles_are_those_of_all_bytes_at_once(rows: int, percent: float) -> None:
    values = (np.random.default_rng(rows).random((rows, 37)) ** 4 * 255).astype(np.uint8)
    found = percentile_of_bytes(lambda band: values[band], rows, percent)
    assert found == pytest.approx(float(np.percentile(values, percent)))


@pytest.mark.parametrize("mode", ["L", "RGB", "RGBA", "P"])
def test_a_png_of_many_bands_is_read_as_it_is(mode: str) -> None:
    pixels = np.random.default_rng(1).integers(0, 255, (700, 320, 3), dtype=np.uint8)
    image = Image.fromarray(pixels).convert(mode)
    out = io.BytesIO()
    image.save(out, "PNG")
    found = photo_from_bytes(out.getvalue(), "a.png").bgr
    assert np.array_equal(found[..., ::-1], np.asarray(image.convert("RGB")))


def test_steps_along_blocks_are_the_same_in_bands_and_at_once() -> None:
    bgr = np.random.default_rng(2).integers(0, 255, (8 * (2 * BAND + 9), 640, 3), dtype=np.uint8)
    scan = Scan(8, 8)
    whole = _steps_at(bgr, np.arange(1, (len(bgr) - 2) // 8) * 8, 80, scan)
    assert np.array_equal(_steps(bgr, scan)[1:], whole)


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="the system says the peak in KiB there")
@pytest.mark.parametrize("kind", ["PNG", "JPEG"])
def test_looking_at_a_large_photo_takes_three_times_its_pixels_at_most(tmp_path: Path, kind: str) -> None:
    file = tmp_path / f"a.{kind.lower()}"
    more = {"progressive": True, "quality": 1} if kind == "JPEG" else {}
    Image.new("L", (SIDE, SIDE), 90).save(file, kind, **more)
    said = subprocess.run([sys.executable, "-c", PEAK, file], capture_output=True, text=True, check=True, cwd=ROOT)
    assert float(said.stdout) < 3 * 3 * SIDE * SIDE / (1 << 20)
