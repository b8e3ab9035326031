"""What loads take at given volts, and how that changes with the volts.

Every kind is ``amps = value * volts / m**p`` with m the magnitude of the volts, but no less than the floor: p = 0 for
a resistance (value = 1 / ohms), 1 for a current, 2 for a power (value = conjugate of W + j var). So below its floor a
load takes in proportion to its volts, the curve has no step, and a solution always exists.
"""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

from engine.circuit.solve.network import CURRENT, LEAST_OHM, POWER, RESISTANCE, Array, Network

FLOOR_OF_POWER = 0.5  # of its open-circuit volts: past that a source of any resistance gives less, not more
FLOOR_OF_CURRENT = 0.1
Bools: TypeAlias = npt.NDArray[np.bool_]


class Loads:
    """The loads of a network as arrays. What has no meaning (not a number, ohms not above 0) takes nothing."""

    def __init__(self, network: Network) -> None:
        dtype = np.complex128 if network.dtype is complex else np.float64
        self.kind = np.array(network.load_kind, dtype=np.int64)
        value = np.array(network.load_value, dtype=np.complex128)
        floor = np.array(network.floor_v, dtype=np.float64)
        self.floor_v = np.where(np.isfinite(floor) & (floor > 0), floor, 0.0)
        is_ohms = self.kind == RESISTANCE
        known = np.isfinite(value) & ~(is_ohms & ((value.real < 0) | (value == 0)))
        value = np.where(known, value, 0)
        ohms = np.where(np.abs(value) < LEAST_OHM, LEAST_OHM, value)
        value = np.where(is_ohms, np.where(known, 1 / ohms, 0), np.where(self.kind == POWER, value.conj(), value))
        self.value: Array = value if dtype is np.complex128 else value.real.copy()
        self._power: Bools = self.kind == POWER
        self._current: Bools = self.kind == CURRENT
        self.bends: Bools = ~is_ohms
        self.live: Bools = np.ones(len(value), dtype=bool)
        self._nobody: Bools = np.zeros(len(value), dtype=bool)
        self._names_floor: Bools = self.floor_v > 0
        self._share = np.where(self._power, FLOOR_OF_POWER, FLOOR_OF_CURRENT)
        self.held: Bools = self._nobody.copy()
        self.floor = self.floor_v.copy()

    def stand_on(self, open_v: Array, live: Bools) -> None:
        """Floors for loads that name none, from the size of their volts with nothing drawn; who can take anything."""
        floor = np.where(self._names_floor, self.floor_v, self._share * open_v)
        # no volts and no floor: nothing to divide by
        self.live = live & ((floor > 1e-12) | ~self.bends)
        self.floor = floor = np.where(self.live, floor, 1.0)
        self.held = self._nobody.copy()
        self._scaled: Array = np.where(self.live, self.value, 0)

    def _weight(self, size: Array) -> Array:
        """1 / m**p."""
        least = np.maximum(size, self.floor)
        if self.held.any():
            least = np.where(self.held, self.floor, least)
        weight: Array = np.where(self._power, 1 / (least * least), np.where(self._current, 1 / least, 1.0))
        return weight

    def amps(self, volts: Array) -> Array:
        """What each takes at these volts."""
        amps: Array = self._scaled * volts * self._weight(np.abs(volts))
        return amps

    def change(self, volts: Array, step: Array) -> Array:
        """How much more each takes when its volts change by a small `step`."""
        size = np.abs(volts)
        weight = self._weight(size)
        free = self.bends & ~self.held & (size > self.floor)
        safe = np.where(free, size, 1.0)
        growth = np.where(free, (volts.conj() * step).real / safe**2, 0.0)  # relative, of the magnitude
        power = np.where(self._power, 2.0, 1.0)
        change: Array = self._scaled * weight * (step - volts * power * growth)
        return change

    def collapsed(self, volts: Array) -> Bools:
        """Who is below its floor, or has nothing to live on."""
        below: Bools = self.bends & (self._scaled != 0) & (self.held | (np.abs(volts) < self.floor * (1 - 1e-9)))
        below |= ~self.live
        return below
