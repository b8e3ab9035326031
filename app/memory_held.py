"""A process held to so much memory, and time, where the system can: what asks for more gets a `MemoryError`."""

from __future__ import annotations

import contextlib
import sys

__all__ = ["hold_memory"]


def hold_memory(most_bytes: int, most_s: int | None = None) -> None:
    """Hold this process to so many bytes of data, and have it leave no image of itself. Not on Windows.

    `most_s`: seconds of the processor after which it is ended, whoever started it being there or not.
    """
    if sys.platform == "win32":
        return
    import resource

    limits = [(resource.RLIMIT_DATA, most_bytes), (resource.RLIMIT_CORE, 0)]
    if most_s is not None:
        limits.append((resource.RLIMIT_CPU, most_s))
    for which, wanted in limits:
        _soft, hard = resource.getrlimit(which)
        if hard != resource.RLIM_INFINITY:
            wanted = min(wanted, hard)
        with contextlib.suppress(OSError, ValueError):
            resource.setrlimit(which, (wanted, hard))
