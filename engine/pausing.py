"""How a long piece of work gives way: whoever has it done says what is called now and then, and that may raise.

What is asked for at a terminal runs to its end: there nothing is called.
"""

from __future__ import annotations

import contextlib
import contextvars
from collections.abc import Callable, Iterator

__all__ = ["GivenUp", "giving_way", "pause"]


class GivenUp(Exception):
    """The work is not wanted any more: no fault, and nobody on the way takes it for one."""


def _nothing() -> None:
    """Nobody waits."""


_PAUSE: contextvars.ContextVar[Callable[[], object]] = contextvars.ContextVar("pause", default=_nothing)


@contextlib.contextmanager
def giving_way(go_on: Callable[[], object]) -> Iterator[None]:
    """Within: `go_on` is called at every `pause`; it may raise `GivenUp` to stop."""
    token = _PAUSE.set(go_on)
    try:
        yield
    finally:
        _PAUSE.reset(token)


def pause() -> None:
    """A place at which work can be given up: nothing is half done here. Call it every few milliseconds."""
    _PAUSE.get()()
