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

from typing import Any, NamedTuple

import numpy as np

from engine.circuit.solve._balance import MOST_SOLVES, Balance, Throttled
from engine.circuit.solve._limits import SLACK, Limits
from engine.circuit.solve._loads import Loads
from engine.circuit.solve._shape import collect
from engine.circuit.solve._stand import Ports, Stand
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
        with np.errstate(all="ignore"):
            self.system = System(network)
            self.ports = Ports(self.system)
        self._stands: dict[int, Stand] = {}
        self.rests: dict[tuple[int, bytes], _Rest] = {}
        self._limits: Limits | None = None
        self._loads: Loads | None = None
        self._limit_lists: list[Any] = []
        self._load_lists: list[Any] = []
        self.all_pos = np.concatenate((self.ports.pos, self.system.a))
        self.all_neg = np.concatenate((self.ports.neg, self.system.b))

    def stand(self, state: State) -> Stand:
        """How it stands in a state; kept."""
        core = self.system.core(state)
        stand = self._stands.get(id(core))
        if stand is None:
            stand = self._stands[id(core)] = Stand(self.ports, core)
        return stand

    def limits(self, network: Network) -> Limits:
        """Its EMFs and limits as arrays; kept while they are the same."""
        lists: list[list[Any]] = [network.emf, network.limit_a, network.one_way, network.diode_v]
        if self._limits is None or self._limit_lists != lists:
            self._limits = Limits(self.system, network)
            self._limit_lists = [list(values) for values in lists]
            self.rests.clear()
        return self._limits

    def loads(self, network: Network) -> Loads:
        """Its loads as arrays; kept while they are the same."""
        lists: list[list[Any]] = [network.load_kind, network.load_value, network.floor_v]
        if self._loads is None or self._load_lists != lists:
            self._loads = Loads(network)
            self._load_lists = [list(values) for values in lists]
        return self._loads

    def solve(self, network: Network, start: Solution | None = None) -> Solution:
        """Solve with the values of `network`; only its loads, EMFs, limits and diode volts may differ from before."""
        with np.errstate(all="ignore"):
            return _Search(self, network, start).run()


class _Search:
    """One solution being looked for."""

    def __init__(self, prepared: Prepared, network: Network, start: Solution | None) -> None:
        self.system = prepared.system
        self.rests = prepared.rests
        self.limits = limits = prepared.limits(network)
        self.loads = prepared.loads(network)
        self.idle = np.zeros(len(limits.emf), dtype=bool)
        self.limited = np.zeros(len(limits.emf), dtype=bool)
        self.blocks = np.zeros(len(limits.forward_v), dtype=bool)
        self.released = np.zeros(len(limits.emf), dtype=bool)
        self.load_v: Array | None = None
        self.lowered = np.zeros_like(limits.emf)
        self.solves = 0
        self.was_throttled = False
        no = np.zeros(0, dtype=np.int64)
        self.nobody = Throttled(no, limits.emf[:0], self.system.source_z[:0], limits.limit_a[:0], self.released[:0])
        self.ports = prepared.ports
        loads, sources = self.ports.loads, self.ports.sources
        self.sources, self.diodes = slice(loads, loads + sources), slice(loads + sources, None)
        self.stand = prepared.stand
        self.has_states = bool(len(self.blocks) or limits.can_limit.any() or limits.one_way.any())
        self.all_pos, self.all_neg = prepared.all_pos, prepared.all_neg
        self.start(start)

    def start(self, start: Solution | None) -> None:
        """Begin where an earlier solution ended, if it is of such a network."""
        if start is None or not start.converged:
            return
        sizes = (len(start.load_v), len(start.is_limited), len(start.diode_a))
        if sizes == (len(self.loads.value), len(self.limits.emf), len(self.blocks)):
            self.load_v = np.where(start.is_collapsed, np.nan, start.load_v)
            self.limited = start.is_limited & self.limits.can_limit
            if self.limits.one_way.any():
                across = start.volts[self.system.source_pos] - start.volts[self.system.source_neg]
                self.idle = self.limits.one_way & (start.source_a == 0) & self.limits.is_above_emf(across)
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

    def throttled(self) -> tuple[Array, Stand, Array]:
        """Sources that are out of the network, how it stands then, and which limited ones must find their EMF.

        A direct source at its limit is a current put in, as long as its island keeps another EMF to fix the volts.
        """
        off = self.idle | self.limits.absent
        throttled = self.limited
        if self.limits.is_direct and throttled.any():
            without = off | self.limited
            stand = self.stand(State(without, self.blocks))
            island, is_cut = stand.port_island[self.sources], stand.is_cut[self.sources]
            fed = np.bincount(island[~without & (self.limits.emf != 0)], minlength=stand.islands) > 0
            throttled = throttled & (is_cut | ~fed[island])
            if not throttled.any():
                return without, stand, throttled
        off = off | (self.limited & ~throttled)
        return off, self.stand(State(off, self.blocks)), throttled

    def one_pass(self) -> _Pass:
        """Solve with everyone's state as it stands."""
        limits, system, count = self.limits, self.system, self.ports.loads
        off, stand, throttled = self.throttled()
        given = self.limited & ~throttled
        key = id(stand), given.tobytes()
        rest = self.rests.get(key)
        if rest is None:
            rest = self.rests[key] = self.at_rest(stand, off, given)
        rest_v = rest.volts
        self.loads.stand_on(rest.open_size, rest.is_reached)
        which = np.flatnonzero(throttled)
        lowered = (
            Throttled(which, limits.emf[which], system.source_z[which], limits.limit_a[which], self.released[which])
            if len(which)
            else self.nobody
        )
        balance = Balance(stand, self.loads, rest_v, rest.scale, lowered)
        load_v = rest_v[:count]
        if self.load_v is not None:
            usable = np.isfinite(self.load_v) & (np.abs(self.load_v) > self.loads.floor)
            load_v = np.where(usable, self.load_v, load_v)
        load_v, low, is_close = balance.run(load_v, self.lowered[which])
        self.solves += balance.solves + 1
        self.load_v = load_v
        if len(which) or self.was_throttled:
            self.lowered[:] = 0
            self.lowered[which] = low
            self.was_throttled = True
        amps = self.loads.amps(load_v)
        takes = rest.takes.copy()
        takes[:count] = np.where(np.isfinite(amps), amps, 0)
        if len(which):
            takes[count + which] += low / system.source_z[which]
        return _Pass(takes, off, given, stand, rest.is_fed, is_close)

    def at_rest(self, stand: Stand, off: Array, given: Array) -> _Rest:
        """The network with its EMFs, nothing drawn."""
        limits, ports, system = self.limits, self.ports, self.system
        takes: Array = np.zeros(len(ports.pos), dtype=stand.dtype)
        takes[self.sources] = -np.where(off, np.where(given, limits.given_a, 0), limits.emf / system.source_z)
        if len(self.blocks):
            conducts = system.diode_there & ~self.blocks
            takes[self.diodes] = np.where(conducts, -limits.forward_v / system.diode_z, 0)
        island, count = stand.port_island, ports.loads
        feeds = (~off | given) & (limits.emf != 0)
        is_fed = np.bincount(island[self.sources][feeds], minlength=stand.islands) > 0
        volts = stand.volts(takes)
        size = np.abs(volts[:count])
        scale = np.where(size > 0, size, max(float(size.max(initial=0.0)), 1.0))
        return _Rest(takes, volts, size, scale, is_fed, ~stand.is_cut[:count] & is_fed[island[:count]])

    def currents(self, answer: _Pass, volts: Array) -> tuple[Array, Array, Array]:
        """Amperes of sources and diodes at these volts of the ports; volts that drive each diode forward."""
        limits = self.limits
        would = (limits.emf - self.lowered - volts[self.sources]) / self.system.source_z
        source_a = np.where(answer.given, limits.given_a, np.where(answer.off, 0, would))
        if not len(self.blocks):
            nothing = volts[self.diodes]
            return source_a, nothing, nothing
        drive = volts[self.diodes] - limits.forward_v
        conducts = self.system.diode_there & ~self.blocks
        return source_a, np.where(conducts, drive / self.system.diode_z, 0), drive

    def contradictions(self, answer: _Pass) -> Array:
        """Who is in a state that its own volts and currents deny: sources' limits, sources' idling, diodes."""
        limits, stand = self.limits, answer.stand
        if not self.has_states:
            return np.zeros(0, dtype=bool)
        slack = min(SLACK * (1 + float(np.abs(answer.takes[: self.ports.loads]).sum())), 1e-3)
        volts = stand.volts(answer.takes)
        source_a, diode_a, drive = self.currents(answer, volts)
        flip_limited, flip_idle = limits.sources_denied(
            self.limited, self.idle, source_a, volts[self.sources], stand.is_cut[self.sources], slack
        )
        if not len(self.blocks):
            return np.concatenate((flip_limited, flip_idle))
        flip_diodes = limits.diodes_denied(self.blocks, diode_a, drive, stand.is_cut[self.diodes], slack)
        return np.concatenate((flip_limited, flip_idle, flip_diodes))

    def change(self, wrong: Array) -> None:
        """Put everyone who contradicts into the other state."""
        count = len(self.limits.emf)
        self.released |= self.limited & wrong[:count]
        self.limited ^= wrong[:count]
        self.idle ^= wrong[count : 2 * count]
        if len(self.blocks):
            self.blocks ^= wrong[2 * count :]

    def finish(self, answer: _Pass, is_settled: bool) -> Solution:
        """The answer in the caller's terms."""
        system, ports = self.system, self.ports
        volts, below = answer.stand.points(answer.takes)
        branch_a = system.branch_a(volts, below)
        across = volts[ports.pos] - volts[ports.neg]
        source_a, diode_a, _ = self.currents(answer, across)
        load_a, load_v = answer.takes[: ports.loads], across[: ports.loads]
        amps = np.concatenate((load_a, -source_a, diode_a, branch_a))
        rest = collect(self.all_neg, amps, system.size) - collect(self.all_pos, amps, system.size)
        residual_a = float(np.abs(rest).max(initial=0.0))
        return Solution(
            volts=volts,
            island=answer.stand.island,
            is_fed=answer.is_fed,
            branch_a=branch_a,
            source_a=source_a,
            load_a=load_a,
            diode_a=diode_a,
            load_v=load_v,
            is_limited=self.limited,
            is_collapsed=self.loads.collapsed(load_v),
            converged=bool(is_settled and answer.is_close and np.isfinite(residual_a)),
            iterations=self.solves,
            residual_a=residual_a,
        )


class _Rest(NamedTuple):
    """A network with nothing drawn."""

    takes: Array  # amperes that every port takes: of a source what its EMF gives, negative
    volts: Array  # of every port
    open_size: Array  # volts of every load, their magnitude
    scale: Array  # the same, never 0
    is_fed: Array  # of each island
    is_reached: Array  # loads that have both points on one island with a source


class _Pass(NamedTuple):
    """What one pass found."""

    takes: Array  # amperes that every port takes; of a source what its EMF gives, negative
    off: Array
    given: Array  # sources that are a current put in
    stand: Stand
    is_fed: Array
    is_close: bool
