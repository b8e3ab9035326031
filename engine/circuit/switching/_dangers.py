"""What must not be in a state of the switches, whatever a controller does: sources joined, systems joined, bonds wrong.

Closing is the bad event here, but for a lost bond. Each check asks one state exactly: what stands by hand is given, the
search is over what moves by itself. What can happen in no state at all is left out from the beginning.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.meeting import AC_LIVE, DC_LIVE, Point, forbidden_pairs
from engine.circuit.paths import Net, search
from engine.circuit.states import States, TooManyStates
from engine.study import Study
from engine.words import _, inward

__all__ = ["Dangers", "Fault"]

ENOUGH = 200  # ways in which something that must hold can hold


class Fault(NamedTuple):
    """Why a state or a move is not allowed. `kind` names the question, `missing` fields that would settle it."""

    kind: str
    text: str
    items: tuple[str, ...] = ()
    missing: tuple[str, ...] = ()


class _Apart(NamedTuple):
    """Points of one net that must not be joined: from each start, its targets."""

    net: Net
    kind: str
    wanted: tuple[tuple[int, tuple[int, ...]], ...]
    of: dict[int, Point]


class _Bonded(NamedTuple):
    """A source that needs a bond: when it feeds anything, and in which ways it is bonded."""

    item: str
    net: Net
    start: int
    bonds: tuple[int, ...]
    live: Net
    source: int
    loads: tuple[int, ...]


class Dangers:
    """The checks of one circuit; `circuit` may differ from the study's where a switch stands between two positions."""

    def __init__(self, study: Study, circuit: Circuit, states: States) -> None:
        self.study, self.circuit, self.states = study, circuit, states
        self._apart = [part for part in (self._ac(), self._dc(), self._two_bonds()) if part is not None]
        self.unsaid: list[str] = []  # fields that would tell whether a source is bonded by itself
        self._needs = tuple(self._bonds_needed())

    # -- what may never be joined -----------------------------------------------------------------------------------
    def _ac(self) -> _Apart | None:
        points, pairs = forbidden_pairs(self.study.snapshot, self.circuit)
        return self._of("meet", points, pairs, AC_LIVE)

    def _dc(self) -> _Apart | None:
        """Positives of two nominal voltages."""
        feeds = [
            f
            for f in self.circuit.feeds
            if f.source.system == "dc" and f.source.nominal_v is not None and not f.source.adapts
        ]
        points = [Point(f.node, f.equipment, f.source.positions) for f in feeds]
        classes = self.study.book.option("voltage-mismatch", "dc_classes", ())
        volts = [_class(classes, f.source.nominal_v) for f in feeds]
        pairs = [(i, j) for j in range(len(feeds)) for i in range(j) if volts[i] != volts[j]]
        return self._of("volts", points, pairs, DC_LIVE)

    def _two_bonds(self) -> _Apart | None:
        bonds = self._bonds()
        pairs = [(i, j) for j in range(len(bonds)) for i in range(j) if bonds[i].equipment != bonds[j].equipment]
        return self._of("two bonds", bonds, pairs, ("N",))

    def _of(
        self, kind: str, points: list[Point], pairs: list[tuple[int, int]], conductors: tuple[str, ...]
    ) -> _Apart | None:
        """Only pairs that some state joins, or of which that is not decided."""
        if not pairs:
            return None
        net = Net(self.circuit, self.states, conductors)
        ends = [net.terminal(p.node, p.equipment, p.positions) for p in points]
        asked: dict[int, list[int]] = {}
        for i, j in pairs:
            asked.setdefault(ends[i], []).append(ends[j])
        wanted = []
        for start, targets in asked.items():
            found = search(net, start, targets, enough=1)
            can = tuple(t for t in targets if t in found.cubes or t in found.undecided)
            if can:
                wanted.append((start, can))
        return _Apart(net, kind, tuple(wanted), dict(zip(ends, points, strict=True))) if wanted else None

    def _bonds(self) -> list[Point]:
        """Where a neutral is bonded to earth."""
        nodes, snapshot = self.circuit.nodes, self.study.snapshot
        made = []
        for link in self.circuit.links:
            ashore = snapshot.equipment[link.equipment].ashore()
            if ashore is not None and self.circuit.joined[link.equipment] - {ashore.terminal}:
                continue  # the supply is drawn: the bond recorded at the inlet is the supply's own
            if {nodes[link.a].conductor, nodes[link.b].conductor} == {"N", "PE"} and not link.supposed:
                made.append(Point(link.a if nodes[link.a].conductor == "N" else link.b, link.equipment, link.positions))
        return made

    # -- what must be joined ----------------------------------------------------------------------------------------
    def _bonds_needed(self) -> Iterator[_Bonded]:
        """Sources whose neutral the book wants bonded, where no bond of their own is there while they are sources."""
        required = self.study.book.option("wrong-neutral-bond", "required", ())
        bonds = self._bonds()
        if not bonds:
            return
        done: set[tuple[str, str]] = set()
        for feed in self.circuit.feeds:
            source, item = feed.source, feed.equipment
            key = item, source.line
            if source.system != "ac" or source.in_step or source.line not in required or key in done:
                continue
            done.add(key)
            neutral = self.circuit.node(item, source.terminal, "N")
            if neutral is None or any(
                b.node == neutral and (b.positions is None or (source.positions or frozenset()) <= b.positions)
                for b in bonds
            ):
                continue
            field = self.study.snapshot.equipment[item].unsaid_bond()
            if field:
                self.unsaid.append(f"{self.study.name(item)}.{field}")
                continue
            net = Net(self.circuit, self.states, ("N",))
            start = net.terminal(neutral, item, source.positions)
            ends = tuple(net.terminal(b.node, b.equipment, b.positions) for b in bonds)
            found = search(net, start, ends, enough=1)
            if not found.cubes and not found.undecided:
                continue  # bonded in no state: no order of steps changes that
            live = Net(self.circuit, self.states, AC_LIVE)
            loads = tuple(
                live.terminal(node)
                for node in range(len(self.circuit.nodes))
                if self.circuit.nodes[node].conductor in AC_LIVE
                and self.study.snapshot.equipment[self.circuit.nodes[node].equipment].use() is not None
            )
            yield _Bonded(item, net, start, ends, live, live.terminal(feed.node, item, source.positions), loads)

    # -- one state --------------------------------------------------------------------------------------------------
    def fault(self, cube: int, is_off: frozenset[str], running: frozenset[str] | None) -> Fault | None:
        """What is wrong in a state, given as the cube of what is moved by hand."""
        for part in self._apart:
            for start, targets in part.wanted:
                one = part.of[start]
                if part.kind == "two bonds":
                    if not self._is_there(one, running):
                        continue
                    targets = tuple(t for t in targets if self._is_there(part.of[t], running))
                if not targets:
                    continue
                found = search(part.net, start, targets, enough=1, given=cube)
                for target in targets:
                    if target in found.cubes or target in found.undecided:
                        return self._told(part.kind, one, part.of[target], target in found.undecided)
        for need in self._needs:
            if need.item not in is_off and not self._has_bond(need, cube):
                return Fault(
                    "bond",
                    _("the neutral of {source} would be bonded to earth nowhere").format(source=self._name(need.item)),
                    (need.item,),
                )
        return None

    def _is_there(self, bond: Point, running: frozenset[str] | None) -> bool:
        """The shore's bond is ashore: without the plug it is not there."""
        is_shore = self.study.snapshot.equipment[bond.equipment].ashore() is not None
        return not is_shore or running is None or bond.equipment in running

    def _has_bond(self, need: _Bonded, cube: int) -> bool:
        feeding = search(need.live, need.source, need.loads, enough=1, given=cube) if need.loads else None
        if feeding is None or not (feeding.cubes or feeding.undecided):
            return True
        ways = search(need.net, need.start, need.bonds, enough=ENOUGH, given=cube)
        held = [c for cubes in ways.cubes.values() for c in cubes]
        states = self.states
        try:
            for target in feeding.cubes:
                for fed in feeding.cubes[target]:
                    if states.outside(held, cube | fed) is not None:
                        return False
        except TooManyStates:
            return False
        return not feeding.undecided

    def _told(self, kind: str, one: Point, other: Point, undecided: bool) -> Fault:
        names = {"one": self._name(one.equipment), "other": self._name(other.equipment)}
        items = (one.equipment, other.equipment)
        if undecided:
            return Fault("undecided", _("whether {one} and {other} are joined is not decided").format(**names), items)
        text = {
            "meet": _("{one} and {other} could meet"),
            "volts": _("{one} and {other}, of two voltages, would be joined"),
            "two bonds": _("one neutral would be bonded to earth at {one} and at {other} at the same time"),
        }[kind]
        if one.equipment == other.equipment:
            text = _("two conductors of {one} would be joined")
        return Fault(kind, text.format(**names), items)

    def _name(self, item: str) -> str:
        record = self.study.snapshot.equipment[item]
        what = record.label or inward(_(record.NAME))
        return f"{self.study.name(item)} ({what})" if what else self.study.name(item)


def _class(classes: Sequence[Sequence[float]], volts: float | None) -> float | None:
    """Nominal voltages of one class count as one: its lowest."""
    return next((low for low, high in classes if volts is not None and low <= volts <= high), volts)
