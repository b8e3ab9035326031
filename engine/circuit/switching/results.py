"""What the questions over switch positions answer, as plain values: ids, positions, reasons.

Ids are those of equipment; sentences are for people. `positions` is a smallest set, pairs of (equipment, positions any
of which do); `state` is one full permitted state of everything that has positions.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

__all__ = [
    "Cell",
    "Failure",
    "FailureTable",
    "FedBy",
    "Isolation",
    "Lock",
    "MakeDead",
    "Order",
    "Prove",
    "Step",
    "Way",
]

Positions = tuple[tuple[str, tuple[str, ...]], ...]


class Way(NamedTuple):
    """How one source can feed a load: the smallest set of positions, and one permitted state in which it does."""

    source: str
    line: str  # which of its sources, as `Source.line`
    positions: Positions
    automatic: tuple[str, ...]  # of them, what a controller moves
    state: tuple[tuple[str, str], ...]
    through: tuple[str, ...]  # equipment on the way in that state, the source first, the load last; () where not asked
    assumed_return: bool = False  # the way back is not drawn the whole way: it is taken as there
    stands_alone: bool = True  # not so: an alternator, sun, wind, which want a battery beside them


class FedBy(NamedTuple):
    """Every source that can feed a load, one way a source, and those about which the search could not tell.

    No state named here joins two sources that must not meet.
    """

    item: str
    ways: tuple[Way, ...]
    undecided: tuple[str, ...] = ()

    @property
    def sources(self) -> tuple[str, ...]:
        """The sources that can feed it."""
        return tuple(dict.fromkeys(way.source for way in self.ways))


class Failure(NamedTuple):
    """Something that does not work, and what that does to the circuit.

    The contacts of what is `gone` stay open, it converts and gives nothing (a conductor that passes it straight does
    still); `silent` gives nothing and joins as before; `shut` are channels, (equipment, terminal), that carry nothing;
    `held` are devices that can stand in these positions only.
    """

    kind: Literal["none", "unit", "device", "bank", "control", "network"]
    item: str  # what has failed, "" for nothing
    gone: frozenset[str] = frozenset()
    silent: frozenset[str] = frozenset()
    shut: frozenset[tuple[str, str]] = frozenset()
    held: Positions = ()
    missing: tuple[str, ...] = ()  # fields not recorded that would tell more: "K1.on_loss"
    taken: str = ""  # what was supposed because of them, in a sentence


class Cell(NamedTuple):
    """A load while something has failed."""

    load: str
    failure: Failure
    fed: FedBy
    unchanged: bool  # whatever could feed it can feed it as before

    @property
    def ways(self) -> tuple[Way, ...]:
        """The ways that need no battery beside them."""
        return tuple(way for way in self.fed.ways if way.stands_alone)

    @property
    def is_dark(self) -> bool:
        """Nothing feeds it, as far as the search could tell."""
        return not self.ways and not self.fed.undecided


class FailureTable(NamedTuple):
    """Essential loads by what can fail. `cells[i][j]`: load `i`, failure `j`.

    What one load alone hangs on (its own breaker, its own switch) is no failure of the table but stands in `own`.
    """

    loads: tuple[str, ...]
    failures: tuple[Failure, ...]
    normal: tuple[FedBy, ...]  # of each load, with nothing failed
    cells: tuple[tuple[Cell, ...], ...]
    own: tuple[tuple[str, ...], ...]  # of each load: devices without which it is dark, and no other essential load is
    not_recorded: tuple[str, ...] = ()  # consumers of which it is not recorded whether they are essential

    @property
    def is_undecided(self) -> bool:
        """Whether a search was stopped before it could tell."""
        cells = (cell.fed for row in self.cells for cell in row)
        return any(fed.undecided for fed in (*self.normal, *cells))


class Step(NamedTuple):
    """One thing to do. `switch`: put `item` from `before` to `after`; `start` and `stop`: a source; `wait`: look."""

    kind: Literal["switch", "start", "stop", "wait"]
    item: str
    before: str = ""
    after: str = ""
    why: str = ""  # why now, in a sentence; "" where it is plain
    see: tuple[str, ...] = ()  # what must be seen before the next step, in sentences
    by_itself: tuple[tuple[str, str], ...] = ()  # relays that move because of it, and to which position


class Order(NamedTuple):
    """The shortest safe order from one operating condition to another, or why there is none.

    `undecided`: the search was stopped before it could tell; that is no proof that there is none.
    """

    start: str  # id of the condition, "" as drawn
    stop: str
    steps: tuple[Step, ...]
    found: bool
    reason: str = ""  # why there is none, in sentences
    undecided: bool = False
    kept: tuple[str, ...] = ()  # loads that were to stay fed
    dark: tuple[str, ...] = ()  # essential loads that are without supply for part of it
    missing: tuple[str, ...] = ()  # fields not recorded that would tell more
    taken: tuple[str, ...] = ()  # what was supposed, in sentences


class MakeDead(NamedTuple):
    """One thing to do so that something is dead: put a switch to a position, stop, unplug, cover, wait, draw a fuse.

    `unload`: switch off whatever takes current through `item`; `disable`: what might start or close it by itself.
    """

    kind: Literal["switch", "stop", "unplug", "cover", "draw", "wait", "disable", "unload"]
    item: str
    position: str = ""  # for a switch; the terminal behind a fuse that is one of several in `item`
    sources: tuple[str, ...] = ()  # what it cuts off
    why: str = ""


class Lock(NamedTuple):
    """A device to lock in its position; `can`: it is made to be locked, `None` not recorded."""

    item: str
    can: bool | None


class Prove(NamedTuple):
    """Where to prove dead: a terminal, and its conductors against each other and earth."""

    item: str
    terminal: str
    conductors: tuple[str, ...]


class Isolation(NamedTuple):
    """How to make something dead from every source, or which sources cannot be cut off.

    `state`: the positions then; what a controller moves is safe in any position.
    """

    item: str
    steps: tuple[MakeDead, ...]
    locks: tuple[Lock, ...]
    prove: tuple[Prove, ...]
    sources: tuple[str, ...]  # everything that could feed it
    remains: tuple[str, ...] = ()  # sources that nothing drawn cuts off
    undecided: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()  # in sentences: stored charge, what else goes dark
    state: tuple[tuple[str, str], ...] = ()
