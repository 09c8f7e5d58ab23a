"""Matrices as small as a photo's are computed with one thread: others only wait for each other, at twice the time."""

from __future__ import annotations

from contextlib import AbstractContextManager

from threadpoolctl import threadpool_limits


def with_one_thread() -> AbstractContextManager[object]:
    """Within this, numpy's linear algebra uses one thread in this process; afterwards as many as before."""
    limited: AbstractContextManager[object] = threadpool_limits(1, user_api="blas")
    return limited
