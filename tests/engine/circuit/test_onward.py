"""What stands ahead of the main fuse, and shunts in the negative: held to the devices behind them."""

from __future__ import annotations

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.letthrough import Overfed, overfed
from engine.study import Study


def found(b: Builder) -> list[Overfed]:
    return list(overfed(Study(b.installation.snapshot(), load("trade-na")).coverage))


def ahead(switches: str, rating_a: float | None = 100.0) -> Builder:
    """A contactor straight on the bank, two fuses of 60 A behind it, each behind a switch where asked."""
    b = Builder()
    b.place("saloon", "accommodation")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("contactor", "K1", continuous_a=rating_a)
    b.add("bus_bar", "X1")
    run(b, "W1", "G1.pos", "K1.in", 0.05)
    run(b, "W2", "K1.out", "X1.bar", 0.05)
    for n in "12":
        at = "X1.bar"
        if switches:
            b.add("battery_switch", f"Q{n}")
            run(b, f"W1{n}", "X1.bar", f"Q{n}.in", 0.02)
            at = f"Q{n}.out"
        b.add("fuse", f"F{n}", rating_a=60.0)
        b.add("load", f"E{n}", dc_v=12.0, current_a=5.0)
        run(b, f"W2{n}", at, f"F{n}.in", 0.02)
        run(b, f"W3{n}", f"F{n}.out", f"E{n}.in", 3.0)
    if switches == "interlocked":
        b.interlock("Q1", "Q2")
    return b


def run(b: Builder, name: str, start: str, end: str, length_m: float, function: str = "dc positive") -> None:
    b.run(
        name, start, end, function=function, size="2/0 AWG", insulation_c=105.0, bundle=1, places=("saloon",),
        sheath="bare", length_m=length_m,
    )  # fmt: skip


@pytest.mark.parametrize(("switches", "amps"), [("", 120.0), ("free", 120.0), ("interlocked", None)])
def test_devices_behind_add_up_where_a_permitted_state_joins_them(switches: str, amps: float | None) -> None:
    made = found(ahead(switches))
    assert [o.amps for o in made] == ([] if amps is None else [amps])
    assert all(o.terminal == "in" and o.onward and o.judged for o in made)


def test_unrated_is_not_judged() -> None:
    (one,) = found(ahead("", None))
    assert (one.judged, one.missing) == (False, ("K1.continuous_a",))


def test_an_unknown_fuse_behind_is_named() -> None:
    b = ahead("")
    b.set("F2", rating_a=None)
    (one,) = found(b)
    assert (one.judged, one.missing) == (False, ("F2.rating_a",))


def test_a_consumer_without_a_device_is_left_to_its_conductor() -> None:
    b = ahead("")
    b.add("load", "E9", dc_v=12.0)
    run(b, "W9", "X1.bar", "E9.in", 1.0)
    assert found(b) == []


def shunt(rating_a: float | None, *, beside: bool = False) -> Builder:
    b = Builder()
    b.place("saloon", "accommodation")
    b.add("battery_bank", "G1", unit_v=12.8)
    b.add("shunt", "R1", rating_a=rating_a)
    b.add("fuse", "F1", rating_a=250.0)
    b.add("load", "E1", dc_v=12.0, current_a=5.0)
    run(b, "W1", "G1.pos", "F1.in", 0.05)
    run(b, "W2", "F1.out", "E1.in", 3.0)
    run(b, "W3", "G1.neg", "R1.in", 0.05, "dc negative")
    run(b, "W4", "R1.out", "E1.neg", 3.0, "dc negative")
    if beside:
        run(b, "W5", "G1.neg", "E1.neg", 3.0, "dc negative")
    return b


def test_a_shunt_in_the_negative_carries_what_the_positive_lets_through() -> None:
    (one,) = found(shunt(100.0))
    assert (one.conductor, one.amps, one.judged) == ("-", 250.0, True)
    assert found(shunt(250.0)) == []
    (unrated,) = found(shunt(None))
    assert (unrated.judged, unrated.missing) == (False, ("R1.rating_a",))


def test_a_way_beside_the_shunt_shares_the_current() -> None:
    assert found(shunt(100.0, beside=True)) == []
