"""A process held to so much memory, where the system can: what asks for more gets a `MemoryError`."""

from __future__ import annotations

import contextlib
import sys

__all__ = ["hold_memory"]


def hold_memory(most_bytes: int) -> None:
    """Hold this process to so many bytes of data, and have it leave no image of itself. Not on Windows."""
    if sys.platform == "win32":
        return
    import resource

    for which, wanted in ((resource.RLIMIT_DATA, most_bytes), (resource.RLIMIT_CORE, 0)):
        _soft, hard = resource.getrlimit(which)
        if hard != resource.RLIM_INFINITY:
            wanted = min(wanted, hard)
        with contextlib.suppress(OSError, ValueError):
            resource.setrlimit(which, (wanted, hard))
