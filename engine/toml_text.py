"""A person's TOML file: read within bounds, and refused in one phrase, whatever its bytes are."""

from __future__ import annotations

import os
import reprlib
import stat
import tomllib
from pathlib import Path
from typing import Any

from engine.words import _

__all__ = ["LARGEST", "InShort", "TomlFault", "read_toml", "toml_of"]

LARGEST = 524_288  # bytes; the largest rule book of this program has 27 000
_MOST_DOTS = 300  # of a line: the time a dotted key takes grows with the square of its parts
_LONGEST = 200  # characters of what the parser says: it may quote a key as long as the file


class TomlFault(ValueError):
    """Why it cannot be read, as a phrase."""


def read_toml(path: Path, largest: int = LARGEST) -> dict[str, Any]:
    """A file of `largest` bytes at most. Raises `OSError`, and `TomlFault` for what is in it."""
    # without waiting: opening a pipe nobody writes to would hang
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_BINARY", 0) | getattr(os, "O_NONBLOCK", 0))
    with open(handle, "rb") as file:
        if not stat.S_ISREG(os.fstat(handle).st_mode):
            raise TomlFault(_("it is no regular file"))
        data = file.read(largest + 1)
    return toml_of(data, largest)


def toml_of(data: bytes, largest: int = LARGEST) -> dict[str, Any]:
    """What bytes say. Raises `TomlFault`."""
    if len(data) > largest:
        raise TomlFault(_("it is larger than {limit} kB, the most that is read").format(limit=largest // 1024))
    try:
        text = data.decode("utf-8")
        if any(line.count(".") > _MOST_DOTS for line in text.split("\n")):
            raise TomlFault(_("a line has more than {most} dots").format(most=_MOST_DOTS))
        return tomllib.loads(text)
    except TomlFault:
        raise
    except RecursionError:
        raise TomlFault(_("it is nested too deeply")) from None
    except ValueError as fault:  # what is no TOML, no UTF-8, or a number of thousands of digits
        raise TomlFault(_printable(str(fault)[:_LONGEST])) from None


_short = reprlib.Repr()
_short.maxstring = _short.maxother = _short.maxlong = 60
_short.maxlist = _short.maxdict = 6
_short.maxlevel = 3


class InShort:
    """A value of a file as a message quotes it (`{found!r}`), or a key of it (`{key}`): short, and it can be shown."""

    def __init__(self, value: object, longest: int = 60) -> None:
        self._value, self._longest = value, longest

    def __repr__(self) -> str:
        try:
            return _printable(_short.repr(self._value))
        except ValueError:  # a number of more digits than Python writes
            return "…"

    def __str__(self) -> str:
        text = self._value if isinstance(self._value, str) else repr(self)
        return _printable(text if len(text) <= self._longest else f"{text[: self._longest - 3]}...")


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else "�" for c in text)
