"""Laws of merging on boats and edits made up by Hypothesis: what is asked, what is lost, what is the same either way.

The oracles read the three drawings as plain JSON and walk it member by member; they know nothing of how it is merged.
"""

from __future__ import annotations

import contextlib
import json
import os
import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from engine.builder import Builder
from engine.edits import EditError, Put, SetFields, apply, fill
from engine.edits.removing import remove
from engine.edits.renumbering import renamed
from engine.equipment import kind_named
from engine.files.drawing import dump, read_bytes
from engine.installation import (
    LONE,
    TABLES,
    Condition,
    ConditionDuty,
    Deficiency,
    End,
    Held,
    Installation,
    Interlock,
    Place,
    Placement,
    Run,
    Setting,
    Sheet,
    Snapshot,
)
from engine.merging import Choice, Merged, merge

WORDS = st.sampled_from(["", "helm", "bilge", "seen"])
Plain = dict[str, dict[str, Any]]


@st.composite
def boats(draw: st.DrawFn) -> Installation:
    """A bank, fuses and loads on two sheets, with conditions, an interlock and places."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("battery_switch", "Q1")
    b.add("battery_switch", "Q2")
    b.run("W1", "G1.pos", "Q1.in", size="6 AWG")
    count = draw(st.integers(2, 4))
    for n in range(1, count + 1):
        b.add("fuse", f"F{n}", rating_a=10.0 * n)
        b.add("load", f"E{n}", power_w=50.0)
        b.run(f"W{2 * n}", "Q1.out", f"F{n}.in", size="6 AWG")
        b.run(f"W{2 * n + 1}", f"F{n}.out", f"E{n}.in", size="10 AWG")
    x = b.installation

    def put(table: str, record: Any) -> None:
        apply(x, Put(table, x.new_id(table), record))

    for n, title in enumerate(("DC", "Loads"), start=1):
        put("sheets", Sheet(title=title, number=n))
    sheets = x.ids("sheets")
    for n, item in enumerate(x.ids("equipment")):
        put("placements", Placement(equipment=item, sheet=sheets[n % 2], x=10 * n, y=20))
    put("places", Place(name="Cabin"))
    of = {r.designation: i for i, r in x.items("equipment")}
    put(
        "conditions",
        Condition(
            name="At sea",
            settings=(Setting(equipment=of["Q1"], position="open"),),
            duties=tuple(ConditionDuty(equipment=of[f"E{n}"], hours_a_day=1.0 + n) for n in (1, 2)),
        ),
    )
    put(
        "interlocks",
        Interlock(name="one", held=tuple(Held(equipment=of[q], positions=("closed",)) for q in ("Q1", "Q2"))),
    )
    put("deficiencies", Deficiency(number=1, at=of["F1"], observation="loose"))
    return x


def copy_of(x: Installation) -> Installation:
    return read_bytes(dump(x)).installation


def plain(snapshot: Snapshot) -> Plain:
    x = Installation()
    fill(x, [(t, i, r) for t, rows in snapshot.tables.items() for i, r in rows.items()])
    fill(x, [(n, n, r) for n, r in snapshot.lone.items()])
    read = json.loads(dump(x))
    return {table: read[table] for table in TABLES} | {name: {name: read[name]} for name in LONE}


# -- edits as a person makes them -----------------------------------------------------------------------------------
def _fields(x: Installation, draw: st.DrawFn, pool: Callable[[str, str], bool]) -> None:
    names = {
        "equipment": ("label", "note"), "runs": ("label", "note", "length_m"), "places": ("note",),
        "conditions": ("note",), "deficiencies": ("observation",), "sheets": ("title",), "interlocks": ("note",),
    }  # fmt: skip
    table = draw(st.sampled_from(sorted(names)))
    items = [i for i in x.ids(table) if pool(table, i)]
    if items:
        item, name = draw(st.sampled_from(items)), draw(st.sampled_from(names[table]))
        value: Any = draw(st.integers(1, 4)) * 1.5 if name == "length_m" else draw(WORDS)
        apply(x, SetFields(table, item, ((name, value),)))


def _move(x: Installation, draw: st.DrawFn, pool: Callable[[str, str], bool]) -> None:
    items = [i for i in x.ids("placements") if pool("placements", i)]
    if items:
        point = (("x", draw(st.integers(0, 3))), ("y", draw(st.integers(0, 3))))
        apply(x, SetFields("placements", draw(st.sampled_from(items)), point))


def _place(x: Installation, draw: st.DrawFn, _pool: Callable[[str, str], bool]) -> None:
    if not x.ids("sheets"):
        return
    cls: Any = kind_named(draw(st.sampled_from(["fuse", "load"])))
    item = x.new_id("equipment")
    apply(x, Put("equipment", item, cls(designation=f"{cls.LETTERS[0]}{draw(st.integers(5, 7))}")))
    sheet = draw(st.sampled_from(x.ids("sheets")))
    apply(
        x, Put("placements", x.new_id("placements"), Placement(equipment=item, sheet=sheet, x=draw(st.integers(0, 9))))
    )


def _connect(x: Installation, draw: st.DrawFn, pool: Callable[[str, str], bool]) -> None:
    items = [i for i in x.ids("equipment") if pool("equipment", i)]
    if len(items) > 1:
        two = draw(st.lists(st.sampled_from(items), min_size=2, max_size=2, unique=True))
        ends = [End(equipment=i, terminal=x.get("equipment", i).terminals()[0].name) for i in two]
        apply(x, Put("runs", x.new_id("runs"), Run(from_end=ends[0], to_end=ends[1], note=draw(WORDS))))


def _delete(x: Installation, draw: st.DrawFn, pool: Callable[[str, str], bool]) -> None:
    table = draw(st.sampled_from(["equipment", "runs", "interlocks", "sheets"]))
    items = [i for i in x.ids(table) if pool(table, i)]
    if items:
        item = draw(st.sampled_from(items))
        apply(x, remove(x.snapshot(), x.last_id, [item], with_runs=draw(st.booleans())))


def _renumber(x: Installation, draw: st.DrawFn, pool: Callable[[str, str], bool]) -> None:
    items = [i for i in x.ids("equipment") if pool("equipment", i)]
    if items:
        item = draw(st.sampled_from(items))
        apply(x, renamed(x.snapshot(), {item: f"K{draw(st.integers(20, 24))}"}))


ACTS = (_fields, _fields, _move, _place, _connect, _delete, _renumber)


@st.composite
def threes(draw: st.DrawFn) -> tuple[Installation, Installation, Installation]:
    """A boat and two copies of it, each changed by up to five acts."""
    base = draw(boats())
    sides = []
    for _side in range(2):
        x = copy_of(base)
        for act in draw(st.lists(st.sampled_from(ACTS), min_size=1, max_size=5)):
            with contextlib.suppress(EditError):
                act(x, draw, lambda _t, _i: True)
        sides.append(x)
    return base, sides[0], sides[1]


def snapshots(three: tuple[Installation, Installation, Installation]) -> tuple[Snapshot, Snapshot, Snapshot]:
    base, a, b = (x.snapshot() for x in three)
    return base, a, b


def all_taken(base: Snapshot, a: Snapshot, b: Snapshot, side: Choice) -> Merged:
    """Every conflict decided for one side, whatever one of them raises."""
    chosen: dict[str, Choice] = {}
    for _turn in range(100):
        made = merge(base, a, b, chosen, strict=False)
        if not made.open:
            return made
        chosen[made.open[0].key] = side if side in made.open[0].choices else "a"
    raise AssertionError("there is always another question")


# -- laws -----------------------------------------------------------------------------------------------------------
@given(threes())
@settings(max_examples=60)
def test_one_that_changed_nothing_changes_nothing(three: Any) -> None:
    base, a, b = snapshots(three)
    for made, expected in ((merge(base, a, a), a), (merge(base, a, base), a), (merge(base, base, b), b)):
        assert made.open == ()
        assert plain(made.snapshot) == plain(expected)


@given(threes(), st.sampled_from(["a", "b"]))
@settings(max_examples=150)
def test_what_is_decided_is_a_drawing_and_has_all_of_the_side_taken(three: Any, side: Choice) -> None:
    base, a, b = snapshots(three)
    made = all_taken(base, a, b, side)
    x = Installation()
    fill(x, [(t, i, r) for t, rows in made.snapshot.tables.items() for i, r in rows.items()])
    fill(x, [(n, n, r) for n, r in made.snapshot.lone.items()])
    assert plain(read_bytes(dump(x)).installation.snapshot()) == plain(made.snapshot)  # opens: nothing dangles
    own, ids = (a, {}) if side == "a" else (b, made.renamed)
    first, taken, whole = (plain(each) for each in (base, own, made.snapshot))
    told = " ".join(made.notices)
    for table, item, member, value in changes(first, taken):
        here = ids.get(item, item) if item not in first[table] else item
        if value is None and not member:
            assert here not in whole[table] or " stays with " in told or _comes_along(table), (table, item)
            continue
        record = whole[table].get(here)
        if record is None:
            assert _goes_with(table, taken[table][item], made), (table, item, told)
        elif member and not _follows(value, ids):
            was, there = value, record.get(member)
            assert there == was or _told_otherwise(table, member, made), (table, item, member, was, there)


def _comes_along(table: str) -> bool:
    return table in ("placements", "routes")


def _goes_with(table: str, record: dict[str, Any], made: Merged) -> bool:
    """Whether the whole says why a record is not in it: what it belonged to went, by a decision or told."""
    settled = {c.item for c in made.settled} | {i for c in made.settled for _t, i in c.others}
    name = record.get("designation") or record.get("name") or ""
    named = set(_texts(record))
    return bool(settled & named) or (bool(name) and any(name in told for told in made.notices)) or table == "routes"


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        for each in value.values():
            yield from _texts(each)
    elif isinstance(value, list):
        for each in value:
            yield from _texts(each)
    elif isinstance(value, str):
        yield value


def _follows(value: Any, ids: dict[str, str]) -> bool:
    return any(text in ids for text in _texts(value))


def _told_otherwise(table: str, member: str, made: Merged) -> bool:
    """Names and numbers that had to give way, lists that both added to, what lost something: always told or asked."""
    if member in ("designation", "number", "settings", "duties", "held", "at", "terminals"):
        return True
    return bool({c.sort for c in made.settled} & {"drawn twice", "needed", "removed"})


def changes(first: Plain, other: Plain) -> Iterator[tuple[str, str, str, Any]]:
    """(table, id, member, value now) of everything that differs; member "" and `None` for what is gone."""
    for table, rows in other.items():
        for item in first[table].keys() | rows.keys():
            was, now = first[table].get(item), rows.get(item)
            if now is None:
                yield table, item, "", None
            elif was is None:
                yield table, item, "", now
            elif was != now:
                for member in was.keys() | now.keys():
                    if was.get(member) != now.get(member):
                        yield table, item, member, now.get(member)


SIMPLE = {"label", "note", "length_m", "observation", "title", "designation"}


@given(threes())
@settings(max_examples=150)
def test_what_both_changed_unlike_is_asked_and_nothing_else_of_the_kind(three: Any) -> None:
    base, a, b = snapshots(three)
    made = merge(base, a, b)
    first, mine, theirs = (plain(each) for each in (base, a, b))
    expected, point = set(), set()
    for table, rows in first.items():
        for item, was in rows.items():
            one, two = mine[table].get(item), theirs[table].get(item)
            if one is None or two is None:
                continue
            for member in SIMPLE & (was.keys() | one.keys() | two.keys()):
                values = [record.get(member) for record in (was, one, two)]
                if values[1] != values[2] and values[0] not in values[1:]:
                    expected.add((table, item, member))
            if table == "placements":
                at = [tuple(record.get(m) for m in ("sheet", "x", "y")) for record in (was, one, two)]
                if at[1] != at[2] and at[0] not in at[1:]:
                    point.add((table, item, "where"))
    fields = {(c.table, c.item, c.path) for c in made.open if c.sort == "field"}
    assert {field for field in fields if field[2] in SIMPLE} == expected
    assert {field for field in fields if field[2] == "where"} == point
    # gone in one, and only there: asked where the other changed it, told or asked where the other needs it
    asked = {(c.table, c.item) for c in made.open} | {other for c in made.open for other in c.others}
    told = " ".join(made.notices)
    for table in ("equipment", "runs", "interlocks", "sheets"):
        for item, was in first[table].items():
            for gone, left in ((mine, theirs), (theirs, mine)):
                if item not in gone[table] and left[table].get(item, was) != was:
                    name = was.get("designation") or was.get("name") or was.get("title")
                    assert (table, item) in asked or name in told, (table, item)


@given(threes())
@settings(max_examples=80)
def test_either_way_round_the_same_is_asked(three: Any) -> None:
    base, a, b = snapshots(three)
    forth, back = merge(base, a, b), merge(base, b, a)
    shared = [
        sorted((c.sort, c.table, c.item, c.path) for c in made.open if c.sort in ("field", "removed", "kind"))
        for made in (forth, back)
    ]
    assert shared[0] == shared[1]
    count = [sorted((t, len(rows)) for t, rows in m.snapshot.tables.items() if t == "places") for m in (forth, back)]
    assert count[0] == count[1]


@st.composite
def apart(draw: st.DrawFn) -> tuple[Installation, Installation, Installation, Installation]:
    """A boat, two copies each changed in its own half of the records, and a fourth with both changes done."""
    base = draw(boats())
    half = draw(st.integers(0, 1))
    first, second, both = copy_of(base), copy_of(base), copy_of(base)
    for n, x in enumerate((first, second)):
        number = n

        def pool(_table: str, item: str, number: int = number) -> bool:
            return (int(item[1:]) + half) % 2 == number

        for act in draw(st.lists(st.sampled_from((_fields, _move)), min_size=1, max_size=6)):
            before = x.snapshot()
            act(x, draw, pool)
            after = x.snapshot()
            for table in TABLES:
                for item, record in after.tables[table].items():
                    if before.tables[table].get(item) != record:
                        apply(both, Put(table, item, record))
    return base, first, second, both


@given(apart())
@settings(max_examples=100)
def test_edits_of_other_things_merged_are_both_done(four: Any) -> None:
    base, a, b, both = (x.snapshot() for x in four)
    for made in (merge(base, a, b), merge(base, b, a)):
        assert made.open == ()
        assert made.notices == ()
        assert plain(made.snapshot) == plain(both)


_HASHED = """
import sys
from engine.files.drawing import read_bytes
from engine.merging import merge
a, b, c = (read_bytes(open(path, "rb").read()).installation.snapshot() for path in sys.argv[1:])
made = merge(a, b, c)
print([each.key for each in made.open], made.notices, made.renamed, made.snapshot)
"""


def test_the_same_whatever_the_hash_seed(tmp_path: Any) -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    for n in range(1, 6):
        b.add("fuse", f"F{n}", rating_a=10.0)
        b.run(f"W{n}", "G1.pos", f"F{n}.in", size="6 AWG")
    base = b.installation
    paths = []
    for n, x in enumerate((base, copy_of(base), copy_of(base))):
        if n:
            for item in x.ids("equipment")[1:4]:
                apply(x, SetFields("equipment", item, (("label", f"of {n}"), ("note", str(n)))))
            for name in ("F8", "F9"):
                apply(x, Put("equipment", x.new_id("equipment"), kind_named("fuse")(designation=name, note=str(n))))  # type: ignore[misc]
            gone = x.ids("equipment")[4 + n - 1]
            apply(x, remove(x.snapshot(), x.last_id, [gone], with_runs=True))
        path = tmp_path / f"{n}.linewright"
        path.write_bytes(dump(x))
        paths.append(str(path))
    said = set()
    for seed in ("0", "1", "77"):
        environment = {**os.environ, "PYTHONHASHSEED": seed, "PYTHONPATH": os.pathsep.join(sys.path)}
        made = subprocess.run(
            [sys.executable, "-c", _HASHED, *paths], env=environment, capture_output=True, text=True, check=True
        )
        said.add(made.stdout)
    assert len(said) == 1
    assert "label" in said.pop()
