"""The networks of an operating condition: points, branches, sources, loads, and where each stands on the drawing.

Direct current has its positives and negatives explicit, alternating current its lines and neutral; each is a network of
its own, joined by converters as directed power only (`Netlist.conversions`, settled in `engine.circuit.flow.flow`).
Protective earth carries none of the flow. A conductor without size or length, or with a size that cannot be read,
counts as ideal; `unknown` says which field would tell. Absurd figures never raise: the solver has a meaning for each.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import NamedTuple

from engine.books import Book
from engine.circuit.expand import Circuit
from engine.circuit.flow.frame import NOWHERE, Frame, frame
from engine.circuit.flow.operating import Operation
from engine.circuit.flow.results import Charge
from engine.circuit.flow.returns import Return, assumed_returns
from engine.circuit.solve.network import Network
from engine.installation.model import Snapshot
from engine.words import _

__all__ = ["NetConversion", "NetLoad", "NetSource", "Netlist", "netlist"]


class NetSource(NamedTuple):
    """A source of a network. Without limit of its own `limit_a` is infinite."""

    equipment: str
    feed: int  # number in circuit.feeds
    system: str  # "dc" or "ac"
    number: int  # in the network
    by_conversion: bool
    terminal: str = ""
    conductor: str = ""
    nominal_v: float | None = None
    emf: complex = 0.0  # as set at first
    limit_a: float = float("inf")
    battery: bool = False
    adapts: bool = False  # a solar array


class NetLoad(NamedTuple):
    """A load of a network. One whose size is not known is there as a load of nothing, so that its volts are told."""

    equipment: str
    terminal: str
    system: str
    number: int
    is_input: bool  # a converter's input: its power follows its output
    missing: tuple[str, ...]
    nominal_v: float | None = None  # across it
    is_known: bool = True
    is_use: bool = True  # a consumer; else what a converter or a module takes for itself


class NetConversion(NamedTuple):
    """Power taken at one terminal and given at others of the same equipment. Numbers are those of `Netlist` lists."""

    equipment: str
    terminal: str
    loads: tuple[int, ...]  # its input, one a line
    outputs: tuple[int, ...]  # sources
    efficiency: float | None
    tangent: float = 0.0  # reactive to real power at an AC input
    arrays: tuple[int, ...] = ()  # solar arrays that alone feed its input
    cap_a: float | None = None  # all outputs together
    ratio: bool = False  # a transformer: its output follows its input, reactive power goes through
    input_v: float | None = None  # of a line
    floor_v: float = 0.0


@dataclass(eq=False)
class Netlist:
    """Both networks of a condition."""

    snapshot: Snapshot
    circuit: Circuit
    operation: Operation
    charge: Charge
    temperature: str
    frame: Frame
    nets: dict[str, Network]
    at: list[tuple[str, int]]  # circuit node -> (system, point), ("", -1) for protective earth and signal
    wire: dict[int, tuple[str, int]]  # number in circuit.wires -> (system, branch)
    link: dict[int, tuple[str, int]] = field(default_factory=dict)  # number in circuit.links -> (system, branch)
    diode: dict[int, tuple[str, int]] = field(default_factory=dict)  # the same for one-way ones -> (system, diode)
    returns: dict[str, tuple[str, int]] = field(default_factory=dict)  # equipment -> branch of its assumed return
    return_runs: dict[str, tuple[str, ...]] = field(default_factory=dict)  # equipment -> runs its return equals
    undrawn: dict[str, int] = field(default_factory=dict)  # equipment -> point of the negative that is not drawn
    sources: list[NetSource] = field(default_factory=list)
    loads: list[NetLoad] = field(default_factory=list)
    conversions: list[NetConversion] = field(default_factory=list)
    unknown: dict[tuple[str, int], tuple[str, ...]] = field(default_factory=dict)  # branch taken as ideal -> fields
    assumed: list[str] = field(default_factory=list)
    not_solved: list[tuple[str, str]] = field(default_factory=list)
    contradictions: list[tuple[str, str]] = field(default_factory=list)  # those of them that no boat can have
    lacking: dict[str, tuple[str, ...]] = field(default_factory=dict)  # equipment left out -> fields that would tell
    reached: dict[tuple[str, int], set[int]] = field(default_factory=dict)  # what a point is joined to, found once

    def name(self, item: str) -> str:
        """Designation."""
        return self.snapshot.name(item)

    def point(self, equipment: str, terminal: str, conductor: str) -> tuple[str, int]:
        """The point of a conductor at a terminal, ("", -1) where it is not drawn."""
        node = self.circuit.node(equipment, terminal, conductor)
        return NOWHERE if node is None else self.at[node]

    def negative(self, equipment: str, terminal: str) -> int | None:
        """The point of the negative that belongs to a DC terminal; `None` where there is none."""
        known = self.frame.negatives
        key = equipment, terminal
        if key not in known:
            known[key] = self._negative(equipment, terminal)
        return known[key]

    def _negative(self, equipment: str, terminal: str) -> int | None:
        _system, point = self.point(equipment, terminal, "-")
        if point >= 0:
            return point
        if equipment in self.undrawn:
            return self.undrawn[equipment]
        record = self.snapshot.equipment[equipment]
        sides = {end for conversion in record.conversions() for end in (conversion.source, conversion.target)}
        for other in record.terminals():
            if other.name != terminal and other.name not in sides:
                _system, point = self.point(equipment, other.name, "-")
                if point >= 0:
                    return point
        return None

    def position(self, equipment: str) -> str:
        """The position it stands in."""
        found = self.operation.positions.get(equipment)
        return self.snapshot.equipment[equipment].drawn_position() if found is None else found

    def holds(self, equipment: str, positions: frozenset[str] | None) -> bool:
        """Whether something that is so in `positions` only is so now."""
        return positions is None or self.position(equipment) in positions

    def wrong(self, item: str, sentence: str, *, missing: tuple[str, ...] = (), is_contradiction: bool = False) -> None:
        """Tell of something that cannot be solved: for want of `missing` fields, or because no boat can have it."""
        self.not_solved.append((item, sentence))
        if missing:
            self.lacking[item] = missing
        if is_contradiction:
            self.contradictions.append((item, sentence))


def netlist(
    snapshot: Snapshot,
    circuit: Circuit,
    operation: Operation,
    book: Book,
    charge: Charge = "nominal",
    temperature: str = "working",
    *,
    loads: bool = True,
    sources: str = "running",
    regulated: bool = False,
) -> Netlist:
    """The networks of a condition.

    `temperature` of the conductors: "working" as in the hottest place each passes, "cold" 20 degC, "hot" the class of
    its insulation. `sources`: those "running", or "all" that there are. A `regulated` generator holds its volts, as it
    does in the long run; else it stands behind its subtransient reactance.
    """
    from engine.circuit.flow._bonded import join_bonded
    from engine.circuit.flow._draws import add_loads
    from engine.circuit.flow._sources import add_sources

    made = frame(circuit, book, temperature)
    built = Netlist(
        snapshot,
        circuit,
        operation,
        charge,
        temperature,
        made,
        {system: _copied(net) for system, net in made.nets.items()},
        made.at,
        made.wire,
        unknown=dict(made.unknown),
        assumed=list(made.assumed),
        not_solved=list(made.not_solved),
    )
    _close(built)
    _return(built, _returns_of(circuit, made))
    add_sources(built, everything=sources == "all", regulated=regulated)
    join_bonded(built)
    if loads:
        add_loads(built)
    return built


def _copied(net: Network) -> Network:
    """The same points and conductors, nothing else yet."""
    return Network(net.size, net.dtype, net.a.copy(), net.b.copy(), net.z.copy())


def _returns_of(circuit: Circuit, made: Frame) -> list[Return]:
    if made.returns is None:
        made.returns = assumed_returns(circuit, made.run_ohm)
    return made.returns


def _close(built: Netlist) -> None:
    """Contacts that hold in the positions of the condition."""
    nets = built.nets
    for inner in built.frame.inner:
        if inner.positions is not None and built.position(inner.equipment) not in inner.positions:
            continue
        net = nets[inner.system]
        if inner.one_way:
            built.diode[inner.number] = inner.system, net.diode(inner.a, inner.b, inner.ohm, inner.volts)
        else:
            built.link[inner.number] = inner.system, net.branch(inner.a, inner.b, inner.ohm)


def _return(built: Netlist, returns: list[Return]) -> None:
    """Points of negatives that are not drawn, and their ways back."""
    if not built.circuit.assumed_returns:
        return
    net, made = built.nets["dc"], built.frame
    for item in built.circuit.assumed_returns:
        built.undrawn[item] = net.point()
    for back in returns:
        to = built.undrawn[back.source] if back.node < 0 else built.at[back.node][1]
        ohm = sum(made.run_ohm.get(run, 0.0).real for run in back.runs)
        branch = net.branch(built.undrawn[back.equipment], to, ohm)
        built.returns[back.equipment] = "dc", branch
        built.return_runs[back.equipment] = back.runs
        missing = [gap for run in back.runs for gap in made.run_missing.get(run, ())]
        if missing:
            built.unknown["dc", branch] = tuple(dict.fromkeys(missing))
    built.assumed.append(
        _("{items}: negative not drawn, taken to return through a conductor equal to the feed").format(
            items=", ".join(built.name(item) for item in built.circuit.assumed_returns)
        )
    )
