"""What the window asks of switch positions, and what the study process answers. Plain values, no Qt.

A table of failures names a full state with every way of every cell: it is sent without the positions that are those
of the drawing; `full` gives them back to the one state that is shown.
"""

from __future__ import annotations

from typing import NamedTuple, TypeAlias

import msgspec

from engine.circuit.switching.results import Cell, Failure, FailureTable, FedBy, Isolation, Order
from engine.installation.model import Snapshot

__all__ = [
    "DeadQuestion",
    "FailuresRequest",
    "FailuresTold",
    "ForgetRequest",
    "IsolateRequest",
    "Isolated",
    "OrderQuestion",
    "OrderRequest",
    "Ordered",
    "Switched",
    "SwitchingRequest",
    "SwitchingSoFar",
    "failures_told",
    "full",
    "table_of",
]


class OrderQuestion(NamedTuple):
    """From which condition to which, "" as drawn; loads to keep fed; how many times the usual may be tried."""

    start: str
    stop: str
    keep: tuple[str, ...] = ()
    effort: int = 1


class DeadQuestion(NamedTuple):
    """What is to be made dead, by id; how many times the usual may be tried."""

    item: str
    effort: int = 1


class FailuresRequest(msgspec.Struct, frozen=True, tag="failures"):
    """From what essential loads are fed when something has failed; how many times the usual may be tried."""

    number: int
    effort: int


class OrderRequest(msgspec.Struct, frozen=True, tag="order"):
    """A switching order; takes the place of an earlier one."""

    number: int
    question: OrderQuestion


class IsolateRequest(msgspec.Struct, frozen=True, tag="isolate"):
    """How something is made dead; takes the place of an earlier one."""

    number: int
    question: DeadQuestion


class ForgetRequest(msgspec.Struct, frozen=True, tag="forget"):
    """One of these questions is not wanted any more: its tag."""

    number: int
    what: str


class _Unlike(NamedTuple):
    """A cell that is not as with nothing failed."""

    load: int
    failure: int
    fed: FedBy
    unchanged: bool


class FailuresTold(msgspec.Struct, frozen=True, tag="failures told"):
    """A table of failures; `words`: what stopped it."""

    at: int
    effort: int
    loads: tuple[str, ...] = ()
    failures: tuple[Failure, ...] = ()
    normal: tuple[FedBy, ...] = ()
    unlike: tuple[_Unlike, ...] = ()
    own: tuple[tuple[str, ...], ...] = ()
    not_recorded: tuple[str, ...] = ()
    words: str = ""


class Ordered(msgspec.Struct, frozen=True, tag="ordered"):
    """A switching order; `words`: what stopped it."""

    at: int
    question: OrderQuestion
    order: Order | None = None
    words: str = ""


class Isolated(msgspec.Struct, frozen=True, tag="isolated"):
    """How something is made dead; `words`: what stopped it."""

    at: int
    question: DeadQuestion
    isolation: Isolation | None = None
    words: str = ""


class SwitchingSoFar(msgspec.Struct, frozen=True, tag="switching so far"):
    """A question is being worked out: its request's tag; so many parts of so many are done."""

    at: int
    what: str
    done: int
    of: int


SwitchingRequest: TypeAlias = FailuresRequest | OrderRequest | IsolateRequest | ForgetRequest
Switched: TypeAlias = FailuresTold | Ordered | Isolated | SwitchingSoFar


_State: TypeAlias = tuple[tuple[str, str], ...]


# -- tables ---------------------------------------------------------------------------------------------------------
def failures_told(at: int, effort: int, table: FailureTable, snapshot: Snapshot) -> FailuresTold:
    """A table as a message: cells that are as with nothing failed are left out."""
    drawn = full(snapshot, ())

    def shortened(fed: FedBy) -> FedBy:
        return fed._replace(ways=tuple(way._replace(state=_unlike(drawn, way.state)) for way in fed.ways))

    unlike = tuple(
        _Unlike(i, j, shortened(cell.fed), cell.unchanged)
        for i, row in enumerate(table.cells)
        for j, cell in enumerate(row)
        if cell.fed != table.normal[i] or not cell.unchanged
    )
    normal = tuple(map(shortened, table.normal))
    return FailuresTold(at, effort, table.loads, table.failures, normal, unlike, table.own, table.not_recorded)


def table_of(told: FailuresTold) -> FailureTable:
    """The table of its message. `Way.state` holds what differs from the drawing: see `full`."""
    unlike = {(each.load, each.failure): each for each in told.unlike}
    rows = []
    for i, load in enumerate(told.loads):
        cells = []
        for j, failure in enumerate(told.failures):
            other = unlike.get((i, j))
            fed, unchanged = (told.normal[i], True) if other is None else (other.fed, other.unchanged)
            cells.append(Cell(load, failure, fed, unchanged))
        rows.append(tuple(cells))
    return FailureTable(told.loads, told.failures, told.normal, tuple(rows), told.own, told.not_recorded)


def _unlike(drawn: dict[str, str], state: _State) -> _State:
    """The positions of a state that are not those of the drawing."""
    return tuple((item, position) for item, position in state if drawn.get(item) != position)


def full(snapshot: Snapshot, some: _State) -> dict[str, str]:
    """Positions of everything that has any: these, else as drawn."""
    made = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    made.update(some)
    return made
