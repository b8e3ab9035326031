"""A small boat on one A3 sheet, placed by hand, and the few things every test of changes does."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from app.drawing import changes
from app.drawing.placed import RunPart, Scene
from engine.builder import Builder
from engine.edits import Edit, apply
from engine.installation import Installation, Placement, Sheet, Snapshot


class Bench:
    """A drawing being worked on, everything by designation."""

    def __init__(self, builder: Builder) -> None:
        self.b = builder
        self.x: Installation = builder.installation
        self.sheet = builder._new("sheets", Sheet(number=1))

    @property
    def snapshot(self) -> Snapshot:
        return self.x.snapshot()

    @property
    def last_id(self) -> int:
        return self.x.last_id

    def at(self, name: str) -> str:
        return self.x.find(name)[0][1]

    def run(self, name: str) -> Any:
        return self.x.get("runs", self.at(name))

    def symbol(self, name: str) -> str:
        return next(i for i, p in self.x.items("placements") if p.equipment == self.at(name))

    def put(self, name: str, x: int, y: int, **more: Any) -> str:
        placement = Placement(equipment=self.at(name), sheet=self.sheet, x=x, y=y, **more)
        return self.b._new("placements", placement)

    def grip(self, name: str, terminal: str, column: int = 0, row: int = 0) -> changes.Grip:
        return changes.Grip(self.symbol(name), terminal, "", column, row)

    def do(self, made: Any) -> Any:
        edit: Edit = made.edit if isinstance(made, changes.Made) else made
        apply(self.x, edit)
        return made

    def scene(self) -> Scene:
        return changes.scene_of(self.snapshot, self.sheet)

    def part(self, name: str) -> RunPart:
        found = [p for p in self.scene().parts_on(self.sheet) if p.run == self.at(name)]
        assert len(found) == 1, (name, found)
        return found[0]

    def ends(self, name: str) -> tuple[str, str]:
        run = self.run(name)
        return tuple(f"{self.snapshot.name(e.equipment)}.{e.terminal}" for e in (run.from_end, run.to_end))  # type: ignore[return-value]


@pytest.fixture
def bench() -> Callable[[], Bench]:
    """G1 below, F1 over it, a bus WC1 across, Q1 and E1 over the bus; W1 to W4 join them, all led."""

    def made() -> Bench:
        b = Builder()
        for kind, name in (
            ("battery_bank", "G1"),
            ("fuse", "F1"),
            ("bus_bar", "WC1"),
            ("battery_switch", "Q1"),
            ("load", "E1"),
        ):
            b.add(kind, name)
        b.run("W1", "G1.pos", "F1.in", length_m=0.2, size="2 AWG", places=("Bilge",))
        b.run("W2", "F1.out", "WC1.bar", length_m=1.0)
        b.run("W3", "WC1.bar", "Q1.in", length_m=1.0)
        b.run("W4", "Q1.out", "E1.in", length_m=4.0)
        bench = Bench(b)
        bench.put("G1", 30, 80)
        bench.put("F1", 30, 68)
        bench.put("WC1", 20, 55, length=30)
        bench.put("Q1", 40, 44)
        bench.put("E1", 40, 30)
        bench.do(changes.lead_anew(bench.snapshot, bench.snapshot.runs, bench.sheet, last_id=bench.last_id))
        assert not bench.scene().unrouted
        return bench

    return made
