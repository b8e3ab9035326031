"""Many files written as one: all of them, or none, into a folder or a zip file; what stood there stays until the end.

Files are first written beside their place, on the same disk. Where that fails, because the disk is full or the work is
given up, nothing has changed. Nothing that a person has changed since is written over: it is put aside.

A folder that is not there yet comes as a whole, with one rename; so does a zip file. Into a folder that is there each
file comes whole, the manifest last: a program killed in between leaves the old manifest, whose checksums tell which
files are new, and a list of what was coming, by which the next pack knows them for ours.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import Protocol

from engine.files.atomic import note_links, settle, write_bytes
from engine.files.leftovers import beginning, sweep
from engine.files.reading import read_whole
from engine.words import _

__all__ = ["MANIFEST", "Place", "PlaceError", "place_for"]

MANIFEST = "manifest.json"
_COMING = ".linewright-coming.json"  # in a pack whose files are being replaced
_MADE_BY = "linewright"
_MOST_BYTES = 8 * 2**20  # of a manifest
_THEN = (1980, 1, 1, 0, 0, 0)  # of every member of a zip file: a real time would change its bytes


class PlaceError(ValueError):
    """A place that cannot be written to as asked; the message is for the person."""


class Place(Protocol):
    """Where files go. Used as a context: what is not finished leaves nothing behind."""

    def __enter__(self) -> Place:
        """Begin."""

    def __exit__(self, *fault: object) -> None:
        """Leave; what was not finished is taken away."""

    def put(self, name: str, data: bytes) -> None:
        """A file by its name in the place, folders with `/`."""

    def finish(self) -> tuple[str, ...]:
        """Everything is there: let it stand. Returns what the person should know."""


def place_for(path: Path | str) -> Place:
    """A zip file for a name that ends in `.zip`, else a folder. Raises `PlaceError` where neither can be there."""
    target = Path(path)
    if target.parent != Path() and not target.parent.is_dir():
        raise PlaceError(_("{path}: there is no folder {folder}").format(path=path, folder=target.parent))
    if target.suffix.lower() == ".zip":
        if target.is_dir():
            raise PlaceError(_("{path}: it is a folder, not a file").format(path=path))
        if target.exists() and not _zip_is_ours(target):
            raise PlaceError(_("{path} is there and is no pack; name another file").format(path=path))
        return _Zip(target)
    if target.exists() and not target.is_dir():
        raise PlaceError(_("{path} is a file; name a folder, or a file that ends in .zip").format(path=path))
    if target.is_dir() and any(target.iterdir()) and not _known(target):
        raise PlaceError(_("{path} is not empty and holds no pack; name another folder").format(path=path))
    return _Folder(target)


class _Folder:
    """A folder; made where it is not there."""

    def __init__(self, target: Path) -> None:
        self._target = Path(os.path.realpath(target))
        self._stage: Path | None = None
        self._names: list[str] = []

    def __enter__(self) -> _Folder:
        sweep(self._target.parent)
        self._stage = Path(tempfile.mkdtemp(prefix=beginning(), suffix=".part", dir=self._target.parent))
        return self

    def __exit__(self, *fault: object) -> None:
        if self._stage is not None:
            shutil.rmtree(self._stage, ignore_errors=True)
            self._stage = None

    def put(self, name: str, data: bytes) -> None:
        """A file, on the disk already, not in its place yet."""
        assert self._stage is not None
        path = self._stage / name
        path.parent.mkdir(parents=True, exist_ok=True)
        with path.open("xb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        self._names.append(name)

    def finish(self) -> tuple[str, ...]:
        """Into its place."""
        assert self._stage is not None
        for folder in (self._stage, *(p for p in self._stage.rglob("*") if p.is_dir())):
            settle(folder)
        if not self._target.exists():
            os.chmod(self._stage, 0o777 & ~_umask())
            os.rename(self._stage, self._target)
            self._stage = None
            settle(self._target.parent)
            return ()
        return self._replaced(self._stage)

    def _replaced(self, stage: Path) -> tuple[str, ...]:
        """The files of a pack that is there, each by the new one of its name."""
        before = _known(self._target)
        told = []
        for name in self._names:
            (self._target / name).parent.mkdir(parents=True, exist_ok=True)
        for name in self._names:  # before anything moves: may we write there at all?
            if (self._target / name).exists():
                (self._target / name).open("r+b").close()
        coming = [{"name": name, "sha256": _digest(stage / name)} for name in self._names if name != MANIFEST]
        write_bytes(self._target / _COMING, json.dumps({"made_by": _MADE_BY, "files": coming}).encode())
        for name, digests in sorted(before.items()):
            path = self._target / name
            if not path.is_file():
                continue
            if name != MANIFEST and _digest(path) not in digests:
                aside = _free(path)
                path.rename(aside)
                told.append(
                    _("{name} was changed since it was written; it is kept as {aside}").format(
                        name=name, aside=aside.name
                    )
                )
            elif name not in self._names:
                path.unlink()
        for name in [n for n in self._names if n != MANIFEST] + [n for n in self._names if n == MANIFEST]:
            note_links(self._target / name, self._target / name)
            os.replace(stage / name, self._target / name)
        for folder in sorted((p for p in self._target.rglob("*") if p.is_dir()), reverse=True):
            settle(folder)
            with contextlib.suppress(OSError):  # not empty: it is somebody's
                folder.rmdir()
        settle(self._target)
        (self._target / _COMING).unlink(missing_ok=True)
        return tuple(told)


class _Zip:
    """A zip file, its members in order of their names."""

    def __init__(self, target: Path) -> None:
        self._target = Path(os.path.realpath(target))
        self._stage: Path | None = None
        self._zip: zipfile.ZipFile | None = None

    def __enter__(self) -> _Zip:
        if self._target.exists():
            self._target.open("r+b").close()  # `os.replace` would put aside a file that is write-protected
        sweep(self._target.parent)
        handle, name = tempfile.mkstemp(prefix=beginning(), suffix=".part", dir=self._target.parent)
        os.close(handle)
        self._stage = Path(name)
        self._zip = zipfile.ZipFile(self._stage, "w", zipfile.ZIP_DEFLATED, compresslevel=6)
        return self

    def __exit__(self, *fault: object) -> None:
        if self._stage is not None:
            assert self._zip is not None
            with contextlib.suppress(OSError, ValueError):
                self._zip.close()
            self._stage.unlink(missing_ok=True)
            self._stage = self._zip = None

    def put(self, name: str, data: bytes) -> None:
        """A file, on the disk already, not in its place yet."""
        assert self._zip is not None
        member = zipfile.ZipInfo(name, _THEN)
        member.compress_type = zipfile.ZIP_DEFLATED
        member.create_system = 3
        member.external_attr = 0o644 << 16
        self._zip.writestr(member, data)

    def finish(self) -> tuple[str, ...]:
        """Into its place."""
        assert self._zip is not None
        assert self._stage is not None
        self._zip.close()
        mode = self._target.stat().st_mode & 0o777 if self._target.exists() else 0o666 & ~_umask()
        with self._stage.open("rb") as made:
            os.fsync(made.fileno())
        os.chmod(self._stage, mode)
        note_links(self._target, self._target)
        os.replace(self._stage, self._target)
        self._stage = self._zip = None
        settle(self._target.parent)
        return ()


def _known(folder: Path) -> dict[str, set[str]]:
    """Digests of what we have written there, by name: those of the manifest, and of what was on its way."""
    found: dict[str, set[str]] = {}
    for name in (MANIFEST, _COMING):
        with contextlib.suppress(OSError, ValueError, RecursionError):
            for each, digest in (_files_in(json.loads(read_whole(folder / name, _MOST_BYTES))) or {}).items():
                found.setdefault(each, set()).add(digest)
    return found


def _files_in(manifest: object) -> dict[str, str] | None:
    if not isinstance(manifest, dict) or manifest.get("made_by") != _MADE_BY:
        return None
    files = manifest.get("files")
    if not isinstance(files, list):
        return None
    found = {MANIFEST: ""}
    for each in files:
        name = each.get("name") if isinstance(each, dict) else None
        if isinstance(name, str) and _is_inside(name):
            found[name] = str(each.get("sha256", ""))
    return found


def _is_inside(name: str) -> bool:
    """Whether a name leads to a file of the folder, on every system."""
    return bool(name) and not name.startswith("/") and not set(name) & set("\0\\:") and ".." not in name.split("/")


def _zip_is_ours(path: Path) -> bool:
    try:
        with zipfile.ZipFile(path) as there, there.open(MANIFEST) as file:
            data = file.read(_MOST_BYTES + 1)  # whatever the headers say of its size
        return len(data) <= _MOST_BYTES and _files_in(json.loads(data)) is not None
    # what is damaged, locked, packed otherwise or nested without end was not written here
    except (OSError, EOFError, KeyError, ValueError, RuntimeError, zipfile.BadZipFile, zlib.error):
        return False


def _digest(path: Path) -> str:
    with path.open("rb") as there:
        return hashlib.file_digest(there, "sha256").hexdigest()


def _free(path: Path) -> Path:
    """A name beside `path` that nobody has."""
    return next(p for p in _others(path) if not p.exists())


def _others(path: Path) -> Iterator[Path]:
    number = 1
    while True:
        yield path.with_name(f"{path.stem}-kept-{number}{path.suffix}")
        number += 1


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask
