"""Boats with so many switches: inlets, generators, inverters with bypass and slide, ties, banks, essential loads.

Invented; some interlocks are left out so that sources can meet, some bonds so that neutrals can be lost.
"""

from __future__ import annotations

import itertools
import random

from engine.builder import Builder

__all__ = ["transfer_boat"]

AC = {"function": "ac", "size": "10 AWG", "length_m": 1.0}
DC = {"function": "dc pair", "size": "2 AWG", "length_m": 1.0}
POLES = ("L1", "N")


def transfer_boat(switches: int, seed: int = 1, chained: bool = False) -> Builder:
    """A boat with about `switches` switches; a module of inverter and bypass takes five of them.

    Panels are tied two by two; `chained`: each to the next, which makes very many ways round.
    """
    pick = random.Random(seed)
    b = Builder()
    number = itertools.count(1)
    count = 0

    def run(start: str, end: str, facts: dict) -> None:
        b.run(f"W{next(number)}", start, end, **facts)

    def switch(name: str, start: str, end: str, facts: dict) -> str:
        nonlocal count
        count += 1
        if facts is AC:
            b.add("circuit_breaker", name, rating_a=30, poles=POLES, used_as_switch=True)
        else:
            b.add("battery_switch", name, poles=("+",), continuous_a=300)
        run(start, f"{name}.in", facts)
        run(f"{name}.out", end, facts)
        return name

    b.add("bus_bar", "WA0")
    mains = []
    for n in range(max(2, switches // 12)):
        kind = "shore_inlet" if n % 2 == 0 else "generator"
        name = f"G{n}"
        facts = {} if kind == "shore_inlet" else {"bonds_neutral": n % 4 == 1}
        b.add(kind, name, ac_v=230, **facts)
        mains.append(switch(f"QM{n}", f"{name}.out", "WA0.bar", AC))
    for one, other in itertools.combinations(mains, 2):
        if pick.random() < 0.9:
            b.interlock(one, other)
    modules = 0
    while count + 5 <= switches or modules < 2:
        m = modules
        modules += 1
        b.add("bus_bar", f"WA1{m}")
        b.add("bus_bar", f"WC1{m}")
        b.add("battery_bank", f"GB{m}", unit_v=24, unit_ah=200, chemistry="LFP")
        b.add("inverter_charger", f"T{m}", dc_v=24, ac_v=230, bonds_neutral=m % 3 != 2)
        switch(f"QB{m}", f"GB{m}.pos", f"WC1{m}.bar", DC)
        run(f"WC1{m}.bar", f"T{m}.dc", DC)
        into = switch(f"QI{m}", "WA0.bar", f"T{m}.ac_in", AC)
        out = switch(f"QO{m}", f"T{m}.ac_out", f"WA1{m}.bar", AC)
        by = switch(f"QY{m}", "WA0.bar", f"WA1{m}.bar", AC)
        b.interlock(out, by)
        if pick.random() < 0.9:
            b.interlock(into, by)
        if m and (chained or m % 2):
            # the panel's other supply, from the module before; the banks tied as well
            tie = switch(f"QT{m}", f"WA1{m - 1}.bar", f"WA1{m}.bar", AC)
            if pick.random() < 0.8:
                b.interlock(out, tie)
            if m % 2:
                b.add("charging_relay", f"K{m}", poles=("+",))
                run(f"WC1{m - 1}.bar", f"K{m}.a", DC)
                run(f"K{m}.b", f"WC1{m}.bar", DC)
        for n in range(6):
            ac = n < 3
            b.add("circuit_breaker", f"F{m}{n}", rating_a=10, poles=POLES if ac else ("+",))
            b.add("load", f"E{m}{n}", power_w=50, essential=True, **({"ac_v": 230} if ac else {"dc_v": 24}))
            facts = AC if ac else DC
            run(f"{'WA1' if ac else 'WC1'}{m}.bar", f"F{m}{n}.in", facts)
            run(f"F{m}{n}.out", f"E{m}{n}.in", facts)
    return b
