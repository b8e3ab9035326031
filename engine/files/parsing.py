"""From bytes to the members of a drawing file of this version: text, JSON, format, version, migration.

What is counted is counted before anything is made of it: a file that would take all memory is refused unread. What
JSON text can hold and no drawing may (a number that is none, or beyond all use, or of thousands of digits; half of a
character; a member that stands twice) becomes a fault with its path, and something harmless stands in its place, so
that whatever else is wrong with the file is told together with it.
"""

from __future__ import annotations

import itertools
import json
from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.files.errors import FileError
from engine.files.migrations import CURRENT, migrate
from engine.installation.model import TABLES
from engine.record import FieldFault
from engine.words import _

__all__ = ["MOST_FAULTS", "MOST_OBJECTS", "MOST_VALUES", "Parsed", "clipped", "is_too_much", "parse", "record_path"]

MOST_VALUES = 1_300_000  # in one file; the samples have 52 to 65 a piece, surveyed 80
MOST_OBJECTS = 250_000  # of these; the samples have 10 to 12 a piece, surveyed 14
MOST_FAULTS = 10_000  # that are looked for; of a file in which everything is wrong, no more is of use
_DIGITS = 4300  # of a whole number: as many as Python reads
_LONGEST = 60  # letters of a name or a value that a fault quotes
_LONGEST_WAY = 400  # letters of a path


class Parsed(NamedTuple):
    """The members of the file, the version it was written in, what is wrong with its text."""

    members: dict[str, Any]
    version: int
    faults: tuple[FieldFault, ...]


def parse(data: bytes, name: str, wanted: str) -> Parsed:
    """The members of a file of format `wanted`, brought to the version of this program. Raises `FileError`."""
    members, odd = _json(data, name)
    faults = tuple(odd)
    if not isinstance(members, dict) or members.get("format") != wanted:
        why = _('it is no drawing of this program: "format" is not "{wanted}"').format(wanted=wanted)
        raise FileError(name, why, faults)
    version = members.get("version")
    if type(version) is not int or version < 1:
        why = _('"version" should be a whole number from 1, the version of the file\'s format')
        raise FileError(name, why, faults)
    if version < CURRENT:
        members = migrate(members)
    return Parsed(members, version, faults)


def is_too_much(data: bytes) -> bool:
    """Whether JSON text may hold more than a drawing of any boat: asked before anything is made of it."""
    objects = data.count(b"{")
    return objects > MOST_OBJECTS or objects + data.count(b",") + data.count(b"[") > MOST_VALUES


def record_path(table: str, item: str) -> str:
    """Where a record of a table stands in the file."""
    if item.isascii() and item.isalnum() and len(item) <= _LONGEST:
        return f'{table}["{item}"]'
    item = clipped(item)
    return f"{table}[{json.dumps(item, ensure_ascii=not item.isprintable())}]"


def clipped(text: str) -> str:
    """A text of a file as it stands in what is told of many others: never long."""
    return text if len(text) <= _LONGEST else f"{text[: _LONGEST - 1]}…"


def _json(data: bytes, name: str) -> tuple[Any, list[FieldFault]]:
    if not data.strip():
        raise FileError(name, _("it is empty"))
    if is_too_much(data):
        raise FileError(name, _("it holds far more than a drawing of any boat"))
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        raise FileError(name, _("it is not UTF-8 text: line {line}").format(line=line)) from None
    odd = _Odd()
    try:
        found = odd.read(text)
    except json.JSONDecodeError as fault:
        raise FileError(
            name,
            _("it is not JSON: line {line}, column {column}: {why}").format(
                line=fault.lineno, column=fault.colno, why=fault.msg
            ),
        ) from None
    except RecursionError:
        raise FileError(name, _("it is nested too deeply to be a drawing")) from None
    # half of a pair of surrogates is no character and could not be saved again
    halves = "\\ud" in text or "\\uD" in text
    if not (odd.is_any or halves):
        return found, []
    try:
        holder = [found]
        faults = list(itertools.islice(_Walk(odd).faults(holder, 0, ()), MOST_FAULTS))
    except RecursionError:
        raise FileError(name, _("it is nested too deeply to be a drawing")) from None
    if len(faults) == MOST_FAULTS:  # some odd values are still there: nothing more is made of them
        raise FileError(name, faults=tuple(faults))
    return holder[0], faults


class _Beyond(str):
    """What stands where the text had a number that none is; the text itself, or its beginning."""

    __slots__ = ()


class _Odd:
    """Reads JSON text and notes what is no value of a drawing."""

    def __init__(self) -> None:
        self.is_any = False
        self.twice: dict[int, tuple[Any, list[str]]] = {}  # id of an object -> it, so that it stays; what stands twice

    def read(self, text: str) -> Any:
        """The value; `_Beyond` in place of numbers that are none. Raises `json.JSONDecodeError`, `RecursionError`."""
        hooks: dict[str, Any] = {
            "object_pairs_hook": self._object,
            "parse_constant": self._beyond,
            "parse_float": self._float,
        }
        try:
            return json.loads(text, **hooks)
        except json.JSONDecodeError:
            raise
        except ValueError:  # a whole number with more digits than Python takes: told by its path like the others
            return json.loads(text, parse_int=self._whole, **hooks)

    def _object(self, pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        made = dict(pairs)
        if len(made) < len(pairs):
            seen: set[str] = set()
            names = [key for key, _value in pairs if key in seen or seen.add(key)]  # type: ignore[func-returns-value]
            self.twice[id(made)] = made, list(dict.fromkeys(names))
            self.is_any = True
        return made

    def _beyond(self, text: str) -> _Beyond:
        self.is_any = True
        return _Beyond(text[: _LONGEST + 1])

    def _float(self, text: str) -> float | _Beyond:
        value = float(text)
        return value if value - value == 0 else self._beyond(text)

    def _whole(self, text: str) -> int | _Beyond:
        return int(text) if len(text) <= _DIGITS else self._beyond(text)


_Key = str | int


class _Walk:
    """Tells every odd value with its path, and puts what is harmless in its place."""

    def __init__(self, odd: _Odd) -> None:
        self._twice = odd.twice

    def faults(self, holder: Any, key: Any, way: tuple[_Key, ...]) -> Iterator[FieldFault]:
        """What is odd in `holder[key]`, to which `way` leads."""
        value = holder[key]
        if isinstance(value, _Beyond):
            yield FieldFault(_written(way), _not_a_number(value))
            holder[key] = str(value)
        elif isinstance(value, str):
            if not _is_whole(value):
                yield FieldFault(_written(way), _("it holds half of a character (a lone surrogate)"))
                holder[key] = _whole(value)
        elif isinstance(value, list):
            for number in range(len(value)):
                yield from self.faults(value, number, (*way, number))
        elif isinstance(value, dict):
            _itself, names = self._twice.get(id(value), (None, ()))
            for name in names:
                yield FieldFault(_written((*way, _whole(name))), _("stands twice in the same object"))
            for name in list(value):
                yield from self.faults(value, name, (*way, _whole(name)))
            for name in [name for name in value if not _is_whole(name)]:
                yield FieldFault(_written((*way, _whole(name))), _("it holds half of a character (a lone surrogate)"))
                value[_whole(name)] = value.pop(name)


def _written(way: tuple[_Key, ...]) -> str:
    """A way into the file, as all faults tell it: equipment["e3"].rating_a, runs["r1"].legs[2].size."""
    out = ""
    for depth, key in enumerate(way):
        if isinstance(key, int):
            out += f"[{key}]"
        elif depth == 1 and way[0] in TABLES:
            out = record_path(str(way[0]), key)
        else:
            out += f".{clipped(key)}" if out else clipped(key)
        if len(out) > _LONGEST_WAY:
            return f"{out}…"
    return out


def _not_a_number(text: str) -> str:
    if text.lstrip("-") in ("NaN", "Infinity"):
        return _("it holds {text}, which is no number").format(text=text)
    if len(text) > _LONGEST:
        return _("it holds a number with too many digits")
    return _("it holds the number {text}, which is beyond all use").format(text=text)


def _is_whole(text: str) -> bool:
    return text.isascii() or not any("\ud800" <= letter <= "\udfff" for letter in text)


def _whole(text: str) -> str:
    return text if _is_whole(text) else text.encode("utf-8", "replace").decode()
