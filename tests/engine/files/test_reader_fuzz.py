"""Whatever bytes stand in a drawing file, it is opened or refused in words, never with a traceback."""

from __future__ import annotations

import contextlib
import json
import random
from pathlib import Path
from typing import Any

import pytest

from engine.books import BookError
from engine.check import check
from engine.files.drawing import FileError, dump, read_bytes

SAMPLES = sorted((Path(__file__).parents[3] / "samples").glob("*/*.linewright"))
ODD: tuple[Any, ...] = (None, True, -1, 0, 1e308, "", "x", "\x00", [], {}, [[]], {"x": 1}, "e1", "r1", 10**30, 0.5)


def _places(data: Any, found: list[tuple[Any, Any]]) -> list[tuple[Any, Any]]:
    """Every (container, key) of a JSON value."""
    pairs = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    for key, value in pairs:
        found.append((data, key))
        _places(value, found)
    return found


def _read(data: bytes) -> None:
    try:
        opened = read_bytes(data, "fuzz.linewright")
    except FileError:
        return
    # what was opened can be judged, or it is told that there is no such book, and written again
    with contextlib.suppress(BookError):
        check(opened.installation.snapshot())
    if not opened.read_only:
        dump(opened.installation)


@pytest.mark.long
@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.stem)
def test_odd_values_are_refused_or_read(sample: Path) -> None:
    whole = sample.read_text(encoding="utf-8")
    dice = random.Random(sample.stem)
    for _round in range(1500):
        data = json.loads(whole)
        places = _places(data, [])
        for container, key in dice.sample(places, dice.randint(1, 3)):
            if dice.random() < 0.3 and isinstance(container, dict):
                container.pop(key, None)
            else:
                container[key] = dice.choice(ODD)
        _read(json.dumps(data).encode())


@pytest.mark.long
@pytest.mark.parametrize("sample", SAMPLES, ids=lambda p: p.stem)
def test_broken_bytes_are_refused_or_read(sample: Path) -> None:
    whole = sample.read_bytes()
    dice = random.Random(sample.stem)
    for _round in range(1500):
        data = bytearray(whole)
        for _cut in range(dice.randint(1, 4)):
            at = dice.randrange(len(data))
            if dice.random() < 0.3:
                del data[at : at + dice.randint(1, 2000)]
            else:
                data[at] = dice.randrange(256)
            if not data:
                break
        _read(bytes(data))
