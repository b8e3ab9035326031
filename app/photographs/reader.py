"""Reading a photograph in a process of its own: it may be anything, and made to do harm.

`python -P -m app.photographs.reader FILE FOLDER LONGEST MOST_BYTES KEEP_LOCATION` writes the photograph as it is kept
into FOLDER, named by its checksum, and one line of JSON to its output. Memory and time it holds itself to where the
system can; whoever starts it gives it `PATIENCE_S` besides.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import stat
import sys
from pathlib import Path
from typing import Any, NoReturn

from app.memory_held import hold_memory
from app.photographs.faults import PATIENCE_S

__all__ = ["main"]

_MOST_READ = 300_000_000  # bytes of a file
_MEMORY = 2 << 30  # bytes of data
_HEIF = (b"heic", b"heix", b"hevc", b"heim", b"heis", b"mif1", b"msf1", b"avif", b"avis")  # brands, ISO/IEC 23008-12


class _Fault(Exception):
    """Why it cannot be taken: one of the words `faults.FAULTS` has a sentence for, and what stands in that."""

    def __init__(self, word: str, **values: object) -> None:
        super().__init__(word)
        self.told = {"fault": word, **values}


def main(arguments: list[str]) -> int:
    """Read, write, tell."""
    path, folder = Path(arguments[0]), Path(arguments[1])
    longest, most_bytes, keep_location = int(arguments[2]), int(arguments[3]), arguments[4] == "1"
    hold_memory(_MEMORY, PATIENCE_S)
    try:
        told = _take(path, folder, longest, most_bytes, keep_location)
    except _Fault as fault:
        told = fault.told
    except MemoryError:
        told = {"fault": "memory"}
    print(json.dumps(told))
    return 0


# -- the file ---------------------------------------------------------------------------------------------------------
def _take(path: Path, folder: Path, longest: int, most_bytes: int, keep_location: bool) -> dict[str, Any]:
    from app.photographs.picture import Refused, as_kept

    data = _read(path)
    _look(data)
    try:
        image, facts = as_kept(data, longest, most_bytes, keep_location)
    except Refused as refused:
        raise _Fault(refused.word, **refused.values) from None
    told = facts | {
        "sha256": hashlib.sha256(image).hexdigest(),
        "source_sha256": hashlib.sha256(data).hexdigest(),
        "name": path.name.encode("utf-8", "replace").decode().strip(),
    }
    _keep(folder, str(told["sha256"]), image)
    return told


def _read(path: Path) -> bytes:
    """All of a file; what is none is never waited for."""
    try:
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    except (OSError, ValueError):
        raise _Fault("folder" if path.is_dir() else "no file" if _is_odd(path) else "missing") from None
    found = os.fstat(handle)
    if not stat.S_ISREG(found.st_mode):  # Python opens no folder
        os.close(handle)
        raise _Fault("folder" if stat.S_ISDIR(found.st_mode) else "no file")
    with open(handle, "rb") as file:
        if found.st_size > _MOST_READ:
            raise _Fault("heavy")
        try:
            data = file.read(_MOST_READ + 1)
        except OSError:
            raise _Fault("missing") from None
    if not data:
        raise _Fault("empty")
    if len(data) > _MOST_READ:
        raise _Fault("heavy")
    return data


def _is_odd(path: Path) -> bool:
    """Whether there is something, but no file."""
    try:
        return not stat.S_ISREG(path.stat().st_mode)
    except (OSError, ValueError):
        return False


def _look(data: bytes) -> None:
    """What is often taken for a photograph, by how it begins."""
    if b"%PDF-" in data[:1024]:
        raise _Fault("PDF")
    if data[4:8] == b"ftyp" and any(brand in data[8:64] for brand in _HEIF):
        raise _Fault("HEIC")
    head = data[:512]
    if b"\0" not in head and sum(b < 32 and b not in b"\t\n\r\f\x1b" for b in head) == 0:
        with contextlib.suppress(UnicodeDecodeError):
            head[: max(len(head) - 3, 1)].decode("utf-8")
            raise _Fault("text")


def _keep(folder: Path, sha256: str, image: bytes) -> None:
    from app.photographs.store import Store
    from engine.files.errors import reason

    try:
        Store(folder).write(sha256, image)
    except OSError as fault:
        _refuse(folder, reason(fault))


def _refuse(folder: Path, why: str) -> NoReturn:
    raise _Fault("disk", folder=str(folder).encode("utf-8", "replace").decode(), why=why)


if __name__ == "__main__":
    from app import words

    words.load()
    sys.exit(main(sys.argv[1:]))
