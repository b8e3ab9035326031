"""What is live: by hand, and against a plain search over the records' own contacts on random networks."""

from __future__ import annotations

import random
from collections.abc import Collection
from itertools import product

import msgspec
import pytest

from engine.builder import Builder
from engine.circuit.expand import expand
from engine.circuit.live import Live, live_items
from engine.circuit.live_from import live_from
from engine.edits import Put, apply
from engine.equipment.base import LIVE
from engine.files.foreign import Foreign
from engine.installation import Installation, Snapshot

HOT = set(LIVE)


def told(b: Builder, running: Collection[str] | None = None, **positions: str) -> tuple[set[str], set[str]]:
    """Designations of what is live and of what is doubtful."""
    snapshot = b.installation.snapshot()
    by_name = {record.designation: item for item, record in snapshot.equipment.items()}
    found = live_items(
        expand(snapshot),
        {by_name[d]: p for d, p in positions.items()},
        None if running is None else [by_name[d] for d in running],
    )
    assert not found.live & found.doubtful
    return {snapshot.name(i) for i in found.live}, {snapshot.name(i) for i in found.doubtful}


def switched_lamp() -> Builder:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("fuse", "F1", rating_a=10)
    b.add("battery_switch", "Q1")
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "F1.in")
    b.run("W2", "F1.out", "Q1.in")
    b.run("W3", "Q1.out", "E1.in")
    return b


def test_a_switch_is_live_on_its_supply_side_alone() -> None:
    b = switched_lamp()
    assert told(b, Q1="closed") == ({"G1", "W1", "F1", "W2", "Q1", "W3", "E1"}, set())
    assert told(b, Q1="open") == ({"G1", "W1", "F1", "W2", "Q1"}, set())


def test_a_breaker_stands_where_it_is_drawn_and_a_fuse_is_whole() -> None:
    b = switched_lamp()
    b.add("circuit_breaker", "F2", rating_a=5, in_position="open")
    b.add("load", "E2", dc_v=12)
    b.run("W4", "Q1.out", "F2.in")
    b.run("W5", "F2.out", "E2.in")
    assert {"W5", "E2"} & told(b, Q1="closed")[0] == set()
    assert {"W5", "E2"} <= told(b, Q1="closed", F2="closed")[0]


def test_negative_neutral_and_earth_are_not_live() -> None:
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("bus_bar", "X1")
    b.add("bus_bar", "X2")
    b.run("W1", "G1.pos", "X1.bar", function="dc positive")
    b.run("W2", "G1.neg", "X2.bar", function="dc negative")
    b.add("shore_supply", "G2", ac_v=230, neutral_earthed=True)
    b.add("bus_bar", "X3")
    b.run("W3", "G2.out", "X3.bar", function="earth")
    assert told(b) == ({"G1", "X1", "W1", "G2"}, set())


def test_a_battery_on_its_own_has_voltage_at_its_posts() -> None:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("charger", "T1")
    b.add("generator", "G2")
    assert told(b) == ({"G1", "T1", "G2"}, set())
    assert told(b, ()) == ({"G1"}, {"T1", "G2"})
    assert told(b, ("G2",)) == ({"G1", "G2"}, set())


def two_sources() -> Builder:
    b = Builder()
    b.add("shore_supply", "G1", ac_v=230)
    b.add("generator", "G2", ac_v=230)
    b.add("changeover", "Q1")
    b.add("load", "E1", ac_v=230)
    b.run("W1", "G1.out", "Q1.one", function="ac")
    b.run("W2", "G2.out", "Q1.two", function="ac")
    b.run("W3", "Q1.common", "E1.in", function="ac")
    return b


def test_what_must_run_is_live_as_drawn_where_listed_and_doubtful_where_no_source_is_listed() -> None:
    b = two_sources()
    assert told(b, Q1="1") == ({"G1", "G2", "W1", "W2", "Q1", "W3", "E1"}, set())
    assert told(b, ("G1",), Q1="1") == ({"G1", "W1", "Q1", "W3", "E1"}, set())
    assert told(b, ("G2",), Q1="1") == ({"G2", "W2", "Q1"}, set())
    live, doubtful = told(b, (), Q1="1")
    assert live == set()
    assert doubtful == {"G1", "G2", "W1", "W2", "Q1", "W3", "E1"}


def test_solar_always_gives_voltage_and_a_diode_passes_one_way() -> None:
    b = Builder()
    b.add("solar_array", "G1")
    b.add("solar_controller", "T1", method="tracking")
    b.add("diode_isolator", "D1")
    b.add("battery_bank", "G2")
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "T1.pv")
    b.run("W2", "T1.dc", "D1.in")
    b.run("W3", "D1.out1", "G2.pos")
    b.run("W4", "D1.out2", "E1.in")
    assert told(b, ()) == ({"G1", "W1", "T1", "W2", "D1", "W3", "G2", "W4", "E1"}, set())
    b = Builder()  # from the battery nothing comes back through the diode
    b.add("diode_isolator", "D1")
    b.add("battery_bank", "G2")
    b.add("load", "E1", dc_v=12)
    b.run("W2", "D1.in", "E1.in")
    b.run("W3", "D1.out1", "G2.pos")
    assert told(b) == ({"G2", "W3", "D1"}, set())


def inverting() -> Builder:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("battery_switch", "Q1")
    b.add("inverter_charger", "T1", dc_v=12, ac_v=230)
    b.add("shore_supply", "G2", ac_v=230)
    b.add("load", "E1", ac_v=230)
    b.run("W1", "G1.pos", "Q1.in")
    b.run("W2", "Q1.out", "T1.dc")
    b.run("W3", "G2.out", "T1.ac_in", function="ac")
    b.run("W4", "T1.ac_out", "E1.in", function="ac")
    return b


@pytest.mark.parametrize(
    ("running", "switch", "relay", "live"),
    [
        (("G2",), "closed", "pass", {"G1", "W1", "Q1", "W2", "T1", "G2", "W3", "W4", "E1"}),
        (("G2",), "open", "pass", {"G1", "W1", "Q1", "W2", "T1", "G2", "W3", "W4", "E1"}),  # it charges: W2 is live
        (("G2",), "open", "off", {"G1", "W1", "Q1", "T1", "G2", "W3"}),
        (("G2",), "open", "invert", {"G1", "W1", "Q1", "T1", "G2", "W3"}),
        (("G1",), "closed", "invert", {"G1", "W1", "Q1", "W2", "T1", "W4", "E1"}),
        (("G1",), "open", "invert", {"G1", "W1", "Q1"}),
        (("G1",), "closed", "pass", {"G1", "W1", "Q1", "W2", "T1"}),
    ],
)
def test_a_converter_gives_voltage_where_it_is_fed_and_stands_so(
    running: tuple[str, ...], switch: str, relay: str, live: set[str]
) -> None:
    assert told(inverting(), running, Q1=switch, T1=relay) == (live, set())


def test_a_charger_whose_mains_are_not_drawn_may_be_plugged_in() -> None:
    b = Builder()
    b.add("charger", "T1", dc_v=12)
    b.add("load", "E1", dc_v=12)
    b.run("W1", "T1.dc", "E1.in")
    assert told(b) == ({"T1", "W1", "E1"}, set())
    assert told(b, ()) == (set(), {"T1", "W1", "E1"})
    assert told(b, ("T1",)) == ({"T1", "W1", "E1"}, set())


def test_a_transformer_is_live_on_both_sides_wherever_it_is_fed() -> None:
    for volts in (230.0, None):  # what its record says of volts does not matter
        b = Builder()
        b.add("isolation_transformer", "T1", primary_v=volts, secondary_v=volts)
        b.add("shore_inlet", "X1", ac_v=230)
        b.add("generator", "G1", ac_v=230)
        b.run("W1", "X1.out", "T1.primary", function="ac")
        b.run("W2", "T1.secondary", "G1.out", function="ac")
        assert told(b, ("G1",)) == ({"G1", "W2", "T1", "W1", "X1"}, set())
        assert told(b, ("X1",)) == ({"G1", "W2", "T1", "W1", "X1"}, set())


def test_what_may_be_there_is_doubtful_and_never_dead() -> None:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("dc_dc_converter", "T1", in_v=12, out_v=24)  # whether it works both ways is not recorded
    b.add("load", "E1", dc_v=12)
    b.run("W1", "G1.pos", "T1.out")
    b.run("W2", "T1.in", "E1.in")
    assert told(b) == ({"G1", "W1", "T1"}, {"W2", "E1"})
    b.set("T1", bidirectional=True)
    assert told(b) == ({"G1", "W1", "T1", "W2", "E1"}, set())
    b.set("T1", bidirectional=False)
    assert told(b) == ({"G1", "W1", "T1"}, set())


def test_an_adapter_that_may_feed_both_legs_leaves_the_second_in_doubt() -> None:
    b = Builder()
    b.add("shore_supply", "G1", ac_v=120, phases="L1")
    b.add("shore_adapter", "X1")
    b.add("load", "E1", ac_v=120)
    b.add("load", "E2", ac_v=120)
    b.run("W1", "G1.out", "X1.in", function="ac", phases="L1")
    b.run("W2", "X1.out", "E1.in", function="ac", phases="L1")
    b.run("W3", "X1.out", "E2.in", function="ac", phases="L2")
    assert told(b) == ({"G1", "W1", "X1", "W2", "E1"}, {"W3", "E2"})
    b.set("X1", feeds_both_legs=False)
    assert told(b) == ({"G1", "W1", "X1", "W2", "E1"}, set())


def test_equipment_of_an_unknown_kind_leaves_all_that_is_joined_to_it_in_doubt() -> None:
    b = switched_lamp()
    strange = Foreign(arrivals=("a", "b"))
    apply(b.installation, Put("equipment", "e900", strange))
    b._ids["?"] = "e900"
    b.add("load", "E2", dc_v=12)
    b.run("W4", "Q1.out", "?.a")
    b.run("W5", "?.b", "E2.in")
    assert told(b, Q1="open") == ({"G1", "W1", "F1", "W2", "Q1"}, {"W3", "E1", "W4", "e900", "W5", "E2"})
    assert "W5" in told(b, Q1="closed")[1]


def test_a_run_that_neither_end_carries_is_in_doubt() -> None:
    b = Builder()
    b.add("battery_bank", "G1")
    b.add("generator", "G2")
    b.add("battery_bank", "G3")
    b.run("W1", "G2.out", "G1.pos", function="ac", neutral=False, earth=False)
    b.run("W2", "G1.pos", "G3.pos", function="ac", neutral=False, earth=False)
    assert told(b) == ({"G1", "G2", "G3", "W1"}, {"W2"})


def test_positions_that_are_not_named_are_those_drawn_and_empty_drawings_have_nothing_live() -> None:
    b = switched_lamp()
    b.set("Q1", in_position="open")
    assert "W3" not in told(b)[0]
    assert live_items(expand(Installation().snapshot()), {}) == Live(frozenset(), frozenset())


# -- against a plain search -------------------------------------------------------------------------------------------
def plain(snapshot: Snapshot, positions: dict[str, str]) -> set[str]:
    """Live ids as drawn, by trying everything again until nothing changes; knows nothing of circuits."""
    at: dict[str, set[str]] = {item: set() for item in snapshot.equipment}
    ends: set[tuple[str, str, str]] = set()
    for run in snapshot.runs.values():
        for end in (run.from_end, run.to_end):
            at[end.equipment].add(end.terminal)
            carried = next(
                t.conductors for t in snapshot.equipment[end.equipment].terminals() if t.name == end.terminal
            )
            ends.update((end.equipment, end.terminal, c) for c in run.conductors() if c in carried)
    hot: set[tuple[str, str, str]] = set()
    items: set[str] = set()

    def holds(item: str, wanted: frozenset[str] | None) -> bool:
        return wanted is None or positions.get(item) in wanted

    while True:
        before = len(hot), len(items)
        for item, record in snapshot.equipment.items():
            fed_by = {c.target: [] for c in record.conversions()}
            for c in record.conversions():
                if holds(item, c.positions):
                    fed_by[c.target].append(c.source)
            for source in record.sources(frozenset(at[item])):
                inputs = fed_by.get(source.terminal)
                alone = inputs is None or (bool(inputs) and not set(inputs) & at[item])
                fed = any((item, t, c) in hot for t in inputs or () for c in HOT)
                if holds(item, source.positions) and (alone or fed):
                    items.add(item)
                    if (item, source.terminal, source.conductor) in ends:
                        hot.add((item, source.terminal, source.conductor))
            for contact in record.contacts():
                for c in HOT:
                    closed = contact.poles is None or c in contact.poles
                    if contact.cross or not (holds(item, contact.positions) if closed else contact.straight):
                        continue
                    pair = (item, contact.a, c), (item, contact.b, c)
                    if set(pair) <= ends and pair[0] in hot:
                        hot.add(pair[1])
                    if set(pair) <= ends and pair[1] in hot and not (contact.one_way and closed):
                        hot.add(pair[0])
        for run in snapshot.runs.values():
            for c in run.conductors():
                pair = tuple((e.equipment, e.terminal, c) for e in (run.from_end, run.to_end))
                # what neither end carries is joined to nothing
                if c in HOT and set(pair) & hot and set(pair) & ends:
                    hot.update(pair)
        if before == (len(hot), len(items)):
            break
    live = {e for e, _t, _c in hot} | items
    for item, run in snapshot.runs.items():
        here = (run.from_end.equipment, run.from_end.terminal)
        there = (run.to_end.equipment, run.to_end.terminal)
        if any((*here, c) in hot and {(*here, c), (*there, c)} & ends for c in run.conductors()):
            live.add(item)
    return live


KINDS = (
    "battery_bank",
    "battery_switch",
    "selector",
    "diode_isolator",
    "bus_bar",
    "fuse",
    "circuit_breaker",
    "load",
    "charger",
    "inverter",
    "inverter_charger",
    "shore_supply",
    "changeover",
    "dc_dc_converter",
)


def network(dice: random.Random) -> Builder:
    b = Builder()
    places: list[tuple[str, str]] = []
    for n in range(dice.randint(3, 14)):
        kind = dice.choice(KINDS)
        facts = {"bidirectional": dice.random() < 0.5} if kind == "dc_dc_converter" else {}
        item = b.add(kind, f"K{n}", **facts)
        record = b.installation.get("equipment", item)
        places += [(f"K{n}", t.name) for t in record.terminals() if t.conductors != ("S",)]
    for n in range(dice.randint(2, 18)):
        one, other = dice.sample(places, 2)
        function = dice.choice(("dc pair", "dc positive", "dc negative", "ac", "earth"))
        b.run(f"W{n}", ".".join(one), ".".join(other), function=function)
    return b


@pytest.mark.parametrize("seed", range(8))
def test_random_networks_agree_with_a_plain_search(seed: int) -> None:
    dice = random.Random(seed)
    lit = dark = 0
    for _ in range(40):
        snapshot = network(dice).installation.snapshot()
        positions = {i: dice.choice(r.positions()) for i, r in snapshot.equipment.items() if r.positions()}
        found = live_items(expand(snapshot), positions)
        by_source = live_from(expand(snapshot), positions)
        assert (set(by_source.of), set(by_source.doubtful)) == (found.live, found.doubtful)
        assert found.live == plain(snapshot, positions)
        assert found.doubtful <= set(snapshot.runs)  # of cables that neither end carries
        lit += len(found.live)
        dark += len(snapshot.runs) + len(snapshot.equipment) - len(found.live)
    assert lit > 100
    assert dark > 100


@pytest.mark.parametrize("seed", range(4))
def test_more_sources_and_closed_switches_never_make_less_live(seed: int) -> None:
    """Listing another source as running only adds; what is not recorded never hides what is sure."""
    dice = random.Random(seed)
    for _ in range(20):
        snapshot = network(dice).installation.snapshot()
        circuit = expand(snapshot)
        positions = {i: dice.choice(r.positions()) for i, r in snapshot.equipment.items() if r.positions()}
        sources = [i for i, r in snapshot.equipment.items() if r.sources(frozenset())]
        every = live_items(circuit, positions)
        for some in ([], sources[:1], sources):
            found = live_items(circuit, positions, some)
            if some != sources:
                assert found.live <= live_items(circuit, positions, sources).live
            assert not found.live & found.doubtful
        nothing = live_items(circuit, positions, [])
        assert every.live <= nothing.live | nothing.doubtful  # never dead for want of a record


def test_the_order_of_records_does_not_matter() -> None:
    snapshot = inverting().installation.snapshot()
    turned = msgspec.structs.replace(
        snapshot, tables={name: dict(reversed(table.items())) for name, table in snapshot.tables.items()}
    )
    for switch, relay in product(("open", "closed"), ("off", "invert", "pass")):
        at = {
            i: switch if r.KIND == "battery_switch" else relay for i, r in snapshot.equipment.items() if r.positions()
        }
        assert live_items(expand(snapshot), at, []) == live_items(expand(turned), at, [])
