"""A layer that records what a program asks of its files, and a model of a disk that forgets what was not synced.

The model knows what POSIX promises and no more: data of a file is kept from an `fsync` of it on, whatever was written
since may be there in part or not at all; names (made, renamed, removed) are kept from an `fsync` of their folder on,
those since in the order they were given, up to any point. A power cut may fall between any two calls. See `fsync(2)`,
`rename(2)` in the Linux man pages and POSIX.1-2017.
"""

from __future__ import annotations

import builtins
import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple


class Call(NamedTuple):
    """One call: make, write, sync, replace, remove, chmod, settle, ended (`write_bytes` has returned)."""

    what: str
    path: str = ""
    other: str = ""
    data: bytes = b""


class Recorder:
    """Stands in for the `os` module of the room that is watched, and for its `open`."""

    def __init__(self) -> None:
        self.calls: list[Call] = []
        self._path_of: dict[int, str] = {}

    def __getattr__(self, name: str) -> Any:
        return getattr(os, name)

    def open(self, path: Any, flags: int, mode: int = 0o777) -> int:
        handle = os.open(path, flags, mode)
        self._path_of[handle] = str(path)
        if flags & os.O_CREAT:
            self.calls.append(Call("make", str(path)))
        return handle

    def close(self, handle: int) -> None:
        os.close(handle)

    def fsync(self, handle: int) -> None:
        os.fsync(handle)
        path = self._path_of[handle]
        self.calls.append(Call("settle" if os.path.isdir(path) else "sync", path))

    def chmod(self, path: Any, mode: int) -> None:
        os.chmod(path, mode)
        self.calls.append(Call("chmod", str(path)))

    def replace(self, path: Any, other: Any) -> None:
        os.replace(path, other)
        self.calls.append(Call("replace", str(path), str(other)))

    def unlink(self, path: Any) -> None:
        os.unlink(path)
        self.calls.append(Call("remove", str(path)))

    def opened(self, handle: Any, mode: str) -> Any:
        """The builtin `open` of a handle: what is written through it is noted when it leaves Python."""
        file = builtins.open(handle, mode)  # noqa: SIM115 - closed by what is given
        return _Watched(file, self, self._path_of[file.fileno()])


class _Watched:
    """A file whose writes are recorded when they are flushed."""

    def __init__(self, file: Any, recorder: Recorder, path: str) -> None:
        self._file, self._recorder, self._path = file, recorder, path
        self._waiting = b""

    def write(self, data: bytes) -> int:
        self._waiting += data
        return int(self._file.write(data))

    def flush(self) -> None:
        self._file.flush()
        if self._waiting:
            self._recorder.calls.append(Call("write", self._path, data=self._waiting))
        self._waiting = b""

    def fileno(self) -> int:
        return int(self._file.fileno())

    def __enter__(self) -> _Watched:
        return self

    def __exit__(self, *_fault: object) -> None:
        self.flush()
        self._file.close()


class _File:
    """What of a file is safe, and what has been written since."""

    def __init__(self, safe: bytes = b"") -> None:
        self.safe, self.now = safe, safe

    def after_a_cut(self) -> set[bytes]:
        """Every content it may have: none, half or all of what was written since."""
        more = self.now[len(self.safe) :]
        cuts = {0, 1, len(more) // 2, len(more)}
        return {self.safe + more[:cut] for cut in cuts}


class Disk:
    """A folder's names and files, run through calls."""

    def __init__(self, files: dict[str, bytes]) -> None:
        self._files = {name: _File(data) for name, data in files.items()}
        self._safe = dict(self._files)  # names the disk has for certain
        self._since: list[Call] = []  # what was done to names since

    def run(self, call: Call) -> None:
        """Do it."""
        if call.what == "make":
            self._files[call.path] = _File()
        elif call.what == "write":
            self._files[call.path].now += call.data
        elif call.what == "sync":
            self._files[call.path].safe = self._files[call.path].now
        elif call.what == "settle":
            self._safe, self._since = dict(self._files), []
            return
        if call.what in ("make", "replace", "remove"):
            made = self._files[call.path] if call.what == "make" else None
            if call.what == "replace":
                self._files[call.other] = self._files.pop(call.path)
            elif call.what == "remove":
                del self._files[call.path]
            self._since.append(call)
            self._made = {**getattr(self, "_made", {}), **({call.path: made} if made else {})}

    def after_a_cut(self, name: str) -> Iterator[bytes | None]:
        """Every content the file of a name may have when the power fails now; `None`: it is not there."""
        names: dict[str, _File] = dict(self._safe)
        yield from self._of(names, name)
        for call in self._since:
            if call.what == "make":
                names[call.path] = self._made[call.path]
            elif call.what == "replace":
                names[call.other] = names.pop(call.path)
            else:
                names.pop(call.path, None)
            yield from self._of(names, name)

    def _of(self, names: dict[str, _File], name: str) -> Iterator[bytes | None]:
        if name in names:
            yield from names[name].after_a_cut()
        else:
            yield None


def every_cut(calls: list[Call], files: dict[str, bytes], name: str) -> Iterator[tuple[int, bytes | None]]:
    """How many calls were made before the power failed, and what the file of `name` may then hold."""
    disk = Disk(files)
    for content in disk.after_a_cut(name):
        yield 0, content
    for count, call in enumerate(calls, start=1):
        disk.run(call)
        for content in disk.after_a_cut(name):
            yield count, content


def files_in(folder: Path) -> dict[str, bytes]:
    """What is there before."""
    return {str(path): path.read_bytes() for path in folder.iterdir() if path.is_file()}
