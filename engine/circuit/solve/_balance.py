"""Loads against the network, sources and diodes as they stand: chord iteration, then Newton, then honest collapse.

The chord iteration puts what loads take at the last volts back in as currents; the network's factor stays. It closes in
by the ratio of source resistance to load resistance each time. Where that is slow, Newton's method on the volts of the
loads, its linear equations by products only. Where that stalls too, the load that is furthest down is put below its
floor, where it takes in proportion to its volts, and the rest is solved again; what then stands above its floor is let
go. A load held so is reported as collapsed.

A source at its limit whose island has no other source gives its limit at whatever EMF that takes: its EMF is one more
unknown (`lowered`). An alternating source at its limit acts as if its own impedance had grown: its current keeps the
angle that its EMF, the volts at its terminals and its impedance give it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from engine.circuit.solve._krylov import gmres
from engine.circuit.solve._loads import Loads
from engine.circuit.solve._stand import Stand
from engine.circuit.solve.network import Array, Ints

CLOSE = 1e-12  # relative, of the volts a load would have with nothing drawn
MOST_CHORDS = 12
MOST_NEWTONS = 25
MOST_COLLAPSES = 40
MOST_SOLVES = 1500  # linear solutions in all: what is not found by then is reported as not found


@dataclass(slots=True)
class Throttled:
    """Sources whose EMF is lowered until they give their limit."""

    source: Ints
    emf: Array
    z: Array
    limit_a: Array
    is_stubborn: Array  # released before and back at its limit: a higher EMF than its own is no way out


class Balance:
    """One search for the volts of the loads."""

    def __init__(self, stand: Stand, loads: Loads, rest_v: Array, scale: Array, throttled: Throttled) -> None:
        self.stand, self.loads, self.throttled, self.scale = stand, loads, throttled, scale
        self.count = count = stand.ports.loads
        self.rest_v, self.open_v = rest_v, rest_v[:count]
        self.solves = 0
        emf = np.abs(throttled.emf)
        self.emf_scale = np.where(emf > 0, emf, 1.0)
        self.would = throttled.emf  # what would drive each throttled source, of the last look
        self.island = stand.port_island[:count]
        self.open_islands = np.zeros(stand.islands, dtype=bool)  # no solution was found there

    def _ends(self, amps: Array, lowered: Array) -> tuple[Array, Array]:
        """How far amperes of loads and lowered EMFs change the volts across loads and across throttled sources."""
        self.solves += 1
        if not len(lowered):
            return self.stand.load_volts(amps), lowered
        every = np.zeros(len(self.rest_v), dtype=self.rest_v.dtype)
        every[: self.count] = amps
        at = self.count + self.throttled.source
        every[at] = lowered / self.throttled.z
        volts = self.stand.volts(every)
        return volts[: self.count], volts[at]

    def run(self, load_v: Array, lowered: Array) -> tuple[Array, Array, bool]:
        """Volts of the loads, how far each throttled EMF is lowered, whether it is a solution."""
        loads = self.loads
        found, low, is_close = load_v, lowered, False
        if not len(lowered):
            found, is_close = self._chord(load_v)
            if is_close:  # nobody has been put below its floor yet
                return found, low, True
        let_go = np.zeros(self.count, dtype=bool)
        for number in range(MOST_COLLAPSES):
            if number:
                found, low, is_close = load_v, lowered, False
                if not len(lowered):
                    found, is_close = self._chord(load_v)
            if not is_close:
                usable = np.isfinite(found) & (np.abs(found) <= self.scale)
                found, low, is_close = self._newton(np.where(usable, found, self.open_v), lowered)
            reached = np.ones(self.count, dtype=bool)  # loads on islands where there is no solution yet
            if is_close:
                risen = loads.held & (np.abs(found) > loads.floor * (1 + 1e-9))
                if risen.any():
                    loads.held &= ~risen
                    let_go |= risen
                    load_v, lowered = found, low
                    continue
                pushed = self._pushed(low)
                if not pushed.any():
                    return found, low, True
                reached = pushed[self.island]
            elif self.open_islands.any():
                reached = self.open_islands[self.island]
            if self.solves > MOST_SOLVES:
                return found, low, False
            standing = loads.bends & loads.live & (loads.value != 0) & ~loads.held & ~let_go & reached
            if not standing.any() or not np.isfinite(found).all():
                return found, low, is_close
            share = np.where(standing, np.abs(found) / self.scale, np.inf)
            loads.held |= share <= 1.02 * share.min()
            load_v, lowered = found, low
        return load_v, lowered, False

    def _pushed(self, lowered: Array) -> Array:
        """Islands where a stubborn source gives its limit only above its own EMF: what they feed must give way."""
        throttled = self.throttled
        pushed = np.zeros(self.stand.islands, dtype=bool)
        if not throttled.is_stubborn.any():
            return pushed
        above = (lowered * _unit(self.would).conj()).real < -1e-9 * self.emf_scale
        at = self.stand.port_island[self.count + throttled.source]
        pushed[at[above & throttled.is_stubborn]] = True
        return pushed

    def _chord(self, load_v: Array) -> tuple[Array, bool]:
        loads, stand, scale = self.loads, self.stand, self.scale
        for _ in range(MOST_CHORDS):
            self.solves += 1
            new = self.open_v + stand.load_volts(loads.amps(load_v))
            step = float((np.abs(new - load_v) / scale).max(initial=0.0))
            load_v = new
            if step <= CLOSE:
                return load_v, True
            if not step < 1e3:
                break
        return load_v, False

    def _missing(self, load_v: Array, lowered: Array) -> tuple[Array, Array]:
        """What is wrong, relative; and the volts that would drive each throttled source if it were not."""
        across, terminals = self._ends(self.loads.amps(load_v), lowered)
        throttled = self.throttled
        across = across + self.open_v
        terminals = terminals + self.rest_v[self.count + throttled.source]
        self.would = would = throttled.emf - terminals
        drive = would - lowered
        wrong = (drive - np.abs(throttled.z) * throttled.limit_a * _unit(would)) / self.emf_scale
        return np.concatenate(((load_v - across) / self.scale, wrong)), would

    def _newton(self, load_v: Array, lowered: Array) -> tuple[Array, Array, bool]:
        wrong, would = self._missing(load_v, lowered)
        size = float(np.abs(wrong).max(initial=0.0))
        for _ in range(MOST_NEWTONS):
            if size <= CLOSE:
                return load_v, lowered, True
            if not np.isfinite(size):
                return load_v, lowered, False
            step = self._step(load_v, would, wrong)
            part = 1.0
            for _ in range(8):
                new_v = load_v + part * step[: self.count] * self.scale
                new_low = lowered + part * step[self.count :] * self.emf_scale
                new_wrong, new_would = self._missing(new_v, new_low)
                new_size = float(np.abs(new_wrong).max(initial=0.0))
                if new_size <= (1 - 0.1 * part) * size or new_size <= CLOSE:
                    break
                part /= 2
            else:  # no way down from here
                break
            load_v, lowered, wrong, would, size = new_v, new_low, new_wrong, new_would, new_size
        self.open_islands[:] = False
        self.open_islands[self.island[np.abs(wrong[: self.count]) > 100 * CLOSE]] = True
        return load_v, lowered, size <= 100 * CLOSE  # as near as figures of this length allow

    def _step(self, load_v: Array, would: Array, wrong: Array) -> Array:
        """Newton's step, relative."""
        is_complex = wrong.dtype.kind == "c"
        throttled = self.throttled
        unit = _unit(would)
        amount = np.abs(would)
        turns = np.abs(throttled.z) * throttled.limit_a / np.where(amount > 0, amount, np.inf)

        def product(flat: Array) -> Array:
            step = flat.view(np.complex128) if is_complex else flat
            step_v, step_low = step[: self.count] * self.scale, step[self.count :] * self.emf_scale
            across, terminals = self._ends(self.loads.change(load_v, step_v), step_low)
            turned = -terminals + unit * (unit.conj() * terminals).real  # what is across the direction of the current
            second = (-step_low - terminals - turns * turned) / self.emf_scale
            out = np.concatenate(((step_v - across) / self.scale, second))
            return out.view(np.float64) if is_complex else out

        right = -(wrong.view(np.float64) if is_complex else wrong)
        step = gmres(product, right, 1e-8)
        return step.view(np.complex128) if is_complex else step


def _unit(values: Array) -> Array:
    """The direction of each; 1 where there is none."""
    size = np.abs(values)
    return np.where(size > 0, values / np.where(size > 0, size, 1), 1)
