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


def _unheard(_done: int, _of: int) -> None:
    """Nobody asks how far it is."""


_PAUSE: contextvars.ContextVar[Callable[[], object]] = contextvars.ContextVar("pause", default=_nothing)
_FAR: contextvars.ContextVar[Callable[[int, int], object]] = contextvars.ContextVar("far", default=_unheard)


@contextlib.contextmanager
def giving_way(go_on: Callable[[], object], so_far: Callable[[int, int], object] = _unheard) -> Iterator[None]:
    """Within: `go_on` is called at every `pause`; it may raise `GivenUp` to stop. `so_far` hears how much is done."""
    token, far = _PAUSE.set(go_on), _FAR.set(so_far)
    try:
        yield
    finally:
        _PAUSE.reset(token)
        _FAR.reset(far)


def pause(done: int = 0, of: int = 0) -> None:
    """A place at which work can be given up: nothing is half done here. Call it every few milliseconds.

    `done` of `of` parts are done, where that is known.
    """
    _PAUSE.get()()
    if of:
        _FAR.get()(done, of)
