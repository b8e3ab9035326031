"""Small boats to be solved: a yard that builds, states what runs, and tells the flow by designation."""

from __future__ import annotations

from typing import Any

import pytest

from engine.books import load
from engine.builder import Builder
from engine.circuit.flow.results import Flow, LoadFlow, RunFlow, SourceFlow
from engine.edits.edit import SetFields, apply
from engine.installation import ConditionDuty
from engine.study import Study

BOOK = load("trade-na")


class Yard(Builder):
    """A builder whose conductors lie in a cabin at 20 degC, so that tables can be read off as they are."""

    def __init__(self, degrees: float = 20.0) -> None:
        super().__init__()
        self.place("cabin", "accommodation", degrees)

    def cable(self, designation: str, start: str, end: str, size: str, length_m: float, **facts: Any) -> str:
        return self.run(designation, start, end, size=size, length_m=length_m, places=("cabin",), **facts)

    def runs_with(
        self, name: str, running: tuple[str, ...] = (), hours: dict[str, float] | None = None, **at: str
    ) -> str:
        """A condition with what runs in it and hours of loads."""
        item = self.condition(name, **at)
        duties = tuple(
            ConditionDuty(equipment=self._ids[load], hours_a_day=amount) for load, amount in (hours or {}).items()
        )
        fields = (("running", tuple(self._ids[source] for source in running)), ("duties", duties))
        apply(self.installation, SetFields("conditions", item, fields))
        return item

    def study(self) -> Study:
        return Study(self.installation.snapshot(), BOOK)

    def flow(self, condition: str = "", charge: Any = "nominal") -> Told:
        return Told(self.study().flow(condition, charge))


class Told:
    """A flow, asked by designation; that it balances is looked at every time."""

    def __init__(self, flow: Flow) -> None:
        self.flow = flow
        whole = max(flow.sources_w, flow.loads_w, 1.0)
        assert abs(flow.sources_w - flow.loads_w - flow.losses_w) <= 1e-6 * whole

    def run(self, name: str) -> RunFlow:
        (found,) = (run for run in self.flow.runs if run.designation == name)
        return found

    def load(self, name: str, terminal: str = "") -> LoadFlow:
        (found,) = (x for x in self.flow.loads if x.designation == name and terminal in ("", x.terminal))
        return found

    def source(self, name: str, conductor: str = "") -> SourceFlow:
        (found,) = (x for x in self.flow.sources if x.designation == name and conductor in ("", x.conductor))
        return found

    def amps(self, device: str) -> float:
        (found,) = (x for x in self.flow.devices if x.designation == device)
        return found.amps


@pytest.fixture
def yard() -> Yard:
    return Yard()


@pytest.fixture
def yard_at() -> type[Yard]:
    return Yard
