"""A call in a forked process that is held to so much processor time and memory: what it gave, or how it ended.

So a bound is a bound of the system and no clock is looked at: a call that runs for ever or fills the machine is ended.
Nothing of Qt may be called there: what its threads hold when a process is forked is held in the new one for ever.
"""

from __future__ import annotations

import os
import pickle
import resource
import signal
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any, NamedTuple

__all__ = ["Held", "held_back", "touched_by"]


class Held(NamedTuple):
    """`value` of the call, or the `fault` it raised, else `ended`: by which signal. `mb`: taken beyond the start's."""

    value: Any
    fault: BaseException | None
    ended: str
    mb: float


def held_back(call: Callable[[], Any], *, seconds: int = 2, mb: int = 1024) -> Held:
    """Call it with so many seconds of processor time and so much memory more than there is in use now."""
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            os.close(reading)
            _hold(seconds, mb)
            before = _peak_mb()
            value = fault = None
            try:
                value = call()
            except BaseException as raised:
                fault = raised
            with os.fdopen(writing, "wb") as out:
                pickle.dump((value, fault, _peak_mb() - before), out)
        finally:
            os._exit(0)
    os.close(writing)
    with os.fdopen(reading, "rb") as told:
        said = told.read()
    _pid, status = os.waitpid(child, 0)
    if not os.WIFSIGNALED(status) and said:
        value, fault, peak = pickle.loads(said)
        return Held(value, fault, "", peak)
    return Held(None, None, signal.Signals(os.WTERMSIG(status)).name if os.WIFSIGNALED(status) else "said nothing", 0.0)


def touched_by(call: Callable[[], Any]) -> list[str]:
    """Files that a call opens, addresses it asks for, programs it starts, as Python tells them (PEP 578).

    In a process of its own: what listens can never be taken off again.
    """

    def listening() -> list[str]:
        touched: list[str] = []
        told = ("socket.", "urllib.", "subprocess.", "os.system", "os.exec", "os.spawn", "os.posix_spawn")

        def hear(event: str, arguments: tuple[object, ...]) -> None:
            if event.startswith(told) or (event == "open" and not isinstance(arguments[0], int)):
                touched.append(f"{event} {arguments[0]}")

        sys.addaudithook(hear)
        call()
        return touched

    held = held_back(listening, seconds=20)
    assert held.fault is None, held.fault
    assert not held.ended, held.ended
    found: list[str] = held.value
    return found


def _hold(seconds: int, mb: int) -> None:
    signal.signal(signal.SIGXCPU, signal.SIG_DFL)
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds + 1))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    pages = Path("/proc/self/statm")
    if pages.exists():
        used = int(pages.read_text().split()[0]) * resource.getpagesize()
        resource.setrlimit(resource.RLIMIT_AS, (used + (mb << 20), used + (mb << 20)))


def _peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
