"""The linear part of a network: branches, sources and diodes as they stand, loads as currents."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.circuit.solve._core import Core
from engine.circuit.solve._shape import Shape, collect
from engine.circuit.solve.network import LEAST_OHM, Array, Ints, Network


def ohms(values: list[complex] | list[float], dtype: type) -> tuple[Array, Array]:
    """Impedances that can be divided by, and which of them there are.

    Not a number and infinite: none there. Negative resistance: 0. Less than `LEAST_OHM`: that.
    """
    z, there = figures(values, dtype)
    size = np.abs(z)
    if there.all() and (z.real >= 0).all() and (size >= LEAST_OHM).all():
        return z, there
    z = np.where(there, np.where(z.real < 0, z - z.real, z), 1)
    return np.where(np.abs(z) < LEAST_OHM, LEAST_OHM, z), there


def figures(values: list[complex] | list[float], dtype: type) -> tuple[Array, Array]:
    """Figures as an array, what is not finite as 0, and which are finite."""
    got: Array
    try:
        got = np.array(values, dtype=np.complex128 if dtype is complex else np.float64)
    except TypeError:  # complex figures of direct current: what is real of them
        got = np.array(values, dtype=np.complex128).real.copy()
    there = np.isfinite(got)
    return (got if there.all() else np.where(there, got, 0)), there


def points(values: list[int]) -> Ints:
    """Numbers of points as an array."""
    return np.array(values, dtype=np.int64)


@dataclass(slots=True)
class State:
    """What stands otherwise than at rest: sources that are idle or give a fixed current, diodes that block."""

    off: Array  # of each source: its EMF is out of the network
    blocks: Array  # of each diode


class System:
    """Shape and figures of a network that do not change with loads, EMFs and limits."""

    def __init__(self, network: Network) -> None:
        self.size = network.size
        self.dtype = network.dtype
        self.a, self.b = points(network.a), points(network.b)
        self.z, there = ohms(network.z, network.dtype)
        self.present = there & (self.a != self.b)
        self.source_pos, self.source_neg = points(network.source_pos), points(network.source_neg)
        self.source_z, there = ohms(network.source_z, network.dtype)
        self.source_there = there & (self.source_pos != self.source_neg)
        self.diode_a, self.diode_b = points(network.diode_a), points(network.diode_b)
        self.diode_z, there = ohms(network.diode_z, network.dtype)
        self.diode_there = there & (self.diode_a != self.diode_b)
        self.load_pos, self.load_neg = points(network.load_pos), points(network.load_neg)
        self._whole = bool(self.present.all())
        self._edges = np.flatnonzero(self.present)
        a, b = (self.a, self.b) if self._whole else (self.a[self._edges], self.b[self._edges])
        z = self.z if self._whole else self.z[self._edges]
        sources, diodes = self.source_there, self.diode_there
        self.shape = shape = Shape(
            self.size,
            a,
            b,
            (self.source_pos[sources], self.source_neg[sources], self.diode_a[diodes], self.diode_b[diodes]),
        )
        self.tree_z: Array = z[shape.edge]
        self.edge_of_tree: Ints = self._edges[shape.edge]
        in_core = shape.is_core_edge
        self._core_a, self._core_b = shape.core_at[a[in_core]], shape.core_at[b[in_core]]
        self._core_y = 1 / z[in_core]
        self._cores: dict[bytes, Core] = {}
        at = shape.core_at
        self._source_a, self._source_b = at[self.source_pos], at[self.source_neg]
        self._diode_a, self._diode_b = at[self.diode_a], at[self.diode_b]

    def core(self, state: State) -> Core:
        """The core in a state; kept."""
        key = np.packbits(state.off).tobytes() + b"/" + np.packbits(state.blocks).tobytes()
        core = self._cores.get(key)
        if core is None:
            sources, diodes = self.source_there & ~state.off, self.diode_there & ~state.blocks
            core = self._cores[key] = Core(
                len(self.shape.core),
                np.concatenate((self._core_a, self._source_a[sources], self._diode_a[diodes])),
                np.concatenate((self._core_b, self._source_b[sources], self._diode_b[diodes])),
                np.concatenate((self._core_y, 1 / self.source_z[sources], 1 / self.diode_z[diodes])),
            )
        return core

    def at_sources(self, source_a: Array, diode_a: Array) -> Array:
        """Amperes put in at each core point by sources and taken along by diodes."""
        count = len(self.shape.core)
        put = collect(self._source_a, source_a, count) - collect(self._source_b, source_a, count)
        if len(diode_a):
            put = put + collect(self._diode_b, diode_a, count) - collect(self._diode_a, diode_a, count)
        return np.asarray(put, dtype=np.complex128 if self.dtype is complex else np.float64)

    def branch_a(self, volts: Array, below: Array) -> Array:
        """The current of each branch, from `a` to `b`."""
        amps = np.where(self.present, (volts[self.a] - volts[self.b]) / self.z, 0)
        edges = self.edge_of_tree
        runs_up = self.a[edges] == self.shape.tree
        flow = below[self.shape.tree]
        amps[edges] = np.where(runs_up, flow, -flow)
        return amps
