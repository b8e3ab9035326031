"""The drawing file, version 1: opened whole or refused with all its faults; saved whole or not at all.

A JSON object: `format`, `version`, `program` (that wrote it), `last_id`, then in alphabetical order the records there
is one of (`vessel`, `title_block`, `settings`) and the tables, each an object id -> record. Members of a record are
sorted, ids stand in natural order (e2 before e10), defaults are left out, indent is two spaces, lines end in "\\n", no
time stamp: the same installation gives the same bytes, and a difference between two files shows the change.

What this version does not know survives: unknown members are written back. A file that holds an unknown *kind*, or was
written by a newer format, opens read-only.
"""

from __future__ import annotations

import contextlib
import functools
import gc
import hashlib
import os
import stat
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import msgspec

from engine.edits import fill
from engine.equipment import kind_named
from engine.equipment.base import Equipment
from engine.files.atomic import write_bytes
from engine.files.errors import FileError, quoted, reason
from engine.files.foreign import Foreign
from engine.files.migrations import CURRENT
from engine.files.parsing import MOST_FAULTS, clipped, parse, record_path
from engine.files.reading import read_whole
from engine.installation.model import LARGEST_ID, LONE, TABLES, Installation, Snapshot, is_id
from engine.installation.references import FoundOut, dangling
from engine.record import FieldFault, Record, from_builtins, kept_text, to_builtins
from engine.version import version
from engine.words import _

__all__ = [
    "FORMAT",
    "FileError",
    "Opened",
    "Overtaken",
    "dump",
    "dump_snapshot",
    "load",
    "read_bytes",
    "record_text",
    "save",
    "sha256_at",
    "unless_overtaken",
]

FORMAT = "linewright drawing"
HEAD = ("format", "version", "program", "last_id")
_NAMED = 20  # unknown kinds that a notice names


class Overtaken(FileError):
    """What was to be written over is not what stands there now."""


class Opened(NamedTuple):
    """A drawing as opened. `notices` are sentences for the person; `sha256` is that of the file's bytes."""

    installation: Installation
    read_only: bool
    notices: tuple[str, ...]
    sha256: str


def load(path: Path | str) -> Opened:
    """Open a drawing file. Raises `FileError`, which names every fault of the file at once."""
    return read_bytes(read_whole(path), str(path))


def read_bytes(data: bytes, name: str = "") -> Opened:
    """A drawing from the bytes of its file; `name` is what messages call it. Raises `FileError`."""
    with _no_collecting():
        found = parse(data, name, FORMAT)
        try:
            installation, faults, strange = _Reader(found.members, found.faults).read()
        except RecursionError:
            raise FileError(name, _("it is nested too deeply to be a drawing")) from None
    newer = found.version > CURRENT
    if faults:
        why = ""
        if newer:
            why = _("it was written in format {version} by a newer program, and this one cannot read all of it").format(
                version=found.version
            )
        raise FileError(name, why, tuple(faults))
    notices = []
    if newer:
        notices.append(
            _("{name} was written in format {version} by a newer program; it is opened to read only.").format(
                name=name, version=found.version
            )
        )
    if strange:
        notices.append(
            _("{name} holds kinds this version does not know ({kinds}); it is opened to read only.").format(
                name=name, kinds=_some(strange)
            )
        )
    installation.read_only = " ".join(notices)
    return Opened(installation, bool(notices), tuple(notices), hashlib.sha256(data).hexdigest())


def _some(names: Sequence[str]) -> str:
    """Names of a file, the first of them where there are many."""
    return ", ".join((*(quoted(name) for name in names[:_NAMED]), *("…" for _more in names[_NAMED : _NAMED + 1])))


@contextlib.contextmanager
def _no_collecting() -> Iterator[None]:
    """What is being read is all needed: to look for what is not, again and again, takes longer than the reading."""
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()


class _Enough(Exception):
    """More is wrong with a file than anybody reads."""


class _Faults(list[FieldFault]):
    """Faults of a file, not without end: whoever adds one too many is stopped."""

    def append(self, fault: FieldFault) -> None:
        super().append(fault)
        if len(self) >= MOST_FAULTS:
            raise _Enough

    def extend(self, faults: Iterable[FieldFault]) -> None:
        for fault in faults:
            self.append(fault)


class _Reader:
    """Makes an installation of a file's members and collects what is wrong with them."""

    def __init__(self, members: dict[str, Any], odd: Sequence[FieldFault] = ()) -> None:
        self.members = members
        self.odd = odd  # what is wrong with the text itself; what stands in its place is no second fault
        self.faults: list[FieldFault] = _Faults()
        self.installation = Installation()
        self.tables: dict[str, dict[str, Any]] = {}
        self.strange: set[str] = set()

    def read(self) -> tuple[Installation, list[FieldFault], list[str]]:
        """The installation, all faults, the unknown kinds."""
        with contextlib.suppress(_Enough):
            self._read()
        if not self.odd:
            return self.installation, list(self.faults), sorted(self.strange)
        told = {fault.path for fault in self.odd}
        return self.installation, [*self.odd, *(f for f in self.faults if f.path not in told)], sorted(self.strange)

    def _read(self) -> None:
        for table in TABLES:
            self.tables[table] = self._table(table)
        records = [
            (table, item, record)
            for table, found in self.tables.items()
            for item, record in found.items()
            if record is not None
        ]
        for name, cls in LONE.items():
            record = from_builtins(cls, self.members.get(name, {}), name, self.faults)
            if record is not None:
                records.append((name, name, record))
        known = FoundOut()
        for table, item, record in records:
            path = table if table in LONE else record_path(table, item)
            faults = list(dangling(record, path, self._find, known))
            if faults:
                self.faults.extend(_named(record, faults))
        members = {*HEAD, *TABLES, *LONE}
        self.installation.unknown = tuple(
            (name, kept_text(self.members[name], clipped(name), self.faults))
            for name in sorted(self.members)
            if name not in members
        )
        last_id = self.members.get("last_id", 0)
        if type(last_id) is not int or not 0 <= last_id <= LARGEST_ID:
            self.faults.append(FieldFault("last_id", _("expected a whole number from 0, the last id given")))
        elif not (self.faults or self.odd):
            fill(self.installation, records)
            self.installation.last_id = max(self.installation.last_id, last_id)

    def _table(self, table: str) -> dict[str, Any]:
        rows = self.members.get(table, {})
        if not isinstance(rows, dict):
            self.faults.append(FieldFault(table, _("expected an object of records by id")))
            return {}
        found = {}
        for item, row in rows.items():
            path = record_path(table, item)
            if not is_id(item):
                self.faults.append(FieldFault(path, _("is no id: it is empty, too long or too large")))
                continue
            if table == "runs" and item in self.tables["equipment"]:
                self.faults.append(FieldFault(path, _("equipment has the same id")))
            before = len(self.faults)
            if table == "equipment":
                found[item] = self._equipment(item, row, path)
            else:
                found[item] = from_builtins(TABLES[table][0], row, path, self.faults)
            if len(self.faults) > before:
                self.faults[before:] = _named(row, self.faults[before:])
        return found

    def _equipment(self, item: str, row: Any, path: str) -> Any:
        if not isinstance(row, dict):
            return from_builtins(Equipment, row, path, self.faults)  # says what was expected
        kind = row.get("kind")
        if not isinstance(kind, str) or not kind:
            self.faults.append(FieldFault(f"{path}.kind", _("is missing: the kind of equipment, as a text")))
            return None
        cls = kind_named(kind)
        if cls is not None:
            facts = {name: value for name, value in row.items() if name != "kind"}
            return from_builtins(cls, facts, path, self.faults)
        self.strange.add(kind)
        kept = tuple((name, kept_text(row[name], f"{path}.{clipped(name)}", self.faults)) for name in sorted(row))
        return Foreign(arrivals=self._arrivals.get(item, ()), unknown=kept)

    @functools.cached_property
    def _arrivals(self) -> dict[str, tuple[str, ...]]:
        """Terminals that runs name, by id of equipment."""
        found: dict[str, set[str]] = {}
        runs = self.members.get("runs")
        for run in runs.values() if isinstance(runs, dict) else ():
            for end in (run.get("from"), run.get("to")) if isinstance(run, dict) else ():
                if isinstance(end, dict) and isinstance(item := end.get("equipment"), str):
                    found.setdefault(item, set()).add(str(end.get("terminal")))
        return {item: tuple(sorted(terminals)) for item, terminals in found.items()}

    def _find(self, table: str, item: str) -> Any:
        found = self.tables[table]
        if item not in found:
            return None
        # a record that could not be made is there all the same: its own fault has been told
        return found[item] or _BROKEN


_BROKEN = Foreign()


def _named(source: Any, faults: list[FieldFault]) -> list[FieldFault]:
    """Faults with the designation or name that people know the record by."""
    if isinstance(source, dict):
        name = source.get("designation") or source.get("name")
    else:
        name = getattr(source, "designation", "") or getattr(source, "name", "")
    if not isinstance(name, str) or not name:
        return faults
    name = clipped(name)
    return [FieldFault(f.path, f"{f.why} ({name})") for f in faults]


# -- out ---------------------------------------------------------------------------------------------------------
def dump(installation: Installation) -> bytes:
    """The bytes of the drawing's file. The same installation gives the same bytes."""
    return dump_snapshot(installation.snapshot(), installation.last_id, installation.unknown)


def dump_snapshot(
    snapshot: Snapshot,
    last_id: int,
    unknown: tuple[tuple[str, str], ...] = (),
    text_of: Callable[[Record], msgspec.Raw] | None = None,
) -> bytes:
    """As `dump`, of a snapshot. `text_of` stands in for `record_text`, where a caller keeps what it gave before."""
    text_of = text_of or record_text
    members: dict[str, Any] = {name: msgspec.Raw(text.encode()) for name, text in unknown}
    for name in LONE:
        members[name] = text_of(snapshot.lone[name])
    for table in TABLES:
        members[table] = {item: text_of(record) for item, record in snapshot.tables[table].items()}
    head = dict(zip(HEAD, (FORMAT, CURRENT, version(), last_id), strict=True))
    whole = head | {name: members[name] for name in sorted(members)}
    return msgspec.json.format(msgspec.json.encode(whole), indent=2) + b"\n"


def record_text(record: Record) -> msgspec.Raw:
    """A record as JSON text with sorted members, as it stands in the file."""
    members = to_builtins(record, _as_it_stood)
    if isinstance(record, Foreign):
        members.pop("arrivals", None)
    elif isinstance(record, Equipment):
        members["kind"] = record.KIND
    return msgspec.Raw(msgspec.json.encode(members, order="sorted"))


def _as_it_stood(members: dict[str, Any], unknown: tuple[tuple[str, str], ...]) -> None:
    for name, text in unknown:
        members.setdefault(name, msgspec.Raw(text.encode()))


def save(installation: Installation, path: Path | str, over: str | None = None) -> str:
    """Write the drawing to `path` as a whole and return the SHA-256 of what was written.

    `over` is the SHA-256 of what may be written over ("" nothing), `None` anything: another file that stands there by
    then stays, and `Overtaken` is raised. Raises `FileError`; what was there is then untouched.
    """
    if installation.read_only:
        raise FileError(str(path), _("nothing is written: {why}").format(why=installation.read_only))
    data = dump(installation)
    try:
        write_bytes(path, data, None if over is None else unless_overtaken(path, over))
    except OSError as fault:
        raise FileError(str(path), _("it cannot be saved: {why}").format(why=reason(fault))) from None
    except ValueError as fault:  # the system's way to refuse a zero byte in a name
        if isinstance(fault, FileError):
            raise
        raise FileError(str(path).replace("\0", "�"), _("it cannot be saved: that is no name of a file")) from None
    return hashlib.sha256(data).hexdigest()


def unless_overtaken(path: Path | str, over: str) -> Callable[[], None]:
    """What `write_bytes` asks last: it raises `Overtaken` where another file than `over` (SHA-256) stands there."""

    def look() -> None:
        if sha256_at(path) not in (over, ""):
            raise Overtaken(str(path), _("it cannot be saved: somebody else has saved it meanwhile"))

    return look


def sha256_at(path: Path | str) -> str:
    """SHA-256 of a file as it is now; "" where it is gone, or is none: then there is nothing to be lost by writing."""
    try:
        # without waiting: opening a pipe nobody writes to would hang
        handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0))
        with open(handle, "rb") as file:
            if not stat.S_ISREG(os.fstat(handle).st_mode):
                return ""
            return hashlib.file_digest(file, "sha256").hexdigest()
    except (OSError, ValueError):
        return ""
