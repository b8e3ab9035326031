"""Solve a network: volts, currents, which sources are at their limit, which loads have collapsed.

Nodal analysis. A source is its Norton equivalent, a load a current that depends on its volts; trees are summed exactly
and the core between the sources is solved dense (`_shape`, `_core`), each island against a point of its own. Loads
that depend on their volts: `_balance`. Sources with a limit, sources that take nothing back and diodes are settled by
complementarity: each is in one of two states, whoever contradicts its own changes it, and the network is solved again
until nobody does. A search that does not end is reported (`converged` False), never passed off as a solution.

Figures without meaning never raise. Of a branch, source, diode or load with an impedance or value that is not a number
or infinite: it is absent (0 A). Negative resistance of a branch, source or diode: 0; less than `LEAST_OHM`: that. A
load of negative ohms or of none: absent. A limit that is not a number: none; negative: 0. The limit of an
alternating source holds both ways. A load without `floor_v` collapses below
half (`POWER`) or a tenth (`CURRENT`) of the volts it would have with nothing drawn. A load between two islands, or
on one without source, takes nothing.
"""

from __future__ import annotations

import numpy as np

from engine.circuit.solve._balance import MOST_SOLVES, Balance, Throttled
from engine.circuit.solve._core import Core
from engine.circuit.solve._limits import SLACK, Limits
from engine.circuit.solve._loads import Loads
from engine.circuit.solve._shape import collect
from engine.circuit.solve._system import State, System
from engine.circuit.solve.network import Array, Network, Solution

__all__ = ["Prepared", "prepare", "solve"]

MOST_PASSES = 60
ALL_AT_ONCE = 12  # passes in which everyone who contradicts changes; after that one at a time, lowest number first


def solve(network: Network, start: Solution | None = None) -> Solution:
    """Solve a network; `start` is an earlier solution of one alike, from which it begins."""
    return Prepared(network).solve(network, start)


def prepare(network: Network) -> Prepared:
    """A network whose shape is worked out once, to be solved with several loads, EMFs and limits."""
    return Prepared(network)


class Prepared:
    """A network's trees and factor, kept."""

    def __init__(self, network: Network) -> None:
        self.system = System(network)

    def solve(self, network: Network, start: Solution | None = None) -> Solution:
        """Solve with the values of `network`, which differs in loads' values, EMFs, limits and diode volts only."""
        with np.errstate(all="ignore"):
            return _Search(self.system, network, start).run()


class _Search:
    """One solution being looked for."""

    def __init__(self, system: System, network: Network, start: Solution | None) -> None:
        self.system = system
        self.limits = limits = Limits(system, network)
        self.loads = Loads(network)
        self.idle = np.zeros(len(limits.emf), dtype=bool)
        self.limited = np.zeros(len(limits.emf), dtype=bool)
        self.blocks = np.zeros(len(limits.forward_v), dtype=bool)
        self.released = np.zeros(len(limits.emf), dtype=bool)
        self.load_v: Array | None = None
        self.lowered = np.zeros_like(limits.emf)
        self.solves = 0
        self.start(start)

    def start(self, start: Solution | None) -> None:
        """Begin where an earlier solution ended, if it is of such a network."""
        if start is None or not start.converged:
            return
        sizes = (len(start.load_v), len(start.is_limited), len(start.diode_a))
        if sizes == (len(self.loads.value), len(self.limits.emf), len(self.blocks)):
            self.load_v = np.where(start.is_collapsed, np.nan, start.load_v)
            self.limited = start.is_limited & self.limits.can_limit
            self.idle = self.limits.one_way & (start.source_a == 0)
            self.blocks = (start.diode_a == 0) & self.system.diode_there

    def run(self) -> Solution:
        """Pass after pass until no source and no diode contradicts its state."""
        answer = self.one_pass()
        for number in range(1, MOST_PASSES):
            wrong = self.contradictions(answer)
            if not wrong.any():
                return self.finish(answer, True)
            if self.solves > MOST_SOLVES:
                break
            if number >= ALL_AT_ONCE:
                wrong[np.flatnonzero(wrong)[0] + 1 :] = False
            self.change(wrong)
            answer = self.one_pass()
        return self.finish(answer, not self.contradictions(answer).any())

    def throttled(self) -> tuple[State, Core, Array]:
        """The state, its core, and which limited sources must find their EMF.

        A direct source at its limit is a current put in, as long as its island keeps another EMF to fix the volts.
        """
        off = self.idle | self.limits.absent
        throttled = self.limited.copy()
        if self.limits.is_direct and throttled.any():
            state = State(off | self.limited, self.blocks)
            core = self.system.core(state)
            pos, neg = self.ends(core)
            feeds = ~state.off & (self.limits.emf != 0)
            fed = np.bincount(pos[feeds], minlength=len(core.island)) > 0
            throttled &= ~((pos == neg) & fed[pos])
            if not throttled.any():
                return state, core, throttled
        state = State(off | (self.limited & ~throttled), self.blocks)
        return state, self.system.core(state), throttled

    def ends(self, core: Core) -> tuple[Array, Array]:
        """The islands of each source's two points."""
        at = core.island[self.system.shape.core_at]
        return at[self.system.source_pos], at[self.system.source_neg]

    def one_pass(self) -> _Pass:
        """Solve with everyone's state as it stands."""
        system = self.system
        state, core, throttled = self.throttled()
        given = self.limited & ~throttled
        source_a = np.where(state.off, 0, self.limits.emf / system.source_z)
        source_a[given] = self.limits.given_a[given]
        conducts = system.diode_there & ~state.blocks
        put = system.at_sources(source_a, np.where(conducts, -self.limits.forward_v / system.diode_z, 0))
        island = core.island[system.shape.core_at]
        feeds = (~state.off | given) & (self.limits.emf != 0)
        is_fed = np.zeros(int(core.island.max(initial=-1)) + 1, dtype=bool)
        is_fed[island[system.source_pos[feeds]]] = True
        count = len(self.loads.value)
        nothing = np.zeros(count, dtype=put.dtype)
        at_rest, _ = system.volts(core, nothing, put)
        open_v = at_rest[system.load_pos] - at_rest[system.load_neg]
        at_pos, at_neg = island[system.load_pos], island[system.load_neg]
        self.loads.stand_on(open_v, (at_pos == at_neg) & is_fed[at_pos])
        which = np.flatnonzero(throttled)
        lowered = Throttled(
            which, self.limits.emf[which], system.source_z[which], self.limits.limit_a[which], self.released[which]
        )
        balance = Balance(system, core, self.loads, put, open_v, lowered)
        load_v = open_v
        if self.load_v is not None:
            usable = np.isfinite(self.load_v) & (np.abs(self.load_v) > self.loads.floor)
            load_v = np.where(usable, self.load_v, open_v)
        load_v, low, is_close = balance.run(load_v, self.lowered[which])
        self.solves += balance.solves + 1
        self.load_v = load_v
        self.lowered[:] = 0
        self.lowered[which] = low
        return self.answer(state, core, throttled, put, island, is_fed, is_close)

    def answer(
        self, state: State, core: Core, throttled: Array, put: Array, island: Array, is_fed: Array, is_close: bool
    ) -> _Pass:
        """All volts and currents of a pass."""
        system = self.system
        assert self.load_v is not None
        load_a = np.where(np.isfinite(self.load_v), self.loads.amps(self.load_v), 0)
        if throttled.any():
            no_diode = np.zeros(0, dtype=put.dtype)
            put = put + system.at_sources(np.where(throttled, -self.lowered / system.source_z, 0), no_diode)
        volts, below = system.volts(core, load_a, put)
        across = volts[system.source_pos] - volts[system.source_neg]
        emf = self.limits.emf - self.lowered
        source_a = np.where(state.off, 0, (emf - across) / system.source_z)
        given = self.limited & ~throttled
        source_a[given] = self.limits.given_a[given]
        conducts = system.diode_there & ~state.blocks
        drive = volts[system.diode_a] - volts[system.diode_b] - self.limits.forward_v
        diode_a = np.where(conducts, drive / system.diode_z, 0)
        return _Pass(volts, below, island, is_fed, load_a, across, source_a, drive, diode_a, core, is_close)

    def contradictions(self, answer: _Pass) -> Array:
        """Who is in a state that its own volts and currents deny: sources' limits, sources' idling, diodes."""
        slack = min(SLACK * (1 + float(np.abs(answer.load_a).sum())), 1e-3)
        pos, neg = self.ends(answer.core)
        flip_limited, flip_idle = self.limits.sources_denied(
            self.limited, self.idle, answer.source_a, answer.across, pos != neg, slack
        )
        island, system = answer.island, self.system
        is_cut = island[system.diode_a] != island[system.diode_b]
        flip_diodes = self.limits.diodes_denied(self.blocks, answer.diode_a, answer.drive, is_cut, slack)
        return np.concatenate((flip_limited, flip_idle, flip_diodes))

    def change(self, wrong: Array) -> None:
        """Put everyone who contradicts into the other state."""
        count = len(self.limits.emf)
        self.released |= self.limited & wrong[:count]
        self.limited ^= wrong[:count]
        self.idle ^= wrong[count : 2 * count]
        self.blocks ^= wrong[2 * count :]

    def finish(self, answer: _Pass, is_settled: bool) -> Solution:
        """The answer in the caller's terms."""
        system = self.system
        branch_a = system.branch_a(answer.volts, answer.below)
        size = system.size
        load_v = answer.volts[system.load_pos] - answer.volts[system.load_neg]
        rest = collect(system.source_pos, answer.source_a, size) - collect(system.source_neg, answer.source_a, size)
        for at, to, amps in (
            (system.load_pos, system.load_neg, answer.load_a),
            (system.a, system.b, branch_a),
            (system.diode_a, system.diode_b, answer.diode_a),
        ):
            rest = rest + collect(to, amps, size) - collect(at, amps, size)
        residual_a = float(np.abs(rest).max(initial=0.0))
        is_sound = bool(np.isfinite(answer.volts).all() and np.isfinite(residual_a))
        return Solution(
            volts=answer.volts,
            island=answer.island,
            is_fed=answer.is_fed,
            branch_a=branch_a,
            source_a=answer.source_a,
            load_a=answer.load_a,
            diode_a=answer.diode_a,
            load_v=load_v,
            is_limited=self.limited,
            is_collapsed=self.loads.collapsed(load_v),
            converged=bool(is_settled and answer.is_close and is_sound),
            iterations=self.solves,
            residual_a=residual_a,
        )


class _Pass:
    """What one pass found."""

    __slots__ = (
        "across",
        "below",
        "core",
        "diode_a",
        "drive",
        "is_close",
        "is_fed",
        "island",
        "load_a",
        "source_a",
        "volts",
    )

    def __init__(
        self,
        volts: Array,
        below: Array,
        island: Array,
        is_fed: Array,
        load_a: Array,
        across: Array,
        source_a: Array,
        drive: Array,
        diode_a: Array,
        core: Core,
        is_close: bool,
    ) -> None:
        self.volts, self.below, self.island, self.is_fed, self.core = volts, below, island, is_fed, core
        self.load_a, self.across, self.source_a = load_a, across, source_a
        self.drive, self.diode_a, self.is_close = drive, diode_a, is_close
