"""What happens while a motor or an engine starts: volts at the loads that matter, amperes everywhere.

In each condition the largest motor that is fed there starts while all other loads of the condition draw; each engine's
starter does too, its battery's switch closed where the condition has it open and what its engine drives at rest.
Batteries are at their lowest. The starting current is as recorded, else that of the stalled motor, and constant.
"""

from __future__ import annotations

import heapq
import math
from typing import NamedTuple

from engine.books import Book
from engine.circuit.expand import Circuit
from engine.circuit.flow._buses import devices
from engine.circuit.flow._draws import SQRT3, pairs_of
from engine.circuit.flow._reach import Reach
from engine.circuit.flow._runs import amps_of
from engine.circuit.flow._settle import settle
from engine.circuit.flow._volts import Volts
from engine.circuit.flow.netlist import Netlist, NetLoad, netlist
from engine.circuit.flow.operating import STARTER, Operation
from engine.circuit.flow.results import Start, StartedLoad
from engine.circuit.solve.network import CURRENT
from engine.equipment.behaviour import Use
from engine.installation.model import Snapshot
from engine.units import number
from engine.words import _

__all__ = ["starts"]

STARTING_FACTOR = 0.35  # power factor of a motor at rest (common practice, no source)


class _Motor(NamedTuple):
    item: str
    use: Use
    amps: float | None


def starts(snapshot: Snapshot, circuit: Circuit, operations: tuple[Operation, ...], book: Book) -> tuple[Start, ...]:
    """Every start there is to tell of, by condition."""
    motors = [
        _Motor(item, use, _amps(use))
        for item, record in snapshot.equipment.items()
        if item in circuit.joined and (use := record.use()) is not None and use.is_motor and record.status != "spare"
    ]
    made: list[Start] = []
    for operation in operations:
        running = [motor for motor in motors if motor.use.service != STARTER]
        if running:
            made += _of_motors(snapshot, circuit, operation, book, running)
        for motor in motors:
            if motor.use.service == STARTER:
                closed = _cranking(snapshot, circuit, operation, motor)
                made.append(_start(snapshot, circuit, closed, book, motor))
    return tuple(made)


def _amps(use: Use) -> float | None:
    """Starting current, else the current when stalled; an engine's starter draws what it runs at."""
    if use.starting_a is not None:
        return use.starting_a
    if use.stalled_a is not None:
        return use.stalled_a
    return use.running_a if use.service == STARTER else None


def _of_motors(
    snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book, motors: list[_Motor]
) -> list[Start]:
    """The largest motor that is fed; one entry more where some are fed whose starting current is not known."""
    fed = _fed(snapshot, circuit, operation, book, motors)
    made: list[Start] = []
    known = [motor for motor in fed if motor.amps is not None]
    if known:
        largest = max(known, key=lambda motor: (motor.amps or 0.0, motor.item in operation.on))
        made.append(_start(snapshot, circuit, operation, book, largest))
    unknown = [motor.item for motor in fed if motor.amps is None]
    if unknown:
        made.append(
            Start(
                condition=operation.condition,
                motor=unknown[0],
                designation=snapshot.name(unknown[0]),
                amps=None,
                missing=tuple(f"{snapshot.name(item)}.starting_a" for item in unknown),
            )
        )
    return made


def _fed(snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book, motors: list[_Motor]) -> list[_Motor]:
    """Motors that a source reaches in the positions of the condition."""
    every = operation._replace(on=operation.on | {motor.item for motor in motors})
    built = netlist(snapshot, circuit, every, book, "lowest")
    reach = Reach(built)
    reached = {load.equipment for load in built.loads if load.is_use and reach.is_fed(load)}
    return [motor for motor in motors if motor.item in reached]


def _engine_of(snapshot: Snapshot, item: str) -> str:
    """The engine that drives a source, "" for none."""
    record = snapshot.equipment.get(item)
    machine = record.machine() if record is not None else None
    return "" if machine is None else machine.engine


def _cranking(snapshot: Snapshot, circuit: Circuit, operation: Operation, motor: _Motor) -> Operation:
    """The condition with the switches from a starter to its nearest battery closed, its engine's sources at rest."""
    running = operation.running
    if running is not None:
        running = frozenset(
            item
            for item in running
            if not ((of := _engine_of(snapshot, item)) and (not motor.use.starts or of == motor.use.starts))
        )
    positions = dict(operation.positions)
    near: dict[int, list[tuple[int, str, str]]] = {}
    for wire in circuit.wires:
        if wire.conductor == "+":
            near.setdefault(wire.a, []).append((wire.b, "", ""))
            near.setdefault(wire.b, []).append((wire.a, "", ""))
    for link in circuit.links:
        if circuit.nodes[link.a].conductor != "+" or circuit.nodes[link.b].conductor != "+" or link.supposed:
            continue
        item = link.equipment
        holds = link.positions is None or positions.get(item) in link.positions
        change = ("", "") if holds else (item, min(link.positions or {""}))
        near.setdefault(link.a, []).append((link.b, *change))
        if not link.one_way:
            near.setdefault(link.b, []).append((link.a, *change))
    batteries = {feed.node for feed in circuit.feeds if feed.source.battery}
    starts_at = [at for at, node in enumerate(circuit.nodes) if node.equipment == motor.item and node.conductor == "+"]
    todo: list[tuple[int, int, tuple[tuple[str, str], ...]]] = [(0, at, ()) for at in starts_at]
    done: set[int] = set()
    while todo:
        _changes, at, moved = heapq.heappop(todo)
        if at in done:
            continue
        done.add(at)
        if at in batteries:
            positions.update(moved)
            break
        for to, item, position in near.get(at, ()):
            more = (*moved, (item, position)) if item and (item, position) not in moved else moved
            if to not in done:
                heapq.heappush(todo, (len(more), to, more))
    return operation._replace(positions=positions, running=running)


def _start(snapshot: Snapshot, circuit: Circuit, operation: Operation, book: Book, motor: _Motor) -> Start:
    """The networks with the motor starting."""
    item, name = motor.item, snapshot.name(motor.item)
    if motor.amps is None:
        return Start(
            condition=operation.condition,
            motor=item,
            designation=name,
            amps=None,
            missing=(f"{name}.starting_a",),
        )
    others = operation._replace(on=operation.on - {item})
    built = netlist(snapshot, circuit, others, book, "lowest")
    missing = list(_put(built, motor))
    done = settle(built)
    view = Volts(done)
    loads, own = _volts_at(view, item)
    if not done.converged:
        built.assumed.append(_("{name}: no steady state was found while it starts").format(name=name))
    return Start(
        condition=operation.condition,
        motor=item,
        designation=name,
        amps=motor.amps,
        loads=loads,
        own_volts=own,
        missing=tuple(dict.fromkeys(missing)),
        assumed=tuple(dict.fromkeys((*operation.taken, *built.assumed))),
        runs=amps_of(view),
        devices=tuple((device.equipment, device.amps) for device in devices(view)),
    )


def _put(built: Netlist, motor: _Motor) -> tuple[str, ...]:
    """The starting current between the conductors that the motor's supply comes on; fields that are missing for it."""
    item, name = motor.item, built.name(motor.item)
    record = built.snapshot.equipment[item]
    missing: tuple[str, ...] = ()
    assert motor.amps is not None
    for draw in record.draws():
        told = draw.system if draw.conductors else ""
        system, pairs = pairs_of(built, item, draw.terminal, told, draw.conductors)
        factor = motor.use.starting_power_factor
        if system == "ac" and factor is None:
            factor = STARTING_FACTOR
            missing = (f"{name}.starting_power_factor",)
            built.assumed.append(
                _("{name}: power factor when starting not recorded, taken as {factor}").format(
                    name=name, factor=number(STARTING_FACTOR)
                )
            )
        nominal = record.nominal_volts(draw.terminal)
        for positive, negative, share, times in pairs:
            amps = motor.amps / SQRT3 if share == 1 / 3 and times == SQRT3 else motor.amps
            value: complex = amps
            if system == "ac" and factor is not None:
                value = complex(amps * factor, -amps * math.sqrt(max(0.0, 1 - factor * factor)))
            made = built.nets[system].load(positive, negative, CURRENT, value, 0.0)
            volts = nominal[1] * times if nominal and nominal[1] else None
            built.loads.append(NetLoad(item, draw.terminal, system, made, False, (), volts))
    return missing


def _volts_at(view: Volts, motor: str) -> tuple[tuple[StartedLoad, ...], float | None]:
    """Lowest volts at each essential load, and at the motor."""
    built = view.built
    lowest: dict[str, float | None] = {}
    gaps: dict[str, tuple[str, ...]] = {}
    for load in built.loads:
        trace = view.traces.get(load.system)
        if trace is None or not load.is_use:
            continue
        pos, neg = trace.net.load_pos[load.number], trace.net.load_neg[load.number]
        if not trace.is_fed(pos) or trace.island[pos] != trace.island[neg]:
            continue
        missing = view.gaps(trace, pos, neg, False)
        if missing:
            gaps[load.equipment] = missing
            lowest[load.equipment] = None
            continue
        volts = float(abs(trace.load_v[load.number]))
        have = lowest.get(load.equipment, math.inf)
        if have is not None:
            lowest[load.equipment] = min(have, volts)
    made = []
    for item, found in lowest.items():
        use = built.snapshot.equipment[item].use()
        if use is None or not use.essential or item == motor:
            continue
        name = built.name(item)
        lacking = gaps.get(item, ())
        if use.minimum_v is None:
            lacking = (*lacking, f"{name}.minimum_v")
        told = StartedLoad(equipment=item, designation=name, volts=found, minimum_v=use.minimum_v, missing=lacking)
        made.append(told)
    own = lowest.get(motor)
    return tuple(sorted(made, key=lambda load: (load.designation, load.equipment))), own
