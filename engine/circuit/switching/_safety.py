"""Whether a state, and a move between two, is safe: interlocks, sources, bonds, alternators, loads to be kept fed.

A switch that makes the next contact before it breaks the last passes a state in which both are joined; one that breaks
first, or of which that is not recorded, passes a state in which none is. What is not recorded must be safe both ways.
"""

from __future__ import annotations

import copy

from engine.circuit.expand import Circuit
from engine.circuit.states import TooManyStates
from engine.circuit.switching._dangers import Dangers, Fault
from engine.circuit.switching._hands import STANDS, Hands, State, Thing
from engine.circuit.switching._live import Fed
from engine.circuit.switching._machines import Machines
from engine.circuit.switching.feeding import Supply
from engine.study import Study
from engine.words import _, inward

__all__ = ["Safety"]

BETWEEN = "between"  # no position of any switch


class Safety:
    """The checks of one question; each state is asked once."""

    def __init__(self, study: Study, hands: Hands, keep: tuple[str, ...]) -> None:
        self.study, self.hands, self.keep = study, hands, keep
        self.fed = Fed(study.snapshot, study.circuit)
        self._dangers = Dangers(study, study.circuit, hands.states)
        self._joined: dict[tuple[str, str, str], Dangers] = {}
        self._known: dict[State, Fault | None] = {}
        self._fed: dict[tuple[State, str], set[str]] = {}
        self._machines = Machines(study, hands.states)

    @property
    def unsaid(self) -> tuple[str, ...]:
        """Fields without which it is not known whether a source is bonded: it is taken as so."""
        return tuple(self._dangers.unsaid)

    # -- states -----------------------------------------------------------------------------------------------------
    def fault(self, state: State) -> Fault | None:
        """What is wrong in a state, `None` where it is safe."""
        if state not in self._known:
            self._known[state] = self._ask(state)
        return self._known[state]

    def _ask(self, state: State) -> Fault | None:
        hands = self.hands
        cube = hands.cube(state)
        try:
            if not hands.states.allows(cube):
                return self._interlock(state)
        except TooManyStates:
            return Fault("undecided", _("whether the interlocks allow it is not decided"))
        return self._dangers.fault(cube, self._off(state), hands.running(state)) or self._kept(state, cube, "")

    def between(self, thing: Thing, before: State, after: State) -> Fault | None:
        """What is wrong while a switch is moved from one position to its neighbour."""
        if thing.kind != "switch":
            return None
        n = self.hands.number[thing.item]
        held = {p: {i for i, x in enumerate(self.study.circuit.links) if x.equipment == thing.item
                    and x.positions is not None and p in x.positions} for p in (before[n], after[n])}  # fmt: skip
        if not held[before[n]] or not held[after[n]]:
            return None  # one of them joins nothing: the switch passes no state but these two
        field = f"{self.study.name(thing.item)}.makes_before_breaks"
        missing = () if thing.makes_first is not None else (field,)
        fault: Fault | None = None
        if thing.makes_first is not False and held[before[n]] != held[after[n]]:
            fault = self._both(thing.item, before[n], after[n]).fault(
                self.hands.cube(after), self._off(after), self.hands.running(after)
            )
        if fault is None and thing.makes_first is not True:
            fault = self._kept(after, self.hands.cube(after), thing.item)
        if fault is None:
            return None
        text = _("while {switch} passes from {before} to {after}, {what}").format(
            switch=self.study.name(thing.item), before=before[n], after=after[n], what=fault.text
        )
        return fault._replace(text=text, missing=tuple(dict.fromkeys((*fault.missing, *missing))))

    def _both(self, item: str, one: str, other: str) -> Dangers:
        """The checks of a circuit in which the contacts of both positions of a switch are joined."""
        key = item, min(one, other), max(one, other)
        if key not in self._joined:
            circuit: Circuit = copy.copy(self.study.circuit)
            circuit.links = [
                x._replace(positions=None)
                if x.equipment == item and x.positions is not None and x.positions & {one, other}
                else x
                for x in circuit.links
            ]
            self._joined[key] = Dangers(self.study, circuit, self.hands.states)
        return self._joined[key]

    def _off(self, state: State) -> frozenset[str]:
        things = self.hands.things
        return frozenset(
            item for thing in things for item in (thing.item, *thing.members) if self.hands.is_off(item, state)
        )

    def _interlock(self, state: State) -> Fault:
        stands = self.hands.switches(state)
        for lock in self.study.snapshot.interlocks.values():
            held = [h.equipment for h in lock.held if stands.get(h.equipment) in h.positions]
            if len(held) > lock.at_most:
                names = ", ".join(f"{self.study.name(item)} {_(stands[item])}" for item in held)
                if lock.name:
                    text = _("the interlock {name} does not allow {positions} together")
                else:
                    text = _("an interlock does not allow {positions} together")
                return Fault("interlock", text.format(name=lock.name, positions=names), tuple(held))
        return Fault("interlock", _("the interlocks do not allow it"))

    # -- what must stay joined --------------------------------------------------------------------------------------
    def _kept(self, state: State, cube: int, broken: str) -> Fault | None:
        """Alternators without their battery and loads without supply; `broken`: a switch that joins nothing."""
        running = self.hands.running(state) or frozenset()
        things, number = self.hands.things, self.hands.number
        turning = {t.item for t in things if t.kind == "source" and state[number[t.item]] != STANDS}
        for machine in self._machines.every:
            if not self._machines.turns(machine, running, turning) or self._machines.has_battery(machine, cube, broken):
                continue
            text = _("{machine} would lose its battery while it runs").format(machine=self._name(machine.item))
            missing = (*((machine.field,) if machine.field else ()), *machine.unsaid)
            return Fault("cut off", text, (machine.item,), missing)
        dark = self._dark(state, broken)
        if dark:
            return Fault("dark", _("{load} would be without supply").format(load=self._name(dark)), (dark,))
        return None

    def _dark(self, state: State, broken: str) -> str:
        """The first of the loads to be kept that is without supply."""
        wanted = set(self.keep)
        if wanted:
            off, running = self._off(state), self.hands.running(state)
            for positions in self.hands.surroundings(state):
                if broken:
                    positions = positions | {broken: BETWEEN}
                wanted -= self.fed.items(positions, lambda s: _gives(s, running), off)
                if not wanted:
                    break
        return next((item for item in self.keep if item in wanted), "")

    def supplied(self, state: State, broken: str = "") -> set[str]:
        """Equipment with supply while what moves by itself stands where it is meant to."""
        key = state, broken
        if key not in self._fed:
            made: set[str] = set()
            off, running = self._off(state), self.hands.running(state)
            for positions in self.hands.surroundings(state):
                if broken:
                    positions = positions | {broken: BETWEEN}
                made |= self.fed.items(positions, lambda s: _gives(s, running), off)
            self._fed[key] = made
        return self._fed[key]

    def is_live(self, state: State, item: str, terminal: str) -> bool:
        """Whether something other than `item` itself puts voltage on one of its terminals."""
        off = self._off(state) | {item}
        running = self.hands.running(state)
        return any(
            self.fed.at(positions, lambda s: _gives(s, running), off, item, terminal)
            for positions in self.hands.surroundings(state)
        )

    def _name(self, item: str) -> str:
        record = self.study.snapshot.equipment[item]
        what = record.label or inward(_(record.NAME))
        return f"{self.study.name(item)} ({what})" if what else self.study.name(item)


def _gives(supply: Supply, running: frozenset[str] | None) -> bool:
    """Batteries always; what must run or be plugged in where it does; shore and generators where none is recorded."""
    return supply.battery or (supply.stands_alone if running is None else supply.equipment in running)
