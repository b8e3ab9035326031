"""What no drawing file may hold: each fault told with its path, all in one message, in bounded time and memory."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import networkx as nx
import pytest

from engine.check import check
from engine.edits import EditError, History, Put
from engine.equipment import kinds
from engine.files.drawing import FileError, dump, read_bytes
from engine.files.errors import MOST_TOLD
from engine.files.parsing import MOST_OBJECTS, MOST_VALUES
from engine.files.reading import LARGEST
from engine.installation import Installation
from engine.installation.model import LONE, TABLES
from engine.installation.surveying import Survey
from engine.record import FieldSpec, field_specs

HEAD: dict[str, Any] = {"format": "linewright drawing", "version": 1}
LIMIT_MB = 1024
LONGEST_S = 15  # of the processor, the start of Python in it; some 2 are wanted, see below


def drawing(**members: Any) -> bytes:
    return json.dumps(HEAD | members).encode()


def told(data: bytes) -> dict[str, str]:
    """Path -> what is said of it."""
    with pytest.raises(FileError) as caught:
        read_bytes(data, "boat.linewright")
    assert "Traceback" not in str(caught.value)
    return {fault.path: fault.why for fault in caught.value.faults}


def test_every_fault_has_its_path_and_all_come_together() -> None:
    text = """{"format": "linewright drawing", "version": 1,
    "equipment": {
      "e1": {"kind": "fuse", "rating_a": NaN, "label": "\\ud800", "x\\udfff": 1},
      "e2": {"kind": "fuse", "rating_a": 1e999, "in_position": 5},
      "e3": {"kind": "fuse", "rating_a": DIGITS, "rating_a": -Infinity},
      "e3": {"kind": "fuse", "rating_a": "ten"},
      "e4": {"rating_a": 5},
      "e5": {"kind": "fuse", "volts": [1, {"deep": [NaN]}]}},
    "runs": {"r1": {"from": {"equipment": "e1", "terminal": "in"}},
             "r2": {"from": {"equipment": "e1", "terminal": "nowhere"}, "to": {"equipment": "e9", "terminal": "in"}}},
    "settings": {"voltage_drop": 1E400},
    "yard": {"hull": {"hull": 1, "hull": 2}},
    "last_id": "many"}""".replace("DIGITS", "9" * 5000)
    found = told(text.encode())
    assert {
        'equipment["e1"].rating_a': "it holds NaN, which is no number",
        'equipment["e1"].label': "it holds half of a character (a lone surrogate)",
        'equipment["e2"].rating_a': "it holds the number 1e999, which is beyond all use",
        'equipment["e2"].in_position': "expected a text, found 5",
        'equipment["e3"]': "stands twice in the same object",
        'equipment["e3"].rating_a': "expected a number (A) or null, found 'ten'",
        'equipment["e4"].kind': "is missing: the kind of equipment, as a text",
        'equipment["e5"].volts[1].deep[0]': "it holds NaN, which is no number",
        'runs["r1"].to': "is missing",
        "settings.voltage_drop": "it holds the number 1E400, which is beyond all use",
        "yard.hull.hull": "stands twice in the same object",
        "last_id": "expected a whole number from 0, the last id given",
    }.items() <= found.items()
    assert found['equipment["e1"].x?'].startswith("it holds half of a character")


def test_a_number_of_thousands_of_digits_is_told_where_it_stands() -> None:
    data = drawing().replace(b"}", b', "equipment": {"e7": {"kind": "fuse", "rating_a": ' + b"7" * 5000 + b"}}}")
    assert told(data) == {'equipment["e7"].rating_a': "it holds a number with too many digits"}


def test_faults_of_the_text_are_told_though_format_or_version_is_wrong_too() -> None:
    for head in ('"format": "other"', '"format": "linewright drawing", "version": NaN'):
        assert "x" in told(b'{%s, "x": 1e999}' % head.encode())


@pytest.mark.parametrize("kind", sorted(kinds()))
def test_a_wrong_type_in_every_field_of_every_kind(kind: str) -> None:
    specs = field_specs(kinds()[kind])
    wrong = {spec.file_name: ({"x": 1} if spec.shape != "record" else 5) for spec in specs}
    found = told(drawing(equipment={"e1": {"kind": kind, **wrong}}))
    assert set(found) == {f'equipment["e1"].{spec.file_name}' for spec in specs}


@pytest.mark.parametrize("table", [t for t in TABLES if t != "equipment"] + list(LONE))
@pytest.mark.parametrize("odd", [None, True, 1e300, "", "x", [[]], {"x": {}}], ids=repr)
def test_a_wrong_type_in_every_field_of_every_table(table: str, odd: Any) -> None:
    cls = LONE[table] if table in LONE else TABLES[table][0]
    record = {spec.file_name: odd for spec in field_specs(cls)}
    data = drawing(**{table: record if table in LONE else {"z1": record}})
    try:
        opened = read_bytes(data)
    except FileError as fault:
        refused = fault.faults
    else:
        refused = ()
        assert read_bytes(dump(opened.installation)).installation.snapshot() == opened.installation.snapshot()
    where = table if table in LONE else f'{table}["z1"]'
    assert all(each.path.startswith(where) for each in refused)


def _parts() -> list[tuple[str, str, FieldSpec]]:
    """Every field of every part of a record: the table or kind, the field that holds the part, the field in it."""
    classes = [(t, t, cls) for t, (cls, _letter) in TABLES.items() if t != "equipment"]
    classes += [("equipment", kind, cls) for kind, cls in kinds().items()] + [
        (name, name, c) for name, c in LONE.items()
    ]
    return [
        (table, f"{word}.{outer.file_name}.{inner.file_name}", inner)
        for table, word, cls in classes
        for outer in field_specs(cls)
        if outer.item is not None
        for inner in field_specs(outer.item)
    ]


@pytest.mark.parametrize(("table", "where", "inner"), _parts(), ids=lambda each: each if "." in str(each) else "")
def test_a_wrong_type_in_every_field_of_every_part(table: str, where: str, inner: FieldSpec) -> None:
    word, outer, field = where.split(".")
    cls = kinds()[word] if table == "equipment" else LONE.get(table) or TABLES[table][0]
    spec = next(s for s in field_specs(cls) if s.file_name == outer)
    part = {field: {"x": 1}}
    record = {"kind": word} if table == "equipment" else {}
    record |= {outer: part if spec.shape == "record" else [part]}
    path = table if table in LONE else f'{table}["z1"]'
    found = told(drawing(**{table: record if table in LONE else {"z1": record}}))
    at = f"{path}.{outer}" if spec.shape == "record" else f"{path}.{outer}[0]"
    assert f"{at}.{field}" in found
    assert all(why == "is missing" for told_of, why in found.items() if told_of != f"{at}.{field}")


@pytest.mark.parametrize("table", list(TABLES) + list(LONE))
def test_a_table_or_record_that_is_something_else(table: str) -> None:
    for odd in (None, True, 5, "x", []):
        assert table in told(drawing(**{table: odd}))
        if table in TABLES:
            assert any(path.startswith(f'{table}["z1"]') for path in told(drawing(**{table: {"z1": odd}})))


def test_what_is_named_and_not_there_is_told_at_the_name() -> None:
    fuse = {"kind": "fuse", "place": "p9", "enclosure": "c9"}
    end = {"equipment": "e1", "terminal": "in"}
    found = told(
        drawing(equipment={"e1": fuse}, runs={"r1": {"from": end, "to": {"equipment": "e8", "terminal": "a"}}})
    )
    assert set(found) == {'equipment["e1"].place', 'equipment["e1"].enclosure', 'runs["r1"].to.equipment'}


# -- rings ----------------------------------------------------------------------------------------------------------
def test_a_survey_that_follows_itself_over_others_is_refused_with_the_ring() -> None:
    surveys = {"y1": {"follows": "y3"}, "y2": {"follows": "y1"}, "y3": {"follows": "y2"}, "y4": {"follows": "y1"}}
    found = told(drawing(surveys=surveys))
    assert set(found) == {f'surveys["{y}"].follows' for y in ("y1", "y2", "y3")}
    assert "y3 → y2 → y1 → y3" in found['surveys["y1"].follows']
    history = History(Installation())
    history.do(Put("surveys", "y1", Survey()))
    history.do(Put("surveys", "y2", Survey(follows="y1")))
    with pytest.raises(EditError, match="y2 → y1 → y2"):
        history.do(Put("surveys", "y1", Survey(follows="y2")))


def _tables_named() -> dict[str, set[tuple[str, str]]]:
    """Table -> the fields of its records that name another, and the table they name."""
    found: dict[str, set[tuple[str, str]]] = {}

    def look(table: str, cls: Any, path: str) -> None:
        for spec in field_specs(cls):
            if spec.fact.refers:
                found.setdefault(table, set()).add((f"{path}{spec.file_name}", spec.fact.refers))
            if spec.item is not None:
                look(table, spec.item, f"{path}{spec.file_name}.")

    for table, (cls, _letter) in TABLES.items():
        look(table, cls, "")
    for cls in kinds().values():
        look("equipment", cls, "")
    return found


def test_every_way_in_which_records_can_name_each_other_in_a_ring_is_known() -> None:
    """What is new here needs an answer to what a ring of it means; each of these has one below or is judged beside it.

    Of conditions and equipment: a condition lists what runs in it, what runs tells how long in which condition.
    """
    named = _tables_named()
    ways = nx.DiGraph([(table, to) for table, fields in named.items() for _field, to in fields])
    within = {frozenset(ring) for ring in nx.strongly_connected_components(ways) if len(ring) > 1}
    assert within == {frozenset({"equipment", "conditions"})}
    own = {f"{table}.{field}" for table, fields in named.items() for field, to in fields if to == table}
    kept = (
        "alternator alternators batteries battery bridges commands controlled_by engine opens parallel_with shunt stops"
    )
    assert own == {"surveys.follows", *(f"equipment.{field}" for field in kept.split())}


def test_a_condition_and_what_runs_in_it_may_name_each_other() -> None:
    load = {"kind": "load", "duty": [{"condition": "c1", "hours_a_day": 3}]}
    data = drawing(equipment={"e1": load}, conditions={"c1": {"name": "at anchor", "running": ["e1"]}})
    assert not check(read_bytes(data).installation.snapshot()).stopped


def _own_ways() -> list[tuple[str, str]]:
    """Kinds with a field that names equipment, and the field: each may name itself."""
    return [
        (kind, spec.file_name)
        for kind, cls in sorted(kinds().items())
        for spec in field_specs(cls)
        if spec.fact.refers == "equipment"
    ]


@pytest.mark.parametrize(("kind", "field"), _own_ways())
def test_equipment_that_names_itself_or_each_other_is_judged_to_an_end(kind: str, field: str) -> None:
    """A relay may hold itself: such rings are no fault of the file. Nothing goes round in them."""
    spec = next(s for s in field_specs(kinds()[kind]) if s.file_name == field)
    for ring in (("e1",), ("e1", "e2"), ("e1", "e2", "e3")):
        equipment = {}
        for n, item in enumerate(ring):
            named = ring[(n + 1) % len(ring)]
            equipment[item] = {"kind": kind, "designation": item, field: [named] if spec.shape == "words" else named}
        opened = read_bytes(drawing(equipment=equipment))
        assert not check(opened.installation.snapshot()).stopped


# -- what is new, what is unknown --------------------------------------------------------------------------------------
def test_a_message_is_bounded_and_printable_whatever_the_file_holds() -> None:
    places = {f"p{n}\u202e\x1b[31m": {"name": [n] * 3} for n in range(5000)}
    with pytest.raises(FileError) as caught:
        read_bytes(drawing(places=places, **{"x" * 10**6: 1}), "boat.linewright")
    message = str(caught.value)
    assert len(caught.value.faults) == 5000
    assert message.count("\n") == MOST_TOLD + 1
    assert message.endswith("and 4,800 more") or "4800" in message
    assert all(line.isprintable() and len(line) < 700 for line in message.splitlines())


def test_what_is_unknown_may_be_nested_but_not_so_deep_that_it_could_not_be_saved() -> None:
    def nested(depth: int) -> Any:
        return {"x": nested(depth - 1)} if depth else 1

    opened = read_bytes(drawing(yard=nested(40), places={"p1": {"name": "a", "odd": nested(40)}}))
    assert json.loads(dump(opened.installation))["places"]["p1"]["odd"] == nested(40)
    deep = drawing(
        yard=nested(200),
        places={"p1": {"name": "a", "odd": nested(200)}},
        equipment={"e1": {"kind": "?", "y": nested(200)}},
    )
    why = "it is nested too deeply to be a drawing"
    assert told(deep) == {"yard": why, 'places["p1"].odd': f"{why} (a)", 'equipment["e1"].y': why}
    with pytest.raises(FileError, match="nested too deeply"):
        read_bytes(b"[" * 10**5)


def test_what_many_faults_tell_of_is_told_in_short() -> None:
    """A name, a key or an id of a million letters stood in each of the faults under it: more than any memory."""
    long = "x" * 10**6
    wrong = [1] * 3000
    module = {"kind": "switching_module", "designation": long, "channels": [{"number": n} for n in range(1, 999)]}
    data = drawing(
        equipment={"e1": module},
        conditions={"c1": {"name": long, "settings": wrong}, long: {"name": "x", "settings": wrong}},
        placements={"o1": {"equipment": "e1", "sheet": "s1", "terminals": [f"none{n}" for n in range(3000)]}},
        **{long: {long: "NaN"}},
    )
    found = told(data.replace(b'"NaN"', b"[" + b"NaN," * 2000 + b"1]"))
    assert len(found) > 8000
    assert max(len(path) + len(why) for path, why in found.items()) < 1000
    assert "has no terminal 'none1': it has supply, ch1, ch2" in found['placements["o1"].terminals[1]']


def test_surveys_beyond_counting_are_gone_back_through_once() -> None:
    surveys = {f"y{n}": {"follows": f"y{n - 1}"} for n in range(1, 20_000)} | {"y0": {}}
    assert len(read_bytes(drawing(surveys=surveys)).installation.ids("surveys")) == 20_000
    surveys["y0"] = {"follows": "y9000"}
    found = told(drawing(surveys=surveys))
    assert set(found) == {f'surveys["y{n}"].follows' for n in range(9001)}
    assert all(len(why) < 200 for why in found.values())


def test_a_file_in_which_everything_is_wrong_is_not_gone_through_to_its_end() -> None:
    with pytest.raises(FileError) as caught:
        read_bytes(drawing(places={f"p{n}": n for n in range(60_000)}))
    assert len(caught.value.faults) == 10_000


# -- time and memory ------------------------------------------------------------------------------------------------
HEAD_TEXT = b'{"format":"linewright drawing","version":1,'
HOSTILE: dict[str, Callable[[], bytes]] = {
    "empty lists": lambda: b'{"a": [' + b"[]," * (LARGEST // 3 - 10) + b"[]]}",
    "small objects": lambda: b'{"a": [' + b'{"a":1},' * (LARGEST // 8 - 10) + b"{}]}",
    "as many objects as are read": lambda: b'{"a": [' + b'{"a":1},' * (MOST_OBJECTS - 10) + b"{}]}",
    "one number": lambda: b'{"a": ' + b"7" * (LARGEST - 20) + b"}",
    "one fraction": lambda: b'{"a": 0.' + b"7" * (LARGEST - 20) + b"}",
    "one text": lambda: b'{"a": "' + b"x" * (LARGEST - 20) + b'"}',
    "escapes": lambda: b'{"a": "' + b"\\u00e9" * ((LARGEST - 20) // 6) + b'"}',
    "halves of characters": lambda: b'{"a": "' + b"\\ud800" * ((LARGEST - 20) // 6) + b'"}',
    "nesting": lambda: b"[" * (LARGEST - 20),
    "objects in objects": lambda: b'{"a":' * 100_000 + b"1" + b"}" * 100_000,
    "spaces": lambda: b'{"a": ' + b" " * (LARGEST - 20) + b"}",
    "numbers that are none": lambda: _many(b'"places":{', b'"p%d":{"name":NaN}', 2, b"}}"),
    "records without a kind": lambda: _many(b'"equipment":{', b'"e%d":{}', 2, b"}}"),
    "runs to kinds nobody knows": lambda: _runs_to_strangers(MOST_OBJECTS // 4 - 10),
    "kinds nobody knows": lambda: _many(b'"equipment":{', b'"e%d":{"kind":"k%d"}', 2, b"}}"),
    "numbers beyond use": lambda: _many(b'"equipment":{"e1":{"kind":"fuse",', b'"m%d":1e999', 1, b"}}}"),
    "one member many times": lambda: _many(b'"places":{"p1":{', b'"name":"a"', 1, b"}}}"),
    "members nobody knows": lambda: _many(b'"equipment":{"e1":{"kind":"fuse",', b'"m%d":1', 1, b"}}}"),
    "a list of wrong records": lambda: _many(b'"runs":{"r1":{"places":[', b"%d", 1, b"]}}}"),
    "tables nobody knows": lambda: _many(b"", b'"m%d":1', 1, b"}"),
    "surveys one after the other": lambda: _many(b'"surveys":{', b'"y%d":{"follows":"y%d"}', 1, b"}}", lambda n: n + 1),
    "surveys in a ring": lambda: _ring_of_surveys(MOST_OBJECTS - 10),
    "faults under a long key": lambda: HEAD_TEXT + b'"%s":[%s]}' % (b"x" * 10**7, b"NaN," * 9000 + b"1"),
    "faults of what has a long name": lambda: (
        HEAD_TEXT + b'"conditions":{"c1":{"name":"%s","settings":[%s]}}}' % (b"x" * 10**7, b"1," * 9000 + b"1")
    ),
    "faults deep in objects": lambda: (
        HEAD_TEXT + b'"a":%s[%s]%s}' % (b'{"%s":' % (b"x" * 9000) * 300, b"NaN," * 9000 + b"1", b"}" * 300)
    ),
    "ends at a module of many channels": lambda: _ends_at_a_module(100_000, 75_000),
    "a size without end": lambda: _runs_of_size(b"9" * (LARGEST - 1000)),
    "a size of spaces": lambda: _runs_of_size(b"35" + b" " * (LARGEST - 1000) + b"mm2"),
    "too large": lambda: b" " * (LARGEST + 1),
}


def _many(start: bytes, each: bytes, values: int, end: bytes, name: Callable[[int], int] = lambda n: n) -> bytes:
    """A drawing of as many values as are read; `each` is one of them, of so many values."""
    count = each.count(b"%d")
    objects = each.count(b"{")
    made = (each % (n, *(name(n) for _more in range(count - 1)))[:count] for n in range(_fit(values, objects)))
    return HEAD_TEXT + start + b",".join(made) + end


def _fit(values: int, objects: int) -> int:
    return min(MOST_VALUES // values, MOST_OBJECTS // objects if objects else MOST_VALUES) - 10


def _runs_to_strangers(count: int) -> bytes:
    ends = b'{"equipment":"e%d","terminal":"a"}'
    equipment = b",".join(b'"e%d":{"kind":"k"}' % n for n in range(count))
    runs = b",".join(b'"r%d":{"from":%s,"to":%s}' % (n, ends % n, ends % ((n * 7) % count)) for n in range(count))
    return HEAD_TEXT + b'"equipment":{' + equipment + b'},"runs":{' + runs + b"}}"


def _ring_of_surveys(count: int) -> bytes:
    surveys = b",".join(b'"y%d":{"follows":"y%d"}' % (n, (n + 1) % count) for n in range(count))
    return HEAD_TEXT + b'"surveys":{' + surveys + b"}}"


def _ends_at_a_module(channels: int, runs: int) -> bytes:
    each = b",".join(b'{"number":%d}' % (1 + n % 999) for n in range(channels))
    end = b'{"equipment":"e1","terminal":"ch%d"}'
    made = b",".join(b'"r%d":{"from":%s,"to":%s}' % (n, end % (1 + n % 999), end % 0) for n in range(runs // 3))
    return (
        HEAD_TEXT + b'"equipment":{"e1":{"kind":"switching_module","channels":[' + each + b']}},"runs":{' + made + b"}}"
    )


def _runs_of_size(size: bytes) -> bytes:
    end = b'{"equipment":"e1","terminal":"a"}'
    return HEAD_TEXT + b'"runs":{"r1":{"from":%s,"to":%s,"size":"%s"}}}' % (end, end, size)


CHILD = """
import re, resource, sys, time
resource.setrlimit(resource.RLIMIT_AS, (LIMIT_MB * 2**20, LIMIT_MB * 2**20))
resource.setrlimit(resource.RLIMIT_CPU, (LONGEST_S, LONGEST_S))
from engine.files.drawing import FileError, load
start = time.process_time()
try:
    load(sys.argv[1])
except FileError as fault:
    print(len(str(fault)), str(fault).splitlines()[0][-200:])
else:
    print(0, "opened")
with open("/proc/self/status") as status:
    print(time.process_time() - start, int(re.search(r"VmHWM:\\s+(\\d+)", status.read())[1]) // 1024)
""".replace("LIMIT_MB", str(LIMIT_MB)).replace("LONGEST_S", str(LONGEST_S))


@pytest.mark.posix
@pytest.mark.long
@pytest.mark.parametrize("what", HOSTILE)
def test_a_hostile_file_takes_neither_all_memory_nor_for_ever(what: str, tmp_path: Path) -> None:
    path = tmp_path / "boat.linewright"
    path.write_bytes(HOSTILE[what]())
    before = path.stat()
    ended = subprocess.run([sys.executable, "-c", CHILD, str(path)], capture_output=True, text=True, check=False)
    assert ended.returncode == 0, ended.stderr
    said, measured = ended.stdout.splitlines()
    assert int(said.split()[0]) < 200_000
    after = path.stat()
    assert (after.st_mtime_ns, after.st_ino, after.st_size) == (before.st_mtime_ns, before.st_ino, before.st_size)
    assert [p.name for p in tmp_path.iterdir()] == ["boat.linewright"]
    print(f"{what}: {measured} (s, MB)")


@pytest.mark.parametrize(
    ("sample", "pieces"), [("ketch/ketch", 20_000), ("workboat/workboat", 20_000), ("workboat/surveyed", 14_500)]
)
def test_a_real_boat_is_far_from_the_bounds(sample: str, pieces: int) -> None:
    data = (Path(__file__).parents[3] / "samples" / f"{sample}.linewright").read_bytes()
    share = pieces / len(read_bytes(data).installation.ids("equipment"))
    assert sum(data.count(mark) for mark in (b",", b"{", b"[")) * share < MOST_VALUES
    assert data.count(b"{") * share < MOST_OBJECTS
    assert len(data) * share < LARGEST
