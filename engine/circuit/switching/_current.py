"""What flows through a switch or out of a source in one state: solved, and nothing where nothing can reach it.

What flows through something rests on what it is joined to, there and back and across converters, and on nothing else:
states that agree on that are solved once.
"""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.flow.operating import Operation
from engine.circuit.switching._contracted import Contracted
from engine.circuit.switching._hands import Hands, State, Thing
from engine.equipment.base import LIVE
from engine.pausing import pause
from engine.study import Study

__all__ = ["NIL_A", "Amps", "Current"]

NIL_A = 0.01  # less than this shows on no ammeter of a panel


class Amps(NamedTuple):
    """The largest current over what can stand by itself; `missing`: fields without which it is only a least value."""

    amps: float
    missing: tuple[str, ...] = ()

    @property
    def is_nil(self) -> bool:
        """Nothing flows, and nothing is unknown that could."""
        return self.amps < NIL_A and not self.missing


class _Solved(NamedTuple):
    """One state and one setting of the relays."""

    through: dict[str, Amps]
    given: dict[str, float]


class Current:
    """Solved states of one question. `solved` counts the networks that were solved."""

    def __init__(self, study: Study, hands: Hands, net: Contracted) -> None:
        self.study, self.hands, self.net = study, hands, net
        self.solved = 0
        self._known: dict[tuple[frozenset[tuple[str, str]], frozenset[str] | None], _Solved] = {}
        self._alike: dict[tuple[str, frozenset[tuple[str, str]]], Amps] = {}
        self._at: dict[str, set[int]] = {}  # equipment -> where its conductors are, live and returns
        self._live: set[int] = set()
        for number, node in enumerate(study.circuit.nodes):
            if node.conductor in LIVE:
                self._live.add(net.root[number])
            self._at.setdefault(node.equipment, set()).add(net.root[number])
        self._converters = {item for item, _conversion in study.circuit.conversions}
        self._of: dict[int, set[str]] = {}  # root -> equipment there
        for item, roots in self._at.items():
            for root in roots:
                self._of.setdefault(root, set()).add(item)
        self._poles: dict[str, dict[str, list[int]]] = {}  # equipment -> live conductor -> where it is, each terminal
        for number, node in enumerate(study.circuit.nodes):
            if node.conductor in LIVE:
                self._poles.setdefault(node.equipment, {}).setdefault(node.conductor, []).append(net.root[number])
        self._active = {item for item in self._at if _takes_part(study, item, hands.on)}
        feeds = (*study.circuit.feeds, *study.circuit.supposed_feeds)
        self._sources = {f.equipment for f in feeds if f.equipment not in self._converters}

    def through(self, thing: Thing, state: State) -> Amps:
        """What a switch carries, or a source gives: in the first position of the relays in which that is not nil."""
        for positions in self.hands.surroundings(state):
            if self._is_idle(thing, positions):
                continue
            island, has_source = self._island(thing, state, positions)
            if not has_source:
                continue
            key = thing.item, island
            if key not in self._alike:
                self._alike[key] = self._worst(thing, self._solve(state, positions))
            if not self._alike[key].is_nil:
                return self._alike[key]
        return Amps(0.0)

    def _worst(self, thing: Thing, solved: _Solved) -> Amps:
        worst, missing = 0.0, dict[str, None]()
        for item in thing.members or (thing.item,):
            found = solved.through.get(item)
            if found is not None:
                worst = max(worst, found.amps)
                missing.update(dict.fromkeys(found.missing))
            worst = max(worst, solved.given.get(item, 0.0))
        return Amps(worst, tuple(missing))

    def carrying(self, state: State) -> frozenset[str]:
        """Everything that carries current in a state."""
        return frozenset(
            item
            for positions in self.hands.surroundings(state)
            for item, found in self._solve(state, positions).through.items()
            if not found.is_nil
        )

    def _is_idle(self, thing: Thing, positions: dict[str, str]) -> bool:
        """Whether less than two sides of a switch, or nothing besides a source, could take or give current at all."""
        net = self.net
        apart = positions | {thing.item: ""} if thing.kind == "switch" else positions
        others = self._active - {thing.item, *thing.members}
        for item in thing.members or (thing.item,):
            for roots in self._poles.get(item, {}).values():
                active = 0
                for root in roots:
                    reached = net.spread((root,), apart, against=True)
                    active += any(not others.isdisjoint(self._of[r]) for r in reached)
                if active >= (2 if thing.kind == "switch" else 1):
                    return False
        return True

    def _island(self, thing: Thing, state: State, positions: dict[str, str]) -> tuple[frozenset[tuple[str, str]], bool]:
        """What stands how in all that something is joined to, and whether a source is among it."""
        net = self.net
        here = {root for item in (thing.item, *thing.members) for root in self._at.get(item, ())}
        done: set[str] = set()
        while True:
            here = net.spread(here, positions, against=True)
            more = {item for root in here & self._live for item in self._of[root]} - done
            if not more:
                break
            done |= more
            for item in more:  # the returns of what is joined, and the other side of converters
                here |= self._at[item] if item in self._converters else self._at[item] - self._live
        within = {item for root in here for item in self._of.get(root, ())}
        running = self.hands.running(state)
        stands = {(item, positions[item]) for item in within if item in positions}
        stands |= {(item, "runs") for item in within if running is not None and item in running}
        gives = any(
            item in self._sources and (running is None or item in running or self._stands_ready(item)) for item in done
        )
        return frozenset(stands), gives or any(item in self._converters and self._is_lone(item) for item in done)

    def _stands_ready(self, item: str) -> bool:
        """What is never started: a bank, the sun."""
        record = self.study.snapshot.equipment[item]
        return record.store() is not None or record.harvest() is not None

    def _is_lone(self, item: str) -> bool:
        """A converter of which no input is drawn gives by itself."""
        joined = self.study.circuit.joined.get(item, frozenset())
        return not any(c.source in joined for c in self.study.snapshot.equipment[item].conversions())

    def _solve(self, state: State, positions: dict[str, str]) -> _Solved:
        hands, study = self.hands, self.study
        running = hands.running(state)
        key = frozenset(positions.items()), running
        if key not in self._known:
            from engine.circuit.flow.flow import flow

            pause()
            operation = Operation(
                condition="", name="", positions=positions, running=running, hours={}, on=hands.on, has_hours=True
            )
            found = flow(study.snapshot, study.circuit, operation, study.book)
            self.solved += 1
            # a least value rests on something not recorded: then what is not named counts too
            through = {
                d.equipment: Amps(abs(d.amps), (d.missing or ("",)) if d.at_least else ()) for d in found.devices
            }
            given: dict[str, float] = {}
            for source in found.sources:
                given[source.equipment] = max(given.get(source.equipment, 0.0), abs(source.amps))
            self._known[key] = _Solved(through, given)
        return self._known[key]


def _takes_part(study: Study, item: str, on: frozenset[str]) -> bool:
    """Whether it could give or take current: of consumers only those that draw."""
    record = study.snapshot.equipment[item]
    joined = study.circuit.joined.get(item, frozenset())
    if record.sources(joined) or record.conversions() or record.store() is not None or not record.KIND:
        return True
    return item in on if record.use() is not None else bool(record.draws())
