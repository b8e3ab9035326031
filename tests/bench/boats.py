"""Generated boats for the benchmarks: a DC tree with buses, fuses and switches, two banks, charging, interlocked AC.

Everything is recorded and nearly everything in order, as on a real boat; one circuit in forty has too large a fuse and
one in fifty records no rating, so that findings and gaps are made too. The same number gives the same boat.
"""

from __future__ import annotations

import random
from typing import Any

from engine.builder import Builder
from engine.installation import Installation

__all__ = ["boat"]

CIRCUITS = (("16 AWG", 10), ("14 AWG", 15), ("12 AWG", 20), ("10 AWG", 30), ("8 AWG", 50))
INCH = 0.0254


class _Yard(Builder):
    def __init__(self, seed: int) -> None:
        super().__init__(book="trade-na", engine_fuel="diesel", hull="glass fibre")
        self.dice = random.Random(seed)
        self.place("cabin", "accommodation")
        self.place("engine space", "diesel machinery")
        self.number = 0

    def cable(self, start: str, end: str, size: str, inches: float, **facts: Any) -> None:
        self.number += 1
        known: dict[str, Any] = {"insulation_c": 105.0, "sheath": "bare", "bundle": 2, "places": ("cabin",)}
        self.run(f"W{self.number}", start, end, size=size, length_m=inches * INCH, **(known | facts))

    def ac(self, start: str, end: str, size: str, inches: float) -> None:
        self.cable(start, end, size, inches, function="ac", sheath="sheathed")


def boat(pieces: int, seed: int = 1) -> Installation:
    """A boat of about so many pieces of equipment, runs not counted."""
    b = _Yard(seed)
    _banks(b)
    _sources(b)
    # each part of the boat: a sub-panel of DC circuits and, for every second one, an AC panel with its own changeover
    part = 0
    while len(b.installation.ids("equipment")) < pieces:
        left = pieces - len(b.installation.ids("equipment"))
        part += 1
        _dc_panel(b, part, max(1, min(20, left // 2)))
        if len(b.installation.ids("equipment")) < pieces and part % 2 == 0:
            _ac_panel(b, part, max(1, min(16, (pieces - len(b.installation.ids("equipment"))) // 2)))
    return b.installation


def _banks(b: _Yard) -> None:
    b.add("bus_bar", "X1", rating_a=600)
    for side, name in enumerate(("G1", "G2"), start=1):
        b.add("battery_bank", name, unit_v=12.8, unit_ah=200.0, chemistry="AGM", charge_v=14.4)
        b.add("fuse", f"F{side}", rating_a=300, rated_dc_v=32)
        b.cable(f"{name}.pos", f"F{side}.in", "4/0 AWG", 6)
    b.add("selector", "Q1", rated_dc_v=32)
    b.cable("F1.out", "Q1.one", "4/0 AWG", 40)
    b.cable("F2.out", "Q1.two", "4/0 AWG", 40)
    b.cable("Q1.common", "X1.bar", "4/0 AWG", 40, parallel=2)


def _sources(b: _Yard) -> None:
    b.add("alternator", "G3", dc_v=12, rating_a=110.0, self_limiting=True, charge_v=14.4)
    b.add("fuse", "F3", rating_a=150, rated_dc_v=32)
    b.cable("X1.bar", "F3.in", "2 AWG", 5)
    b.cable("F3.out", "G3.pos", "2 AWG", 120, places=("engine space",), sheath="sheathed")
    for number, amps in ((4, 60.0), (5, 40.0)):
        b.add("charger", f"T{number}", dc_v=12, ac_v=230, charge_a=amps, self_limiting=True, charge_v=14.4)
        b.add("fuse", f"F{number}", rating_a=80, rated_dc_v=32)
        b.cable("X1.bar", f"F{number}.in", "6 AWG", 5)
        b.cable(f"F{number}.out", f"T{number}.dc", "6 AWG", 90)
    b.add("inverter_charger", "T1", dc_v=12, ac_v=230, power_w=3000, output_limit_a=16, charge_a=100, through_a=32)
    b.set("T1", self_limiting=True, charge_v=14.4)
    b.add("fuse", "F6", rating_a=300, rated_dc_v=32)
    b.cable("X1.bar", "F6.in", "4/0 AWG", 4)
    b.cable("F6.out", "T1.dc", "4/0 AWG", 60)
    b.add("bus_bar", "X2")
    b.add("bus_bar", "X3")
    b.add("shore_supply", "G6", ac_v=230, breaker_a=16)
    b.add("generator", "G7", ac_v=230, power_va=4000, self_limiting=False, breaker_a=16)
    for number, source in ((6, "G6.out"), (7, "G7.out")):
        b.add("circuit_breaker", f"Q{number}", rating_a=16, poles=("L1", "N"), rated_ac_v=400)
        b.ac(source, f"Q{number}.in", "10 AWG", 200)
        b.ac(f"Q{number}.out", "X2.bar", "10 AWG", 40)
    b.interlock("Q6", "Q7", name="source slide")
    b.ac("X2.bar", "T1.ac_in", "10 AWG", 60)
    for number, start in ((8, "T1.ac_out"), (9, "X2.bar")):
        b.add("circuit_breaker", f"Q{number}", rating_a=32, poles=("L1", "N"), used_as_switch=True, rated_ac_v=400)
        b.set(f"Q{number}", in_position="closed" if number == 8 else "open")
        b.ac(start, f"Q{number}.in", "8 AWG", 60)
        b.ac(f"Q{number}.out", "X3.bar", "8 AWG", 20)
    b.interlock("Q8", "Q9", name="bypass slide")
    for number in (4, 5):
        b.add("circuit_breaker", f"F1{number}", rating_a=10, poles=("L1",), rated_ac_v=400)
        b.ac("X3.bar", f"F1{number}.in", "14 AWG", 5)
        b.ac(f"F1{number}.out", f"T{number}.ac", "14 AWG", 90)


def _dc_panel(b: _Yard, part: int, circuits: int) -> None:
    name = f"P{part}"
    b.add("fuse", f"F{name}", rating_a=150, rated_dc_v=32)
    b.add("bus_bar", f"X{name}")
    b.cable("X1.bar", f"F{name}.in", "1/0 AWG", 6)
    start = f"F{name}.out"
    if part % 4 == 0:
        b.add("battery_switch", f"Q{name}", continuous_a=300, rated_dc_v=32)
        b.cable(start, f"Q{name}.in", "1/0 AWG", 60)
        start = f"Q{name}.out"
    b.cable(start, f"X{name}.bar", "1/0 AWG", 120)
    for number in range(1, circuits + 1):
        size, amps = b.dice.choice(CIRCUITS)
        rating: float | None = float(amps)
        chance = b.dice.random()
        if chance < 0.025:
            rating = 2.5 * amps
        elif chance < 0.045:
            rating = None
        b.add("circuit_breaker", f"F{name}.{number}", rating_a=rating, rated_dc_v=65)
        b.add("load", f"E{name}.{number}", dc_v=12, current_a=amps / 4)
        b.cable(f"X{name}.bar", f"F{name}.{number}.in", size, 4)
        b.cable(f"F{name}.{number}.out", f"E{name}.{number}.in", size, b.dice.randint(40, 400))


def _ac_panel(b: _Yard, part: int, circuits: int) -> None:
    """Fed from the inverter's bus or from the bypass, one at a time."""
    name = f"A{part}"
    b.add("bus_bar", f"X{name}")
    for side, start in (("a", "X3.bar"), ("b", "X2.bar")):
        b.add("circuit_breaker", f"Q{name}{side}", rating_a=25, poles=("L1", "N"), used_as_switch=True, rated_ac_v=400)
        b.set(f"Q{name}{side}", in_position="closed" if side == "a" else "open")
        b.ac(start, f"Q{name}{side}.in", "10 AWG", 20)
        b.ac(f"Q{name}{side}.out", f"X{name}.bar", "10 AWG", 100)
    b.interlock(f"Q{name}a", f"Q{name}b", name=f"slide {part}")
    for number in range(1, circuits + 1):
        b.add("circuit_breaker", f"F{name}.{number}", rating_a=16, poles=("L1",), rated_ac_v=400)
        b.add("load", f"E{name}.{number}", ac_v=230, power_w=500.0, power_factor=1.0)
        b.ac(f"X{name}.bar", f"F{name}.{number}.in", "14 AWG", 5)
        b.ac(f"F{name}.{number}.out", f"E{name}.{number}.in", "14 AWG", b.dice.randint(40, 300))
