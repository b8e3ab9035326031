"""Messages between two processes as frames of bytes: the length of each before it."""

from __future__ import annotations

import logging
import os
import struct
import sys
from collections.abc import Callable
from typing import BinaryIO

from app.memory_held import hold_memory

__all__ = ["Frames", "framed", "serve", "streams"]

MOST_BYTES = 1 << 28  # of a message: what claims to be longer is no message of ours
MEMORY_BYTES = 4 << 30  # of data of a process that serves: two drawings of 5000 pieces compared take a tenth
_CHUNK = 1 << 16
_LENGTH = struct.Struct(">I")


def framed(body: bytes) -> bytes:
    """Bytes with their length before them."""
    return _LENGTH.pack(len(body)) + body


class Frames:
    """Cuts a stream of bytes into frames."""

    def __init__(self) -> None:
        self._bytes = bytearray()

    def feed(self, some: bytes) -> None:
        """Take what has arrived."""
        self._bytes += some

    def take(self) -> bytes | None:
        """The next whole frame, `None` while there is none. Raises `ValueError` for what is no frame of ours."""
        if len(self._bytes) < _LENGTH.size:
            return None
        (length,) = _LENGTH.unpack_from(self._bytes)
        if length > MOST_BYTES:
            raise ValueError(f"a message of {length} bytes")
        end = _LENGTH.size + length
        if len(self._bytes) < end:
            return None
        body = bytes(memoryview(self._bytes)[_LENGTH.size : end])
        del self._bytes[:end]
        return body


def streams() -> tuple[BinaryIO, BinaryIO]:
    """Stdin and stdout for messages alone: what anything else prints goes to stderr."""
    if sys.platform == "win32":
        import msvcrt

        msvcrt.setmode(0, os.O_BINARY)
        msvcrt.setmode(1, os.O_BINARY)
    outgoing = os.fdopen(os.dup(1), "wb")
    os.dup2(2, 1)
    sys.stdout = sys.stderr
    return os.fdopen(os.dup(0), "rb", buffering=0), outgoing


def serve(begin: Callable[[Callable[[bytes], None]], Callable[[bytes], None]]) -> int:
    """Be a process that hears frames on stdin and tells frames on stdout, until the input ends; the exit code.

    `begin(send)` gives what is called with the body of each frame; it raises `ValueError` for one nobody understands.
    """
    hold_memory(MEMORY_BYTES)
    incoming, outgoing = streams()
    logging.basicConfig(stream=sys.stderr, level=logging.WARNING, format="%(levelname)s %(name)s: %(message)s")

    def send(frame: bytes) -> None:
        outgoing.write(frame)
        outgoing.flush()

    frames, hear = Frames(), begin(send)
    try:
        while some := incoming.read(_CHUNK):
            frames.feed(some)
            while (body := frames.take()) is not None:
                hear(body)
    except BrokenPipeError:
        return 0  # whoever asked has gone
    except ValueError:
        logging.getLogger(__name__).exception("what was asked is nothing that anybody understands")
        return 1
    return 0
