"""Drawing runs: what they carry, where they go, loose ends and junctions."""

from __future__ import annotations

from typing import Any

import msgspec
import pytest

from app.drawing import changes
from app.drawing.changes import Grip
from engine.edits import EditError, Put, SetFields, apply
from engine.equipment import kinds
from engine.installation import Placement


def add(d: Any, kind: str, name: str, x: int, y: int, **fields: Any) -> None:
    d.b.add(kind, name, **fields)
    d.put(name, x, y)


def test_from_terminal_to_terminal(bench: Any) -> None:
    d = bench()
    add(d, "load", "E2", 60, 40)
    made = d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("WC1", "bar", 46, 55), d.grip("E2", "in")))
    assert made.edit.words == "Draw W5"
    assert made.items == (d.at("W5"),)
    run = d.run("W5")
    assert (d.ends("W5"), run.function, run.length_m, run.size) == (("WC1.bar", "E2.in"), "dc pair", None, "")
    points = d.part("W5").points
    assert (points[0], points[-1]) == ((46, 55), (60, 42)), "it leaves the bus where it was taken"


@pytest.mark.parametrize(
    ("one", "first", "other", "second", "function"),
    [
        ("battery_bank", "pos", "fuse", "in", "dc pair"),
        ("battery_bank", "neg", "bus_bar", "bar", "dc negative"),
        ("battery_bank", "neg", "engine", "block", "dc negative"),
        ("earth_point", "at", "bonding_point", "at", "bonding"),
        ("load", "earth", "bus_bar", "bar", "earth"),
        ("alternator", "field", "alternator_regulator", "field", "signal"),
        ("generator", "out", "circuit_breaker", "in", "ac"),
        ("shore_inlet", "out", "circuit_breaker", "in", "ac"),
        ("inverter", "ac_out", "bus_bar", "bar", "ac"),
        ("solar_array", "pos", "solar_controller", "pv", "dc pair"),
        ("fuse", "in", "fuse", "in", "dc pair"),
    ],
)  # fmt: skip
def test_what_it_carries_is_told_by_the_two_terminals(
    bench: Any, one: str, first: str, other: str, second: str, function: str
) -> None:
    d = bench()
    add(d, one, "A91", 70, 60)
    add(d, other, "A92", 80, 40)
    for start, stop in ((("A91", first), ("A92", second)), (("A92", second), ("A91", first))):
        made = changes.connect(d.snapshot, d.last_id, d.sheet, d.grip(*start), d.grip(*stop))
        run = next(p.record for p in made.edit.edits if p.id == made.items[0])
        assert run.function == function
        carried = set(run.conductors())
        for kind, terminal in ((one, first), (other, second)):
            assert carried <= set(next(t.conductors for t in kinds()[kind]().terminals() if t.name == terminal))


def test_alternating_current_has_the_phases_that_arrive(bench: Any) -> None:
    d = bench()
    add(d, "circuit_breaker", "Q8", 70, 60)
    add(d, "circuit_breaker", "Q9", 80, 40)
    add(d, "generator", "G9", 70, 75, phases="L1 L2")
    d.b.run("W8", "G9.out", "Q8.in", function="ac", phases="L1 L2", earth=False)
    made = changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("Q8", "out"), d.grip("Q9", "in"))
    run = next(p.record for p in made.edit.edits if p.id == made.items[0])
    assert (run.phases, run.neutral, run.earth) == ("L1 L2", True, False), "as on the other side of Q8"


def test_what_has_nothing_in_common_is_refused_by_name(bench: Any) -> None:
    d = bench()
    add(d, "shore_inlet", "X9", 70, 60)
    with pytest.raises(EditError) as told:
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("G1", "pos"), d.grip("X9", "out"))
    assert str(told.value) == (
        "A run there would join nothing: G1 “pos” carries +, - and X9 “out” carries L1, L2, L3, N, PE."
    )
    with pytest.raises(EditError, match="at the same terminal"):
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("WC1", "bar", 22, 55), d.grip("WC1", "bar", 40, 55))
    with pytest.raises(EditError, match="would leave the drawing area"):
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("G1", "pos"), Grip(column=0, row=0))
    with pytest.raises(EditError, match="G1 has no terminal “out”"):
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("G1", "out"), d.grip("E1", "in"))


def test_a_loose_end_lies_along_its_run_and_is_taken_up_again(bench: Any) -> None:
    d = bench()
    made = d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("WC1", "bar", 46, 55), Grip(column=46, row=40)))
    end = made.items[1]
    assert d.x.get("equipment", end).KIND == "open_end"
    symbol = d.x.get("placements", d.symbol(d.snapshot.name(end)))
    assert (symbol.x, symbol.y, symbol.rotation) == (46, 40, 0)
    assert d.part("W5").points == ((46, 55), (46, 40))
    add(d, "load", "E2", 60, 30)
    before = len(d.snapshot.runs)
    again = d.do(
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip(d.snapshot.name(end), "at"), d.grip("E2", "in"))
    )
    assert again.edit.words == "Put an end of W5 on E2 “in”"
    assert d.ends("W5") == ("WC1.bar", "E2.in")
    assert len(d.snapshot.runs) == before
    assert d.x.get("equipment", end) is None
    assert d.part("W5").points[-1] == (60, 32)


def test_a_signal_run_may_end_loose(bench: Any) -> None:
    d = bench()
    add(d, "alternator_regulator", "K1", 70, 50)
    d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("K1", "sense"), Grip(column=85, row=50)))
    assert d.run("W5").function == "signal"


def test_two_loose_ends_make_a_junction(bench: Any) -> None:
    d = bench()
    for column in (24, 46):
        d.do(
            changes.connect(
                d.snapshot, d.last_id, d.sheet, d.grip("WC1", "bar", column, 55), Grip(column=column, row=40)
            )
        )
    one, other = (d.snapshot.name(d.run(w).to_end.equipment) for w in ("W5", "W6"))
    d.do(changes.connect(d.snapshot, d.last_id, d.sheet, d.grip(one, "at"), d.grip(other, "at")))
    at = {d.run(w).to_end.equipment for w in ("W5", "W6")}
    assert len(at) == 1
    assert d.x.get("equipment", at.pop()).KIND == "junction"
    assert not [r for r in d.x.equipment.values() if r.KIND == "open_end"]


def test_on_a_run_a_junction_is_made_and_the_run_parted(bench: Any) -> None:
    d = bench()
    add(d, "load", "E2", 60, 30)
    made = d.do(
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("E2", "in"), Grip(run=d.at("W4"), column=40, row=37))
    )
    tap = d.snapshot.name(made.items[1])
    assert d.x.get("equipment", made.items[1]).KIND == "junction"
    assert d.x.get("equipment", made.items[1]).rating_a is None
    assert d.ends("W4") == ("Q1.out", f"{tap}.at")
    assert (d.run("W4").length_m, d.run("W5").length_m) == (None, None)
    assert d.ends("W5") == (f"{tap}.at", "E1.in")
    assert d.ends("W6") == ("E2.in", f"{tap}.at")
    assert not d.scene().unrouted
    # at the very end of a run there is a terminal already
    made = d.do(
        changes.connect(
            d.snapshot, d.last_id, d.sheet, Grip(column=60, row=60), Grip(run=d.at("W5"), column=40, row=32)
        )
    )
    assert d.ends(d.snapshot.name(made.items[0]))[1] == "E1.in"


def test_both_ends_on_one_run(bench: Any) -> None:
    d = bench()
    one, other = Grip(run=d.at("W4"), column=40, row=40), Grip(run=d.at("W4"), column=40, row=34)
    d.do(changes.connect(d.snapshot, d.last_id, d.sheet, one, other))
    assert sorted(r.KIND for r in d.x.equipment.values()).count("junction") == 2
    with pytest.raises(EditError, match="at the same terminal"):
        changes.connect(d.snapshot, d.last_id, d.sheet, one, one)


def test_corners_by_hand_stay(bench: Any) -> None:
    d = bench()
    add(d, "load", "E2", 60, 30)
    d.do(
        changes.connect(
            d.snapshot, d.last_id, d.sheet, d.grip("WC1", "bar", 46, 55), d.grip("E2", "in"), [(46, 50), (70, 50)]
        )
    )
    assert d.part("W5").points == ((46, 55), (46, 50), (70, 50), (70, 32), (60, 32))
    route = next(r for r in d.x.tables["routes"].values() if r.run == d.at("W5"))
    assert route.by_hand
    d.do(changes.move(d.snapshot, [d.symbol("E2")], 0, -2))
    assert d.part("W5").points[:3] == ((46, 55), (46, 50), (70, 50))


def test_an_end_is_put_elsewhere_and_the_terminal_s_facts_go(bench: Any) -> None:
    d = bench()
    add(d, "load", "E2", 60, 30)
    run = d.run("W4")
    end = msgspec.structs.replace(run.to_end, lug="ring", stud="M6", torque_nm=4.0, marker="7")
    apply(d.x, SetFields("runs", d.at("W4"), (("to_end", end),)))
    d.do(changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, d.grip("E2", "in")))
    now = d.run("W4")
    assert d.ends("W4") == ("Q1.out", "E2.in")
    assert (now.to_end.lug, now.to_end.marker, now.to_end.stud, now.to_end.torque_nm) == ("ring", "7", "", None)
    assert now.length_m == 4.0, "it is the same cable"
    assert d.part("W4").points[-1] == (60, 32)
    with pytest.raises(EditError, match="Both ends of W4 would be at the same terminal"):
        changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, d.grip("Q1", "out"))
    with pytest.raises(EditError, match="W4 cannot end on itself"):
        changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, Grip(run=d.at("W4"), column=40, row=37))


def test_a_run_carries_less_where_its_new_terminal_does(bench: Any) -> None:
    d = bench()
    d.do(changes.reconnect(d.snapshot, d.last_id, d.at("W1"), "from", d.sheet, d.grip("G1", "neg")))
    assert d.run("W1").function == "dc negative"
    add(d, "anode", "F9", 60, 60)
    with pytest.raises(EditError, match=r"^W4 carries \+, -, and F9 “at” carries PE\.$"):
        changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, d.grip("F9", "at"))


def test_let_go_it_ends_loose_and_the_loose_end_moves_on(bench: Any) -> None:
    d = bench()
    edit = d.do(changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, Grip(column=60, row=37)))
    assert edit.words == "Let W4 end loose"
    end = d.run("W4").to_end.equipment
    d.do(changes.reconnect(d.snapshot, d.last_id, d.at("W4"), "to", d.sheet, Grip(column=62, row=30)))
    assert d.run("W4").to_end.equipment == end
    assert d.part("W4").points[-1] == (62, 30)


def test_a_terminal_another_symbol_shows_is_refused(bench: Any) -> None:
    d = bench()
    old = d.x.get("placements", d.symbol("E1"))
    apply(d.x, Put("placements", d.symbol("E1"), msgspec.structs.replace(old, terminals=("in",))))
    d.b._new("placements", Placement(equipment=d.at("E1"), sheet=d.sheet, terminals=("neg", "earth"), x=70, y=60))
    with pytest.raises(EditError, match="Terminal “neg” of E1 is shown by another symbol"):
        changes.connect(d.snapshot, d.last_id, d.sheet, d.grip("E1", "neg"), d.grip("G1", "neg"))
