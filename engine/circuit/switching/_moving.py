"""The search for the shortest order: over states of what a person moves, nearest to the end first.

What must still be moved at least, summed over everything that differs, never says too much: so the first order found is
a shortest one. Where every device can be opened and only closing does harm, opening first and closing then is always
safe, and the search goes straight to the end: of moves that are equally good, sources are started first, what opens is
opened from the loads towards the sources, what closes closed from the sources towards the loads, sources stopped last.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable
from typing import NamedTuple

from engine.circuit.switching._current import Current
from engine.circuit.switching._dangers import Fault
from engine.circuit.switching._hands import OFF, ON, RUNS, Hands, State, Thing
from engine.circuit.switching._safety import Safety
from engine.pausing import pause
from engine.study import Study
from engine.words import _

__all__ = ["Block", "Moving", "Path"]

SOLVED_COSTS = 10  # a solved network counts as so many states looked at


class Block(NamedTuple):
    """Something that could not be done: in `state`, `thing` to `to`."""

    state: State
    thing: Thing
    to: str
    fault: Fault


class Path(NamedTuple):
    """The states from the first to the last; `None` for none, `finished`: then there is none among what was moved."""

    states: tuple[State, ...] | None
    finished: bool
    blocks: tuple[Block, ...]
    looked: int  # states


class Moving:
    """Moves of one question, and whether they may be made."""

    def __init__(self, study: Study, hands: Hands, safety: Safety, current: Current, depth: dict[str, int]) -> None:
        self.study, self.hands, self.safety, self.current = study, hands, safety, current
        self._depth = depth
        self._moves: dict[tuple[State, State], Fault | None] = {}
        self._feeds = _inputs(study, hands)
        self._starters = _starters(study, hands)
        self._closed = {thing.item: _joined(study, thing) for thing in hands.things}

    def search(self, in_play: list[int], budget: Callable[[], int]) -> Path:
        """A shortest order in which only `in_play` (numbers of things) is moved; `budget` says what is left."""
        hands = self.hands
        start, stop = hands.start, hands.stop
        serial = 0
        heap: list[tuple[int, int, int, State, State | None, int]] = [(hands.left(start), 0, 0, start, None, -1)]
        came: dict[State, State | None] = {}
        blocks: list[Block] = []
        looked = 0
        while heap:
            _total, depth, _serial, state, before, by = heapq.heappop(heap)
            if state in came:
                continue
            pause()
            if looked >= budget():
                return Path(None, False, tuple(blocks), looked)
            looked += 1
            if before is not None:
                fault = self.fault(before, state, hands.things[by])
                if fault is not None:
                    blocks.append(Block(before, hands.things[by], state[by], fault))
                    continue
            came[state] = before
            if state == stop:
                return Path(_traced(came, state), True, (), looked)
            for n, to in self._next(state, in_play):
                after = (*state[:n], to, *state[n + 1 :])
                if after not in came:
                    serial += 1
                    entry = (-depth + 1 + hands.left(after), depth - 1, serial, after, state, n)
                    heapq.heappush(heap, entry)
        return Path(None, True, tuple(blocks), looked)

    def _next(self, state: State, in_play: list[int]) -> list[tuple[int, str]]:
        """Moves from a state, what is best done first at the head."""
        made: list[tuple[tuple[int, int, int], int, str]] = []
        for n in in_play:
            thing = self.hands.things[n]
            far = self._depth.get(thing.item, 0)
            for to in thing.near[state[n]]:
                if thing.kind == "source":
                    rank = (0, 0, n) if to == RUNS else (3, 0, n)
                elif self._opens(thing, state[n], to):
                    rank = (1, -far, n)
                else:
                    rank = (2, far, n)
                made.append((rank, n, to))
        return [(n, to) for _rank, n, to in sorted(made)]

    def _opens(self, thing: Thing, before: str, after: str) -> bool:
        if thing.kind == "unit":
            return after == OFF
        joined = self._closed[thing.item]
        return joined[after] < joined[before]

    # -- moves ------------------------------------------------------------------------------------------------------
    def fault(self, before: State, after: State, thing: Thing) -> Fault | None:
        """Why a move may not be made, `None` where it may."""
        key = before, after
        if key not in self._moves:
            self._moves[key] = self._ask(before, after, thing)
        return self._moves[key]

    def _ask(self, before: State, after: State, thing: Thing) -> Fault | None:
        fault = self.safety.fault(after) or self.safety.between(thing, before, after)
        if fault is not None:
            return fault
        n = self.hands.number[thing.item]
        if thing.kind == "unit":
            return self._unfed(before, thing) if after[n] == ON else None
        if thing.kind == "source":
            if after[n] == RUNS and thing.item in self._starters:
                fed = self.safety.supplied(before)
                if not any(item in fed for item in self._starters[thing.item]):
                    text = _("the starter of {engine} is without supply").format(engine=self.study.name(thing.item))
                    return Fault("starter", text, (thing.item,))
            if not any(self.study.snapshot.equipment[item].ashore() for item in thing.members):
                return None
        elif thing.breaks_load is True:
            return None
        return self._loaded(before, after, thing)

    def _loaded(self, before: State, after: State, thing: Thing) -> Fault | None:
        """A current that the device, or a plug, would have to break or make."""
        for state in (before, after):
            found = self.current.through(thing, state)
            if found.is_nil:
                continue
            name = self.study.name(thing.item)
            fields = tuple(f for f in found.missing if f)
            recorded: tuple[str, ...] = ()
            if thing.kind == "source":
                text = _("{name} would be plugged or unplugged under load")
            elif thing.breaks_load is None:
                text = _("{name} is not recorded as breaking load, and would carry current")
                recorded = (f"{name}.breaks_load",)
            else:
                text = _("{name} does not break load, and would carry current")
            return Fault("current", text.format(name=name), (thing.item,), (*recorded, *fields))
        return None

    def _unfed(self, state: State, thing: Thing) -> Fault | None:
        """A converter is switched on where something feeds it."""
        inputs = self._feeds.get(thing.item)
        if not inputs or thing.item in self.safety.supplied(state):
            return None
        text = _("{name} cannot be switched on while nothing feeds it").format(name=self.study.name(thing.item))
        return Fault("unfed", text, (thing.item,))


def _joined(study: Study, thing: Thing) -> dict[str, int]:
    """How many of its contacts a switch joins in each position."""
    links = [x for x in study.circuit.links if x.equipment == thing.item]
    return {p: sum(x.positions is None or p in x.positions for x in links) for p in thing.positions}


def _traced(came: dict[State, State | None], state: State) -> tuple[State, ...]:
    made = [state]
    while (before := came[state]) is not None:
        made.append(before)
        state = before
    return tuple(reversed(made))


def _inputs(study: Study, hands: Hands) -> dict[str, tuple[str, ...]]:
    """Of each unit its inputs that are wired."""
    made = {}
    for thing in hands.things:
        if thing.kind == "unit":
            record = study.snapshot.equipment[thing.item]
            joined = study.circuit.joined.get(thing.item, frozenset())
            made[thing.item] = tuple(c.source for c in record.conversions() if c.source in joined)
    return made


def _starters(study: Study, hands: Hands) -> dict[str, tuple[str, ...]]:
    """Of each engine that is started the motors that start it."""
    made: dict[str, list[str]] = {}
    for item, record in study.snapshot.equipment.items():
        use = record.use()
        if use is not None and use.starts in hands.number:
            made.setdefault(use.starts, []).append(item)
    return {engine: tuple(every) for engine, every in made.items()}
