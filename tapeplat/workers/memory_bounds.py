"""How much memory this process has taken, and a bound on what it may take: Linux only; elsewhere nothing is bounded."""

from __future__ import annotations

import gc
import re
import sys
from pathlib import Path
from typing import Any

_STATM, _STATUS = Path("/proc/self/statm"), Path("/proc/self/status")
_MB = 1 << 20
_MMAP_THRESHOLD, _ARENA_MAX = -3, -8
"""Names of glibc's mallopt(3)."""


def used_mb() -> float:
    """The most that this process has held in memory so far, in MB; 0 where the system does not say."""
    if sys.platform != "linux":
        return 0.0
    # getrusage would count what the process held that started this one.
    found = re.search(r"^VmHWM:\s*(\d+) kB", _STATUS.read_text(), re.MULTILINE)
    return int(found[1]) / 1024 if found else 0.0


def held_mb() -> float:
    """What this process holds in memory now, in MB; 0 where the system does not say."""
    return _pages(1) / _MB if sys.platform == "linux" else 0.0


def bound_memory(more_mb: int) -> None:
    """Let this process take so many MB more of address space than it has now: what asks for more gets MemoryError."""
    if not more_mb or sys.platform != "linux":
        return
    import resource

    now = _pages(0)
    _, hard = resource.getrlimit(resource.RLIMIT_AS)
    wanted = now + more_mb * _MB
    resource.setrlimit(resource.RLIMIT_AS, (wanted if hard == resource.RLIM_INFINITY else min(wanted, hard), hard))


def give_memory_back() -> None:
    """Let go of what nobody uses any more, and give it back to the system, where the C library is glibc.

    A refused photo hangs in a ring of objects, exception and frames, until the collector comes by.
    """
    gc.collect()
    library = _glibc()
    if library is not None:
        library.malloc_trim(0)


def give_large_memory_back() -> None:
    """Have what is let go of go back to the system, where the C library is glibc.

    After the first large block that is freed it keeps blocks of up to 32 MB for later, in a pool for each thread: after
    a rush of photos a process of sixteen threads would hold some hundred MB for good.
    """
    library = _glibc()
    if library is not None:
        library.mallopt(_MMAP_THRESHOLD, _MB)
        library.mallopt(_ARENA_MAX, 2)


def _glibc() -> Any:
    if sys.platform != "linux":
        return None
    import ctypes

    library = ctypes.CDLL(None)
    return library if hasattr(library, "gnu_get_libc_version") else None


def _pages(column: int) -> int:
    """Bytes of address space (0) or of memory (1) of this process; Linux only."""
    import resource

    return int(_STATM.read_text().split()[column]) * resource.getpagesize()
