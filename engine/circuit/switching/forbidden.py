"""Which states are forbidden because two AC sources can meet in them, whatever a controller does.

A person chooses the positions of hand-moved switches; a controller chooses those of its own at any time, so every
position of theirs must be safe. A forbidden set of positions therefore speaks of hand-moved switches only: of a
smallest set that joins two sources, what a controller moves is left out.

`Forbidden.cubes` are the sets found so far, a quick no; `Forbidden.met` asks a state exactly, `Forbidden.permitted`
finds a state that is neither ruled out by the interlocks nor forbidden.
"""

from __future__ import annotations

from collections.abc import Iterable

from engine.circuit.expand import Circuit
from engine.circuit.meeting import AC_LIVE, forbidden_pairs
from engine.circuit.paths import BUDGET, Found, Net, search
from engine.circuit.states import States, TooManyStates
from engine.installation.model import Snapshot

__all__ = ["Forbidden"]

ENOUGH = 40  # smallest sets of a pair that are kept for the quick no
TRIES = 50  # states looked at before the search for a permitted one is given up


class Forbidden:
    """The forbidden states of one circuit. `states` are those the questions are asked in."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, states: States, budget: int = BUDGET) -> None:
        self.states = states
        self.budget = budget
        self.hands = sum(states.field[i] for i, device in enumerate(states.devices) if not device.automatic)
        # what a controller moves and an interlock holds by a hand-moved switch: its part of a set cannot be left out
        self._held = states.mixed()
        self._net: Net | None = None
        self._pairs: list[tuple[int, list[int]]] = []
        self.cubes: list[int] = []
        self.undecided = False  # a search was stopped before it could tell
        points, pairs = forbidden_pairs(snapshot, circuit)
        if pairs:
            net = self._net = Net(circuit, states, AC_LIVE)
            terminals = [net.terminal(p.node, p.equipment, p.positions) for p in points]
            wanted: dict[int, list[int]] = {}
            for i, j in pairs:
                wanted.setdefault(i, []).append(terminals[j])
            self._pairs = [(terminals[i], others) for i, others in sorted(wanted.items())]
            self._collect()
        # forbidden in every state: then it tells nothing about any one of them
        self.always = False
        try:
            self.always = bool(pairs) and self.permitted(0) is None and states.allows(0)
        except TooManyStates:
            self.undecided = True

    def _collect(self) -> None:
        assert self._net is not None
        found: list[int] = []
        unsure: list[tuple[int, list[int]]] = []
        for start, others in self._pairs:
            result = search(self._net, start, others, enough=ENOUGH, budget=self.budget)
            self.undecided |= bool(result.undecided)
            found += self._sets(result)
            left = []
            for other in others:
                mixed = any(cube & self._held for cube in result.cubes.get(other, ()))
                if other in result.truncated or other in result.undecided or mixed:
                    left.append(other)
            if left:
                unsure.append((start, left))
        self._pairs = unsure  # of the others every set is known
        self.cubes = self.states.weakest(found)

    def _sets(self, found: Found) -> list[int]:
        return [c & self.hands for cubes in found.cubes.values() for c in cubes if not c & self._held]

    def met(self, cube: int) -> int | None:
        """The forbidden set that a state (or every state within `cube`) falls into, `None` where it is in none.

        `cube` should speak of hand-moved switches only. Exact for a full hand-moved state; a search that is stopped
        counts as forbidden.
        """
        for known in self.cubes:
            if known & ~cube == 0:
                return known
        for start, others in self._pairs:
            assert self._net is not None
            result = search(self._net, start, others, 1, self.budget, cube)
            if result.undecided:
                return cube
            if result.cubes:
                # the smallest set that does it, of those this state has
                found = search(self._net, start, list(result.cubes), 1, self.budget, inside=cube)
                self.cubes = self.states.weakest([*self.cubes, *self._sets(found)])
                return next((known for known in self.cubes if known & ~cube == 0), cube)
        return None

    def permitted(self, cube: int, without: Iterable[int] = ()) -> dict[str, str] | None:
        """A full state within `cube` that the interlocks allow and that is not forbidden, nor in one of `without`.

        Where every state is forbidden, the interlocks alone decide. Raises `TooManyStates` when it cannot tell.
        """
        ruled_out = list(without)
        if self.always:
            return self.states.outside(ruled_out, cube)
        for attempt in range(TRIES):
            state = None
            if not attempt and not ruled_out:
                # most often the state with everything else open will do
                state = self.states.completion(cube)
                if state is None:
                    return None
                hands = self.states.of_positions(state.items()) & self.hands
                if any(known & ~hands == 0 for known in self.cubes):
                    state = None
            if state is None:
                state = self.states.outside([*self.cubes, *ruled_out], cube)
            if state is None:
                return None
            hands = self.states.of_positions(state.items()) & self.hands
            met = self.met(hands)
            if met is None:
                return state
            if met not in self.cubes:
                ruled_out.append(met)
        raise TooManyStates
