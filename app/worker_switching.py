"""What the study process works out of switch positions when asked: failures, switching orders, how to make dead. No Qt.

Each gives way to a newer request and is taken up again after it, until it is told or no longer wanted; a fault in one
takes nothing else with it.
"""

from __future__ import annotations

import logging
import time
from collections.abc import Callable
from typing import TypeVar

from app.switching_messages import (
    DeadQuestion,
    FailuresRequest,
    FailuresTold,
    ForgetRequest,
    Isolated,
    IsolateRequest,
    Ordered,
    OrderQuestion,
    OrderRequest,
    Switched,
    SwitchingRequest,
    SwitchingSoFar,
    failures_told,
)
from app.worker_telling import Superseded, said
from engine.circuit.switching.results import Isolation, Order
from engine.pausing import giving_way
from engine.study import Study

__all__ = ["Switching"]

log = logging.getLogger(__name__)

SO_FAR_S = 0.3  # between two words about how far it is

T = TypeVar("T")


class Switching:
    """The newest question of each sort that is not answered yet. `go_on` raises `Superseded` to give up."""

    def __init__(self, send: Callable[[Switched], None], go_on: Callable[[], None]) -> None:
        self._send = send
        self._go_on = go_on
        self._failures = 0  # times the usual effort; 0: not asked
        self._order: OrderQuestion | None = None
        self._isolate: DeadQuestion | None = None
        self._wide: Study | None = None  # that may try more than usual

    def take(self, request: SwitchingRequest) -> None:
        """Keep a question until there is something to answer it by, or drop it."""
        if isinstance(request, FailuresRequest):
            self._failures = request.effort
        elif isinstance(request, OrderRequest):
            self._order = request.question
        elif isinstance(request, IsolateRequest):
            self._isolate = request.question
        else:
            self._forget(request)

    def _forget(self, request: ForgetRequest) -> None:
        if request.what == "failures":
            self._failures = 0
        elif request.what == "order":
            self._order = None
        elif request.what == "isolate":
            self._isolate = None

    def tell(self, study: Study, at: int) -> None:
        """What is quick before what may take long."""
        if (dead := self._isolate) is not None:
            isolation, words = self._worked_out(
                lambda: _isolation(self._with(study, dead.effort), dead.item), at, "isolate"
            )
            self._isolate = None
            self._send(Isolated(at, dead, isolation, words))
        if effort := self._failures:
            told, words = self._worked_out(
                lambda: failures_told(at, effort, self._with(study, effort).failure_table, study.snapshot),
                at,
                "failures",
            )
            self._failures = 0
            self._send(told or FailuresTold(at, effort, words=words))
        if (question := self._order) is not None:
            made, words = self._worked_out(lambda: _order(self._with(study, question.effort), question), at, "order")
            self._order = None
            self._send(Ordered(at, question, made, words))

    def refuse(self, why: str, at: int) -> None:
        """Where the drawing cannot be studied: say so to whoever waits."""
        if self._isolate is not None:
            self._send(Isolated(at, self._isolate, words=why))
        if self._failures:
            self._send(FailuresTold(at, self._failures, words=why))
        if self._order is not None:
            self._send(Ordered(at, self._order, words=why))
        self._isolate, self._failures, self._order = None, 0, None

    def _with(self, study: Study, effort: int) -> Study:
        """A study that may try so many times as much: the searches of the one that was judged have ended already."""
        if effort == 1:
            return study
        wide, budget = self._wide, study.budget * effort
        if wide is None or wide.snapshot is not study.snapshot or wide.budget != budget:
            wide = self._wide = Study(study.snapshot, study.book)
            wide.budget = budget
        return wide

    def _worked_out(self, work: Callable[[], T], at: int, what: str) -> tuple[T | None, str]:
        """What the work gives, else what stopped it."""
        self._go_on()
        told_s = time.monotonic()

        def so_far(done: int, of: int) -> None:
            nonlocal told_s
            if time.monotonic() > told_s + SO_FAR_S:
                told_s = time.monotonic()
                self._send(SwitchingSoFar(at, what, done, of))

        try:
            with giving_way(self._go_on, so_far):
                return work(), ""
        except Superseded:
            raise
        except Exception as fault:
            log.exception("switch positions of request %d: stopped", at)
            return None, said(fault)


def _isolation(study: Study, item: str) -> Isolation:
    from engine.circuit.switching.isolating import isolate

    return isolate(study, item)


def _order(study: Study, question: OrderQuestion) -> Order:
    from engine.circuit.switching.orders import BUDGET, order

    return order(study, question.start, question.stop, question.keep, BUDGET * question.effort)
