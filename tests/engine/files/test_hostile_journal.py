"""Journals whose check sums are right and whose frames are made to do harm: what is before them comes back, whole."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from engine.builder import Builder
from engine.edits import EditError, History, Put
from engine.equipment.base import Breaking
from engine.equipment.protection.fuse import Fuse
from engine.files import frames
from engine.files.drawing import FileError, dump, read_bytes
from engine.files.migrations import CURRENT
from engine.files.recovery import left_behind
from engine.installation import Installation, Place, Placement, Sheet
from engine.installation.records import Aside
from engine.record import to_builtins
from engine.version import version

PLACE = ["places", "p1", {"name": "bilge"}]
END = {"equipment": "e1", "terminal": "a"}


def edit(*puts: Any, last_id: Any = 3, words: Any = "Add") -> bytes:
    return json.dumps({"last_id": last_id, "words": words, "puts": puts}).encode()


HARMFUL: dict[str, Callable[[], bytes]] = {
    "more than any memory": lambda: b'{"last_id":0,"words":"","puts":[' + b"[]," * (20 * 2**20) + b"[]]}",
    "nesting": lambda: b"[" * 10**6,
    "a number of 5000 digits": lambda: b'{"last_id":' + b"9" * 5000 + b',"words":"","puts":[]}',
    "a last id without end": lambda: b'{"last_id":1e999,"words":"","puts":[]}',
    "a last id that no file could hold": lambda: edit(last_id=10**40),
    "a last id below nothing": lambda: edit(PLACE, last_id=-5),
    "a last id that is none": lambda: edit(PLACE, last_id=True),
    "an empty id": lambda: edit(PLACE, ["places", "", {"name": "x"}]),
    "an id beyond all numbers": lambda: edit(PLACE, ["places", "p" + "9" * 26, {"name": "x"}]),
    "an id of 5000 digits": lambda: edit(PLACE, ["places", "p" + "9" * 5000, {"name": "x"}]),
    "an id that is a number": lambda: edit(PLACE, ["places", 5, {"name": "x"}]),
    "an id that is a list": lambda: edit(PLACE, ["places", [], {"name": "x"}]),
    "an id with half a character": lambda: edit(PLACE, ["places", "p\ud800", {"name": "x"}]),
    "a table that is a list": lambda: edit(PLACE, [["places"], "p2", {"name": "x"}]),
    "half a character": lambda: edit(["places", "p1", {"name": "\ud800"}]),
    "a ring of surveys": lambda: edit(PLACE, ["surveys", "y1", {"follows": "y1"}]),
    "an end nowhere": lambda: edit(PLACE, ["runs", "r1", {"from": END, "to": {**END, "equipment": "e9"}}]),
    "an unknown member that is no JSON": lambda: edit(["places", "p1", {"name": "x", "": [["a", "{not json"]]}]),
    "an unknown member of a part that is no list": lambda: edit(["runs", "r1", {"from": END | {"": 5}, "to": END}]),
    "an unknown member of a part without its name": lambda: edit(["runs", "r1", {"from": END | {"x": 5}, "to": END}]),
    "a kind that is a list": lambda: edit(PLACE, ["equipment", "e2", {"kind": ["fuse"]}]),
    "equipment of no kind": lambda: edit(PLACE, ["equipment", "e2", {"kind": "", "": [["rating_a", "5"]]}]),
    "equipment whose kind is a number": lambda: edit(PLACE, ["equipment", "e2", {"kind": "", "": [["kind", "5"]]}]),
    "an unknown kind without terminals": lambda: edit(PLACE, ["equipment", "e2", {"kind": "", "arrivals": 5}]),
    "what there must be taken away": lambda: edit(PLACE, ["vessel", "vessel", None]),
}


def header(**odd: Any) -> bytes:
    members = {"program": version(), "format": 1, "drawing_format": CURRENT, "name": "Dunlin", "edits": 0, "words": []}
    return json.dumps(members | odd).encode()


def journal(folder: Path, payload: bytes, head: bytes) -> bytes:
    """Three edits, the second of which is `payload`; the drawing after the first."""
    b = Builder(name="Dunlin")
    b.add("fuse", "F1", rating_a=5)
    drawing = dump(b.installation)
    first = edit(["places", "p9", {"name": "forepeak"}], last_id=9, words="Add a place")
    History(b.installation).do(Put("places", "p9", Place(name="forepeak")))
    kept = (first, payload, edit(["places", "p9", None]))
    (folder / "20260101-000000-abc.journal").write_bytes(
        frames.MARK
        + frames.frame(frames.HEADER, 0, head)
        + frames.frame(frames.SNAPSHOT, 0, drawing)
        + b"".join(frames.frame(frames.EDIT, n, each) for n, each in enumerate(kept, 1))
    )
    return dump(b.installation)


@pytest.mark.parametrize("what", HARMFUL)
def test_what_is_before_harm_comes_back_and_can_be_saved(what: str, tmp_path: Path) -> None:
    expected = journal(tmp_path, HARMFUL[what](), header())
    (one,) = left_behind(tmp_path)
    assert (one.why, one.edits, one.missing, one.words) == ("", 1, 2, ("Add a place",))
    made = dump(one.recover().installation)
    assert made == expected
    assert dump(read_bytes(made).installation) == made
    one.close()


@pytest.mark.parametrize(
    "odd",
    [
        {"name": "x" * 10**6, "words": ["y" * 10**6] * 50, "path": "/" + "z" * 10**6},
        {"pid": 10**30, "edits": 1e308, "host": ["x"], "takes_over": "../../../etc/passwd"},
        {"path": "/tmp/\ud800", "sha256": "\ud800", "program": version()},
        {"path": "a\0b", "words": [1, None, [], "\ud800"], "name": None},
    ],
)
def test_a_header_may_hold_anything(odd: dict[str, Any], tmp_path: Path) -> None:
    expected = journal(tmp_path, b"{}", header(**odd))
    (one,) = left_behind(tmp_path)
    assert dump(one.recover().installation) == expected
    assert len(one.name) + len(str(one.path)) + sum(map(len, one.words)) < 10_000
    one.close()


@pytest.mark.posix
def test_harm_takes_neither_all_memory_nor_for_ever(tmp_path: Path) -> None:
    """In a process that may have 700 MB and 10 s: the start of the program would end with it."""
    journal(tmp_path, HARMFUL["more than any memory"](), header())
    child = """
import resource, sys
resource.setrlimit(resource.RLIMIT_AS, (700 * 2**20,) * 2)
resource.setrlimit(resource.RLIMIT_CPU, (10, 10))
from engine.files.recovery import left_behind
(one,) = left_behind(sys.argv[1])
print(one.edits, one.missing)
"""
    ended = subprocess.run([sys.executable, "-c", child, tmp_path], capture_output=True, text=True, check=False)
    assert ended.stdout == "1 2\n", ended.stderr


def test_an_id_that_no_file_could_hold_never_comes_in(tmp_path: Path) -> None:
    """A file may say that the last id given is the largest there can be: what is added then must not spoil it."""
    installation = read_bytes(b'{"format": "linewright drawing", "version": 1, "last_id": %d}' % 10**15).installation
    before = dump(installation)
    history = History(installation)
    for item in (installation.new_id("places"), "", "x" * 41, "p\ud800", "p" + "9" * 5000):
        with pytest.raises(EditError, match="is no id"):
            history.do(Put("places", item, Place(name="bilge")))
    assert dump(installation) == before
    with pytest.raises(FileError):
        read_bytes(before.replace(b'"last_id": 1', b'"last_id": 2'))
    assert Installation().new_id("places") == "p1"


@pytest.mark.parametrize(
    ("table", "item", "record", "why"),
    [
        ("placements", "a1", Placement(equipment="e1", sheet="s1", x=100_001), "x: expected 100000 or less"),
        (
            "placements",
            "a1",
            Placement(equipment="e1", sheet="s1", label=Aside(x=1, y=-(10**9))),
            "label.y: expected -",
        ),
        ("equipment", "e2", Fuse(rating_a=1e15), "rating_a: expected a number, found a number beyond all use"),
        ("equipment", "e2", Fuse(rating_a=float("nan")), "rating_a: expected a number, found nan"),
        ("equipment", "e2", Fuse(breaking=(Breaking(1e3, 1e20),)), "breaking.volts: expected a number"),
    ],
)
def test_a_number_that_no_file_could_hold_never_comes_in(table: str, item: str, record: Any, why: str) -> None:
    """Drawn at such a place a sheet took for ever; with such a figure the arithmetic had no answer."""
    b = Builder(name="Dunlin")
    b.add("fuse", "F1", rating_a=5)
    history = History(b.installation)
    history.do(Put("sheets", "s1", Sheet(title="Main diagram")))
    before = dump(b.installation)
    with pytest.raises(EditError, match=why):
        history.do(Put(table, item, record))
    assert dump(b.installation) == before
    members = json.loads(before)
    members[table] = members.get(table, {}) | {item: to_builtins(record) | ({"kind": "fuse"} if item == "e2" else {})}
    with pytest.raises(FileError):
        read_bytes(json.dumps(members).encode())
