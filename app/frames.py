"""Messages between two processes as frames of bytes: the length of each before it."""

from __future__ import annotations

import struct

__all__ = ["Frames", "framed"]

MOST_BYTES = 1 << 30  # of a message: what claims to be longer is no message of ours
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
