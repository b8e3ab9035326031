"""Boats laid out for the drawing tests: a small one, a DC boat with two banks, an AC boat with a bypass."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from app.drawing.layout import lay_out
from engine.builder import Builder
from engine.edits import apply
from engine.installation import Snapshot

Boat = Callable[[], Builder]
LOADS = ("Navigation lights", "Anchor light", "Cabin lights forward", "Chart plotter", "VHF radio", "Autopilot")


def small() -> Builder:
    """A bank, a bus and one load: eight pieces."""
    b = Builder(name="Sandling")
    b.add("battery_bank", "G1", label="House bank", unit_v=12.8, unit_ah=100)
    b.add("fuse", "F1", rating_a=100)
    b.add("bus_bar", "WC1", label="Positive bus")
    b.add("bus_bar", "WC2", label="Negative bus")
    b.add("earth_point", "XE1", label="Hull")
    b.add("circuit_breaker", "Q1", rating_a=10)
    b.add("load", "E1", label="Navigation lights", status="new")
    b.add("motor", "M1", label="Bilge pump")
    b.run("W1", "G1.pos", "F1.in", size="2 AWG", length_m=0.1)
    b.run("W2", "F1.out", "WC1.bar", size="2 AWG", length_m=0.5)
    b.run("W3", "G1.neg", "WC2.bar", function="dc negative", size="2 AWG", length_m=0.5)
    b.run("W4", "WC2.bar", "XE1.at", function="bonding", size="6 AWG", length_m=1)
    b.run("W5", "WC1.bar", "Q1.in", size="14 AWG", length_m=0.2)
    b.run("W6", "Q1.out", "E1.in", size="14 AWG", length_m=4, status="new")
    b.run("W7", "G1.pos", "M1.in", size="14 AWG", length_m=2)
    return b


def direct(branches: int = 14) -> Builder:
    """Two banks, converter, alternator with regulator, solar, a panel: some thirty pieces and the panel's."""
    b = Builder(name="Razorbill")
    b.add("battery_bank", "G1", label="House bank", unit_v=12.8, series=2, unit_ah=280, chemistry="LFP")
    b.add("battery_bank", "G2", label="Start bank", unit_v=12.6, series=2, unit_ah=110, chemistry="AGM")
    for name, kind, label in (
        ("F1", "fuse", "Main fuse"),
        ("Q1", "battery_switch", "House disconnect"),
        ("R1", "shunt", "Shunt"),
        ("Q2", "battery_switch", "Start switch"),
        ("M1", "motor", "Starter"),
        ("WC1", "bus_bar", "Main positive"),
        ("WC2", "bus_bar", "Main negative"),
        ("WC3", "bus_bar", "DC panel"),
        ("XE1", "earth_point", "Hull, one point"),
        ("F3", "fuse", ""),
        ("T1", "inverter_charger", "Inverter/charger"),
        ("F4", "fuse", ""),
        ("G3", "alternator", "Alternator 110 A"),
        ("K1", "alternator_regulator", "Regulator"),
        ("F6", "fuse", ""),
        ("T2", "dc_dc_converter", "DC-DC to the start bank"),
        ("F7", "fuse", ""),
        ("F8", "fuse", ""),
        ("T3", "solar_controller", "Solar controller"),
        ("G4", "solar_array", "Array"),
    ):
        b.add(kind, name, label=label)
    for number, (start, end) in enumerate(
        (
            ("G1.pos", "F1.in"), ("F1.out", "Q1.in"), ("Q1.out", "WC1.bar"), ("G2.pos", "Q2.in"),
            ("Q2.out", "M1.in"), ("WC1.bar", "F3.in"), ("F3.out", "T1.dc"), ("WC1.bar", "F4.in"),
            ("F4.out", "G3.pos"), ("WC1.bar", "F6.in"), ("F6.out", "T2.in"), ("T2.out", "G2.pos"),
            ("WC1.bar", "F7.in"), ("F7.out", "WC3.bar"), ("WC1.bar", "F8.in"), ("F8.out", "T3.dc"),
            ("T3.pv", "G4.pos"),
        ),
        1,
    ):  # fmt: skip
        b.run(f"W{number}", start, end, size="2/0 AWG", length_m=0.5)
    b.run("W31", "G1.neg", "R1.in", function="dc negative", size="4/0 AWG", length_m=0.3)
    b.run("W32", "R1.out", "WC2.bar", function="dc negative", size="4/0 AWG", length_m=0.3)
    b.run("W33", "G2.neg", "WC2.bar", function="dc negative", size="2/0 AWG", length_m=1)
    b.run("W34", "WC2.bar", "XE1.at", function="bonding", size="6 AWG", length_m=1)
    b.run("W35", "G3.field", "K1.field", function="signal")
    for n in range(branches):
        b.add("circuit_breaker", f"Q{20 + n}", rating_a=10)
        b.add("load", f"E{1 + n}", label=LOADS[n % len(LOADS)], status="new" if n % 3 else "existing")
        b.run(f"W{100 + n}", "WC3.bar", f"Q{20 + n}.in", size="14 AWG", length_m=0.1)
        b.run(f"W{200 + n}", f"Q{20 + n}.out", f"E{1 + n}.in", size="14 AWG", length_m=4.5 + n)
    return b


def alternating() -> Builder:
    """The boat of `direct`, with shore, generator, inverter and a two-way bypass."""
    b = direct(6)
    for name, kind, label in (
        ("X1", "shore_inlet", "Shore inlet"),
        ("G5", "generator", "Generator"),
        ("Q51", "circuit_breaker", "Shore main"),
        ("Q52", "circuit_breaker", "Generator main"),
        ("Q53", "changeover", "Source selector"),
        ("WA1", "bus_bar", "AC source bus"),
        ("Q54", "circuit_breaker", "Inverter input"),
        ("Q55", "circuit_breaker", "Inverter output"),
        ("Q56", "circuit_breaker", "Bypass"),
        ("Q57", "changeover", "Bypass switch"),
        ("WA2", "bus_bar", "AC main bus"),
        ("Q58", "circuit_breaker", "Galley"),
        ("X2", "socket_outlet", "Galley sockets"),
    ):
        b.add(kind, name, label=label)
    for number, (start, end) in enumerate(
        (
            ("X1.out", "Q51.in"), ("Q51.out", "Q53.one"), ("G5.out", "Q52.in"), ("Q52.out", "Q53.two"),
            ("Q53.common", "WA1.bar"), ("WA1.bar", "Q54.in"), ("Q54.out", "T1.ac_in"), ("T1.ac_out", "Q55.in"),
            ("Q55.out", "Q57.one"), ("WA1.bar", "Q56.in"), ("Q56.out", "Q57.two"), ("Q57.common", "WA2.bar"),
            ("WA2.bar", "Q58.in"), ("Q58.out", "X2.in"),
        ),
        1,
    ):  # fmt: skip
        b.run(f"WA{number}", start, end, function="ac", size="10 AWG", length_m=2)
    b.interlock("Q54", "Q56")
    return b


BOATS: dict[str, Boat] = {"small": small, "direct": direct, "alternating": alternating}


@pytest.fixture
def builders() -> dict[str, Boat]:
    """Boats by name, fresh at every call."""
    return BOATS


@pytest.fixture
def laid_out() -> Callable[..., Snapshot]:
    """A boat by name or a builder of one's own, laid out; `sheet_size` and the like go to the settings."""

    def made(boat: str | Builder, **settings: object) -> Snapshot:
        b = BOATS[boat]() if isinstance(boat, str) else boat
        if settings:
            from engine.edits import SetFields

            apply(b.installation, SetFields("settings", "settings", tuple(settings.items())))
        apply(b.installation, lay_out(b.installation.snapshot()))
        return b.installation.snapshot()

    return made
