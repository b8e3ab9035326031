"""Who stands in which of its two states: sources at their limit, sources that take nothing back, diodes that block.

Arrays may have a leading axis (one row for each of many faults); the last axis is sources, or diodes.
"""

from __future__ import annotations

import numpy as np

from engine.circuit.solve._system import System, figures
from engine.circuit.solve.network import Array, Network

SLACK = 1e-9


class Limits:
    """EMFs and limits of a network's sources, forward volts of its diodes, and what denies a state."""

    def __init__(self, system: System, network: Network) -> None:
        self.emf, there = figures(network.emf, network.dtype)
        self.is_direct = network.dtype is not complex
        limit = np.array(network.limit_a, dtype=np.float64)
        self.limit_a = np.where(np.isnan(limit), np.inf, np.maximum(limit, 0))
        self.absent = ~system.source_there | ~there | (self.limit_a == 0)
        self.one_way = np.array(network.one_way, dtype=bool) & ~self.absent
        self.can_limit = np.isfinite(self.limit_a) & ~self.absent
        forward = np.array(network.diode_v, dtype=np.float64)
        self.forward_v = np.where(np.isfinite(forward) & (forward > 0), forward, 0.0)
        self.source_z, self.diode_there = system.source_z, system.diode_there
        size = np.abs(self.emf)
        self._size = size
        self._direction = np.where(size > 0, self.emf.conj() / np.where(size > 0, size, 1), 1)
        # what each gives at its limit, direct current
        self.given_a: Array = np.where(self.can_limit, self.limit_a, 0) * self._direction.real

    def is_above_emf(self, across: Array) -> Array:
        """Whose terminals stand above its EMF."""
        return np.asarray(((across - self.emf) * self._direction).real > SLACK * (1 + self._size))

    def sources_denied(
        self, limited: Array, idle: Array, amps: Array, across: Array, is_cut: Array, slack_a: float
    ) -> tuple[Array, Array]:
        """Whose being limited, and whose idling, its own amperes and the volts across it deny."""
        out = (amps * self._direction).real  # amperes in the EMF's own direction
        drive = self.emf - across
        would = drive / self.source_z
        gives = (would * self._direction).real
        heeds_sign = self.one_way | self.is_direct
        over = ((out > 0) | ~heeds_sign) & (np.abs(amps) > self.limit_a * (1 + SLACK) + 1e-12)
        to_limit = self.can_limit & ~limited & ~idle & over
        from_limit = limited & (((gives <= 0) & heeds_sign) | (np.abs(would) < self.limit_a * (1 - SLACK)))
        to_idle = self.one_way & ~limited & ~idle & (out < -slack_a)
        rises = (drive * self._direction).real > SLACK * (1 + self._size)
        return to_limit | from_limit, to_idle | (idle & (is_cut | rises))

    def diodes_denied(self, blocks: Array, amps: Array, drive: Array, is_cut: Array, slack_a: float) -> Array:
        """Whose blocking or conducting is denied; `drive` are the volts across it above its forward volts."""
        to_block = self.diode_there & ~blocks & (amps.real < -slack_a)
        return np.asarray(to_block | (blocks & ~is_cut & (drive.real > SLACK)))
