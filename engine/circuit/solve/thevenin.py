"""What a network looks like from two of its points: its impedance there, and a bolted fault.

Trees and core as in `solver`: the impedance between two points is that of the ways to the core plus that of the core
between where they arrive, so every pair of a large drawing costs one inverse of its small core.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from engine.circuit.solve._system import State, System, figures, ohms
from engine.circuit.solve.network import Array, Network, Solution
from engine.circuit.solve.solver import solve

__all__ = ["thevenin", "through"]


def thevenin(network: Network, pairs: Sequence[tuple[int, int]]) -> Array:
    """Ohms between the two points of each pair, every EMF silenced and its impedance in place.

    Loads are left out, limits are not heeded, diodes conduct. inf where no source stands on the pair's island or the
    two points are on different ones; 0 for a point against itself.
    """
    ends = np.array(pairs, dtype=np.int64).reshape(-1, 2)
    with np.errstate(all="ignore"):
        return between(System(unloaded(network)), ends[:, 0], ends[:, 1])


def between(system: System, one: Array, other: Array) -> Array:
    """The same for points as arrays and a system at hand."""
    shape = system.shape
    rest = State(~system.source_there, ~system.diode_there)
    core = system.core(rest)
    step = np.zeros(system.size, dtype=system.tree_z.dtype)
    step[shape.tree] = system.tree_z
    depth = shape.along(step)
    ohms = depth[one] + depth[other] + core.between(shape.core_at[one], shape.core_at[other])
    same_tree = np.flatnonzero(shape.root[one] == shape.root[other])
    if len(same_tree):
        ohms[same_tree] -= 2 * depth[shape.meets(one[same_tree], other[same_tree])]
    is_fed = np.zeros(len(core.island) + 1, dtype=bool)
    is_fed[core.island[shape.core_at[system.source_pos[system.source_there]]]] = True
    ohms[~is_fed[core.island[shape.core_at[one]]]] = np.inf
    ohms[one == other] = 0
    return ohms


def unloaded(network: Network) -> Network:
    """The network without its loads."""
    return replace(network, load_pos=[], load_neg=[], load_kind=[], load_value=[], floor_v=[])


def through(network: Network, pos: int, neg: int) -> Solution:
    """A bolted fault between two points, loads left out, limited sources held at their limit, diodes heeded.

    The fault is one branch more, the last: ``branch_a[-1]`` is the fault current from `pos` to `neg`.
    """
    if pos == neg:
        open_circuit = solve(unloaded(network))
        return replace(open_circuit, branch_a=np.append(open_circuit.branch_a, 0))
    joined = unloaded(network)
    for name in ("a", "b", "source_pos", "source_neg", "diode_a", "diode_b"):
        setattr(joined, name, [pos if point == neg else point for point in getattr(network, name)])
    found = solve(joined)
    _give_into_fault(found, network, joined)
    found.volts[neg] = found.volts[pos]
    found.island[neg] = found.island[pos]
    arrives = 0
    for ends, signs, amps in (
        (network.a, -1, found.branch_a),
        (network.b, 1, found.branch_a),
        (network.source_pos, 1, found.source_a),
        (network.source_neg, -1, found.source_a),
        (network.diode_a, -1, found.diode_a),
        (network.diode_b, 1, found.diode_a),
    ):
        arrives += signs * amps[np.array(ends, dtype=np.int64) == pos].sum()
    return replace(found, branch_a=np.append(found.branch_a, arrives))


def _give_into_fault(found: Solution, network: Network, joined: Network) -> None:
    """Sources whose own terminals are faulted: each gives what its impedance or its limit lets it."""
    z, there = ohms(network.source_z, network.dtype)
    emf, known = figures(network.emf, network.dtype)
    for number in np.flatnonzero(there & known).tolist():
        pos, neg = network.source_pos[number], network.source_neg[number]
        if pos == neg or joined.source_pos[number] != joined.source_neg[number]:
            continue
        amps = emf[number] / z[number]
        limit = network.limit_a[number]
        if abs(amps) > limit:  # not a number: no limit
            amps *= max(limit, 0.0) / abs(amps)
            found.is_limited[number] = True
        found.source_a[number] = amps
        found.is_fed[found.island[pos]] |= amps != 0
