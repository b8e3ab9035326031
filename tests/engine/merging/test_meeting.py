"""Where two people's work meets: what is one thing and what two, what goes or stays together, what is asked as one."""

from __future__ import annotations

from typing import Any

import pytest

from engine.builder import Builder
from engine.edits import Put, SetFields, apply
from engine.edits.removing import remove
from engine.edits.renumbering import renamed
from engine.equipment import kind_named
from engine.files.drawing import dump, read_bytes
from engine.installation import (
    Bend,
    Deficiency,
    End,
    Held,
    Installation,
    Interlock,
    Legend,
    Photograph,
    Placement,
    Revision,
    Route,
    Run,
    Sheet,
    Waiver,
)
from engine.installation.records import Enclosure
from engine.merging import Choice, Merged, conflict_words, merge, side_words

Three = tuple[Installation, Installation, Installation]


@pytest.fixture
def three() -> Three:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12)
    b.add("fuse", "F1", rating_a=50)
    b.add("load", "E1", power_w=100)
    for name in ("Q1", "Q2", "Q3"):
        b.add("battery_switch", name)
    b.run("W1", "G1.pos", "F1.in", size="6 AWG")
    b.run("W2", "F1.out", "E1.in", size="6 AWG")
    x = b.installation
    add(x, "sheets", Sheet(title="DC"))
    for n, name in enumerate(("G1", "F1", "E1")):
        add(x, "placements", Placement(equipment=of(x, name), sheet=x.ids("sheets")[0], x=10 * n))
    held = tuple(Held(equipment=of(x, name)) for name in ("Q1", "Q2", "Q3"))
    add(x, "interlocks", Interlock(name="one at a time", held=held))
    return x, read_bytes(dump(x)).installation, read_bytes(dump(x)).installation


def add(x: Installation, table: str, record: Any) -> str:
    item = x.new_id(table)
    apply(x, Put(table, item, record))
    return item


def of(x: Installation, designation: str) -> str:
    return x.find(designation)[0][1]


def made(three: Three, chosen: dict[str, Choice] | None = None) -> Merged:
    base, a, b = (x.snapshot() for x in three)
    return merge(base, a, b, chosen)


def kind(name: str, **fields: Any) -> Any:
    cls: Any = kind_named(name)
    return cls(**fields)


def test_two_fuses_that_read_alike_but_stand_elsewhere_are_two(three: Three) -> None:
    base, a, b = three
    sheet = base.ids("sheets")[0]
    for x, at, to in ((a, 40, "F1"), (b, 60, "G1")):
        fuse = add(x, "equipment", kind("fuse", designation="F2"))
        add(x, "placements", Placement(equipment=fuse, sheet=sheet, x=at))
        ends = [End(equipment=fuse, terminal="in"), End(equipment=of(x, to), terminal="out" if to == "F1" else "pos")]
        add(x, "runs", Run(from_end=ends[0], to_end=ends[1]))
    (conflict,) = made(three).open
    assert conflict.sort == "designation"
    whole = made(three, {conflict.key: "a"}).snapshot
    fuses = {i: r.designation for i, r in whole.equipment.items() if r.KIND == "fuse"}
    assert sorted(fuses.values()) == ["F1", "F2", "F3"]
    places = {fuses[p.equipment]: p.x for p in whole.placements.values() if p.equipment in fuses}
    assert (places["F2"], places["F3"]) == (40, 60)
    led = {
        fuses[r.from_end.equipment]: whole.name(r.to_end.equipment) for r in whole.runs.values() if not r.designation
    }
    assert led == {"F2": "F1", "F3": "G1"}


def test_what_was_brought_over_before_is_one_thing_with_what_came_since(three: Three) -> None:
    base, a, b = three
    for x in (a, b):
        fuse = add(x, "equipment", kind("fuse", designation="F2"))
        add(x, "placements", Placement(equipment=fuse, sheet=base.ids("sheets")[0], x=40))
    add(b, "runs", Run(from_end=End(equipment=fuse, terminal="in"), to_end=End(equipment=of(b, "G1"), terminal="pos")))
    whole = made(three)
    assert whole.open == ()
    assert len(whole.snapshot.equipment) == len(base.ids("equipment")) + 1
    assert any("F2" in told and "alike" in told for told in whole.notices)


def test_a_boat_numbered_anew_by_one_takes_the_others_changes(three: Three) -> None:
    base, a, b = three
    names = {i: f"{r.designation[0]}{90 + n}" for n, (i, r) in enumerate(a.items("equipment"))}
    apply(a, renamed(a.snapshot(), names))
    apply(b, SetFields("equipment", of(b, "F1"), (("rating_a", 40.0),)))
    whole = made(three)
    assert whole.open == ()
    record = whole.snapshot.equipment[of(base, "F1")]
    assert (record.rating_a, record.designation[:2]) == (40.0, "F9")


def test_a_deficiency_of_what_the_other_took_away_is_asked(three: Three) -> None:
    base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "E1")], with_runs=True))
    mark = add(b, "deficiencies", Deficiency(number=1, at=of(b, "E1"), observation="no fuse"))
    (conflict,) = made(three).open
    assert (conflict.sort, conflict.item) == ("needed", of(base, "E1"))
    kept = made(three, {conflict.key: "b"})
    assert kept.snapshot.deficiencies[mark].at in kept.snapshot.equipment
    gone = made(three, {conflict.key: "a"})
    assert gone.snapshot.deficiencies[mark].at == "E1"  # in words, as where a person removes it
    assert of(base, "E1") not in gone.snapshot.equipment


def test_what_stays_has_its_symbol_and_its_runs(three: Three) -> None:
    base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "E1")], with_runs=True))
    apply(b, SetFields("equipment", of(b, "E1"), (("power_w", 120.0),)))
    (conflict,) = made(three).open
    assert conflict.sort == "removed"
    whole = made(three, {conflict.key: "b"})
    assert whole.snapshot.equipment[of(base, "E1")].power_w == 120.0
    assert of(base, "W2") in whole.snapshot.runs
    assert any(p.equipment == of(base, "E1") for p in whole.snapshot.placements.values())
    assert any("W2" in told and "E1" in told for told in whole.notices)
    gone = made(three, {conflict.key: "a"}).snapshot
    assert of(base, "W2") not in gone.runs
    assert not any(p.equipment == of(base, "E1") for p in gone.placements.values())


def test_what_went_with_its_equipment_is_one_question(three: Three) -> None:
    base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "E1")], with_runs=True))
    apply(b, SetFields("runs", of(b, "W2"), (("length_m", 3.0),)))
    symbol = next(i for i, p in b.items("placements") if p.equipment == of(b, "E1"))
    apply(b, SetFields("placements", symbol, (("x", 77),)))
    (conflict,) = made(three).open
    assert conflict.item == of(base, "E1")
    kept = made(three, {conflict.key: "b"})
    assert kept.open == ()
    assert kept.snapshot.runs[of(base, "W2")].length_m == 3.0
    assert kept.snapshot.placements[symbol].x == 77
    gone = made(three, {conflict.key: "a"})
    assert gone.open == ()
    assert any("W2" in told for told in gone.notices)


def test_an_interlock_left_with_one_device_goes_and_is_told(three: Three) -> None:
    _base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "Q1")]))
    apply(b, remove(b.snapshot(), b.last_id, [of(b, "Q2")]))
    whole = made(three)
    assert whole.open == ()
    assert whole.snapshot.interlocks == {}
    assert any("one at a time" in told for told in whole.notices)


def test_a_point_and_a_terminal_are_asked_once(three: Three) -> None:
    base, a, b = three
    symbol, run = base.ids("placements")[0], of(base, "W2")
    apply(a, SetFields("placements", symbol, (("x", 5), ("y", 6))))
    apply(b, SetFields("placements", symbol, (("x", 7),)))
    for x, (name, terminal) in ((a, ("F1", "in")), (b, ("Q1", "a"))):
        end = x.get("runs", run).from_end
        terminal = x.get("equipment", of(x, name)).terminals()[0].name
        to = type(end)(equipment=of(x, name), terminal=terminal)
        record = x.get("runs", run)
        apply(
            x,
            Put(
                "runs",
                run,
                type(record)(**{f: getattr(record, f) for f in record.__struct_fields__} | {"from_end": to}),
            ),
        )
    where, led = sorted(made(three).open, key=lambda c: c.table)
    assert (where.table, where.path, led.path) == ("placements", "where", "from.led to")
    base_s, a_s, b_s = (x.snapshot() for x in three)
    assert "where it stands" in conflict_words(where, base_s, a_s, b_s)
    assert "where it is led" in conflict_words(led, base_s, a_s, b_s)
    assert "Q1" in side_words(led, "b", base_s, a_s, b_s)
    whole = made(three, {where.key: "b", led.key: "b"}).snapshot
    assert (whole.placements[symbol].x, whole.placements[symbol].y) == (7, 0)  # not x of one and y of the other
    assert whole.runs[run].from_end.equipment == of(base, "Q1")


def test_a_waiver_stays_with_what_it_was_given_for(three: Three) -> None:
    _base, a, b = three
    add(a, "equipment", kind("fuse", designation="F2", note="mine"))
    add(b, "equipment", kind("fuse", designation="F2", note="theirs"))
    add(b, "waivers", Waiver(rule="source-unprotected", designations=("F2",), reason="short", who="Tern"))
    (conflict,) = made(three).open
    whole = made(three, {conflict.key: "a"}).snapshot
    named = {r.designation: r.note for r in whole.equipment.values()}
    (waiver,) = whole.waivers.values()
    assert [named[name] for name in waiver.designations] == ["theirs"]


def test_a_line_of_which_both_moved_an_end_is_led_anew(three: Three) -> None:
    base, a, b = three
    sheet = base.ids("sheets")[0]
    route = {}
    for x in three:
        route = add(x, "routes", Route(run=of(x, "W1"), sheet=sheet, bends=(Bend(x=1, y=1),)))
    for x, symbol, bend in ((a, 0, 2), (b, 1, 3)):
        apply(x, SetFields("placements", x.ids("placements")[symbol], (("y", 9),)))
        apply(x, Put("routes", route, Route(run=of(x, "W1"), sheet=sheet, bends=(Bend(x=bend, y=bend),))))
    whole = made(three)
    assert whole.open == ()
    assert route not in whole.snapshot.routes
    assert any("led anew" in told for told in whole.notices)


def test_a_photograph_with_two_captions_is_one_and_its_caption_is_asked(three: Three) -> None:
    _base, a, b = three
    for x, caption in ((a, "lug"), (b, "burnt lug")):
        add(x, "photographs", Photograph(sha256="1" * 64, caption=caption))
    (conflict,) = made(three).open
    assert (conflict.sort, conflict.path) == ("field", "caption")
    (photograph,) = made(three, {conflict.key: "b"}).snapshot.photographs.values()
    assert photograph.caption == "burnt lug"


def test_ways_of_a_panel_are_merged_by_position_and_another_order_is_asked(three: Three) -> None:
    _base, a, b = three
    ways = tuple(Legend(position=str(n), text=f"way {n}") for n in (1, 2, 3))
    for x in three:
        panel = add(x, "enclosures", Enclosure(name="Helm", legend=ways))
    for x, legend in (
        (a, (Legend(position="1", text="HORN"), *ways[1:])),
        (b, (ways[0], Legend(position="2", text="PUMP"), ways[2], Legend(position="4", text="new"))),
    ):
        apply(x, Put("enclosures", panel, Enclosure(name="Helm", legend=legend)))
    whole = made(three)
    assert whole.open == ()
    assert [w.text for w in whole.snapshot.enclosures[panel].legend] == ["HORN", "PUMP", "way 3", "new"]
    for x, order in ((a, (1, 0, 2)), (b, (0, 2, 1))):
        apply(x, Put("enclosures", panel, Enclosure(name="Helm", legend=tuple(ways[n] for n in order))))
    (conflict,) = made(three).open
    assert conflict.path == "legend[]"
    assert [w.position for w in made(three, {conflict.key: "b"}).snapshot.enclosures[panel].legend] == ["1", "3", "2"]


def test_a_name_one_drawing_has_twice_is_still_asked_where_the_other_gives_it_too(three: Three) -> None:
    base, a, b = three
    for x in three:
        add(x, "equipment", kind("load", designation="E7", note="there"))
    add(a, "equipment", kind("load", designation="E7", note="mine"))  # its own matter
    apply(b, SetFields("equipment", of(b, "E1"), (("designation", "E7"),)))
    (conflict,) = made(three).open
    assert conflict.sort == "designation"
    for side, left in (("a", 2), ("b", 2)):
        whole = made(three, {conflict.key: side}).snapshot  # type: ignore[dict-item]
        assert [r.designation for r in whole.equipment.values()].count("E7") == left
    assert whole.equipment[of(base, "E1")].designation == "E7"


def test_what_the_other_needs_stays_with_its_symbol_and_its_runs(three: Three) -> None:
    base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "E1")], with_runs=True))
    terminal = b.get("equipment", of(b, "Q1")).terminals()[0].name
    ends = [End(equipment=of(b, "Q1"), terminal=terminal), End(equipment=of(b, "E1"), terminal="in")]
    fresh = add(b, "runs", Run(from_end=ends[0], to_end=ends[1], designation="W9"))
    (conflict,) = made(three).open
    assert (conflict.sort, conflict.others) == ("needed", (("runs", fresh),))
    whole = made(three, {conflict.key: "b"}).snapshot
    assert {of(base, "W2"), fresh} <= whole.runs.keys()
    assert any(p.equipment == of(base, "E1") for p in whole.placements.values())


def test_one_thing_put_on_a_sheet_by_both_is_shown_once(three: Three) -> None:
    base, a, b = three
    for x, at in ((a, 11), (b, 22)):
        add(x, "placements", Placement(equipment=of(x, "Q1"), sheet=base.ids("sheets")[0], x=at))
    (conflict,) = made(three).open
    assert conflict.sort == "drawn twice"
    for side, at in (("a", 11), ("b", 22)):
        whole = made(three, {conflict.key: side}).snapshot  # type: ignore[dict-item]
        assert [p.x for p in whole.placements.values() if p.equipment == of(base, "Q1")] == [at]


def test_a_loose_end_whose_run_the_other_took_away_goes_and_is_told(three: Three) -> None:
    base, a, b = three
    apply(a, remove(a.snapshot(), a.last_id, [of(a, "E1")]))  # W2 ends loose
    loose = next(r.designation for r in a.equipment.values() if r.KIND == "open_end")
    apply(b, Put("runs", of(b, "W2"), None))
    (conflict,) = made(three).open
    gone = made(three, {conflict.key: "b"})
    assert of(base, "W2") not in gone.snapshot.runs
    assert not any(r.KIND == "open_end" for r in gone.snapshot.equipment.values())
    assert any(loose in told for told in gone.notices)


def test_the_same_work_twice_is_the_work(three: Three) -> None:
    """Runs that end loose at what was removed: the loose ends read alike and are used by what was there before."""
    _base, a, b = three
    for x in (a, b):
        apply(x, remove(x.snapshot(), x.last_id, [of(x, "G1"), of(x, "E1")]))
    whole = made(three)
    assert whole.open == ()
    assert whole.snapshot == a.snapshot()


def test_a_revision_both_issued_is_taken_whole(three: Three) -> None:
    base, a, b = three
    for x in three:
        item = add(x, "revisions", Revision(index="C"))
    for x, who in ((a, "Tern"), (b, "Auk")):
        apply(x, Put("revisions", item, Revision(index="C", by=who, issued=True, copy=f"{who}.x", sha256=who)))
    (conflict,) = made(three).open
    assert (conflict.sort, conflict.choices) == ("revision", ("a", "b"))
    assert "C" in conflict_words(conflict, base.snapshot(), a.snapshot(), b.snapshot())
    assert "Auk" in side_words(conflict, "b", base.snapshot(), a.snapshot(), b.snapshot())
    for side, x in (("a", a), ("b", b)):
        whole = made(three, {conflict.key: side}).snapshot  # type: ignore[dict-item]
        assert whole.revisions[item] == x.get("revisions", item)  # the copy, its checksum and who: of one issue


def test_a_revision_one_issued_stands_as_issued_and_what_is_left_out_is_told(three: Three) -> None:
    _base, a, b = three
    for x in three:
        item = add(x, "revisions", Revision(index="C"))
    issued = Revision(index="C", by="Auk", text="as built", issued=True)
    apply(a, SetFields("revisions", item, (("text", "fuses renewed"),)))
    apply(b, Put("revisions", item, issued))
    whole = made(three)
    assert whole.open == ()
    assert whole.snapshot.revisions[item] == issued
    assert any("Revision C" in told for told in whole.notices)
