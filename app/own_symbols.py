"""A yard's own symbols: read from the folder that the person's own settings name, and from nowhere else.

Every process reads the same folder: window, study process, the process that makes documents. A drawing names such a
symbol and does not carry it: where it is not found the piece is drawn in the shape of its kind, and the sheet says so
(`app.drawing.own_shapes`). Paper and the files made from it hold strokes, so they look the same anywhere.
"""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

from engine.words import ngettext
from symbols.own import OwnFault, read_folder, signature
from symbols.reading import Symbol

__all__ = ["OwnSymbols", "own_symbols", "refreshed", "told"]


class OwnSymbols(NamedTuple):
    """What was found in the folder. `number` is another one after each reading that differs."""

    folder: str
    symbols: dict[str, Symbol]
    faults: tuple[OwnFault, ...]
    number: int


_kept: list[tuple[object, OwnSymbols]] = []  # the last reading and what it was read from
_where: list[tuple[object, str]] = []  # the folder, and the state of the settings it was found in


def own_symbols() -> OwnSymbols:
    """As last read; read now where they never were."""
    return _kept[0][1] if _kept else refreshed()


def refreshed() -> OwnSymbols:
    """Read again where the settings or a file in the folder have changed."""
    folder = _folder()
    state = (folder, signature(Path(folder)) if folder else ())
    if _kept and _kept[0][0] == state:
        return _kept[0][1]
    symbols, faults = read_folder(Path(folder)) if folder else ({}, ())
    number = _kept[0][1].number + 1 if _kept else 0
    _kept[:] = [(state, OwnSymbols(folder, symbols, faults, number))]
    return _kept[0][1]


def told(own: OwnSymbols) -> str:
    """How many there are, and the first file that is none, in sentences."""
    count = len(own.symbols)
    text = ngettext("{n} symbol of your own.", "{n} symbols of your own.", count).format(n=count)
    if not own.faults:
        return text
    wrong = ngettext("{n} file is none: {why}", "{n} files are none, the first: {why}", len(own.faults))
    return f"{text} {wrong.format(n=len(own.faults), why=own.faults[0].why)}"


def _folder() -> str:
    """The folder in the settings; the file is read only when it has changed."""
    from app.settings import Settings, folder

    path = folder() / "settings.json"
    try:
        found = path.stat()
    except OSError:
        return ""
    state = (str(path), found.st_mtime_ns, found.st_size)
    if not _where or _where[0][0] != state:
        _where[:] = [(state, str(Settings(path).get("symbols_folder")))]
    return _where[0][1]
