"""From which sources what is live is live: by hand, and the same things live as the view without sources says."""

from __future__ import annotations

from collections.abc import Collection

from engine.builder import Builder
from engine.circuit.expand import expand
from engine.circuit.live import live_items
from engine.circuit.live_from import LiveFrom, live_from, way_between


def ids(b: Builder) -> dict[str, str]:
    snapshot = b.installation.snapshot()
    return {r.designation: i for table in (snapshot.equipment, snapshot.runs) for i, r in table.items()}


def asked(b: Builder, running: Collection[str] | None = None, **positions: str) -> LiveFrom:
    """The answer; on the way it is compared with what is live and doubtful without sources."""
    by_name = ids(b)
    circuit = expand(b.installation.snapshot())
    standing = {by_name[d]: p for d, p in positions.items()}
    runs = None if running is None else [by_name[d] for d in running]
    found, plain = live_from(circuit, standing, runs), live_items(circuit, standing, runs)
    assert set(found.of) == plain.live
    assert set(found.doubtful) == plain.doubtful
    return found


def names(b: Builder, found: LiveFrom, item: str) -> tuple[str, ...]:
    snapshot = b.installation.snapshot()
    return tuple(snapshot.name(i) for i in found.of.get(ids(b)[item], ()))


def ac(b: Builder, name: str, start: str, end: str) -> None:
    b.run(name, start, end, function="ac", size="10 AWG", length_m=1)


def shore_and_generator() -> Builder:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("generator", "G1", ac_v=120)
    for name in ("Q1", "Q2"):
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"))
    b.add("bus_bar", "W1")
    b.add("charger", "T1", ac_v=120)
    b.add("battery_bank", "G2", unit_v=12.8)
    ac(b, "W11", "X1.out", "Q1.in")
    ac(b, "W12", "G1.out", "Q2.in")
    ac(b, "W13", "Q1.out", "W1.bar")
    ac(b, "W14", "Q2.out", "W1.bar")
    ac(b, "W15", "W1.bar", "T1.ac")
    b.run("W16", "T1.dc", "G2.pos", size="10 AWG", length_m=1)
    return b


def test_a_run_names_what_gives_on_it_and_a_charger_what_feeds_it() -> None:
    b = shore_and_generator()
    found = asked(b, ["X1"], Q1="closed", Q2="open")
    assert names(b, found, "W15") == ("X1",)
    assert names(b, found, "W12") == ()
    assert set(names(b, found, "W16")) == {"T1", "G2"}, "the charger, not the shore behind it"
    snapshot, by_name = b.installation.snapshot(), ids(b)
    assert {snapshot.name(i) for i in found.fed[by_name["T1"]]} >= {"X1"}
    assert [snapshot.name(i) for i in found.still] == ["G1"]
    assert not found.together


def test_two_that_meet_are_told_where_they_do_unless_they_are_built_for_it() -> None:
    b = shore_and_generator()
    by_name = ids(b)
    found = asked(b, ["X1", "G1"], Q1="closed", Q2="closed")
    assert set(names(b, found, "W15")) == {"X1", "G1"}
    assert by_name["W15"] in found.together
    assert by_name["W16"] not in found.together
    apart = asked(b, ["X1", "G1"], Q1="closed", Q2="open")
    assert not apart.together
    b.set("X1", parallel_with=(by_name["G1"],))
    b.set("G1", parallel_with=(by_name["X1"],))
    assert not asked(b, ["X1", "G1"], Q1="closed", Q2="closed").together


def test_windings_do_not_feed_themselves() -> None:
    b = Builder()
    b.add("shore_inlet", "X1", ac_v=120)
    b.add("isolation_transformer", "T1", secondary_v=120)
    b.add("load", "E1", ac_v=120)
    ac(b, "W1", "X1.out", "T1.primary")
    ac(b, "W2", "T1.secondary", "E1.in")
    found = asked(b, ["X1"])
    assert names(b, found, "W1") == ("X1",)
    assert names(b, found, "W2") == ("T1",)


def test_the_way_between_two_sources_leads_through_the_closed_switches() -> None:
    b = shore_and_generator()
    by_name = ids(b)
    circuit = expand(b.installation.snapshot())
    wanted = (by_name["X1"], by_name["G1"])
    closed = way_between(circuit, {by_name["Q1"]: "closed", by_name["Q2"]: "closed"}, wanted)
    assert closed == {by_name[n] for n in ("X1", "W11", "Q1", "W13", "W1", "W14", "Q2", "W12", "G1")}
    assert not way_between(circuit, {by_name["Q1"]: "closed", by_name["Q2"]: "open"}, wanted)
    assert not way_between(circuit, {}, wanted[:1])
