"""A made-up phone's lens profile."""

from __future__ import annotations

from tapeplat.lens.lens_store import LensProfile

PROFILE = LensProfile(
    camera="Invented Phone 1", made="2025-03-04", photos=9, size=(4000, 3000), stated_focal=0.6, focal=0.61,
    focal_spread=0.002, centre=(0.003, -0.001), centre_spread=0.0005, radial=(0.09, -0.2, 0.1),
    radial_spread=(0.001, 0.002, 0.002), residual=0.4, radial_correlation=(-0.9, 0.8, -0.95),
)  # fmt: skip
