"""In which permitted states a source feeds something while its neutral meets no bond to earth.

Opening is the bad event: every breaker, switch and contactor counts as able to open, and what a controller moves may
stand anywhere. The conductors are searched once for the conditions under which the source feeds a consumer (*fed*) and
those under which its neutral meets a bond (*held*); whether there is a permitted state in one of the former and in none
of the latter is then asked of the conditions alone. The bond ashore holds the neutral of the shore only: the cord can
be pulled out while another source runs.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from engine.circuit.meeting import AC_LIVE, allows_nothing
from engine.circuit.neutrals import Bond, Neutral
from engine.circuit.paths import Net, search
from engine.circuit.states import States, TooManyStates, states_of
from engine.study import Study

__all__ = ["Losing", "Lost"]

ENOUGH = 100  # conditions looked for on each side
FEW = 6  # of the ways to feed a consumer are looked at for the smallest witness
SHRUNK = 8  # witnesses of one way are looked at for needless conditions
TRIES = 100  # choices tried for the smallest witness before the best found so far is told


class Lost(NamedTuple):
    """A source without bond: always, or in the positions told. `load`: what it feeds then, where anything."""

    always: bool
    load: str = ""
    positions: tuple[tuple[str, tuple[str, ...]], ...] = ()
    automatic: tuple[str, ...] = ()
    witness: tuple[tuple[str, str], ...] = ()
    undecided: bool = False


class Losing:
    """The answers for one study."""

    def __init__(self, study: Study, bonds: list[Bond]) -> None:
        self.study, self.bonds = study, bonds
        self.states = states_of(study.snapshot, study.circuit, protection_opens=True)
        self.nothing_allowed = allows_nothing(self.states)
        self._consumers = _consumers(study)
        self._nets: tuple[Net, Net] | None = None

    def lost(self, source: Neutral) -> Lost | None:
        """Where a source has no bond, `None` where it has one whenever it feeds something."""
        if self.nothing_allowed:
            return None
        for bond in self.bonds:
            here = bond.item == source.item and bond.node == source.node
            if here and (bond.positions is None or (source.positions and source.positions <= bond.positions)):
                return None
        held, doubtful = self._held(source)
        if not held:
            return Lost(True, undecided=doubtful)
        fed, load_of, stopped = self._fed(source)
        for cube in fed:
            try:
                if self.states.outside(held, cube) is None:
                    continue
            except TooManyStates:
                return Lost(False, load_of[cube], undecided=True)
            if doubtful:
                return Lost(False, load_of[cube], undecided=True)
            near = fed[: 4 * FEW]
            tried = {self._smallest(held, near, each) for each in (cube, *fed[:FEW])}
            narrow = [self._needed(held, near, one) for each in tried for one in self._narrowed(each)]
            return self._told(min((*tried, *narrow), key=self._size), load_of)
        return Lost(False, undecided=True) if stopped else None

    # -- conditions ---------------------------------------------------------------------------------------------
    def _both(self) -> tuple[Net, Net]:
        if self._nets is None:
            circuit = self.study.circuit
            self._nets = Net(circuit, self.states, AC_LIVE, both_ways=False), Net(circuit, self.states, ("N",))
        return self._nets

    def _held(self, source: Neutral) -> tuple[list[int], bool]:
        net = self._both()[1]
        start = net.terminal(source.node, source.item, source.positions)
        targets = []
        for bond in self.bonds:
            is_ashore = self.study.snapshot.equipment[bond.item].ashore() is not None
            if not is_ashore or source.line == "shore":
                targets.append(net.terminal(bond.node, bond.item, bond.positions))
        found = search(net, start, targets, ENOUGH)
        cubes = [cube for some in found.cubes.values() for cube in some]
        return self.states.weakest(cubes), bool(found.undecided or found.truncated)

    def _fed(self, source: Neutral) -> tuple[list[int], dict[int, str], bool]:
        net = self._both()[0]
        starts = [net.terminal(node, source.item, source.positions) for node in source.live]
        load_at: dict[int, str] = {}
        for node, item in self._consumers.items():
            if item != source.item:
                load_at[net.terminal(node)] = item
        load_of: dict[int, str] = {}
        stopped = False
        for start in starts:
            found = search(net, start, load_at, ENOUGH)
            stopped |= bool(found.undecided or found.truncated)
            for target, cubes in found.cubes.items():
                for cube in cubes:
                    load_of.setdefault(cube, load_at[target])
        # what a weaker condition holds the bond in, a stronger one does too
        return sorted(self.states.weakest(load_of), key=self._size), load_of, stopped

    def _size(self, cube: int) -> tuple[int, int, int]:
        return len(self.states.touched(cube)), cube.bit_count(), cube

    # -- the smallest witness -----------------------------------------------------------------------------------
    def _smallest(self, held: list[int], fed: list[int], start: int) -> int:
        """The condition with fewest devices within `start` that is in none of `held`; all excluded: there is none."""
        states = self.states
        best, most = sum(states.field), len(states.devices)
        left, shrunk = TRIES, 0

        def choose(cube: int) -> None:
            nonlocal best, most, left, shrunk
            left -= 1
            closed = states.closed(cube)
            if left < 0 or closed is None or len(states.touched(cube)) > most:
                return
            for one in held:
                if states.closed(one | closed) is not None:
                    for device in states.touched(one):
                        choose(cube | (states.field[device] & ~one))
                    return
            try:
                if states.allows(cube):
                    most = len(states.touched(cube))
                    shrunk += 1
                    best = min(best, self._needed(held, fed, cube) if shrunk <= SHRUNK else cube, key=self._size)
            except TooManyStates:
                return

        choose(start)
        return best

    def _needed(self, held: list[int], fed: list[int], cube: int) -> int:
        """A condition without the devices that the interlocks, or one way or another of feeding, make needless."""
        for device in self.states.touched(cube):
            less = cube & ~self.states.field[device]
            if self._is_lost(held, fed, less):
                cube = less
        return cube

    def _narrowed(self, cube: int) -> Iterator[int]:
        """A condition with one device in one position of several: what an interlock draws from it may be enough."""
        states = self.states
        for device in states.touched(cube):
            left = states.left(cube, device)
            for position in left if len(left) > 1 else ():
                narrow = cube | (states.guard(states.devices[device].equipment, (position,)) or 0)
                if states.closed(narrow) is not None:
                    yield narrow

    def _is_lost(self, held: list[int], fed: list[int], cube: int) -> bool:
        """Whether the source feeds something without bond in every permitted state of a condition, as far as one
        device more decides it."""
        states = self.states
        closed = states.closed(cube)
        if closed is None or any(states.closed(closed | one) is not None for one in held):
            return False
        by_device: dict[int, int] = {}
        for one in fed:
            more = states.touched(one & ~closed)
            if not more:
                return True
            if len(more) == 1:
                left = states.field[more[0]] & ~closed & ~one
                by_device[more[0]] = by_device.get(more[0], 0) | left
        return any(got == states.field[device] & ~closed for device, got in by_device.items())

    def _told(self, cube: int, load_of: dict[int, str]) -> Lost:
        states: States = self.states
        by_size = sorted(load_of, key=self._size)
        closed = states.closed(cube)
        load = next((load_of[fed] for fed in by_size if fed & ~(cube if closed is None else closed) == 0), "")
        state = states.completion(cube) if cube != sum(states.field) else None
        if state is None:
            return Lost(False, load, undecided=True)
        load = load or next(load_of[fed] for fed in by_size if fed & ~states.of_positions(state.items()) == 0)
        positions = states.positions(cube)
        return Lost(
            False,
            load,
            positions,
            tuple(item for item, _every in positions if states.is_automatic(item)),
            tuple((item, state[item]) for item, _every in positions),
        )


def _consumers(study: Study) -> dict[int, str]:
    """Live AC conductors where something takes power, and what."""
    circuit = study.circuit
    made: dict[int, str] = {}
    for item in circuit.joined:
        record = study.snapshot.equipment[item]
        terminals = {draw.terminal for draw in record.draws()} | {c.source for c in record.conversions()}
        for terminal in sorted(terminals):
            for conductor in AC_LIVE:
                node = circuit.node(item, terminal, conductor)
                if node is not None:
                    made[node] = item
    return made
