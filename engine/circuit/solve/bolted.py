"""Bolted faults at many places of one network, with limited sources held at their limits.

A fault changes a network without loads by one current: that of the open volts over the impedance (`thevenin`). What it
does to the terminals of every source is one column of the core's inverse. Faults whose sources and diodes stand in the
same states share a core, so thousands of faults cost a few inverses; the states are settled for each fault by
complementarity as in `solver`. Where one source stands alone on its island and its limit is passed, everything comes
down in proportion. What this way cannot hold (limited sources with no other to fix the volts, an alternating one at
its limit beside others, a search that goes round) is solved by itself with `thevenin.through`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from engine.circuit.solve._core import Core
from engine.circuit.solve._limits import SLACK, Limits
from engine.circuit.solve._system import State, System, points
from engine.circuit.solve.network import Array, Ints, Network
from engine.circuit.solve.thevenin import through, unloaded

__all__ = ["Bolted", "bolted"]

MOST_PASSES = 12


@dataclass(slots=True)
class Bolted:
    """One row for each fault."""

    amps: Array  # from the first point of the pair to the second
    source_a: Array  # of each fault, what each source gives
    branch_a: Array  # through the branch named for the fault, from its `a` to its `b`; 0 where none was
    open_v: Array  # between the two points before the fault, nothing drawn, no source limited
    is_limited: npt.NDArray[np.bool_]  # of each fault and source
    converged: npt.NDArray[np.bool_]


def bolted(network: Network, pairs: Sequence[tuple[int, int]], branches: Sequence[int] | None = None) -> Bolted:
    """Faults between the points of each pair, one at a time; loads are left out, diodes heeded.

    `branches[i]` is a branch whose current is wanted for fault i, -1 for none.
    """
    wanted = points([-1] * len(pairs) if branches is None else list(branches))
    with np.errstate(all="ignore"):
        return _Faults(unloaded(network), np.array(pairs, dtype=np.int64).reshape(-1, 2), wanted).run()


class _Faults:
    def __init__(self, network: Network, pairs: Ints, branches: Ints) -> None:
        self.network, self.branches = network, branches
        self.pos, self.neg = pairs[:, 0], pairs[:, 1]
        self.system = system = System(network)
        self.limits = Limits(system, network)
        count, sources = len(pairs), len(network.emf)
        self.limited = np.zeros((count, sources), dtype=bool)
        self.idle = np.zeros((count, sources), dtype=bool)
        self.blocks = np.zeros((count, len(network.diode_z)), dtype=bool)
        dtype = system.tree_z.dtype
        self.amps = np.zeros(count, dtype=dtype)
        self.open_v = np.zeros(count, dtype=dtype)
        self.branch_a = np.zeros(count, dtype=dtype)
        self.source_a = np.zeros((count, sources), dtype=dtype)
        self.settled_limit = np.zeros((count, sources), dtype=bool)  # at its limit without a state of its own
        self.alone = np.zeros(count, dtype=bool)  # to be solved by itself
        self.converged = np.ones(count, dtype=bool)
        step = np.zeros(system.size, dtype=dtype)
        step[system.shape.tree] = system.tree_z
        shape = system.shape
        self.depth_z = shape.along(step)
        self.u, self.v = shape.core_at[self.pos], shape.core_at[self.neg]
        # core points of all sources and diodes
        ends = np.concatenate((system.source_pos, system.source_neg, system.diode_a, system.diode_b))
        self.ends = shape.core_at[ends]
        self._look_at_branches()

    def run(self) -> Bolted:
        """Settle every fault's states, then those that must be solved by themselves."""
        left = np.arange(len(self.pos))
        for number in range(MOST_PASSES):
            changed = np.zeros(len(self.pos), dtype=bool)
            for these in self.by_state(left):
                changed[these] = self.solve(these, is_first=number == 0)
            left = np.flatnonzero(changed & ~self.alone)
            if not len(left):
                break
        self.alone[left] = True
        for number in np.flatnonzero(self.alone).tolist():
            self.solve_alone(number)
        limited = self.limited | self.settled_limit
        return Bolted(self.amps, self.source_a, self.branch_a, self.open_v, limited, self.converged)

    def by_state(self, these: Ints) -> list[Ints]:
        """Faults sorted by the states of their sources and diodes."""
        states = np.concatenate((self.limited[these], self.idle[these], self.blocks[these]), axis=1)
        if not states.any():
            return [these] if len(these) else []
        _, which = np.unique(np.packbits(states, axis=1), axis=0, return_inverse=True)
        which = which.reshape(-1)
        return [these[which == number] for number in range(int(which.max()) + 1)]

    def solve(self, these: Ints, is_first: bool) -> Array:
        """Solve faults whose states are alike; which of them changed a state."""
        system, limits = self.system, self.limits
        limited, idle, blocks = self.limited[these[0]], self.idle[these[0]], self.blocks[these[0]]
        state = State(limits.absent | idle | limited, blocks)
        core = system.core(state)
        at = core.island[system.shape.core_at]
        source_pos, source_neg = at[system.source_pos], at[system.source_neg]
        if limited.any():
            feeds = ~state.off & (limits.emf != 0)
            is_fed = np.bincount(source_pos[feeds], minlength=len(core.island)) > 0
            is_held = (source_pos == source_neg) & is_fed[source_pos] & limits.is_direct
            if not is_held[limited].all():
                self.alone[these] = True
                return np.zeros(len(these), dtype=bool)
        source_a = np.where(state.off, 0, limits.emf / system.source_z)
        source_a[limited] = limits.given_a[limited]
        conducts = system.diode_there & ~blocks
        put = system.at_sources(source_a, np.where(conducts, -limits.forward_v / system.diode_z, 0))
        rest_v = core.volts(put)
        open_v, amps, pull, branch_pull = self.currents(core, rest_v, these)
        if is_first:
            self.open_v[these] = open_v
        self.amps[these] = amps
        self.branch_a[these] = self.through_branches(rest_v, amps, branch_pull, these)
        sources, diodes = len(system.source_pos), len(system.diode_a)
        volts = rest_v[self.ends] - pull
        pos, neg, diode_a, diode_b = np.split(volts, (sources, 2 * sources, 2 * sources + diodes), axis=1)
        across, drive = pos - neg, diode_a - diode_b - limits.forward_v
        given = np.where(state.off, 0, (limits.emf - across) / system.source_z)
        given[:, limited] = limits.given_a[limited]
        self.source_a[these] = given
        through_diodes = np.where(conducts, drive / system.diode_z, 0)
        flip_limited, flip_idle = limits.sources_denied(limited, idle, given, across, source_pos != source_neg, SLACK)
        is_cut = at[system.diode_a] != at[system.diode_b]
        flip_blocks = limits.diodes_denied(blocks, through_diodes, drive, is_cut, SLACK)
        self.bring_down(these, core, given, flip_limited)
        self.limited[these] ^= flip_limited
        self.idle[these] ^= flip_idle
        self.blocks[these] ^= flip_blocks
        return np.asarray(flip_limited.any(axis=1) | flip_idle.any(axis=1) | flip_blocks.any(axis=1))

    def bring_down(self, these: Ints, core: Core, given: Array, flip_limited: Array) -> None:
        """Where a fault's island has one source and no diode and the limit is passed, bring all down in proportion."""
        system, limits = self.system, self.limits
        at = core.island[system.shape.core_at]
        live = ~limits.absent & (limits.emf != 0)
        count = np.bincount(at[system.source_pos[live]], minlength=len(core.island))
        count[at[system.diode_a]] = 2
        count[at[system.diode_b]] = 2
        source_of = np.zeros(len(core.island) + 1, dtype=np.int64)
        source_of[at[system.source_pos[live]]] = np.flatnonzero(live)
        island = core.island[self.u[these]]
        lone: Array = (count[island] == 1) & (core.island[self.v[these]] == island)
        if not lone.any():
            return
        which = these[lone]
        source = source_of[island[lone]]
        amps = np.abs(given[lone, source])
        over = amps > limits.limit_a[source]
        share = np.where(over, limits.limit_a[source] / amps, 1)
        self.amps[which] *= share
        is_near = core.island[self.branch_u[which]] == island[lone]
        self.branch_a[which] *= np.where(is_near, share, 1)
        self.source_a[which, source] *= share
        self.settled_limit[which[over], source[over]] = True
        flip_limited[np.flatnonzero(lone), source] = False

    def currents(self, core: Core, rest_v: Array, these: Ints) -> tuple[Array, Array, Array, Array]:
        """Open volts and amperes of faults; how far each pulls down the ends of sources and diodes, and its branch."""
        u, v = self.u[these], self.v[these]
        a, b = self.branch_u[these], self.branch_v[these]
        block = core.block_of(u, v)
        open_v = np.where(block >= 0, rest_v[u] - rest_v[v], 0)
        amps = np.zeros_like(open_v)
        pull = np.zeros((len(these), len(self.ends)), dtype=open_v.dtype)
        branch_pull = np.zeros_like(open_v)
        depth = self.depth_z[self.pos[these]] + self.depth_z[self.neg[these]]
        for which, points_in, full in core.by_block(block):
            i, j = core.place[u[which]], core.place[v[which]]
            ohm = depth[which] + full[i, i] + full[j, j] - full[i, j] - full[j, i]
            amps[which] = mine = open_v[which] / ohm
            island = core.island[points_in[0]]
            ends = np.flatnonzero(core.island[self.ends] == island)
            to = core.place[self.ends[ends]]
            pull[np.ix_(which, ends)] = (full[i[:, None], to] - full[j[:, None], to]) * mine[:, None]
            inside = (core.island[a[which]] == island) & (core.island[b[which]] == island)
            one, other = np.where(inside, core.place[a[which]], 0), np.where(inside, core.place[b[which]], 0)
            branch_pull[which] = (full[one, i] - full[one, j] - full[other, i] + full[other, j]) * mine
        return open_v, amps, pull, branch_pull

    def _look_at_branches(self) -> None:
        """Of each fault's branch: its ends in the core, or on which side of it the fault hangs."""
        system, shape, branches = self.system, self.system.shape, self.branches
        there = branches >= 0
        a = np.where(there, system.a[branches], 0) if len(system.a) else np.zeros(len(branches), dtype=np.int64)
        b = np.where(there, system.b[branches], 0) if len(system.b) else np.zeros(len(branches), dtype=np.int64)
        self.branch_u, self.branch_v = shape.core_at[a], shape.core_at[b]
        # of a branch in a tree, the end away from the core
        leaf = np.where(shape.up[a] == b, a, np.where(shape.up[b] == a, b, -1))
        in_tree = np.zeros(len(system.a) + 1, dtype=bool)
        in_tree[system.edge_of_tree] = True
        leaf = np.where(there & in_tree[branches], leaf, -1)
        self.is_core_branch = there & (leaf < 0) & (np.append(system.present, False)[branches])
        self.branch_z = np.where(self.is_core_branch, np.append(system.z, 1)[branches], 1)
        sign = np.where(leaf == a, 1, -1)  # what comes up from the leaf runs from a to b, or against it
        hangs = shape.is_under(self.neg, leaf).astype(int) - shape.is_under(self.pos, leaf).astype(int)
        self.share = np.where(leaf >= 0, sign * hangs, 0)

    def through_branches(self, rest_v: Array, amps: Array, pull: Array, these: Ints) -> Array:
        """The current of the branch named for each fault."""
        rest = rest_v[self.branch_u[these]] - rest_v[self.branch_v[these]]
        in_core = np.where(self.is_core_branch[these], (rest - pull) / self.branch_z[these], 0)
        return np.asarray(in_core + self.share[these] * amps)

    def solve_alone(self, number: int) -> None:
        """One fault by itself."""
        found = through(self.network, int(self.pos[number]), int(self.neg[number]))
        self.amps[number] = found.branch_a[-1]
        self.source_a[number] = found.source_a
        self.limited[number] = found.is_limited
        branch = int(self.branches[number])
        self.branch_a[number] = found.branch_a[branch] if branch >= 0 else 0
        self.converged[number] = found.converged
