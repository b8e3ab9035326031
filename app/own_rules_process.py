"""The process in which a person's own rules run: told of a drawing, it has one rule after the other judge it.

Only here is anything of an own rule run. Each rule judges a fresh study of the drawing, so that what one does to its
study is nothing to the next. What a rule prints goes nowhere; this process ends with its input, and by itself where a
rule goes on long after its time is over and nobody has ended it. Run with `-m app.own_rules_process`.
"""

from __future__ import annotations

import contextlib
import faulthandler
import os
import queue
import sys
import threading
from collections.abc import Callable, Iterator
from typing import BinaryIO, NoReturn

from app import words
from app.frames import Frames
from app.memory_held import hold_memory
from app.own_rules_messages import (
    Answer,
    Broken,
    DrawingRequest,
    JudgeRequest,
    Loaded,
    LoadRequest,
    Ready,
    Request,
    Spoken,
    Taken,
    packed,
    request_of,
)
from app.own_rules_watch import Mute, Watch
from engine.files.edit_form import snapshot_of
from engine.findings import Remark
from engine.installation.model import Snapshot
from engine.rules.own import Source, load, raised, said
from engine.study import Study
from engine.words import _

__all__ = ["Runner", "main"]

CHUNK = 1 << 16
GRACE_S = 10.0  # after a rule's time: by then whoever asked has ended this process, or is gone
MEMORY_BYTES = 2 << 30  # of data, where the system can hold a process to it


class Runner:
    """Answers requests."""

    def __init__(self, mute: Mute) -> None:
        self._mute = mute
        self._checks: dict[str, tuple[str, str, Callable[[Study], Iterator[Remark]]]] = {}  # where -> slug, file, check
        self._study: Callable[[], Study] | None = None  # makes a fresh one of the drawing
        self._snapshot: Snapshot | None = None
        self._watch: Watch | None = None

    def answer(self, request: Request) -> Answer:
        """What there is to say."""
        if isinstance(request, DrawingRequest):
            try:
                snapshot = self._snapshot = snapshot_of(request.drawing)
            except ValueError as fault:
                return Broken(str(fault))
            self._study = lambda: Study(snapshot, request.book, request.proving)
            return Taken()
        with _alarm(request.limit_s):
            return self._load(request) if isinstance(request, LoadRequest) else self._judge(request)

    def _load(self, request: LoadRequest) -> Answer:
        watch = self._watch = Watch(self._mute, before=self._watch)
        try:
            rule, check = load(Source(request.where, request.module, request.file))
        except BaseException as fault:  # it may raise what it likes: nothing of it goes any further
            return Broken(raised(fault, request.file), is_spoilt=bool(watch.changed()))
        why = watch.changed()
        if why or watch.printed():
            return Broken(why or watch.printed(), is_spoilt=bool(why))
        self._checks[request.where] = rule.slug, request.file or _file_of(check), check
        return Loaded(rule)

    def _judge(self, request: JudgeRequest) -> Answer:
        slug, file, check = self._checks[request.where]
        assert self._study is not None
        watch = self._watch = Watch(self._mute, self._snapshot, self._watch)
        try:
            made = said(slug, check, self._study())
        except MemoryError:
            return Broken(_("it asked for more than {n} MB of memory").format(n=MEMORY_BYTES >> 20), is_spoilt=True)
        except BaseException as fault:
            return Broken(raised(fault, file), is_spoilt=bool(watch.changed()))
        why = watch.changed()
        if why or watch.printed():
            return Broken(why or watch.printed(), is_spoilt=bool(why))
        return Spoken(made)


def _file_of(check: Callable[..., object]) -> str:
    code = getattr(check, "__code__", None)
    return str(getattr(code, "co_filename", ""))


@contextlib.contextmanager
def _alarm(limit_s: float) -> Iterator[None]:
    """Ends the process some time after the limit, whatever holds it: whoever asked may have been killed."""
    faulthandler.dump_traceback_later(limit_s + GRACE_S, exit=True, file=2)
    try:
        yield
    finally:
        faulthandler.cancel_dump_traceback_later()


# -- the process ------------------------------------------------------------------------------------------------------
def main() -> int:
    """Serve until the input ends."""
    words.load()
    incoming, outgoing = _streams()
    mute = Mute()
    sys.stdout = mute
    sys.dont_write_bytecode = True  # nothing is written beside a person's rules
    hold_memory(MEMORY_BYTES)
    waiting: queue.SimpleQueue[Request] = queue.SimpleQueue()
    threading.Thread(target=_read, args=(incoming, waiting), daemon=True).start()
    runner = Runner(mute)

    def send(answer: Answer) -> None:
        outgoing.write(packed(answer))
        outgoing.flush()

    try:
        send(Ready())
        while True:
            request = waiting.get()
            made = runner.answer(request)
            sys.stdout = mute
            send(made)
    except BrokenPipeError:
        return 0  # whoever asked has gone


def _streams() -> tuple[BinaryIO, BinaryIO]:
    """Stdin and stdout for messages alone, under other numbers: what a rule reads or writes there is nothing."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.setmode(0, os.O_BINARY)
        msvcrt.setmode(1, os.O_BINARY)
    incoming = os.fdopen(os.dup(0), "rb", buffering=0)
    outgoing = os.fdopen(os.dup(1), "wb")
    nothing = os.open(os.devnull, os.O_RDWR)
    os.dup2(nothing, 0)
    os.dup2(nothing, 1)
    return incoming, outgoing


def _read(incoming: BinaryIO, waiting: queue.SimpleQueue[Request]) -> NoReturn:
    """Only queues. When the input ends the process ends, whatever it is at."""
    frames = Frames()
    with contextlib.suppress(OSError, ValueError):
        while some := incoming.read(CHUNK):
            frames.feed(some)
            while (body := frames.take()) is not None:
                waiting.put(request_of(body))
    os._exit(0)


if __name__ == "__main__":
    sys.exit(main())
