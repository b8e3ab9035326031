"""A network with sources and diodes in fixed states, seen from its ports.

A port is the pair of points of a load, a source or a diode, in that order. All that goes on at the ports of a linear
network is one matrix; iterations over loads need nothing else. Where ports are many, sums along the trees and the
inverse of the core are cheaper than that matrix.
"""

from __future__ import annotations

import numpy as np

from engine.circuit.solve._core import Core
from engine.circuit.solve._dense import product, times
from engine.circuit.solve._shape import collect
from engine.circuit.solve._system import System
from engine.circuit.solve.network import Array, Ints

MOST_PORTS = 250  # with a matrix of their own
MOST_STEPS = 6000  # from all loads to the core
MOST_NUMBERS = 40_000  # of loads times points of trees


class Ports:
    """The ports of a system, and what their trees have in common."""

    def __init__(self, system: System) -> None:
        self.system = system
        self.pos: Ints = np.concatenate((system.load_pos, system.source_pos, system.diode_a))
        self.neg: Ints = np.concatenate((system.load_neg, system.source_neg, system.diode_b))
        self.loads, self.sources = len(system.load_pos), len(system.source_pos)
        at = system.shape.core_at
        self.at_pos, self.at_neg = at[self.pos], at[self.neg]
        # of each load and each point of a tree: its current passes there towards the load (1) or the core (-1)
        is_small = len(self.pos) <= MOST_PORTS and self.loads * len(system.shape.tree) <= MOST_NUMBERS
        self.passes = self._passes() if is_small else None
        # ohms that the ways of two loads to the core have in common, signed
        self.trees = None if self.passes is None else times(self.passes * system.tree_z, self.passes.T)

    def _passes(self) -> Array | None:
        """Which way each load's current takes through the trees; `None` where the ways are long."""
        shape = self.system.shape
        number, up = shape.numbers()
        rows: list[int] = []
        columns: list[int] = []
        signs: list[float] = []
        for ends, sign in ((self.system.load_pos, 1.0), (self.system.load_neg, -1.0)):
            for load, point in enumerate(ends.tolist()):
                at = number[point]
                while at >= 0:
                    rows.append(load)
                    columns.append(at)
                    at = up[at]
                signs += [sign] * (len(rows) - len(signs))
                if len(rows) > MOST_STEPS:
                    return None
        passes = np.zeros((self.loads, len(shape.tree)))
        np.add.at(passes, (rows, columns), signs)
        return passes


class Stand:
    """A state: what volts at every port follow from amperes at every port."""

    def __init__(self, ports: Ports, core: Core) -> None:
        self.ports, self.core = ports, core
        self.system = ports.system
        self.dtype: type = np.complex128 if ports.system.dtype is complex else np.float64
        self.island = core.island[ports.system.shape.core_at]
        self.islands = int(core.island.max(initial=-1)) + 1
        pos, neg = core.island[ports.at_pos], core.island[ports.at_neg]
        self.port_island = pos
        self.is_cut = pos != neg  # its two points are on two islands
        self.matrix: Array | None = None
        if ports.trees is not None:
            full = core.full(self.dtype)
            pull = full[:, ports.at_pos] - full[:, ports.at_neg]
            self.matrix = pull[ports.at_neg] - pull[ports.at_pos]
            self.matrix[: ports.loads, : ports.loads] -= ports.trees

    def volts(self, amps: Array) -> Array:
        """Volts across every port where it takes these amperes."""
        if self.matrix is not None:
            return product(self.matrix, amps)
        volts, _ = self.points(amps)
        return np.asarray(volts[self.ports.pos] - volts[self.ports.neg])

    def load_volts(self, amps: Array) -> Array:
        """The same for loads alone."""
        count = self.ports.loads
        if self.matrix is not None:
            return product(self.matrix[:count, :count], amps)
        every: Array = np.zeros(len(self.ports.pos), dtype=self.dtype)
        every[:count] = amps
        return self.volts(every)[:count]

    def points(self, amps: Array) -> tuple[Array, Array]:
        """Volts of every point, and the current from each point of a tree towards the core."""
        system, ports, core = self.system, self.ports, self.core
        shape, size = system.shape, system.size
        steps: Array = np.zeros(size, dtype=self.dtype)
        below: Array
        if ports.passes is not None:
            put = collect(ports.at_neg, amps, core.count) - collect(ports.at_pos, amps, core.count)
            below = np.zeros(size, dtype=self.dtype)
            below[shape.tree] = -product(ports.passes.T, amps[: ports.loads])
        else:
            injected = collect(ports.neg, amps, size) - collect(ports.pos, amps, size)
            put = shape.to_core(injected)
            below = shape.below(injected)
        steps[shape.tree] = system.tree_z * below[shape.tree]
        return shape.along(steps) + core.volts(np.asarray(put, dtype=self.dtype))[shape.core_at], below
