"""What a person moves between two operating conditions: switches, sources that are started, units switched on.

A state is one position of each `Thing`, in their order. What a controller moves is no thing: any of its positions is
possible all the time. A unit with a relay of its own (inverter/charger) can be switched off by a person; it stands in
*off* then, else its relay stands where it likes.
"""

from __future__ import annotations

import itertools
from collections import deque
from collections.abc import Iterator
from typing import Literal, NamedTuple, TypeAlias

from engine.circuit.states import States, TooManyStates, states_of
from engine.installation.model import Snapshot
from engine.study import Study
from engine.words import _

__all__ = ["OFF", "ON", "RUNS", "STANDS", "Hands", "State", "Thing"]

State: TypeAlias = tuple[str, ...]
STANDS, RUNS = "stands", "runs"
OFF, ON = "off", "on"
FAR = 10_000  # moves to a position that cannot be reached
MOST_RELAYS = 27  # combinations of positions of relays that are looked at


class Thing(NamedTuple):
    """Something a person moves. `near`: the positions it can be brought to directly from each."""

    kind: Literal["switch", "source", "unit"]
    item: str
    positions: tuple[str, ...]
    near: dict[str, tuple[str, ...]]
    start: str
    stop: str
    breaks_load: bool | None = True
    makes_first: bool | None = None
    members: tuple[str, ...] = ()  # sources that run with it

    def steps(self, position: str) -> int:
        """Moves from a position to where it must end; far where there is no way."""
        return _distance(self.near, position, self.stop)


def _distance(near: dict[str, tuple[str, ...]], start: str, stop: str) -> int:
    seen, todo = {start: 0}, deque([start])
    while todo:
        here = todo.popleft()
        if here == stop:
            return seen[here]
        for to in near.get(here, ()):
            if to not in seen:
                seen[to] = seen[here] + 1
                todo.append(to)
    return FAR


class Hands:
    """Everything that is moved by hand in one drawing, where it stands at the start and where it must end."""

    def __init__(self, study: Study, start: str, stop: str) -> None:
        self.study = study
        snapshot = study.snapshot
        self.first, self.last = study.operation(start), study.operation(stop)
        self.taken: list[str] = []
        self.states: States = states_of(snapshot, study.circuit, protection_opens=True)
        self.automatic = [d.equipment for d in self.states.devices if d.automatic]
        self.units = [item for item in self.automatic if _is_unit(snapshot, item)]
        self._settle_running(snapshot)
        self.things: list[Thing] = [*self._switches(snapshot), *self._units(), *self._sources(snapshot)]
        self.number = {thing.item: n for n, thing in enumerate(self.things)}
        self._switch = [n for n, thing in enumerate(self.things) if thing.kind == "switch"]
        self._of_source = {member: n for n, t in enumerate(self.things) if t.kind == "source" for member in t.members}
        self.on = self.first.on | self.last.on
        self._left_to_controllers()
        self._distances = [{p: thing.steps(p) for p in thing.positions} for thing in self.things]

    def _left_to_controllers(self) -> None:
        """What moves by itself and stands otherwise at the two ends is said to be no step."""
        differ = [
            self.study.name(item)
            for item in self.automatic
            if item not in self.units
            and not self.study.snapshot.equipment[item].CLOSES_ON_NEED
            and self.first.positions[item] != self.last.positions[item]
        ]
        if differ:
            text = _(
                "{items}: moved by a controller, no step of a person; every position of theirs is safe all the time"
            )
            self.taken.append(text.format(items=", ".join(differ)))

    # -- what there is ----------------------------------------------------------------------------------------------
    def _switches(self, snapshot: Snapshot) -> Iterator[Thing]:
        for device in self.states.devices:
            if device.automatic:
                continue
            record = snapshot.equipment[device.equipment]
            near: dict[str, list[str]] = {p: [] for p in device.positions}
            for a, b in record.moves():
                if a in near and b in near:
                    near[a].append(b)
            yield Thing(
                "switch",
                device.equipment,
                device.positions,
                {p: tuple(every) for p, every in near.items()},
                self.first.positions[device.equipment],
                self.last.positions[device.equipment],
                record.breaks_load_now(),
                record.parts().makes_first,
            )

    def _units(self) -> Iterator[Thing]:
        for item in self.units:
            start, stop = (OFF if op.positions[item] == OFF else ON for op in (self.first, self.last))
            yield Thing("unit", item, (OFF, ON), {OFF: (ON,), ON: (OFF,)}, start, stop)

    def _settle_running(self, snapshot: Snapshot) -> None:
        """Which sources run at both ends, and those that run all the time."""
        ends = [self.first.running, self.last.running]
        for n, (operation, other) in enumerate(((self.first, self.last), (self.last, self.first))):
            if operation.running is not None or other.running is None:
                continue
            if operation.condition:
                ends[n] = frozenset()
                text = _("{condition} lists no source that runs: none is taken as running")
            else:
                ends[n] = other.running
                text = _("which sources run is not recorded for {condition}: the same are taken as running throughout")
            self.taken.append(text.format(condition=operation.name))
        self.recorded = ends[0] is not None
        if not self.recorded:
            self.taken.append(
                _("which sources run is recorded for neither: none is started or stopped, no alternator runs")
            )
        before, after = ends[0] or frozenset(), ends[1] or frozenset()
        self._before, self._after = before, after
        self.always = frozenset(
            item for item in before | after if item in snapshot.equipment and not _is_started(snapshot, item)
        )

    def _sources(self, snapshot: Snapshot) -> Iterator[Thing]:
        groups: dict[str, list[str]] = {}
        for item in sorted(self._before | self._after):
            if item in snapshot.equipment and item not in self.always and item not in self.units:
                machine = snapshot.equipment[item].machine()
                engine = machine.engine if machine is not None else ""
                groups.setdefault(engine if engine in snapshot.equipment else item, []).append(item)
        for item, members in groups.items():
            start, stop = (
                RUNS if any(member in running for member in members) else STANDS
                for running in (self._before, self._after)
            )
            near: dict[str, tuple[str, ...]] = {STANDS: (RUNS,), RUNS: (STANDS,)}
            yield Thing("source", item, (STANDS, RUNS), near, start, stop, members=tuple(members))

    # -- states -----------------------------------------------------------------------------------------------------
    @property
    def start(self) -> State:
        """Where everything stands at first."""
        return tuple(thing.start for thing in self.things)

    @property
    def stop(self) -> State:
        """Where everything must end."""
        return tuple(thing.stop for thing in self.things)

    def left(self, state: State) -> int:
        """Moves without which a state does not become the last: the sum over what differs."""
        return sum(d[p] for d, p in zip(self._distances, state, strict=True))

    def switches(self, state: State) -> dict[str, str]:
        """Positions of the switches."""
        return {self.things[n].item: state[n] for n in self._switch}

    def cube(self, state: State) -> int:
        """The state as a cube; what a controller moves is left open."""
        return self.states.of_positions(self.switches(state).items())

    def running(self, state: State) -> frozenset[str] | None:
        """Sources that run; `None`: not recorded."""
        if not self.recorded:
            return None
        running = [t.members for t, p in zip(self.things, state, strict=True) if t.kind == "source" and p == RUNS]
        return self.always.union(*running)

    def is_off(self, item: str, state: State) -> bool:
        """Whether a unit or source is switched off, stopped or not plugged in."""
        n = self.number.get(item)
        if n is not None and self.things[n].kind == "unit":
            return state[n] == OFF
        n = self._of_source.get(item)
        return n is not None and state[n] == STANDS

    def surroundings(self, state: State) -> list[dict[str, str]]:
        """Full positions in which current is asked for: the relays of units and changeovers in each of their positions.

        Contactors, float switches and charging relays are closed, so that whatever can draw does.
        """
        fixed = self.switches(state)
        choices: list[list[tuple[str, str]]] = []
        for item in self.automatic:
            positions = self.states.devices[self.states.number[item]].positions
            if item in self.units:
                some: tuple[str, ...] = (OFF,) if self.is_off(item, state) else tuple(p for p in positions if p != OFF)
            elif set(positions) == {"open", "closed"}:
                some = ("closed",)
            else:
                some = positions
            choices.append([(item, p) for p in some])
        made = []
        for chosen in itertools.islice(itertools.product(*choices), MOST_RELAYS):
            full = fixed | dict(chosen)
            try:
                if self.states.completion(self.states.of_positions(full.items())) is None:
                    full = self._permitted(fixed, dict(chosen))
            except TooManyStates:
                pass
            if full not in made:
                made.append(full)
        return made

    def _permitted(self, fixed: dict[str, str], wanted: dict[str, str]) -> dict[str, str]:
        """As much of what is wanted of the controllers as the interlocks allow with the switches."""
        cube = self.states.of_positions(fixed.items())
        for pair in wanted.items():
            with_it = cube | self.states.of_positions([pair])
            if self.states.completion(with_it) is not None:
                cube = with_it
        return self.states.completion(cube) or fixed | wanted


def _is_unit(snapshot: Snapshot, item: str) -> bool:
    record = snapshot.equipment[item]
    return OFF in record.positions() and bool(record.conversions())


def _is_started(snapshot: Snapshot, item: str) -> bool:
    """Whether a person starts and stops it: batteries, sun and wind are simply there."""
    record = snapshot.equipment[item]
    gives = record.WITH_ENGINE or (record.ROLE in ("source", "converter") and not record.positions())
    return gives and record.store() is None and record.harvest() is None
