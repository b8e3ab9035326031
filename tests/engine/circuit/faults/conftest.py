"""A yard for boats whose faults are asked by designation; conductors without length are no resistance."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.faults.results import BusFault, DeviceFault, FarEnd, Faults
from engine.study import Study


class Yard(Builder):
    """A builder; `join` lays a run of no resistance, `lay` one of size and length."""

    def __init__(self, book: str = "trade-na", **vessel: Any) -> None:
        super().__init__(book=book, **vessel)
        self.place("cabin", "accommodation", 20.0)
        self._count = 0

    def join(self, start: str, end: str, function: str = "dc positive", **facts: Any) -> None:
        self._count += 1
        self.run(f"J{self._count}", start, end, function=function, size="120 mm2", length_m=0.0, **facts)

    def lay(self, name: str, start: str, end: str, size: str, length_m: float | None, **facts: Any) -> None:
        known: dict[str, Any] = {"function": "dc positive", "insulation_c": 105.0, "bundle": 1, "places": ("cabin",)}
        self.run(name, start, end, size=size, length_m=length_m, **(known | facts))

    def told(self) -> Told:
        snapshot = self.installation.snapshot()
        return Told(Study(snapshot, load(snapshot.settings.book)))


class Told:
    """Faults by designation."""

    def __init__(self, study: Study) -> None:
        self.study = study
        self.faults: Faults = study.faults

    def device(self, name: str) -> DeviceFault:
        (found,) = (fault for fault in self.faults.devices if fault.designation == name)
        return found

    def bus(self, name: str) -> BusFault:
        (found,) = (fault for fault in self.faults.buses if fault.designation == name)
        return found

    def far(self, device: str, run: str) -> FarEnd:
        name = self.study.name
        (found,) = (end for end in self.faults.far_ends if (name(end.device), name(end.run)) == (device, run))
        return found

    def positions(self, fault: DeviceFault | BusFault) -> dict[str, str]:
        return {self.study.name(item): position for item, position in fault.positions}


@pytest.fixture
def yard() -> Yard:
    return Yard()
