"""Random networks of switches, and their truth tables: every state of every network, counted bit by bit.

A table shares nothing with the search: a state is one bit of a big integer, a contact is the set of states in which it
conducts, reach is a fixed point over those sets, interlocks are counted state by state.
"""

from __future__ import annotations

import itertools
import random

from engine.circuit.expand import Circuit, Link, Node, Wire
from engine.circuit.states import Device, Lock, States
from engine.installation.model import TABLES, Snapshot

__all__ = ["NETWORKS", "Table", "empty_circuit", "network"]

NETWORKS = 500


def empty_circuit() -> Circuit:
    return Circuit(Snapshot(tables={name: {} for name in TABLES}, lone={}))


class Table:
    """Truth table of a network: sets of states as integers."""

    def __init__(self, states: States, locks: list[Lock]) -> None:
        self.states = states
        sizes = [len(d.positions) for d in states.devices]
        self.count = 1
        for size in sizes:
            self.count *= size
        self.every = (1 << self.count) - 1
        self.where: dict[tuple[str, str], int] = {}
        for row, chosen in enumerate(itertools.product(*(d.positions for d in states.devices))):
            for device, position in zip(states.devices, chosen, strict=True):
                key = device.equipment, position
                self.where[key] = self.where.get(key, 0) | 1 << row
        self.allowed = self.every
        for lock in locks:
            for too_many in itertools.combinations(lock.held, lock.at_most + 1):
                rows = self.every
                for equipment, positions in too_many:
                    rows &= self.of(equipment, positions)
                self.allowed &= ~rows

    def of(self, equipment: str, positions) -> int:
        rows = 0
        for position in positions:
            rows |= self.where[equipment, position]
        return rows

    def of_cube(self, cube: int) -> int:
        rows = self.every
        for equipment, positions in self.states.positions(cube):
            rows &= self.of(equipment, positions)
        return rows

    def joined(self, circuit: Circuit, start: int, stop: int) -> int:
        reach = [0] * len(circuit.nodes)
        reach[start] = self.every
        grown = True
        while grown:
            grown = False
            ways = [(w.a, w.b, self.every) for w in circuit.wires]
            ways += [
                (k.a, k.b, self.every if k.positions is None else self.of(k.equipment, k.positions))
                for k in circuit.links
            ]
            for a, b, rows in ways:
                for u, v in ((a, b), (b, a)):
                    more = reach[u] & rows & ~reach[v]
                    if more:
                        reach[v] |= more
                        grown = True
        return reach[stop] & self.allowed

    def fewest(self, bad: int, below: int) -> int:
        """Least number of devices whose positions alone lead to bad states only, if less than `below`."""
        for size in range(below):
            for chosen in itertools.combinations(self.states.devices, size):
                for positions in itertools.product(*(d.positions for d in chosen)):
                    rows = self.allowed
                    for device, position in zip(chosen, positions, strict=True):
                        rows &= self.where[device.equipment, position]
                    if rows and rows & ~bad == 0:
                        return size
        return below


def network(seed: int, most: int = 14) -> tuple[Circuit, States, list[Lock], int, int]:
    """Up to 14 switches: open/closed, 1-0-2, off-1-both-2, changeovers without off; interlocks of any k."""
    pick = random.Random(seed)
    circuit = empty_circuit()
    points = pick.randint(4, 9)
    circuit.nodes = [Node(f"n{i}", "at", "L1") for i in range(points)]
    devices: list[Device] = []
    rows = 1
    for number in range(pick.randint(2, most)):
        kind = pick.choice(("switch", "switch", "switch", "changeover", "ring", "no off"))
        name = f"Q{number}"
        a, b, c = pick.sample(range(points), 3)
        one, two, closed = frozenset({"1"}), frozenset({"2"}), frozenset({"closed"})
        if kind == "switch":
            positions: tuple[str, ...] = ("open", "closed")
            contacts = [(a, b, closed)]
        elif kind == "changeover":
            positions, contacts = ("0", "1", "2"), [(a, c, one), (b, c, two)]
        elif kind == "ring":
            positions = ("off", "1", "both", "2")
            contacts = [(a, c, frozenset({"1", "both"})), (b, c, frozenset({"2", "both"}))]
        else:
            positions, contacts = ("1", "2"), [(a, c, one), (b, c, two)]
        if rows * len(positions) > 20_000:
            break
        rows *= len(positions)
        devices.append(Device(name, positions, automatic=pick.random() < 0.2))
        for u, v, allowed in contacts:
            circuit.links.append(Link(name, "L1", u, v, allowed, None))
            if kind == "switch" and pick.random() < 0.3:  # a second pole of the same switch
                u, v = pick.sample(range(points), 2)
                circuit.links.append(Link(name, "L1", u, v, allowed, None))
    for number in range(pick.randint(0, 2)):
        circuit.wires.append(Wire(f"w{number}", "L1", *pick.sample(range(points), 2)))
    locks = []
    for _ in range(pick.randint(0, 3)):
        held = []
        for device in pick.sample(devices, min(len(devices), pick.randint(2, 5))):
            counted = pick.sample(device.positions, pick.randint(1, len(device.positions) - 1))
            held.append((device.equipment, frozenset(counted)))
        locks.append(Lock(pick.randint(0, 1) or pick.randint(1, 3), tuple(held)))
    start, stop = pick.sample(range(points), 2)
    return circuit, States(devices, locks), locks, start, stop
