"""Where photographs are kept: the folder `photographs` beside the drawing, each once, named by its checksum.

A drawing without a file has them in a folder of the person's own data until it is saved. Nothing here ever removes one.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING

from app.photographs.faults import PhotographFault
from engine.files.atomic import write_bytes
from engine.files.errors import reason
from engine.files.issues import home
from engine.installation import Photograph
from engine.installation.model import Snapshot
from engine.words import _

if TYPE_CHECKING:
    from app.photographs.taking import Taken

__all__ = ["FOLDER", "Store", "called", "carried_over", "store_of", "waiting_folder"]

FOLDER = "photographs"
_MOST_BYTES = 20_000_000  # of one that is kept; what is larger was not put here by this program
_MOST_DOTS = 10_000  # across and down
_CHECKSUM = re.compile(r"[0-9a-f]{64}")
_SIZES = {0xC0, 0xC1, 0xC2}  # JPEG markers that tell a size: baseline, extended, progressive (ISO/IEC 10918-1 B.1.1.3)


class Store:
    """A folder of photographs. `also`: folders in which one may lie that is not there (yet), the likeliest first."""

    def __init__(self, folder: Path, also: Iterable[Path] = ()) -> None:
        self.folder = folder
        self.also = tuple(also)

    def path(self, record: Photograph) -> Path:
        """The file of a photograph, there or not. Raises `PhotographFault` for a checksum that is none."""
        if not _CHECKSUM.fullmatch(record.sha256):
            raise PhotographFault(_("Photograph “{name}” is recorded under no checksum.").format(name=called(record)))
        file = f"{record.sha256}.jpg"
        for folder in (self.folder, *self.also):
            found = folder / file
            if found.is_file():
                return found
        return self.folder / file

    def has(self, record: Photograph) -> bool:
        """Whether there is a file, whatever is in it."""
        try:
            return self.path(record).is_file()
        except (PhotographFault, OSError):
            return False

    def read(self, record: Photograph) -> bytes:
        """The JPEG as it was kept. Raises `PhotographFault` where it is missing, altered or nothing to be opened."""
        path = self.path(record)
        name = called(record)
        try:
            if path.stat().st_size > _MOST_BYTES or not path.is_file():
                raise PhotographFault(_altered(name))
            data = path.read_bytes()
        except FileNotFoundError:
            raise PhotographFault(
                _("Photograph “{name}” is missing: {path} is not there.").format(name=name, path=path)
            ) from None
        except OSError as fault:
            raise PhotographFault(
                _("Photograph “{name}” cannot be read: {why}.").format(name=name, why=reason(fault))
            ) from None
        if hashlib.sha256(data).hexdigest() != record.sha256 or not _is_ours(data):
            raise PhotographFault(_altered(name))
        return data

    def state(self, record: Photograph) -> str:
        """ "there", "missing" or "altered"."""
        try:
            self.read(record)
        except PhotographFault:
            try:
                return "altered" if self.path(record).exists() else "missing"
            except (PhotographFault, OSError):
                return "missing"
        return "there"

    def put(self, taken: Taken) -> None:
        """Keep one. Raises `PhotographFault` where it cannot be; what is kept already stays as it is."""
        try:
            self.write(taken.record.sha256, taken.data)
        except OSError as fault:
            raise PhotographFault(
                _("{name} cannot be kept in {folder}: {why}.").format(
                    name=called(taken.record), folder=self.folder, why=reason(fault)
                )
            ) from None

    def write(self, sha256: str, data: bytes) -> None:
        """Keep a JPEG under its checksum, whole or not at all, once; over one that was altered. Raises `OSError`."""
        path = self.folder / f"{sha256}.jpg"
        if path.is_file() and path.stat().st_size == len(data) and path.read_bytes() == data:
            return
        self.folder.mkdir(parents=True, exist_ok=True)
        write_bytes(path, data)

    def files(self) -> list[Path]:
        """Every file of the folder, in order of names."""
        try:
            return sorted(path for path in self.folder.iterdir() if path.is_file())
        except OSError:
            return []


def _altered(name: str) -> str:
    return _("Photograph “{name}” is not as it was taken: its file was altered since.").format(name=name)


def called(record: Photograph) -> str:
    """What a photograph is called: what it shows, else the file it came from, else how its checksum begins."""
    return record.caption or record.name or record.sha256[:12]


def waiting_folder() -> Path:
    """Where photographs wait whose drawing has no file yet."""
    import platformdirs

    return Path(platformdirs.user_data_dir("linewright", appauthor=False)) / FOLDER


def store_of(drawing: Path | None, also: Iterable[Path] = ()) -> Store:
    """Where the photographs of a drawing are kept, `None`: that has no file yet."""
    if drawing is None:
        return Store(waiting_folder(), also)
    return Store(home(drawing) / FOLDER, also)


def carried_over(snapshot: Snapshot, source: Store, target: Store) -> tuple[str, ...]:
    """Copy the photographs of a drawing that has moved; a sentence for each that is not there afterwards."""
    told = []
    for _item, record in sorted(snapshot.photographs.items()):
        try:
            if target.state(record) != "there":
                target.write(record.sha256, source.read(record))
        except PhotographFault as fault:
            told.append(str(fault))
        except OSError as fault:
            told.append(
                _("{name} cannot be kept in {folder}: {why}.").format(
                    name=called(record), folder=target.folder, why=reason(fault)
                )
            )
    return tuple(told)


def _is_ours(data: bytes) -> bool:
    """Whether it is a JPEG of a size this program may have made: whoever opens it is not made to unfold a gigabyte."""
    at = 2
    if data[:2] != b"\xff\xd8":
        return False
    while at + 9 <= len(data) and data[at] == 0xFF:
        marker, length = data[at + 1], int.from_bytes(data[at + 2 : at + 4], "big")
        if marker in _SIZES:
            high, wide = int.from_bytes(data[at + 5 : at + 7], "big"), int.from_bytes(data[at + 7 : at + 9], "big")
            return 0 < high <= _MOST_DOTS and 0 < wide <= _MOST_DOTS
        at += 2 + length
    return False
