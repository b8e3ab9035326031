"""Merging: what only one side changed is in the result, what both did is asked, nothing goes without being told.

The oracle reads the drawings as plain JSON and knows nothing of how they are merged.
"""

from __future__ import annotations

import json
import random
from pathlib import Path
from typing import Any

import pytest

from engine.builder import Builder
from engine.edits import EditError, Put, SetFields, apply
from engine.edits.removing import remove
from engine.equipment import kind_named
from engine.files.drawing import dump, load, read_bytes
from engine.installation import LONE, TABLES, Deficiency, End, Installation, Photograph, Revision, Run, Sheet, Snapshot
from engine.merging import Choice, Merged, MergeError, conflict_words, edit_to, merge, side_words
from engine.record import field_specs

SAMPLES = Path(__file__).parents[3] / "samples"
FILES = [SAMPLES / name / f"{name}.linewright" for name in ("launch", "ketch", "workboat")]


def copy_of(installation: Installation) -> Installation:
    return read_bytes(dump(installation)).installation


def plain(snapshot: Snapshot) -> dict[str, dict[str, dict[str, Any]]]:
    x = Installation()
    from engine.edits import fill

    records = [(t, i, r) for t, rows in snapshot.tables.items() for i, r in rows.items()]
    fill(x, [*records, *((n, n, r) for n, r in snapshot.lone.items())])
    read = json.loads(dump(x))
    return {table: read[table] for table in TABLES} | {name: {name: read[name]} for name in LONE}


def any_edit(x: Installation, rng: random.Random) -> None:
    snapshot = x.snapshot()
    table = rng.choice([t for t in TABLES if snapshot.tables[t]])
    item = rng.choice(list(snapshot.tables[table]))
    act = rng.random()
    try:
        if act < 0.55:
            name = rng.choice(list(LONE)) if rng.random() < 0.15 else table
            item = name if name in LONE else item
            record: Any = x.get(name, item)
            specs = [s for s in field_specs(type(record)) if s.shape in ("number", "word", "choice", "yesno", "whole")]
            spec = rng.choice([s for s in specs if not s.fact.refers])
            value: Any = {
                "number": 1.5 + rng.randint(0, 3),
                "whole": rng.randint(1, 4),
                "yesno": rng.random() < 0.5,
            }.get(spec.shape, f"w{rng.randint(0, 3)}")
            value = rng.choice(spec.choices) if spec.shape == "choice" else value
            apply(x, SetFields(name, item, ((spec.name, value),)), again=True)
        elif act < 0.75:
            apply(x, remove(snapshot, x.last_id, [item], with_runs=rng.random() < 0.7), again=True)
        else:
            cls: Any = kind_named(rng.choice(["fuse", "load", "bus_bar"]))
            fresh = x.new_id("equipment")
            apply(x, Put("equipment", fresh, cls(designation=f"N{rng.randint(0, 9)}", label=str(rng.random()))))
            far = rng.choice(list(snapshot.equipment))
            ends = [End(equipment=e, terminal=x.get("equipment", e).terminals()[0].name) for e in (fresh, far)]
            apply(x, Put("runs", x.new_id("runs"), Run(from_end=ends[0], to_end=ends[1], note=str(rng.random()))))
    except (EditError, IndexError):
        pass


def resolved(base: Snapshot, a: Snapshot, b: Snapshot, rng: random.Random) -> tuple[Merged, dict[str, Choice]]:
    """One at a time, as a person would, until nothing is open."""
    chosen: dict[str, Choice] = {}
    for _turn in range(200):
        made = merge(base, a, b, chosen)
        if not made.open:
            return made, chosen
        conflict = made.open[0]
        assert conflict_words(conflict, base, a, made.b)
        assert all(side_words(conflict, side, base, a, made.b) for side in ("a", "b", "base"))
        chosen[conflict.key] = rng.choice(conflict.choices)
    raise AssertionError("there is always another question")


def check_seed(seed: int) -> None:
    rng = random.Random(seed)
    base_x = load(FILES[seed % len(FILES)]).installation
    a_x, b_x = copy_of(base_x), copy_of(base_x)
    for x in (a_x, b_x):
        for _each in range(rng.randint(1, 7)):
            any_edit(x, rng)
    base, a, b = base_x.snapshot(), a_x.snapshot(), b_x.snapshot()
    assert plain(merge(base, a, a).snapshot) == plain(a)
    assert plain(merge(base, a, base).snapshot) == plain(a)
    assert plain(merge(base, base, b).snapshot) == plain(b)
    made, chosen = resolved(base, a, b, rng)
    # it is a drawing: one edit makes it of the first one, it can be written and read
    apply(a_x, edit_to(a, made.snapshot, made.last_id, "Merge"), again=True)
    assert read_bytes(dump(a_x)).installation.snapshot().tables == made.snapshot.tables
    nothing_lost(plain(base), plain(a), plain(b), plain(made.snapshot), made, chosen)


def nothing_lost(base: Any, a: Any, b: Any, result: Any, made: Merged, chosen: dict[str, Choice]) -> None:
    """Every difference of either side from the base is in the result, was asked, or was told."""
    asked = {tuple(key.split("/")[:2]) for key in chosen}
    for conflict in made.settled:
        asked |= {(conflict.table, conflict.item), *conflict.others}
    told = " ".join(made.notices)
    for side, other, renamed in ((a, b, {}), (b, a, made.renamed)):
        for table in side:
            for item in base[table].keys() | side[table].keys():
                here = renamed.get(item, item) if item not in base[table] else item
                was, now, there = base[table].get(item), side[table].get(item), result[table].get(here)
                if now == was or (table, here) in asked:
                    continue
                name = (now or was or {}).get("designation", "")
                if now is None:  # it is gone, or it stayed with what it belongs to, which was asked about
                    of = {(was or {}).get(member) for member in ("equipment", "run", "sheet")}
                    stays = f"{name} stays" in told if name else of & ({i for _t, i in asked} | result["runs"].keys())
                    assert there is None or (there == was and stays), (table, item)
                elif there is None:
                    assert table == "routes" or name in told, (table, item)
                else:
                    for member in now.keys() | (was or {}).keys():
                        mine, first = now.get(member), (was or {}).get(member)
                        apart = (other[table].get(item) or {}).get(member) if was is not None else first
                        if mine != first and apart == first and not _names_ids(mine, made.renamed):
                            same = there.get(member) == mine
                            assert same or name in told or member in ("designation", "number", "label"), (
                                table,
                                item,
                                member,
                            )


def _names_ids(value: Any, renamed: dict[str, str]) -> bool:
    return bool(renamed) and any(f'"{i}"' in json.dumps(value) for i in renamed)


@pytest.mark.parametrize("seed", range(30))
def test_nothing_is_lost(seed: int) -> None:
    check_seed(seed)


@pytest.mark.long
@pytest.mark.parametrize("block", range(10))
def test_nothing_is_lost_many_times(block: int) -> None:
    for seed in range(1000 + 40 * block, 1040 + 40 * block):
        check_seed(seed)


@pytest.mark.parametrize("seed", range(25))
def test_disjoint_edits_merged_equal_both_done(seed: int) -> None:
    rng = random.Random(seed)
    base_x = load(FILES[seed % len(FILES)]).installation
    base = base_x.snapshot()
    every = [(t, i) for t in ("equipment", "runs", "places", "conditions") for i in base.tables[t]]
    rng.shuffle(every)
    half = len(every) // 2
    a_x, b_x, both = copy_of(base_x), copy_of(base_x), copy_of(base_x)
    for x, some in ((a_x, every[:half]), (b_x, every[half:])):
        for table, item in rng.sample(some, 6):
            edit = SetFields(table, item, (("note", f"seen {rng.random()}"),))
            apply(x, edit, again=True)
            apply(both, edit, again=True)
    # each also adds something: both get the same id, and are two things all the same
    for n, x in enumerate((a_x, b_x)):
        cls: Any = kind_named("load")
        for of in (x, both):
            apply(of, Put("equipment", of.new_id("equipment"), cls(designation=f"E{900 + n}", power_w=10.0 + n)))
    made = merge(base, a_x.snapshot(), b_x.snapshot())
    assert made.open == ()
    assert plain(made.snapshot) == plain(both.snapshot())
    other = merge(base, b_x.snapshot(), a_x.snapshot())
    assert sorted(map(str, _unnumbered(other.snapshot))) == sorted(map(str, _unnumbered(made.snapshot)))


def _unnumbered(snapshot: Snapshot) -> list[Any]:
    return [(t, json.dumps(r, sort_keys=True)) for t, rows in plain(snapshot).items() for r in rows.values()]


# -- one by one -------------------------------------------------------------------------------------------------------
@pytest.fixture
def three() -> tuple[Installation, Installation, Installation]:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=50)
    b.add("load", "E1", power_w=100)
    b.run("W1", "G1.pos", "F1.in", size="6 AWG")
    b.run("W2", "F1.out", "E1.in", size="6 AWG")
    x = b.installation
    return x, copy_of(x), copy_of(x)


def _id(x: Installation, designation: str) -> str:
    return x.find(designation)[0][1]


def test_the_same_field_changed_unlike_is_one_conflict_and_each_answer_is_taken(three: Any) -> None:
    base, a, b = three
    fuse = _id(base, "F1")
    apply(a, SetFields("equipment", fuse, (("rating_a", 40.0), ("label", "panel"))))
    apply(b, SetFields("equipment", fuse, (("rating_a", 60.0), ("note", "hot"))))
    snapshots = tuple(x.snapshot() for x in three)
    (conflict,) = merge(*snapshots).open
    assert (conflict.base, conflict.a, conflict.b) == (50.0, 40.0, 60.0)
    assert "rated current" in conflict_words(conflict, *snapshots)
    assert [side_words(conflict, s, *snapshots) for s in ("base", "a", "b")] == ["50 A", "40 A", "60 A"]
    for side, rating in (("a", 40.0), ("b", 60.0), ("base", 50.0)):
        made = merge(*snapshots, {conflict.key: side})  # type: ignore[dict-item]
        assert made.open == ()
        record = made.snapshot.equipment[fuse]
        assert (record.rating_a, record.label, record.note) == (rating, "panel", "hot")


def test_what_one_removed_and_the_other_needs_is_asked(three: Any) -> None:
    base, a, b = three
    load_ = _id(base, "E1")
    apply(a, remove(a.snapshot(), a.last_id, [load_], with_runs=True))
    cls: Any = kind_named("fuse")
    apply(b, Put("equipment", "e90", cls(designation="F9")))
    ends = [End(equipment="e90", terminal="out"), End(equipment=load_, terminal="in")]
    apply(b, Put("runs", "r91", Run(from_end=ends[0], to_end=ends[1], designation="W9")))
    snapshots = tuple(x.snapshot() for x in three)
    (conflict,) = merge(*snapshots).open
    assert conflict.sort == "needed"
    assert "E1" in conflict_words(conflict, *snapshots)
    assert "W9" in conflict_words(conflict, *snapshots)
    kept = merge(*snapshots, {conflict.key: "b"})
    assert load_ in kept.snapshot.equipment
    assert "r91" in kept.snapshot.runs
    gone = merge(*snapshots, {conflict.key: "a"})
    assert load_ not in gone.snapshot.equipment
    assert "r91" not in gone.snapshot.runs
    assert any("W9" in notice and "E1" in notice for notice in gone.notices)


def test_removed_here_and_changed_there_is_asked(three: Any) -> None:
    base, a, b = three
    run = _id(base, "W2")
    apply(a, Put("runs", run, None))
    apply(b, SetFields("runs", run, (("length_m", 4.0),)))
    snapshots = tuple(x.snapshot() for x in three)
    (conflict,) = merge(*snapshots).open
    assert conflict.sort == "removed"
    assert run not in merge(*snapshots, {conflict.key: "a"}).snapshot.runs
    assert merge(*snapshots, {conflict.key: "b"}).snapshot.runs[run].length_m == 4.0
    assert merge(*snapshots, {conflict.key: "base"}).snapshot.runs[run].length_m is None


def test_one_name_for_two_new_things_is_asked_and_the_other_gets_the_next(three: Any) -> None:
    _base, a, b = three
    for x, kind in ((a, "fuse"), (b, "load")):
        cls: Any = kind_named(kind)
        apply(x, Put("equipment", x.new_id("equipment"), cls(designation="F2")))
    snapshots = tuple(x.snapshot() for x in three)
    (conflict,) = merge(*snapshots).open
    assert conflict.sort == "designation"
    for side, kind in (("a", "fuse"), ("b", "load")):
        made = merge(*snapshots, {conflict.key: side})  # type: ignore[dict-item]
        names = {r.designation: r.KIND for r in made.snapshot.equipment.values()}
        assert names["F2"] == kind
        assert "F3" in names
        assert any("F3" in notice for notice in made.notices)


def test_lists_within_a_record_are_merged_member_by_member(three: Any) -> None:
    base, a, b = three
    apply(a, SetFields("settings", "settings", (("left_out", ["row 1"]),)))
    apply(b, SetFields("settings", "settings", (("left_out", ["row 2"]),)))
    made = merge(base.snapshot(), a.snapshot(), b.snapshot())
    assert made.open == ()
    assert set(made.snapshot.settings.left_out) == {"row 1", "row 2"}


def test_a_photograph_both_took_in_is_one(three: Any) -> None:
    base, a, b = three
    apply(a, Put("photographs", a.new_id("photographs"), Photograph(sha256="1" * 64, caption="lug")))
    apply(b, Put("equipment", b.new_id("equipment"), kind_named("load")(designation="E2")))  # type: ignore[misc]
    photo = b.new_id("photographs")
    apply(b, Put("photographs", photo, Photograph(sha256="1" * 64, caption="lug")))
    apply(b, Put("deficiencies", b.new_id("deficiencies"), Deficiency(number=1, photographs=(photo,))))
    made = merge(base.snapshot(), a.snapshot(), b.snapshot())
    (kept,) = made.snapshot.photographs
    assert [d.photographs for d in made.snapshot.deficiencies.values()] == [(kept,)]


def test_two_sheets_and_two_issues_of_one_number(three: Any) -> None:
    base, a, b = three
    for x, title in ((a, "Bow"), (b, "Stern")):
        apply(x, Put("sheets", x.new_id("sheets"), Sheet(title=title, number=7)))
        apply(x, Put("revisions", x.new_id("revisions"), Revision(index="B", by=title)))
    made = merge(base.snapshot(), a.snapshot(), b.snapshot())
    (conflict,) = made.open
    assert conflict.sort == "revision"
    made = merge(base.snapshot(), a.snapshot(), b.snapshot(), {conflict.key: "b"})
    assert {s.title: s.number for s in made.snapshot.sheets.values()} == {"Bow": 7, "Stern": 8}
    assert [r.by for r in made.snapshot.revisions.values()] == ["Stern"]


def test_drawings_that_do_not_come_from_one_another_are_refused() -> None:
    launch, ketch = (load(file).installation.snapshot() for file in FILES[:2])
    with pytest.raises(MergeError, match="do not come from one another"):
        merge(launch, launch, ketch)


def test_a_choice_that_is_none_is_refused(three: Any) -> None:
    snapshot = three[0].snapshot()
    with pytest.raises(MergeError, match="no conflict"):
        merge(snapshot, snapshot, snapshot, {"equipment/e1/label": "a"})
