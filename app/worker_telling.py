"""When the study process tells which figures: last, those of the shown condition first, each once of a snapshot."""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import NamedTuple

from app.drawing.figures import FigureWords, fault_words, flow_words
from app.drawing.screen import Screen
from app.judgement import Layer
from app.worker_figures import fault_figures, flow_figures, over_limits
from app.worker_messages import Answer, EnergyTold, FaultsTold, FiguresStopped, FlowTold
from app.worker_pictures import laid
from engine.check import CheckResult
from engine.pausing import GivenUp
from engine.study import Study
from engine.words import _

__all__ = ["FigureTeller", "Superseded", "View", "said"]

log = logging.getLogger(__name__)


class Superseded(GivenUp):
    """A newer request waits."""


def said(fault: Exception) -> str:
    """The first line of what a fault says, for people where it is a sentence of ours."""
    if isinstance(fault, MemoryError):
        return _("there is not enough memory for it")
    text = str(fault).strip().splitlines()
    return text[0] if text and isinstance(fault, ValueError) else type(fault).__name__


class View(NamedTuple):
    """What is looked at."""

    sheet: str
    condition: str
    layer: str  # of `app.judgement.LAYERS`, "" none


class FigureTeller:
    """Tells figures of one snapshot; `go_on` is called between them and raises `Superseded` for a newer request.

    A fault in one of them takes none of the others.
    """

    def __init__(self, send: Callable[[Answer], None], go_on: Callable[[], None], screen: Screen) -> None:
        self._send, self._go_on, self._screen = send, go_on, screen
        self._told: set[tuple[str, str]] = set()  # (what, condition)
        self._words: dict[tuple[str, str], dict[str, FigureWords]] = {}  # of the layers
        self._laid: View | None = None
        self._result: CheckResult | None = None
        self._at = 0

    def forget(self) -> None:
        """The drawing is another."""
        self._told.clear()
        self._words.clear()
        self._laid = None

    def look_away(self) -> None:
        """The window looks at something and has no layer over it."""
        self._laid = None

    def tell(self, study: Study, result: CheckResult | None, at: int, view: View) -> None:
        """All there is to tell for request `at`."""
        self._result, self._at = result, at
        shown = study.operation(view.condition).condition
        if view.layer == "flow" or any(made.condition == shown for made in study.operations):
            self._figure(study, "flow", shown)  # as drawn no rule asks for it: only where it is wanted
        if view.layer == "flow":
            self._lay(view, shown)
        steps = [("energy", shown), ("faults", "")]
        for what, condition in reversed(steps) if view.layer == "faults" else steps:
            self._figure(study, what, condition)
            if what == "faults" and view.layer == "faults":
                self._lay(view, "")
        for operation in study.operations:
            self._figure(study, "energy", operation.condition)

    def _figure(self, study: Study, what: str, condition: str) -> None:
        if (what, condition) in self._told:
            return
        self._go_on()
        tells = {"flow": self._flow, "energy": self._energy, "faults": self._faults}
        self._safely(what, condition, lambda: tells[what](study, condition))
        self._told.add((what, condition))

    def _safely(self, what: str, condition: str, do: Callable[[], None]) -> None:
        try:
            do()
        except Superseded:
            raise
        except Exception as fault:
            log.exception("%s of request %d stopped", what, self._at)
            self._send(FiguresStopped(self._at, what, condition, said(fault)))

    def _flow(self, study: Study, condition: str) -> None:
        over = over_limits(self._result, study.operation(condition).name)
        figures = flow_figures(study.flow(condition), over)
        self._words["flow", condition] = flow_words(figures)
        self._send(FlowTold(self._at, figures))

    def _energy(self, study: Study, condition: str) -> None:
        self._send(EnergyTold(self._at, study.energy(condition)))

    def _faults(self, study: Study, _condition: str) -> None:
        figures = fault_figures(study.faults)
        self._words["faults", ""] = fault_words(figures, study.name)
        self._send(FaultsTold(self._at, figures))

    def _lay(self, view: View, condition: str) -> None:
        """The layer over the sheet that is shown; `condition` is that of its figures."""
        words = self._words.get((view.layer, condition))
        if words is None or not view.sheet or self._laid == view:
            return
        self._go_on()

        def lay() -> None:
            placed = self._screen.figures(view.sheet, words)
            layer = Layer(self._at, view.sheet, view.condition, view.layer, placed.of, placed.unplaced)
            self._send(laid(layer))
            self._laid = view

        self._safely(view.layer, condition, lay)
