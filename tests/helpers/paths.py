"""Where the tests' files are."""

from __future__ import annotations

from pathlib import Path

ROOT = Path(__file__).parents[2]
SAMPLES = ROOT / "sample_images"
PHOTOS = ROOT.parent / "shared" / "photos"
"""Photos beside the repository; what needs them is skipped where they are not."""
