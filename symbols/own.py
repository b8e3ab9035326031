"""A yard's own symbols: files in one folder, in the form of the catalogue or as SVG. They are data, never code.

`NAME.toml` is a variant as `symbols.catalogue` tells, under a name of its own, with `kind = ...`: the kind it may stand
for. `clause` and `[ieee]` may be left out; ports need not be given, and where they are must be those of the kind. In
place of strokes it may say `svg = "FILE.svg"`. An SVG that no TOML file names is read by itself (`symbols.svg`). Files
that begin with `_` or `.` are passed over, so are others. One that is wrong is told and the rest are read all the same.
"""

from __future__ import annotations

import contextlib
import os
import re
from pathlib import Path
from typing import NamedTuple

from engine.picture import Path as Stroke
from engine.picture import Text, missing_characters
from engine.toml_text import InShort
from engine.words import _
from symbols import catalogue
from symbols.reading import MOST_BYTES, STANDARDS, Symbol, SymbolError, read, svg_named

__all__ = ["MOST_FILES", "OwnFault", "read_folder", "signature"]

MOST_FILES = 500
MOST_SEGMENTS = 10_000
_LONGEST_TOLD = 480  # characters; names out of a file stand in what is told of it
LARGEST_MM = 60.0  # from the origin of a symbol
_NAME = re.compile(r"[A-Za-z][A-Za-z0-9_-]{0,39}")
_ENDINGS = (".toml", ".svg")


class OwnFault(NamedTuple):
    """A file that is no symbol, and why, in one sentence that names it."""

    file: str
    why: str


def signature(folder: Path) -> tuple[tuple[str, int, int], ...]:
    """What tells whether the folder must be read again: names, times and sizes."""
    found = []
    try:
        with os.scandir(folder) as entries:
            for entry in entries:
                if entry.name.lower().endswith(_ENDINGS):
                    with contextlib.suppress(OSError):  # a link that leads nowhere
                        state = entry.stat()
                        found.append((entry.name, state.st_mtime_ns, state.st_size))
    except OSError:
        return ()
    return tuple(sorted(found))


def read_folder(folder: Path) -> tuple[dict[str, Symbol], tuple[OwnFault, ...]]:
    """The symbols by name, and a fault for every file that is none."""
    try:
        files = sorted(
            file
            for file in folder.iterdir()
            if file.suffix.lower() in _ENDINGS and not file.name.startswith((".", "_")) and file.is_file()
        )
    except OSError as fault:
        why = _("the folder of your own symbols cannot be read: {folder} ({why})")
        return {}, (OwnFault(str(folder), why.format(folder=folder, why=fault.strerror or fault)),)
    faults: list[OwnFault] = []
    if len(files) > MOST_FILES:
        why = _("{folder}: {count} files are more than the {most} that are read")
        faults.append(OwnFault(str(folder), why.format(folder=folder, count=len(files), most=MOST_FILES)))
        files = files[:MOST_FILES]
    sides = {name for file in files if file.suffix.lower() == ".toml" and (name := svg_named(file))}
    found: dict[str, Symbol] = {}
    for file in files:
        if file.name in sides:
            continue
        try:
            symbol = _one(file)
            if symbol.slug in found:
                raise SymbolError(
                    _("{file}: there is a second one of this name, {other}").format(
                        file=file.name, other=found[symbol.slug].told
                    )
                )
            found[symbol.slug] = symbol
        except SymbolError as fault:
            faults.append(OwnFault(file.name, str(InShort(str(fault), _LONGEST_TOLD))))
    return found, tuple(faults)


def _one(file: Path) -> Symbol:
    """One file. Raises `SymbolError`."""
    if not _NAME.fullmatch(file.stem):
        raise SymbolError(
            _(
                "{file}: a name is made of letters without accents, digits, _ and -, begins with a letter, 40 at most"
            ).format(file=file.name)
        )
    if file.stem in catalogue.names() or file.stem in catalogue.variants() or file.stem in catalogue.marks():
        raise SymbolError(_("{file}: the program has a symbol of this name").format(file=file.name))
    try:
        size = file.stat().st_size
    except OSError as fault:
        raise SymbolError(f"{file.name}: {fault.strerror}") from None
    if size > MOST_BYTES:
        raise SymbolError(
            _("{file}: {size} bytes are more than the {most} a symbol may have").format(
                file=file.name, size=size, most=MOST_BYTES
            )
        )
    if file.suffix.lower() == ".svg":
        from symbols.svg import read_svg  # it is seldom wanted

        symbol = read_svg(file, catalogue.symbol)
    else:
        symbol = read(file, catalogue.symbol, is_own=True)
    catalogue.check(symbol)
    for standard in STANDARDS:
        shape = catalogue.shape(symbol, standard)
        pieces = sum(len(each.segments) for each in shape.primitives if isinstance(each, Stroke))
        if pieces > MOST_SEGMENTS:
            why = _("more than {most} lines and curves in all").format(most=MOST_SEGMENTS)
            raise SymbolError(f"{file.name}: {why}")
        lacking = "".join(missing_characters(each.text) for each in shape.primitives if isinstance(each, Text))
        if lacking:
            why = _("the font of sheets has no {characters}").format(characters=InShort(lacking))
            raise SymbolError(f"{file.name}: {why}")
        reach = max(map(abs, shape.box))
        if reach > LARGEST_MM:
            raise SymbolError(
                _("{file}: it reaches {found:.0f} mm from its middle; {most:.0f} mm are the most").format(
                    file=file.name, found=reach, most=LARGEST_MM
                )
            )
    return symbol
