"""A plane's estimate with what else is known of the lens: the same as if it had been known from the start."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from calib.edges import FloatArray
from calib.estimate.parameters import RADIAL
from calib.estimate.plane import Plane
from calib.lens.class_lens import RadialEvidence
from calib.lens.lens_prior import RadialPrior


@dataclass(frozen=True, eq=False)
class Conditioned:
    """A plane after an update, and what the update does to everything that depends on its k sources.

    mean (k,): where the old sources now lie, in their standard deviations; turn (k, k): the old sources are mean + turn
    @ new ones.  So a value with the sensitivity s (k,) moves by s @ mean, and its sensitivity is now s @ turn.
    """

    plane: Plane
    mean: FloatArray
    turn: FloatArray


def radial_of(plane: Plane) -> RadialPrior:
    """The radial terms (3,) as the plane's photo shows them, with their covariance (3, 3)."""
    rows = [plane.names.index(name) for name in RADIAL]
    return RadialPrior(plane.vector[rows], plane.factor[rows] @ plane.factor[rows].T)


def with_evidence(plane: Plane, evidence: RadialEvidence) -> Conditioned:
    """The plane once other photos' evidence is added to its own (linear, as the estimate's last step is).

    What other photos share depends on the last sources alone, before as after.
    """
    rows = [plane.names.index(name) for name in RADIAL]
    radial, count = plane.factor[rows], plane.factor.shape[1]
    normal = np.eye(count) + radial.T @ evidence.information @ radial
    turn = np.asarray(np.linalg.inv(np.linalg.cholesky(normal)).T)
    gradient = radial.T @ (evidence.vector - evidence.information @ plane.vector[rows])
    mean = turn @ (turn.T @ gradient)
    vector = plane.vector + plane.factor @ mean
    camera = replace(plane.camera, vector=vector[: len(plane.camera.vector)])
    changed = replace(plane, camera=camera, vector=vector, factor=plane.factor @ turn)
    return Conditioned(changed, mean, turn)
