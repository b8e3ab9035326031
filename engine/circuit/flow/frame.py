"""What a drawing's networks have in common whatever the condition: points, conductors, resistances of contacts.

Made once for a circuit, a book and a temperature; a condition adds its contacts, sources and loads to copies.
"""

from __future__ import annotations

import math
import weakref
from typing import NamedTuple

import msgspec

from engine.books import Book
from engine.books.ampacity import MACHINERY
from engine.books.resistances import contact_ohm, diode_volts, ohm_per_m, reactance_ohm_per_m
from engine.circuit.expand import Circuit
from engine.circuit.flow.returns import Return
from engine.circuit.solve.network import Network
from engine.equipment.base import LIVE, Contact, Equipment
from engine.installation.records import Run
from engine.naming import natural
from engine.units import UnitError, number
from engine.words import _

__all__ = ["NOWHERE", "Frame", "Inner", "LiveNode", "RunPlan", "frame", "run_impedance"]

NOWHERE = ("", -1)  # protective earth and signal: no part of the flow
SYSTEM = {"+": "dc", "-": "dc", "L1": "ac", "L2": "ac", "L3": "ac", "N": "ac"}
COLD_C = 20.0
USUAL_HZ = 60.0


class Inner(NamedTuple):
    """A contact as a resistance."""

    number: int  # in circuit.links
    system: str
    a: int
    b: int
    equipment: str
    positions: frozenset[str] | None
    ohm: float
    one_way: bool
    volts: float  # lost in a diode
    is_pole: bool  # of a device that current passes; else what passes it straight, or joins its own terminals


class RunPlan(NamedTuple):
    """A run with power conductors."""

    run: str
    designation: str
    system: str
    wires: tuple[tuple[str, int], ...]  # (conductor, branch)
    points: dict[str, tuple[int, int]]  # conductor -> points at its two ends
    ends: tuple[tuple[str, str], tuple[str, str]]  # (equipment, terminal)


class LiveNode(NamedTuple):
    """A live conductor at a terminal. `back`: the point of its own return, -1 where it has none."""

    system: str
    point: int
    back: int
    equipment: str
    terminal: str
    conductor: str
    at: str


class Frame:
    """Points and branches of a circuit at one temperature of its conductors.

    `like` is the frame of the same circuit at another: only impedances differ, everything else is shared.
    """

    def __init__(self, circuit: Circuit, book: Book, temperature: str, like: Frame | None = None) -> None:
        self.snapshot = circuit.snapshot
        self.book = book
        self.temperature = temperature
        self.runs: list[RunPlan] | None = None  # made when first asked for, as are the two below
        self.live_nodes: list[LiveNode] | None = None
        self.returns: list[Return] | None = None
        if like is not None:
            self._share(circuit, like)
            return
        self.nets = {"dc": Network(0), "ac": Network(0, complex)}
        self.at: list[tuple[str, int]] = []
        self.wire: dict[int, tuple[str, int]] = {}
        self.unknown: dict[tuple[str, int], tuple[str, ...]] = {}
        self.inner: list[Inner] = []
        # system -> point -> (point, number in circuit.links or -1 for a conductor)
        self.near: dict[str, dict[int, list[tuple[int, int]]]] = {"dc": {}, "ac": {}}
        self._before: list[str] = []
        self._of_wires: list[str] = []
        self._after: list[str] = []
        self.not_solved: list[tuple[str, str]] = []
        # (equipment, terminal) -> point of its negative; points of undrawn ones are the same in every condition
        self.negatives: dict[tuple[str, str], int | None] = {}
        self.is_live: dict[str, list[bool]] = {"dc": [], "ac": []}  # of each point: no negative, no neutral
        for node in circuit.nodes:
            system = SYSTEM.get(node.conductor, "")
            self.at.append((system, self.nets[system].point()) if system else NOWHERE)
            if system:
                self.is_live[system].append(node.conductor in LIVE)
        self.nodes_of: dict[str, list[tuple[str, int]]] = {}  # of buses and junctions: (conductor, node)
        self.wires_at: dict[int, list[int]] = {}  # at those nodes: numbers in circuit.wires
        self.buses: list[str] = []
        self.junctions: list[str] = []
        self._gathering(circuit)
        self.frequency_hz = self._frequency(circuit)
        self._wires(circuit)
        self._contacts(circuit)

    def _share(self, circuit: Circuit, like: Frame) -> None:
        """Points, branches and contacts of `like`; impedances at this frame's own temperature."""
        self.at, self.wire, self.inner, self.near = like.at, like.wire, like.inner, like.near
        self.not_solved, self.negatives, self.is_live = like.not_solved, like.negatives, like.is_live
        self.nodes_of, self.wires_at, self.buses, self.junctions = (
            like.nodes_of,
            like.wires_at,
            like.buses,
            like.junctions,
        )
        self.frequency_hz, self._before, self._after = like.frequency_hz, like._before, like._after
        runs = self.snapshot.runs
        known: dict[str, tuple[complex, tuple[str, ...]]] = {}
        guessed: list[str] = []
        z = {system: net.z.copy() for system, net in like.nets.items()}
        self.unknown = {}
        for index, (system, branch) in like.wire.items():
            run = circuit.wires[index].run
            found = known.get(run)
            if found is None:
                found = known[run] = self.impedance(runs[run], run, guessed)
            ohm, missing = found
            z[system][branch] = ohm if system == "ac" else ohm.real
            if missing:
                self.unknown[system, branch] = missing
        self.nets = {system: Network(net.size, net.dtype, net.a, net.b, z[system]) for system, net in like.nets.items()}
        self._told(known, guessed)

    def _told(self, known: dict[str, tuple[complex, tuple[str, ...]]], guessed: list[str]) -> None:
        """Impedances by run, what is missing for them, what was taken as so."""
        self.run_missing = {run: missing for run, (_z, missing) in known.items() if missing}
        self.run_ohm = {run: z for run, (z, _missing) in known.items()}
        self._of_wires = [self._guessed(guessed)] if guessed else []

    @property
    def assumed(self) -> list[str]:
        """What was taken as so: of the frequency, of conductors, of contacts."""
        return [*self._before, *self._of_wires, *self._after]

    def _gathering(self, circuit: Circuit) -> None:
        """Where several runs meet at one node."""
        for item in circuit.joined:
            record = self.snapshot.equipment[item]
            if (converter := record.converter()) is not None and converter.balances:
                told = _("{name} makes a neutral between two lines; what it evens out is not told")
                self.not_solved.append((item, told.format(name=self.snapshot.name(item))))
            if record.contacts():
                continue
            if record.carries() is not None:
                self.buses.append(item)
            elif record.ROLE == "junction":
                self.junctions.append(item)
        wanted = {*self.buses, *self.junctions}
        nodes = set()
        for at, node in enumerate(circuit.nodes):
            if node.equipment in wanted:
                self.nodes_of.setdefault(node.equipment, []).append((node.conductor, at))
                nodes.add(at)
        for index, wire in enumerate(circuit.wires):
            for end in (wire.a, wire.b):
                if end in nodes:
                    self.wires_at.setdefault(end, []).append(index)

    def _frequency(self, circuit: Circuit) -> float:
        """The highest frequency recorded: reactance grows with it."""
        known = [f.source.frequency_hz for f in circuit.feeds if f.source.frequency_hz]
        if not known and any(system == "ac" for system, _point in self.at):
            self._before.append(_("no frequency is recorded: {hertz} Hz").format(hertz=number(USUAL_HZ)))
        return max(known, default=USUAL_HZ)

    # -- conductors -------------------------------------------------------------------------------------------------
    def _wires(self, circuit: Circuit) -> None:
        snapshot, at = self.snapshot, self.at
        known: dict[str, tuple[complex, tuple[str, ...]]] = {}
        guessed: list[str] = []
        for index, wire in enumerate(circuit.wires):
            system, a = at[wire.a]
            other, b = at[wire.b]
            if not system or system != other:
                continue
            found = known.get(wire.run)
            if found is None:
                found = known[wire.run] = self.impedance(snapshot.runs[wire.run], wire.run, guessed)
            z, missing = found
            net = self.nets[system]
            branch = net.branch(a, b, z if system == "ac" else z.real)
            self.wire[index] = system, branch
            self._beside(system, a, b, -1)
            if missing:
                self.unknown[system, branch] = missing
        self._told(known, guessed)

    def _guessed(self, runs: list[str]) -> str:
        every = sorted((self.snapshot.name(run) for run in runs), key=natural)
        names = ", ".join(every[:6]) + (", …" if len(runs) > 6 else "")
        if self.temperature == "hot":
            return _("{runs}: insulation class not recorded, conductors taken at {degrees} °C").format(
                runs=names, degrees=number(self._hottest_class())
            )
        return _("{runs}: temperature where they run not recorded, conductors taken as the tables do").format(
            runs=names
        )

    def _hottest_class(self) -> float:
        table = self.book.ampacity
        return max((column for row in table.rows.values() for column in row), default=90.0)

    def impedance(self, run: Run, item: str, guessed: list[str]) -> tuple[complex, tuple[str, ...]]:
        """Impedance of one conductor of a run, its equal parallel ones taken together; what is missing for it."""
        missing = []
        if not run.size:
            missing.append("size")
        if run.length_m is None or not math.isfinite(run.length_m) or run.length_m < 0:
            missing.append("length_m")
        if missing:
            name = self.snapshot.name(item)
            return 0.0, tuple(f"{name}.{field}" for field in missing)
        degrees, is_known = self.degrees(run)
        try:
            resistance = ohm_per_m(run.size, run.conductor, degrees)
            reactance = reactance_ohm_per_m(run.size, self.frequency_hz) if run.function == "ac" else 0.0
        except (UnitError, ZeroDivisionError, ValueError, OverflowError):
            return 0.0, (f"{self.snapshot.name(item)}.size",)
        if not is_known:
            guessed.append(item)
        assert run.length_m is not None
        per = run.length_m / max(1, run.parallel)
        return complex(resistance * per, reactance * per), ()

    def degrees(self, run: Run) -> tuple[float, bool]:
        """Temperature of a run's conductors, and whether it is recorded."""
        if self.temperature == "cold":
            return COLD_C, True
        if self.temperature == "hot":
            return (run.insulation_c, True) if run.insulation_c is not None else (self._hottest_class(), False)
        table = self.book.ampacity
        hottest, is_known = -math.inf, bool(run.places)
        for passage in run.places:
            place = self.snapshot.places.get(passage.place)
            if place is not None and place.temperature_c is not None:
                hottest = max(hottest, place.temperature_c)
                continue
            is_known = False
            is_machinery = place is not None and place.kind in MACHINERY
            hottest = max(hottest, table.machinery_basis_c if is_machinery else table.basis_c)
        return (hottest, is_known) if run.places else (table.basis_c, False)

    def _beside(self, system: str, a: int, b: int, link: int) -> None:
        near = self.near[system]
        near.setdefault(a, []).append((b, link))
        near.setdefault(b, []).append((a, link))

    # -- contacts ---------------------------------------------------------------------------------------------------
    def _contacts(self, circuit: Circuit) -> None:
        at, nodes = self.at, circuit.nodes
        known: dict[str, dict[tuple[str, str, str], Contact]] = {}
        supposed: dict[str, list[str]] = {}
        for index, link in enumerate(circuit.links):
            system, a = at[link.a]
            other, b = at[link.b]
            if not system or system != other or a == b:
                continue
            if link.supposed:
                supposed.setdefault(link.equipment, []).append(link.supposed)
                continue
            record = self.snapshot.equipment[link.equipment]
            poles = known.get(link.equipment)
            if poles is None:
                poles = known[link.equipment] = _poles(record)
            contact = poles.get((nodes[link.a].terminal, nodes[link.b].terminal, link.conductor))
            ohm, volts = 0.0, 0.0
            is_pole = contact is not None and _passes(record, contact)
            if contact is not None and is_pole:
                value = contact_ohm(record, contact).value
                ohm = value if value is not None and value > 0 else 0.0
                if link.one_way:
                    drop = record.diode_v()
                    volts = diode_volts() if drop is None else drop
            self._beside(system, a, b, index)
            self.inner.append(
                Inner(index, system, a, b, link.equipment, link.positions, ohm, link.one_way, volts, is_pole)
            )
        for item, fields in supposed.items():
            name = self.snapshot.name(item)
            self._after.append(
                _("{name}: {field} is not recorded; the flow is told without that path").format(
                    name=name, field=", ".join(f"{name}.{field}" for field in dict.fromkeys(fields))
                )
            )


def _passes(record: Equipment, contact: Contact) -> bool:
    """Whether a contact is a current path of a device; else it joins what belongs together at its terminals."""
    if contact.cross is not None and contact.positions is None and record.ROLE in ("source", "load", "converter"):
        return False
    if contact.positions is not None or contact.protection is not None or contact.poles is None:
        return True
    return record.ROLE not in ("source", "load", "converter") or any(pole in LIVE for pole in contact.poles)


def _poles(record: Equipment) -> dict[tuple[str, str, str], Contact]:
    """(terminal, terminal, conductor) -> the contact whose pole joins them; what passes straight is not among them."""
    made: dict[tuple[str, str, str], Contact] = {}
    for contact in record.contacts():
        if contact.cross is not None:
            made[contact.a, contact.b, contact.cross[0]] = contact
            continue
        for conductor in contact.poles if contact.poles is not None else SYSTEM:
            made[contact.a, contact.b, conductor] = contact
    return made


_FRAMES: weakref.WeakKeyDictionary[Circuit, dict[str, Frame]] = weakref.WeakKeyDictionary()


def frame(circuit: Circuit, book: Book, temperature: str) -> Frame:
    """The frame of a circuit, made once."""
    kept = _FRAMES.setdefault(circuit, {})
    found = kept.get(temperature)
    if found is None or found.book is not book:
        like = next((other for other in kept.values() if other.book is book), None)
        found = kept[temperature] = Frame(circuit, book, temperature, like)
    return found


def run_impedance(made: Frame, run: str) -> tuple[complex, tuple[str, ...]]:
    """Impedance of a run's earth conductor at the temperature of the frame, and what is missing for it."""
    record = made.snapshot.runs[run]
    if record.earth_size:
        record = msgspec.structs.replace(record, size=record.earth_size)
    return made.impedance(record, run, [])
