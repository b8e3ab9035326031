"""Whether a machine that turns keeps a battery, in every position of what moves by itself."""

from __future__ import annotations

import copy
from typing import NamedTuple

from engine.circuit.paths import Net, search
from engine.circuit.states import States, TooManyStates
from engine.circuit.switching._dangers import ENOUGH
from engine.study import Study

__all__ = ["Machine", "Machines"]


class Machine(NamedTuple):
    """A machine that is harmed by the loss of its battery, or of which that is not recorded (`field`)."""

    item: str
    node: int
    field: str
    keeps: tuple[int, ...]  # banks, and surge absorbers made for its output
    engine: str
    is_rectifier: bool  # the machine stands on its AC side
    unsaid: tuple[str, ...]  # fields that would tell whether an absorber does


class Machines:
    """The machines of one circuit. One whose field opens first is none of them."""

    def __init__(self, study: Study, states: States) -> None:
        self.study, self.states = study, states
        self.every = tuple(self._machines())
        self._nets: dict[str, Net] = {}
        equipment = study.snapshot.equipment
        self._field_first = [d.equipment for d in states.devices if equipment[d.equipment].parts().field_first]

    def _machines(self) -> list[Machine]:
        study = self.study
        circuit, equipment = study.circuit, study.snapshot.equipment
        banks = [f.node for f in circuit.feeds if f.source.battery]
        absorbers, machines = [], []
        for item, record in equipment.items():
            lost = record.battery_lost()
            node = None if lost is None else circuit.node(item, lost.terminal, "+")
            if lost is None or node is None:
                continue
            if lost.form == "absorber":
                absorbers.append((item, node, lost.largest_a))
            elif lost.form == "machine" and lost.harmed is not False and lost.field_first is not True:
                machines.append((item, node, lost))
        made = []
        for item, node, lost in machines:
            record = equipment[item]
            told = record.machine()
            rated = None if told is None else told.rated_a
            fit = [
                n for _item, n, largest in absorbers if largest is not None and rated is not None and largest >= rated
            ]
            unsaid = [
                f"{study.name(other)}.largest_alternator_a" for other, _n, largest in absorbers if largest is None
            ]
            if rated is None and absorbers:
                unsaid.append(f"{study.name(item)}.rating_a")
            field = f"{study.name(item)}.{lost.field}" if lost.harmed is None else ""
            rectifier = bool(record.conversions())
            made.append(
                Machine(item, node, field, (*banks, *fit), record.engine_mounted(), rectifier, tuple(unsaid))
            )  # fmt: skip
        return made

    def turns(self, machine: Machine, running: frozenset[str], turning: set[str]) -> bool:
        """Whether it runs: by itself, with its engine, or with the machine on its AC side."""
        if machine.item in running or (machine.engine and machine.engine in turning):
            return True
        equipment = self.study.snapshot.equipment
        return machine.is_rectifier and any(
            source.line == "stator" for other in running for source in equipment[other].sources(frozenset())
        )

    def has_battery(self, machine: Machine, cube: int, broken: str) -> bool:
        """In a state, given as the cube of what is moved by hand; `broken`: a switch that joins nothing."""
        if self._is_joined(machine, cube, broken):
            return True
        states = self.states
        for item in self._field_first:
            number = states.number[item]
            if item != broken and not cube & states.field[number]:
                continue
            closed = states.of_positions([(item, self.study.snapshot.equipment[item].positions()[-1])])
            without = cube & ~states.field[number]
            if self._is_joined(machine, without | closed, "" if item == broken else broken):
                return True  # its field is opened by the switch that takes the battery away
        return False

    def _is_joined(self, machine: Machine, cube: int, broken: str) -> bool:
        net = self._nets.get(broken)
        if net is None:
            circuit = self.study.circuit
            if broken:
                circuit = copy.copy(circuit)
                circuit.links = [x for x in circuit.links if x.equipment != broken or x.positions is None]
            net = self._nets[broken] = Net(circuit, self.states, ("+",), both_ways=False)
        start = net.at(machine.node)
        targets = {net.at(n) for n in machine.keeps}
        if start in targets:
            return True
        found = search(net, start, sorted(targets), enough=ENOUGH, given=cube)
        ways = [c for cubes in found.cubes.values() for c in cubes]
        try:
            return bool(ways) and self.states.outside(ways, cube) is None
        except TooManyStates:
            return False
