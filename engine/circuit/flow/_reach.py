"""What the sources reach, found on the graph: from batteries, machines and supplies outward, through converters."""

from __future__ import annotations

from engine.circuit.flow.netlist import NetConversion, Netlist, NetLoad

__all__ = ["Reach"]


class Reach:
    """Which converters are fed, and which loads."""

    def __init__(self, built: Netlist) -> None:
        self.built = built
        self._above = {system: list(range(net.size)) for system, net in built.nets.items()}
        for system, net in built.nets.items():
            for a, b in (*zip(net.a, net.b, strict=True), *zip(net.diode_a, net.diode_b, strict=True)):
                self._join(system, a, b)
        self._group = {
            source.number: self._top(source.system, built.nets[source.system].source_pos[source.number])
            for source in built.sources
            if source.system == "dc"
        }
        self._groups_of_inputs = {
            index: self._top(load.system, built.nets[load.system].load_pos[load.number])
            for index, load in enumerate(built.loads)
            if load.is_input
        }
        self._charging: set[int] = set()  # groups of positives on which something other than a battery gives
        self._fed: dict[str, list[int]] = {"dc": [], "ac": []}  # points a source stands on
        for index, source in enumerate(built.sources):
            if not source.by_conversion:
                self._feed(index)
        self.dead = set(range(len(built.conversions)))
        while alive := sorted(number for number in self.dead if self._works(built.conversions[number])):
            self.dead -= set(alive)
            for number in alive:
                for index in built.conversions[number].outputs:
                    self._feed(index)

    def _top(self, system: str, point: int) -> int:
        above = self._above[system]
        while above[point] != point:
            above[point] = above[above[point]]
            point = above[point]
        return point

    def _join(self, system: str, one: int, other: int) -> None:
        self._above[system][self._top(system, one)] = self._top(system, other)

    def _feed(self, index: int) -> None:
        source = self.built.sources[index]
        net = self.built.nets[source.system]
        self._join(source.system, net.source_pos[source.number], net.source_neg[source.number])
        self._fed[source.system].append(net.source_pos[source.number])
        if source.system == "dc" and not source.battery:
            self._charging.add(self._group[source.number])

    def is_fed(self, load: NetLoad) -> bool:
        """Whether both conductors of a load come from one source."""
        net = self.built.nets[load.system]
        island = self._top(load.system, net.load_pos[load.number])
        if island != self._top(load.system, net.load_neg[load.number]):
            return False
        return any(self._top(load.system, point) == island for point in self._fed[load.system])

    def _works(self, conversion: NetConversion) -> bool:
        """Whether a converter's input is fed; of one that waits for charge, whether what it takes from is charged."""
        converter = self.built.snapshot.equipment[conversion.equipment].converter()
        if (
            converter is not None
            and converter.runs_when == "input is charging"
            and not any(self._groups_of_inputs[index] in self._charging for index in conversion.loads)
        ):
            return False
        return all(self.is_fed(self.built.loads[index]) for index in conversion.loads)
