"""What the study process works out of switch positions when asked: failures, switching orders, how to make dead. No Qt.

Each gives way to a newer request and is taken up again after it, until it is told or no longer wanted; a fault in one
takes nothing else with it.
"""

from __future__ import annotations

import logging
from collections.abc import Callable
from typing import TypeVar

from app.switching_messages import (
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
    failures_told,
)
from app.worker_telling import Superseded, said
from engine.circuit.switching.results import Isolation, Order
from engine.pausing import giving_way
from engine.study import Study

__all__ = ["Switching"]

log = logging.getLogger(__name__)

T = TypeVar("T")


class Switching:
    """The newest question of each sort that is not answered yet. `go_on` raises `Superseded` to give up."""

    def __init__(self, send: Callable[[Switched], None], go_on: Callable[[], None]) -> None:
        self._send = send
        self._go_on = go_on
        self._failures = ""
        self._order: OrderQuestion | None = None
        self._isolate = ""

    def take(self, request: SwitchingRequest) -> None:
        """Keep a question until there is something to answer it by, or drop it."""
        if isinstance(request, FailuresRequest):
            self._failures = request.wanted
        elif isinstance(request, OrderRequest):
            self._order = request.question
        elif isinstance(request, IsolateRequest):
            self._isolate = request.item
        else:
            self._forget(request)

    def _forget(self, request: ForgetRequest) -> None:
        if request.what == "failures":
            self._failures = ""
        elif request.what == "order":
            self._order = None
        elif request.what == "isolate":
            self._isolate = ""

    def tell(self, study: Study, at: int) -> None:
        """What is quick before what may take long."""
        if item := self._isolate:
            isolation, words = self._worked_out(lambda: _isolation(study, item), at)
            self._isolate = ""
            self._send(Isolated(at, item, isolation, words))
        if wanted := self._failures:
            told, words = self._worked_out(lambda: failures_told(at, wanted, study.failure_table, study.snapshot), at)
            self._failures = ""
            self._send(told or FailuresTold(at, wanted, words=words))
        if (question := self._order) is not None:
            made, words = self._worked_out(lambda: _order(study, question), at)
            self._order = None
            self._send(Ordered(at, question, made, words))

    def _worked_out(self, work: Callable[[], T], at: int) -> tuple[T | None, str]:
        """What the work gives, else what stopped it."""
        self._go_on()
        try:
            with giving_way(self._go_on):
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
