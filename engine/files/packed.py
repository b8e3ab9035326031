"""A zip file somebody gave: what is in it, unpacked in memory within bounds. Nothing it says of itself is believed.

Sizes are those of the bytes that come out, never those the headers claim; no member is ever written to disk.
"""

from __future__ import annotations

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Callable

from engine.files.errors import FileError, quoted
from engine.words import _

__all__ = ["MOST_MEMBERS", "unpacked"]

MOST_MEMBERS = 2_000
_ENTRY = b"PK\x01\x02"  # begins what a zip file tells of a member (APPNOTE 4.3.12, from memory, not confirmed)
_LOCAL = 30  # bytes before a member's name and data
_PIECE = 1 << 16
_READ = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_ELSEWHERE = re.compile(r"(^|[/\\])\.\.([/\\]|$)|^[/\\]|^[A-Za-z]:|\0")


def unpacked(data: bytes, name: str, wanted: Callable[[str], bool], largest: int) -> dict[str, bytes]:
    """The members that are wanted, by name, in order: `largest` bytes in all. Raises `FileError` naming what is wrong.

    Refused are more than `MOST_MEMBERS`, names that lead elsewhere or stand twice, members that lie over one another,
    that are locked, packed in unusual ways, damaged or larger than that, wanted or not.
    """
    if data.count(_ENTRY) > MOST_MEMBERS:  # before a list of them is made
        raise FileError(name, _("it holds more than {most} files").format(most=MOST_MEMBERS))
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            members = packed.infolist()
            _check(members, packed.start_dir, name)
            return _read(packed, [each for each in members if wanted(each.filename)], name, largest)
    except FileError:
        raise
    except (zipfile.BadZipFile, struct.error, ValueError, NotImplementedError, OSError, EOFError):
        raise FileError(name, _("it is no zip file, or a damaged one")) from None


def _check(members: list[zipfile.ZipInfo], end: int, name: str) -> None:
    seen: set[str] = set()
    for each in members:
        shown = quoted(each.orig_filename)
        why = ""
        if _ELSEWHERE.search(each.orig_filename):
            why = _("it holds {member!r}, a name that leads elsewhere")
        elif each.filename in seen:
            why = _("it holds {member!r} twice")
        elif each.flag_bits & 0x2041:  # bits 0, 6 and 13
            why = _("{member!r} in it is locked with a password")
        elif each.compress_type not in _READ:
            why = _("{member!r} in it is packed in a way that is not read")
        if why:
            raise FileError(name, why.format(member=shown))
        seen.add(each.filename)
    starts = sorted((each.header_offset, each.compress_size) for each in members)
    for (start, size), (after, _size) in zip(starts, [*starts[1:], (end, 0)], strict=True):
        if start < 0 or start + _LOCAL + size > after:
            raise FileError(name, _("what it holds lies one over the other"))


def _read(packed: zipfile.ZipFile, members: list[zipfile.ZipInfo], name: str, largest: int) -> dict[str, bytes]:
    made: dict[str, bytes] = {}
    rest = largest
    for each in members:
        pieces = []
        try:
            with packed.open(each) as file:
                while piece := file.read(_PIECE):
                    pieces.append(piece)
                    rest -= len(piece)
                    if rest < 0:
                        raise FileError(name, _("it unpacks to more than {limit} MB").format(limit=largest // 2**20))
        except (zipfile.BadZipFile, zlib.error, EOFError, RuntimeError):
            shown = quoted(each.filename)
            raise FileError(name, _("{member!r} in it is damaged").format(member=shown)) from None
        made[each.filename] = b"".join(pieces)
    return made
