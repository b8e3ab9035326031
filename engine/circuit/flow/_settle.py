"""Both networks solved together: what converters give decides what they take, until neither changes.

A converter gives only while its input is fed; which are is found on the graph, from the sources outward, so that two
converters never keep each other alive. One whose input collapses gives nothing, and the rest is solved again.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from engine.circuit.flow._reach import Reach
from engine.circuit.flow.netlist import NetConversion, Netlist
from engine.circuit.solve.network import CURRENT, Network, Solution
from engine.circuit.solve.solver import Prepared, prepare

__all__ = ["Settled", "settle"]

CLOSE = 1e-9  # of the largest power converted
MOST_PASSES = 80
STEEP = 0.3


@dataclass(eq=False)
class Settled:
    """The solution of a netlist. `dead` are conversions that give nothing; `collapsed` those whose input gave way."""

    built: Netlist
    solutions: dict[str, Solution] = field(default_factory=dict)
    dead: set[int] = field(default_factory=set)
    collapsed: set[int] = field(default_factory=set)
    gave: dict[int, complex] = field(default_factory=dict)  # conversion -> W + j var at its outputs' EMF
    converged: bool = True
    # load or output -> what was last tried, and what came of it
    tried: dict[tuple[str, int], tuple[float, float]] = field(default_factory=dict)

    taken: dict[int, float] = field(default_factory=dict)  # AC input -> W it had when AC was last solved

    def aim(self, key: tuple[str, int], have: float, wanted: float) -> float:
        """The next value to try: what is wanted, and by how much that was found to move with what is tried (secant)."""
        before = self.tried.get(key)
        self.tried[key] = have, wanted
        if before is None or before[0] == have:
            return wanted
        slope = (wanted - before[1]) / (have - before[0])
        return have + (wanted - have) / (1 - slope) if abs(slope) < STEEP else wanted


def settle(built: Netlist) -> Settled:
    """Solve both networks of a netlist. Its converters' loads, limits and EMFs are changed in place."""
    done = Settled(built, dead=Reach(built).dead if built.conversions else set())
    nets = {system: net for system, net in built.nets.items() if net.size}
    for conversion in built.conversions:
        for index in conversion.arrays:
            # a tracking controller takes no more than the array's best current, so that the array needs no limit
            nets["dc"].limit_a[built.sources[index].number] = float("inf")
    prepared = {system: prepare(net) for system, net in nets.items()}
    while True:
        _one(done, nets, prepared)
        gone = {
            number
            for number, conversion in enumerate(built.conversions)
            if number not in done.dead and _gives_way(done, conversion)
        }
        if not gone:
            return done
        done.dead |= gone
        done.collapsed |= gone


def _one(done: Settled, nets: dict[str, Network], prepared: dict[str, Prepared]) -> None:
    """Solve with the converters that are alive."""
    built = done.built
    for number, conversion in enumerate(built.conversions):
        for index in conversion.outputs:
            source = built.sources[index]
            net = nets[source.system]
            limit = 0.0 if number in done.dead else source.limit_a
            if limit and conversion.arrays:
                limit = min(limit, _array_watts(done, conversion) / max(abs(source.emf), 1e-3))
            net.limit_a[source.number] = limit
            net.emf[source.number] = source.emf
        for index in conversion.loads:
            load = built.loads[index]
            nets[load.system].load_value[load.number] = 0.0
    done.gave.clear()
    done.tried.clear()
    done.taken.clear()
    changed = set(nets)
    system = "ac" if "ac" in nets and _inverts(done) else "dc"
    for _pass in range(MOST_PASSES):
        if not changed:
            break
        if system not in changed:  # one network until it is quiet, then what that changed in the other
            system = "dc" if system == "ac" else "ac"
            done.tried = {key: value for key, value in done.tried.items() if key[0] == "ac"}
            if system == "ac":
                _aim_alternating(done, nets["ac"])
        changed.discard(system)
        done.solutions[system] = prepared[system].solve(nets[system], done.solutions.get(system))
        changed |= _pass_on(done, nets, system)
    done.converged = not changed and all(found.converged for found in done.solutions.values())


def _aim_alternating(done: Settled, net: Network) -> None:
    """What AC inputs take next, by how much that was found to come back through DC."""
    for index in sorted({index for conversion in done.built.conversions for index in conversion.loads}):
        load = done.built.loads[index]
        if load.system == "ac":
            wanted = net.load_value[load.number]
            if wanted.real > 0:
                aimed = max(0.0, done.aim(("ac", index), done.taken.get(index, 0.0), wanted.real))
                net.load_value[load.number] = wanted * (aimed / wanted.real)
            done.taken[index] = net.load_value[load.number].real


def _pass_on(done: Settled, nets: dict[str, Network], system: str) -> set[str]:
    """Set inputs and limits after what the outputs in `system` give; the networks that this changes."""
    built, changed = done.built, set()
    largest = max((abs(power) for power in done.gave.values()), default=0.0)
    for number, conversion in enumerate(built.conversions):
        if number in done.dead:
            continue
        of_output, of_input = built.sources[conversion.outputs[0]].system, built.loads[conversion.loads[0]].system
        if of_output == system or (of_input == system and (conversion.arrays or conversion.ratio)):
            if of_output not in done.solutions:
                continue
            gave = done.gave[number] = sum(_given(done, nets, index) for index in conversion.outputs)
            largest = max(largest, abs(gave))
            if _limit(done, nets, conversion):
                changed.add(of_output)
            noise = 4 * done.solutions[of_output].residual_a * abs(built.sources[conversion.outputs[0]].emf)
            if _take(done, nets, conversion, gave, CLOSE * max(1.0, largest) + noise, of_output):
                changed.add(of_input)
    return changed


def _given(done: Settled, nets: dict[str, Network], index: int) -> complex:
    """W + j var of an output at its EMF."""
    source = done.built.sources[index]
    net, found = nets[source.system], done.solutions[source.system]
    amps = complex(found.source_a[source.number])
    if abs(amps) <= 2 * found.residual_a:
        return 0.0
    across = complex(found.volts[net.source_pos[source.number]] - found.volts[net.source_neg[source.number]])
    return (across + amps * net.source_z[source.number]) * amps.conjugate()


def _take(
    done: Settled, nets: dict[str, Network], conversion: NetConversion, gave: complex, close: float, system: str
) -> bool:
    """Set what an input takes; whether it changed."""
    built = done.built
    net = nets[built.loads[conversion.loads[0]].system]
    efficiency = conversion.efficiency if conversion.efficiency and not conversion.ratio else 1.0
    watts = max(0.0, gave.real) / efficiency
    wanted = complex(watts, gave.imag if conversion.ratio else watts * conversion.tangent) / len(conversion.loads)
    changed = False
    for index in conversion.loads:
        load = built.loads[index]
        value: complex = wanted if load.system == "ac" else wanted.real
        if conversion.arrays:
            volts = _array_volts(done, conversion)
            best = _array_amps(built, conversion)
            wished = min(best, watts / volts) if volts > 0 else 0.0
            value = best if _is_held(done, conversion) else wished
            net.load_kind[load.number] = CURRENT
            close_here = close / max(1.0, volts)
        else:
            close_here = close
        if abs(value - net.load_value[load.number]) > close_here:
            if system == load.system == "dc":
                value = max(0.0, done.aim(("load", index), net.load_value[load.number].real, value.real))
            net.load_value[load.number] = value
            changed = True
    return changed


def _is_held(done: Settled, conversion: NetConversion) -> bool:
    """Whether what the array can give is what limits a tracking controller."""
    built = done.built
    for index in conversion.outputs:
        source = built.sources[index]
        found = done.solutions[source.system]
        if found.is_limited[source.number] and built.nets[source.system].limit_a[source.number] < source.limit_a:
            return True
    return False


def _array_amps(built: Netlist, conversion: NetConversion) -> float:
    """Its part of what its arrays give at their best."""
    sharing = {index: sum(index in other.arrays for other in built.conversions) for index in conversion.arrays}
    return sum(built.sources[index].limit_a / count for index, count in sharing.items())


def _array_volts(done: Settled, conversion: NetConversion) -> float:
    """Volts at a tracking controller's input; before the first solution those of its array."""
    load = done.built.loads[conversion.loads[0]]
    found = done.solutions.get(load.system)
    volts = abs(found.load_v[load.number]) if found is not None else 0.0
    return float(volts) or abs(done.built.sources[conversion.arrays[0]].emf)


def _array_watts(done: Settled, conversion: NetConversion) -> float:
    """What its arrays let a tracking controller give."""
    return _array_volts(done, conversion) * _array_amps(done.built, conversion) * (conversion.efficiency or 1.0)


def _inverts(done: Settled) -> bool:
    """Whether DC hangs on what AC takes; else DC is solved first."""
    built = done.built
    return any(
        built.sources[conversion.outputs[0]].system == "ac" and built.loads[conversion.loads[0]].system == "dc"
        for number, conversion in enumerate(built.conversions)
        if number not in done.dead
    )


def _limit(done: Settled, nets: dict[str, Network], conversion: NetConversion) -> bool:
    """Outputs after what stands behind them: an array's power, all outputs together, a transformer's primary volts."""
    built, changed = done.built, False
    sources = [built.sources[index] for index in conversion.outputs]
    net, found = nets[sources[0].system], done.solutions[sources[0].system]
    if conversion.ratio:
        load = built.loads[conversion.loads[0]]
        at_input = done.solutions.get(load.system)
        if at_input is not None and load.nominal_v:
            share = float(abs(at_input.load_v[load.number])) / load.nominal_v
            for source in sources:
                if abs(net.emf[source.number] - source.emf * share) > CLOSE * abs(source.emf):
                    net.emf[source.number] = source.emf * share
                    changed = True
    if conversion.arrays:
        watts = _array_watts(done, conversion)
        for index, source in zip(conversion.outputs, sources, strict=True):
            across = found.volts[net.source_pos[source.number]] - found.volts[net.source_neg[source.number]]
            amps = min(source.limit_a, watts / len(sources) / max(float(abs(across)), 1e-3))
            have = net.limit_a[source.number]
            if abs(amps - have) > CLOSE * max(1.0, amps):
                net.limit_a[source.number] = min(source.limit_a, max(0.0, done.aim(("limit", index), have, amps)))
                changed = True
    if conversion.cap_a is not None:
        given = [max(0.0, float(abs(found.source_a[source.number]))) for source in sources]
        if sum(given) > conversion.cap_a * (1 + 1e-9):
            for source, amps in zip(sources, given, strict=True):
                net.limit_a[source.number] = amps * conversion.cap_a / sum(given)
            changed = True
    return changed


def _gives_way(done: Settled, conversion: NetConversion) -> bool:
    """Whether an input has collapsed under what is wanted of it."""
    for index in conversion.loads:
        load = done.built.loads[index]
        net, found = done.built.nets[load.system], done.solutions[load.system]
        if found.is_collapsed[load.number] and abs(net.load_value[load.number]) > 0:
            return True
    return False
