"""What of a drawing the panel-door cards show, and which switches are main disconnects: on small boats."""

from __future__ import annotations

from itertools import count
from pathlib import Path

import msgspec

from app.handover.panel_door.mains import all_off, mains
from app.handover.panel_door.net import make_net
from app.handover.panel_door.steps import emergency
from engine.books import load as load_book
from engine.builder import Builder
from engine.files.drawing import load
from engine.installation.model import Snapshot
from engine.study import Study

SAMPLES = Path(__file__).parents[3] / "samples"


def study_of(snapshot: Snapshot) -> Study:
    return Study(snapshot, load_book(snapshot.settings.book))


def boat(*, switch: bool = True, **fields: object) -> Snapshot:
    """A bank, a switch, a bus with two loads behind breakers; a bilge pump before the switch."""
    b = Builder()
    names = (f"W{n}" for n in count(1))
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0)
    b.add("bus_bar", "WC1")
    b.add("fuse", "F1", rating_a=10.0)
    b.add("load", "M1", label="Bilge pump")
    b.run(next(names), "G1.pos", "F1.in")
    b.run(next(names), "F1.out", "M1.in")
    if switch:
        b.add("battery_switch", "Q1", **fields)
        b.run(next(names), "G1.pos", "Q1.in")
        b.run(next(names), "Q1.out", "WC1.bar")
    else:
        b.run(next(names), "G1.pos", "WC1.bar")
    for n in (2, 3):
        b.add("circuit_breaker", f"Q{n}", rating_a=15.0)
        b.add("load", f"E{n}", label=f"Light {n}")
        b.run(next(names), "WC1.bar", f"Q{n}.in")
        b.run(next(names), f"Q{n}.out", f"E{n}.in")
    return b.installation.snapshot()


def test_loads_are_circuits_of_the_bar_they_hang_on() -> None:
    snapshot = boat()
    net = make_net(snapshot)
    shown = {
        snapshot.name(hub.item): (
            [[snapshot.name(link.item) for link in way.links] + [snapshot.name(way.end)] for way in hub.ways],
            [snapshot.name(c.item) for c in hub.circuits],
        )
        for hub in net.hubs
    }
    assert shown == {"G1": ([["Q1", "WC1"]], ["F1"]), "WC1": ([["Q1", "G1"]], ["Q2", "Q3"])}
    again = [way.again for hub in net.hubs for way in hub.ways]
    assert again == [False, True]  # the second end says where the way is drawn


def test_the_battery_switch_is_a_main_disconnect_and_branch_breakers_are_not() -> None:
    snapshot = boat()
    study = study_of(snapshot)
    (main,) = mains(study)
    assert snapshot.name(main.item) == "Q1"
    assert ([snapshot.name(i) for i in main.near], [snapshot.name(i) for i in main.far]) == (["G1"], ["WC1"])
    off = all_off(study, (main,))
    assert off is not None
    assert [(act.kind, snapshot.name(act.item), act.position) for act, _sources in off.acts] == [
        ("switch", "Q1", "open")
    ]
    assert [snapshot.name(i) for i in off.live] == ["M1"]  # before the switch: it stays on
    assert off.remains == ()


def test_a_generator_set_is_stopped_and_what_stays_live_is_told_up_to_the_open_switches() -> None:
    snapshot = load(SAMPLES / "workboat" / "workboat.linewright").installation.snapshot()
    study = study_of(snapshot)
    off = all_off(study, mains(study))
    assert off is not None
    acts = [(act.kind, snapshot.name(act.item)) for act, _sources in off.acts]
    assert acts == [
        ("stop", "G3"), ("stop", "G5"), ("switch", "Q10"), ("switch", "Q11"), ("switch", "Q1"), ("switch", "Q2"),
        ("unplug", "G10"),
    ]  # fmt: skip
    left = {
        (s.until, tuple(map(snapshot.name, s.sources))): [snapshot.name(i) for i in (*s.ends, *s.runs)]
        for s in off.stays
    }
    assert left["unplugged", ("G10",)] == ["Q10", "W201", "W202"]
    assert left["stopped", ("G5",)] == ["Q11", "W204"]
    assert left["", ("G1", "G2")][:3] == ["Q1", "Q2", "W1"]  # the charging relay joins them before their switches


def test_a_generator_that_starts_by_itself_is_also_kept_from_starting() -> None:
    b = Builder()
    b.add("generator", "G5", starting="automatic", manual_panel=True)
    b.add("circuit_breaker", "Q11", poles=("L1", "N"), rating_a=16)
    b.add("socket_outlet", "X2", ac_v=230, rating_a=16)
    b.add("battery_bank", "G1")
    b.add("battery_switch", "Q1")
    b.add("bus_bar", "WC1")
    b.run("W1", "G5.out", "Q11.in", function="ac")
    b.run("W2", "Q11.out", "X2.in", function="ac")
    b.run("W3", "G1.pos", "Q1.in")
    b.run("W4", "Q1.out", "WC1.bar")
    study = study_of(b.installation.snapshot())
    off = all_off(study, mains(study))
    assert off is not None
    told = {step.deed: step.about for step in emergency(study, off)}
    assert "it starts by itself: keep it from starting at its panel" in told["G5: stop"][0]


def test_an_array_without_a_switch_is_covered_and_told_as_live_until_that_is_done() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0, unit_ah=100.0)
    b.add("battery_switch", "Q1")
    b.add("bus_bar", "WC1")
    b.add("solar_array", "G5")
    b.add("solar_controller", "T4")
    b.run("W1", "G1.pos", "Q1.in")
    b.run("W2", "Q1.out", "WC1.bar")
    b.run("W3", "G5.pos", "T4.pv")
    b.run("W4", "T4.dc", "WC1.bar")
    snapshot = b.installation.snapshot()
    study = study_of(snapshot)
    off = all_off(study, mains(study))
    assert off is not None
    assert [(act.kind, snapshot.name(act.item)) for act, _s in off.acts] == [("cover", "G5"), ("switch", "Q1")]
    live = next(s for s in off.stays if "G5" in map(snapshot.name, s.sources))
    assert live.volts == (None,)
    assert [snapshot.name(i) for i in live.runs] == ["W2", "W3", "W4"]
    assert [snapshot.name(i) for i in live.parts] == ["T4", "WC1"]


def test_a_boat_without_a_switch_has_no_main_disconnect() -> None:
    study = study_of(boat(switch=False))
    assert mains(study) == ()
    assert all_off(study, ()) is None


def test_a_drawn_open_bypass_breaker_is_judged_closed_with_its_partners_open() -> None:
    snapshot = load(SAMPLES / "ketch" / "ketch.linewright").installation.snapshot()
    found = {snapshot.name(m.item): m for m in mains(study_of(snapshot))}
    bypass = found["Q13"]
    assert [snapshot.name(i) for i in bypass.near] == ["G10", "WA1"]
    assert [snapshot.name(i) for i in bypass.far] == ["WA2"]
    # breakers of single loads, and one that feeds a converter alone, are none
    assert not {"Q21", "Q24", "Q41"} & set(found)


def test_the_order_rests_on_designations_not_on_ids() -> None:
    one = boat()
    items = {item: f"e{900 - n}" for n, item in enumerate(one.equipment)}
    text = {item: one.name(item) for item in one.equipment}
    replace = msgspec.structs.replace
    tables = {name: dict(table) for name, table in one.tables.items()}
    tables["equipment"] = {items[i]: r for i, r in one.equipment.items()}
    tables["runs"] = {
        i: replace(
            r,
            from_end=replace(r.from_end, equipment=items[r.from_end.equipment]),
            to_end=replace(r.to_end, equipment=items[r.to_end.equipment]),
        )
        for i, r in one.runs.items()
    }
    other = Snapshot(tables=tables, lone=one.lone)
    assert [text[h.item] for h in make_net(one).hubs] == [other.name(h.item) for h in make_net(other).hubs]


def test_odd_drawings_never_raise() -> None:
    b = Builder()
    names = (f"W{n}" for n in count(1))
    b.add("battery_bank", "G1")
    b.add("battery_switch", "Q1")
    b.add("circuit_breaker", "Q2")
    b.run(next(names), "Q1.out", "Q2.in")  # an island without a source
    b.run(next(names), "Q2.out", "Q1.in")  # that is a loop
    net = make_net(b.installation.snapshot())
    assert [b.installation.snapshot().name(i) for i in net.alone] == ["G1"]
    assert mains(study_of(b.installation.snapshot())) == ()


def test_a_selector_parts_both_banks_from_the_rest() -> None:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("battery_bank", "G2")
    b.add("selector", "Q1")
    b.add("bus_bar", "WC1")
    for name, start, end in (("W1", "G1.pos", "Q1.one"), ("W2", "G2.pos", "Q1.two"), ("W3", "Q1.common", "WC1.bar")):
        b.run(name, start, end)
    for n in (1, 2):
        b.add("load", f"E{n}")
        b.run(f"W1{n}", "WC1.bar", f"E{n}.in")
    snapshot = b.installation.snapshot()
    (main,) = mains(study_of(snapshot))
    assert main.position == "off"
    assert [snapshot.name(i) for i in main.near] == ["G1", "G2"]
    assert [snapshot.name(i) for i in main.far] == ["WC1"]
