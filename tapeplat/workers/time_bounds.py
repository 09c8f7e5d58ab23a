"""A bound on the processor's time that this process may take: where the system has one, so not on Windows."""

from __future__ import annotations

import math
import time

try:
    import resource
except ImportError:  # Windows
    resource = None  # type: ignore[assignment]

BOUNDS_TIME = resource is not None


def bound_time(seconds: float) -> None:
    """Let this process compute for so many seconds more, rounded up; then the system ends it, whatever it is in.

    Time of the processor, not of the clock: on a busy machine the same work takes longer by the clock, and is as right.
    """
    if resource is None:
        return
    wanted = math.ceil(time.process_time() + seconds) + 1  # the system counts whole seconds
    _, hard = resource.getrlimit(resource.RLIMIT_CPU)
    resource.setrlimit(resource.RLIMIT_CPU, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))
    _, most = resource.getrlimit(resource.RLIMIT_CORE)
    resource.setrlimit(resource.RLIMIT_CORE, (0, most))  # what is ended leaves no picture of its memory on the disk
