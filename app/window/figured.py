"""The figures of a drawing as the window has them: what flows, faults, energy, true for one state of the drawing."""

from __future__ import annotations

from app.judgement import FaultFigures, FlowFigures
from app.worker_messages import EnergyTold, FaultsTold, FigureAnswer, FlowTold
from engine.circuit.energy.results import Energy

__all__ = ["Figured"]


class Figured:
    """What was told since the last edit; what was told before that is kept aside, and is stale."""

    def __init__(self) -> None:
        self.flows: dict[str, FlowFigures] = {}  # by condition
        self.energies: dict[str, Energy] = {}
        self.faults: FaultFigures | None = None
        self.stopped: dict[tuple[str, str], str] = {}  # (what, condition) -> why
        self._before: dict[str, Energy] = {}

    def forget(self) -> None:
        """The drawing has changed: nothing of this holds any more."""
        self._before |= self.energies
        self.flows, self.energies, self.faults, self.stopped = {}, {}, None, {}

    def take(self, told: FigureAnswer) -> None:
        """Hear of some figures."""
        if isinstance(told, FlowTold):
            self.flows[told.figures.condition] = told.figures
        elif isinstance(told, EnergyTold):
            self.energies[told.energy.condition] = told.energy
        elif isinstance(told, FaultsTold):
            self.faults = told.figures
        else:
            self.stopped[told.what, told.condition] = told.words

    def energy(self, condition: str) -> tuple[Energy | None, bool]:
        """The energy of a condition, and whether it is from before the last change."""
        now = self.energies.get(condition)
        if now is not None or ("energy", condition) in self.stopped:
            return now, False
        before = self._before.get(condition)
        return before, before is not None
