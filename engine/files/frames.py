"""How a recovery journal lies on the disk: a mark, then frames, each with its length and a check sum.

This form never changes, whatever the frames hold, so that any version of the program finds the snapshots of any other.

A frame is a tag, a number, the payload's length, the CRC-32 of all these and the payload, then the payload. The number
of a snapshot or an edit is the count of edits made since the drawing's file was written, this edit included. The first
frame is the header (JSON); a snapshot is the bytes of a drawing file; an edit is JSON. Reading ends at the first frame
that is not whole, and gives everything before it.
"""

from __future__ import annotations

import json
import os
import struct
import zlib
from typing import Any, BinaryIO, NamedTuple

__all__ = ["EDIT", "HEADER", "MARK", "SNAPSHOT", "Scan", "SnapshotAt", "frame", "scan"]

MARK = b"linewright recovery journal\n"
HEADER = b"HEAD"
SNAPSHOT = b"SNAP"
EDIT = b"EDIT"

_START = struct.Struct("<4sQI")  # tag, number, length of the payload in bytes
_SUM = struct.Struct("<I")
_LARGEST = 2**31  # bytes of one frame; a snapshot of 5000 pieces takes some 3 MB


class SnapshotAt(NamedTuple):
    """Where a snapshot stands in the file."""

    number: int
    offset: int  # of its first byte
    length: int


class Scan(NamedTuple):
    """What a journal holds. `header` is `None` when there is none that can be read."""

    header: dict[str, Any] | None
    snapshots: tuple[SnapshotAt, ...]
    edits: tuple[tuple[int, bytes], ...]  # number, payload
    left_over: int  # bytes after the last whole frame
    is_cut: bool  # ... which are a frame that was being written when the process died; else they are damaged


def frame(tag: bytes, number: int, payload: bytes) -> bytes:
    """One frame. Raises `ValueError` for more than it can hold."""
    if len(payload) > _LARGEST:
        raise ValueError("too large for a frame")
    start = _START.pack(tag, number, len(payload))
    return start + _SUM.pack(zlib.crc32(payload, zlib.crc32(start))) + payload


def scan(file: BinaryIO) -> Scan:
    """Everything whole in an open journal. Raises `OSError` only."""
    size = os.fstat(file.fileno()).st_size
    file.seek(0)
    if file.read(len(MARK)) != MARK:
        return Scan(None, (), (), size, False)
    header: dict[str, Any] | None = None
    snapshots: list[SnapshotAt] = []
    edits: list[tuple[int, bytes]] = []
    whole = len(MARK)
    while True:
        start = file.read(_START.size + _SUM.size)
        if len(start) < _START.size + _SUM.size:
            break
        tag, number, length = _START.unpack_from(start)
        # a length that was damaged must not make us ask for so much memory
        if length > min(_LARGEST, size - whole - len(start)):
            break
        payload = file.read(length)
        (told,) = _SUM.unpack_from(start, _START.size)
        if len(payload) < length or zlib.crc32(payload, zlib.crc32(start[: _START.size])) != told:
            break
        if header is None:
            header = _header(payload) if tag == HEADER else None
            if header is None:
                break
        elif tag == SNAPSHOT:
            snapshots.append(SnapshotAt(number, whole + len(start), length))
        elif tag == EDIT:
            edits.append((number, payload))
        whole += len(start) + length
    file.seek(whole)
    return Scan(header, tuple(snapshots), tuple(edits), size - whole, _is_cut(file.read()))


def _is_cut(rest: bytes) -> bool:
    """Whether what is left over can be the beginning of one frame and nothing else."""
    if len(rest) < _START.size:
        return rest[:4] in (SNAPSHOT[: len(rest)], EDIT[: len(rest)])
    tag, _number, length = _START.unpack_from(rest)
    is_short = tag in (SNAPSHOT, EDIT) and length > len(rest) - _START.size - _SUM.size
    # a length that was damaged looks the same, but then more frames follow
    return is_short and SNAPSHOT not in rest[4:] and EDIT not in rest[4:]


def _header(payload: bytes) -> dict[str, Any] | None:
    try:
        found = json.loads(payload)
    except (ValueError, RecursionError):
        return None
    return found if isinstance(found, dict) else None
