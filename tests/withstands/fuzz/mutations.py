"""True drawings and other files, changed as no program would write them; whoever calls says which way each time.

`pick(n)` gives a whole number from 0 to n - 1: of a seeded dice in the long run, of Hypothesis in the short one.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Sequence
from typing import Any

__all__ = ["Pick", "bytes_changed", "drawing_changed", "text_changed"]

Pick = Callable[[int], int]

ODD: tuple[Any, ...] = (
    *(None, True, False, -1, 0, 1, 2, 0.5, 1e308, -1e308, 5e-324, 1e15, -1e15, 2**31, 2**53 + 1, 10**30),
    *("", "x", " ", "\x00", "e1", "r1", "\U0001f6a2", "\u202e", "e\u0301" * 40, "1" * 5000, "2/0", "1e999"),
    *([], {}, [[]], [None], [0], {"x": 1}, {"": {}}, {"kind": "fuse"}),
)
OFTEN = (1, 1, 1, 2, 2, 4)  # changes of one drawing: the more there are, the fewer open
LONGEST = 20_000  # letters of a text that is stretched
PARTS = (
    b'"',
    b"[",
    b"{",
    b"}",
    b"]",
    b",",
    b"\x00",
    b"\xff",
    b"NaN",
    b"1e999",
    b"\\ud800",
    b"-",
    b"\r\n",
    b"\xef\xbb\xbf",
)


def drawing_changed(data: bytes, others: Sequence[bytes], pick: Pick) -> bytes:
    """A drawing with one to four of its values gone, doubled, swapped, of another type, of another drawing or place."""
    members = json.loads(data)
    places: list[tuple[Any, Any]] = []
    _look(members, places)
    for _time in range(OFTEN[pick(len(OFTEN))]):
        container, key = places[pick(len(places))]
        _change(members, container, key, places, others, pick)
    return json.dumps(members).encode()


def _look(value: Any, found: list[tuple[Any, Any]]) -> None:
    """Every (container, key) of a JSON value."""
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        found.append((value, key))
        _look(inner, found)


def _change(members: Any, container: Any, key: Any, places: Any, others: Sequence[bytes], pick: Pick) -> None:
    try:
        value = container[key]
    except (KeyError, IndexError):  # an earlier change took it away
        return
    match pick(14):
        case 0:
            del container[key]
        case 1:  # twice: a list has it again, an object under another name
            if isinstance(container, list):
                container.insert(key, _copy(value))
            else:
                container[f"{key}{'1' * (1 + pick(30))}"] = _copy(value)
        case 2:  # with another's
            other, at = places[pick(len(places))]
            if _has(other, at):
                container[key], other[at] = _copy(other[at]), _copy(value)
        case 3 | 4:
            container[key] = _copy(ODD[pick(len(ODD))])
        case 5:  # out of another drawing
            foreign: list[tuple[Any, Any]] = []
            _look(json.loads(others[pick(len(others))]), foreign)
            other, at = foreign[pick(len(foreign))]
            container[key] = other[at]
        case 6:  # points elsewhere
            tables = [table for table in members.values() if isinstance(table, dict) and table]
            if tables:
                table = tables[pick(len(tables))]
                container[key] = list(table)[pick(len(table))]
        case 7:
            for _depth in range(1 + pick(60)):
                value = [value] if pick(2) else {"x": value}
            container[key] = _copy(value)
        case 8:
            container[key] = (str(value) * (1 + pick(400)))[:LONGEST]
        case 9 | 10 | 11 | 12:  # what stands under the same name elsewhere: mostly of the right type
            same = [(other, at) for other, at in places if at == key and other is not container and _has(other, at)]
            if same:
                other, at = same[pick(len(same))]
                container[key] = _copy(other[at])
        case _:  # a little beside
            if type(value) in (int, float):
                container[key] = (-value, value * 10, value + 1, value / 1e9, value * 1e9)[pick(5)]
            else:
                container[key] = ODD[pick(16)]


def _copy(value: Any) -> Any:
    return json.loads(json.dumps(value)) if isinstance(value, dict | list) else value


def _has(container: Any, key: Any) -> bool:
    return key in container if isinstance(container, dict) else key < len(container)


def bytes_changed(data: bytes, pick: Pick) -> bytes:
    """Bytes with one to four places cut out, doubled, written over, or with something put in between."""
    out = bytearray(data)
    for _time in range(1 + pick(4)):
        if not out:
            break
        at, long = pick(len(out)), 1 + pick(min(2000, len(out)))
        match pick(5):
            case 0:
                del out[at : at + long]
            case 1:
                out[at:at] = out[at : at + long]
            case 2:
                out[at:at] = PARTS[pick(len(PARTS))]
            case 3:
                out[at : at + 1] = PARTS[pick(len(PARTS))]
            case _:
                out[at] = pick(256)
    return bytes(out)


def text_changed(data: bytes, pick: Pick) -> bytes:
    """Words of a text gone, doubled, swapped or of another kind, the separators left as they are."""
    text = data.decode()
    words, word = [], ""
    for letter in text:
        if letter.isalnum() or letter in "._+-":
            word += letter
        else:
            words += [word, letter]
            word = ""
    words.append(word)
    for _time in range(1 + pick(4)):
        at, other = pick(len(words)), pick(len(words))
        match pick(5):
            case 0:
                words[at] = ""
            case 1:
                words[at] = (words[at] * (1 + pick(300)))[:LONGEST]
            case 2:
                words[at], words[other] = words[other], words[at]
            case 3:
                odd = ODD[pick(len(ODD))]
                words[at] = odd if isinstance(odd, str) else json.dumps(odd)
            case _:
                words[at:at] = words[min(at, other) : max(at, other)][:50]
    return "".join(words).encode()
