"""A network as numbers: what is solved, and the answer.

Points are 0 to `size` - 1. Direct current has real numbers, alternating current complex phasors (rms); nothing else
differs. A network may fall into several *islands* that nothing joins; each is solved against a point of its own whose
volts are 0, so only differences of volts within an island mean anything.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, Literal, TypeAlias

import numpy as np
import numpy.typing as npt

__all__ = ["CURRENT", "LEAST_OHM", "POWER", "RESISTANCE", "Array", "Ints", "Network", "Solution"]

Array: TypeAlias = npt.NDArray[Any]  # float64, or complex128 for alternating current
Ints: TypeAlias = npt.NDArray[np.int64]

LEAST_OHM = 1e-6  # an ideal link: keeps Kirchhoff's residual at 1e-8 A, which contraction of points would not better
CURRENT, POWER, RESISTANCE = 0, 1, 2  # kinds of load
LoadKind: TypeAlias = Literal[0, 1, 2]


@dataclass(slots=True)
class Network:
    """What is to be solved. All arrays of one group have the same length.

    A source is an electromotive force `emf` behind `source_z` between two points; with a finite `limit_a` it gives no
    more than that (rms amperes), then at whatever volts that takes. With `one_way` it takes nothing back: it gives
    current or stands idle. A load takes between two points: amperes (`CURRENT`; of an AC load complex, in phase
    with its own volts, lagging negative imaginary), volt-amperes (`POWER`; W + j var) or ohms (`RESISTANCE`). Below
    `floor_v` a `POWER` or `CURRENT` load takes proportionally less, and is reported as collapsed. A diode conducts
    from `diode_a` to `diode_b` only, through `diode_z` and against `diode_v`.
    """

    size: int
    dtype: type = float  # float or complex
    a: list[int] = field(default_factory=list)
    b: list[int] = field(default_factory=list)
    z: list[complex] = field(default_factory=list)
    source_pos: list[int] = field(default_factory=list)
    source_neg: list[int] = field(default_factory=list)
    emf: list[complex] = field(default_factory=list)
    source_z: list[complex] = field(default_factory=list)
    limit_a: list[float] = field(default_factory=list)  # inf: none
    one_way: list[bool] = field(default_factory=list)
    load_pos: list[int] = field(default_factory=list)
    load_neg: list[int] = field(default_factory=list)
    load_kind: list[int] = field(default_factory=list)
    load_value: list[complex] = field(default_factory=list)
    floor_v: list[float] = field(default_factory=list)
    diode_a: list[int] = field(default_factory=list)
    diode_b: list[int] = field(default_factory=list)
    diode_z: list[float] = field(default_factory=list)
    diode_v: list[float] = field(default_factory=list)

    def point(self) -> int:
        """A new point."""
        self.size += 1
        return self.size - 1

    def branch(self, a: int, b: int, z: complex) -> int:
        """Join two points; the number of the branch."""
        self.a.append(a)
        self.b.append(b)
        self.z.append(z)
        return len(self.z) - 1

    def source(
        self,
        pos: int,
        neg: int,
        emf: complex,
        z: complex,
        limit_a: float = float("inf"),
        one_way: bool = False,
    ) -> int:
        """Put a source between two points; its number."""
        self.source_pos.append(pos)
        self.source_neg.append(neg)
        self.emf.append(emf)
        self.source_z.append(z)
        self.limit_a.append(limit_a)
        self.one_way.append(one_way)
        return len(self.emf) - 1

    def load(self, pos: int, neg: int, kind: int, value: complex, floor_v: float = 0.0) -> int:
        """Put a load between two points; its number."""
        self.load_pos.append(pos)
        self.load_neg.append(neg)
        self.load_kind.append(kind)
        self.load_value.append(value)
        self.floor_v.append(floor_v)
        return len(self.load_value) - 1

    def diode(self, a: int, b: int, z: float, volts: float = 0.0) -> int:
        """Let current pass from `a` to `b` only; its number."""
        self.diode_a.append(a)
        self.diode_b.append(b)
        self.diode_z.append(z)
        self.diode_v.append(volts)
        return len(self.diode_z) - 1


@dataclass(slots=True)
class Solution:
    """The answer. Currents run from `a` to `b` of a branch, out of `pos` of a source, into `pos` of a load."""

    volts: Array  # of each point, against its island's own zero
    island: Ints  # of each point; islands are numbered from 0
    is_fed: npt.NDArray[np.bool_]  # of each island: whether a source stands on it
    branch_a: Array
    source_a: Array
    load_a: Array
    diode_a: Array
    load_v: Array  # across each load
    is_limited: npt.NDArray[np.bool_]  # of each source: it gives its limit
    is_collapsed: npt.NDArray[np.bool_]  # of each load: below its floor, or on an island without source
    converged: bool
    iterations: int
    residual_a: float  # largest imbalance of currents at any point
