"""The largest fault currents: cold conductors, full banks, every source that a state of the switches lets feed in."""

from __future__ import annotations

import cmath
import math
from typing import NamedTuple

from engine.books import Book
from engine.books.ampacity import amps
from engine.circuit.expand import Circuit, Feed
from engine.circuit.faults.results import Part
from engine.circuit.faults.sources import Behind, method, most, transformed
from engine.circuit.faults.states import Positions
from engine.circuit.flow.netlist import Netlist, netlist
from engine.circuit.flow.operating import Operation
from engine.circuit.solve.network import Network
from engine.circuit.volts import SystemVolts
from engine.equipment.base import Conversion, Equipment
from engine.installation.model import Snapshot
from engine.units import number
from engine.words import _

__all__ = ["Standing", "Stands", "built_for", "everything_closed", "primary", "put_sources", "standing", "wound_by"]

CURRENT_V = 1e6  # EMF of a source that stands as a current


class Standing(NamedTuple):
    """A source of a network, for a fault."""

    equipment: str
    feed: int  # number in circuit.feeds; -1 for a motor that gives back
    pos: int
    neg: int
    angle: complex  # of its EMF, size 1
    behind: Behind
    missing: tuple[str, ...] = ()  # with designations

    def part(self, snapshot: Snapshot, amps: float) -> Part:
        """What it adds, in words."""
        return Part(
            equipment=self.equipment,
            designation=snapshot.name(self.equipment),
            amps=amps,
            how="" if self.missing else self.behind.how,
            assumed=self.behind.assumed and not self.missing,
        )


Stands = dict[str, list[Standing]]


def built_for(
    snapshot: Snapshot, circuit: Circuit, book: Book, fixed: dict[str, str], chosen: Positions, temperature: str
) -> Netlist:
    """The conductors and contacts of a state."""
    drawn = {item: record.drawn_position() for item, record in snapshot.equipment.items() if record.positions()}
    operation = Operation("", "", drawn | fixed | dict(chosen), None, {}, frozenset(), False)
    return netlist(snapshot, circuit, operation, book, "full", temperature, loads=False, sources="all")


def everything_closed(built: Netlist) -> None:
    """Every contact joined, whatever the positions: an upper bound."""
    for inner in built.frame.inner:
        if inner.number in built.link or inner.number in built.diode:
            continue
        net = built.nets[inner.system]
        if inner.one_way:
            built.diode[inner.number] = inner.system, net.diode(inner.a, inner.b, inner.ohm, inner.volts)
        else:
            built.link[inner.number] = inner.system, net.branch(inner.a, inner.b, inner.ohm)


def standing(built: Netlist, relaxed: bool) -> list[tuple[Feed, int, int, int, complex]]:
    """Every source that gives in this state: feed, its number, its two points, the angle of its EMF."""
    given = {source.feed: source for source in built.sources}
    found: list[tuple[Feed, int, int, int, complex]] = []
    for index, feed in enumerate(built.circuit.feeds):
        source = feed.source
        if source.line == "stator" or not (relaxed or built.holds(feed.equipment, source.positions)):
            continue
        record = built.snapshot.equipment[feed.equipment]
        known = given.get(index)
        if known is not None:
            net = built.nets[known.system]
            emf = complex(known.emf)
            angle = emf / abs(emf) if abs(emf) else 1 + 0j
            found.append((feed, index, net.source_pos[known.number], net.source_neg[known.number], angle))
            continue
        into = [c for c in record.conversions() if c.target == source.terminal]
        works = relaxed or any(built.holds(feed.equipment, c.positions) for c in into)
        if into and not works and not source.in_step and source.line != "reverse":
            continue
        system, pos = built.at[feed.node]
        if system == "dc":
            negative = built.negative(feed.equipment, source.terminal)
        elif system == "ac":
            there = built.point(feed.equipment, source.terminal, "N")[1]
            negative = there if there >= 0 else built.nets["ac"].point()
        else:
            continue
        if negative is not None and negative != pos:
            place = {"L1": 0, "L2": 1, "L3": 2}.get(source.conductor, 0)
            found.append((feed, index, pos, negative, 1 + 0j if place == 0 else _turned(built, place)))
    return found


def _turned(built: Netlist, place: int) -> complex:
    has_three = any(node.conductor == "L3" for node in built.circuit.nodes)
    return cmath.exp(-2j * math.pi * place / 3) if has_three else complex(-1)


def put_sources(
    built: Netlist, book: Book, volts: SystemVolts, relaxed: bool, known: dict[int, Behind] | None = None
) -> Stands:
    """Take the sources of the condition out and put those of a fault in; what stands there, in their order.

    `known`: what stands behind each feed, filled in for the next state.
    """
    known = {} if known is None else known
    every = standing(built, relaxed)
    for net in built.nets.values():
        _emptied(net)
    stands: Stands = {"dc": [], "ac": []}
    waiting = []
    for feed, index, pos, neg, angle in every:
        record = built.snapshot.equipment[feed.equipment]
        wound = wound_by(record, feed)
        if wound is not None and wound.ratio:
            waiting.append((feed, index, pos, neg, angle, record, wound))
            continue
        behind = known.get(index)
        if behind is None:
            behind = known[index] = most(feed, record, book)
        _put(built, stands, feed, index, pos, neg, angle, behind)
    _put_motors(built, stands, volts)
    for _pass in range(3):  # a transformer may feed another
        left = []
        for entry in waiting:
            feed, index, pos, neg, angle, record, wound = entry
            pair = primary(built, feed.equipment, wound)
            before = _before(built, stands["ac"], pair)
            if before is None:
                left.append(entry)
                continue
            ohm, missing = before
            behind = transformed(record, feed, 1 / (wound.ratio or 1.0), ohm, least_of_all=False)
            _put(built, stands, feed, index, pos, neg, angle, behind, missing)
        waiting = left
        if not waiting:
            break
    return stands


def wound_by(record: Equipment, feed: Feed) -> Conversion | None:
    """The windings a source comes out of, `None` where it is no transformer's."""
    return next((c for c in record.conversions() if c.target == feed.source.terminal and c.both_ways), None)


def primary(built: Netlist, equipment: str, wound: Conversion) -> tuple[int, int] | None:
    """The two points its primary stands between."""
    lines = [p for c in ("L1", "L2", "L3") if (p := built.point(equipment, wound.source, c)[1]) >= 0]
    neutral = built.point(equipment, wound.source, "N")[1]
    if len(lines) >= 2:
        return lines[0], lines[1]
    return (lines[0], neutral) if lines and neutral >= 0 else None


def _before(
    built: Netlist, stands: list[Standing], pair: tuple[int, int] | None
) -> tuple[complex, tuple[str, ...]] | None:
    """Ohms that stand before a primary, and what is missing for them; `None` where nothing feeds it."""
    if pair is None:
        return None
    from engine.circuit.solve.bolted import bolted

    found = bolted(built.nets["ac"], [pair])
    if not abs(found.amps[0]) > 0:
        return None
    missing = tuple(
        field
        for place, one in enumerate(stands)
        if one.missing and abs(found.source_a[0][place]) > 1e-6 * abs(found.amps[0])
        for field in one.missing
    )
    return complex(found.open_v[0] / found.amps[0]), missing


def _put(
    built: Netlist,
    stands: Stands,
    feed: Feed,
    index: int,
    pos: int,
    neg: int,
    angle: complex,
    behind: Behind,
    missing: tuple[str, ...] = (),
) -> None:
    system = feed.source.system
    name = built.name(feed.equipment)
    named = (*(f"{name}.{field}" for field in behind.missing), *missing)
    volts = behind.volts if behind.volts > 0 else float(feed.source.nominal_v or 0.0)
    if volts <= 0:
        volts = 12.0 if system == "dc" else 230.0  # only its limit or its being there counts
    net = built.nets[system]
    ohm = behind.ohm
    if behind.limit_a < math.inf:
        # a current, whatever the volts: an EMF far above all others behind as much impedance
        volts = CURRENT_V
        ohm = CURRENT_V / max(behind.limit_a, 1e-9)
    emf = volts * angle
    net.source(pos, neg, emf if system == "ac" else emf.real, ohm if system == "ac" else abs(ohm))
    stands[system].append(Standing(feed.equipment, index, pos, neg, angle, behind, named))


def _emptied(net: Network) -> None:
    for name in ("source_pos", "source_neg", "emf", "source_z", "limit_a", "one_way"):
        getattr(net, name).clear()
    for name in ("load_pos", "load_neg", "load_kind", "load_value", "floor_v"):
        getattr(net, name).clear()


# -- motors ---------------------------------------------------------------------------------------------------------
def _put_motors(built: Netlist, stands: Stands, volts: SystemVolts) -> None:
    """Where a machine is taken by the multipliers, the running motors on its system give theirs."""
    circuit = built.circuit
    machines = [one for system in stands.values() for one in system if one.behind.by_multiplier]
    if not machines:
        return
    table = method("46 CFR 111.52-3")
    by_island = {id(volts.at(circuit.feeds[one.feed].node)): one for one in machines}
    for item, record in built.snapshot.equipment.items():
        use = record.use()
        if use is None or not use.is_motor or not use.running_a or record.status in ("spare", "to remove"):
            continue
        terminal = record.draws()[0].terminal
        nodes = [(c, node) for c in ("+", "L1", "L2", "L3") if (node := circuit.node(item, terminal, c)) is not None]
        machine = by_island.get(id(volts.at(nodes[0][1]))) if nodes else None
        if machine is None:
            continue
        system = built.at[nodes[0][1]][0]
        times = float(table[f"{system}_motor"])
        short = times * use.running_a
        how = _("46 CFR 111.52-3: {times} × {running} = {amps}, a running motor").format(
            times=number(times), running=amps(use.running_a), amps=amps(short)
        )
        net = built.nets[system]
        if system == "dc":
            neg = built.negative(item, terminal)
        else:
            neg = built.point(item, terminal, "N")[1] if len(nodes) == 1 else net.point()
        for conductor, node in nodes:
            pos = built.at[node][1]
            if neg is None or neg < 0 or neg == pos:
                continue
            place = {"L2": 1, "L3": 2}.get(conductor, 0)
            angle = _turned(built, place) if place else 1 + 0j
            z = machine.behind.volts / short
            behind = Behind(machine.behind.volts, 1j * z if system == "ac" else z, how=how, assumed=True)
            emf = machine.behind.volts * angle
            net.source(pos, neg, emf if system == "ac" else emf.real, behind.ohm)
            stands[system].append(Standing(item, -1, pos, neg, angle, behind))
