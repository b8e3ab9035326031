"""A charger is fed, by way of an inverter or another converter, from the bank it charges.

What it checks
--------------
Ways of energy in a circle, in some permitted position of the switches that joins no two sources that must not meet:
from a bank through an inverter to a charger that charges the same bank; from one bank to another through a DC-DC
converter and back through a second one. What a controller moves (a transfer relay, a charging relay) may stand in any
of its positions. The charger of an inverter/charger does not work while its own bridge does; a converter that works
both ways works one way at a time. One converter by itself, bridged by a switch between its input and its output, is no
circle.

Why it matters
--------------
Every round loses a fifth or more. The bank is emptied into heat while the panel shows it charging, and the inverter
carries the charger on top of its loads.

What to do
----------
Feed the charger ahead of the inverter, from shore and generator only, or let a switch or an interlock part the two.

Limits read
-----------
None.

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple

from engine.builder import Builder
from engine.circuit.paths import Net, search
from engine.circuit.states import TooManyStates
from engine.circuit.switching.feeding import Supply, Through
from engine.equipment.base import LIVE
from engine.findings import Finding, Remark, Word
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "charging-loop"
WORD: Word = "warning"
TITLE = N_("a charger is fed from the bank it charges")
LOOKS_AT = N_("converters that charge a bank")
SEARCHES = True

ENOUGH = 6  # smallest sets of positions tried for each part of the way


class _Loop(NamedTuple):
    """Energy in a circle: from `bank` by `way`, through `charger`, back to it."""

    cube: int
    charger: str
    bank: str
    way: tuple[str, ...]  # converters between the bank and the charger


class _Part(NamedTuple):
    """The sets of positions by which one point reaches another, and whether there may be more."""

    cubes: tuple[int, ...]
    undecided: bool = False


def check(study: Study) -> Iterator[Remark]:
    """One finding a circle."""
    feeding = study.feeding
    banks = [supply for supply in feeding.supplies if supply.battery]
    chargers = [t for t in feeding.through if study.circuit.nodes[t.outputs[0]].conductor == "+"]
    if not banks or len({t.equipment for t in feeding.through}) < 2:
        if study.proving and banks:
            yield from _in_order(study, chargers, set())
        return
    search_for = _Search(study)
    told: dict[frozenset[str], _Loop] = {}
    doubtful: dict[str, str] = {}
    for charger in chargers:
        for bank in banks:
            loop, undecided = search_for.loop(charger, bank)
            if loop is not None:
                key = frozenset((loop.charger, *loop.way))
                if key not in told or _size(study, loop) < _size(study, told[key]):
                    told[key] = loop
            elif undecided:
                doubtful.setdefault(charger.equipment, bank.equipment)
    found = {loop.charger for loop in told.values()}
    for loop in told.values():
        yield _finding(study, loop)
    for item, store in doubtful.items():
        if item not in found:
            yield _undecided(study, item, store)
    if study.proving:
        yield from _in_order(study, chargers, found | set(doubtful))


def _in_order(study: Study, chargers: Iterable[Through], told: set[str]) -> Iterator[Remark]:
    for item in dict.fromkeys(t.equipment for t in chargers):
        if item not in told:
            text = _("In no permitted switch position does {item} draw on what it charges.")
            yield proved(study, SLUG, item, message=text.format(item=named(study, item)))


def _size(study: Study, loop: _Loop) -> tuple[int, int]:
    return len(study.feeding.states.touched(loop.cube)), len(loop.way)


class _Search:
    """Parts of a circle, each searched for once."""

    def __init__(self, study: Study) -> None:
        feeding = study.feeding
        self.through, self.states, self.forbidden = feeding.through, feeding.states, feeding.forbidden
        self.circuit, self.budget = study.circuit, study.budget
        self._plain = Net(study.circuit, self.states, LIVE, both_ways=False)
        self._nets: dict[str, Net] = {}
        self._parts: dict[tuple[str, tuple[int, ...], tuple[int, ...]], _Part] = {}

    def loop(self, charger: Through, bank: Supply) -> tuple[_Loop | None, bool]:
        """The smallest circle through a charger and a bank; whether the search could not tell."""
        home = self._part(self._plain, "", charger.outputs, bank.live)
        if not home.cubes:
            return None, home.undecided
        undecided = home.undecided
        net = self._without(charger.equipment)
        made: list[tuple[int, int, str]] = []
        for number, first in enumerate(self.through):
            if first.equipment == charger.equipment:
                continue
            out = self._part(self._plain, "", bank.live, first.inputs)
            if not out.cubes:
                undecided |= out.undecided
                continue
            on = self._part(net, charger.equipment, first.outputs, charger.inputs)
            undecided |= on.undecided
            for cube in self._together(home.cubes, out.cubes, on.cubes, self._own(first), self._own(charger)):
                made.append((cube, number, first.equipment))
        states = self.states
        for cube, _number, by in sorted(made, key=lambda m: (len(states.touched(m[0])), m[0].bit_count(), m)):
            try:
                if self.forbidden.permitted(cube) is not None:
                    between = self._between(cube, by, charger)
                    return _Loop(cube, charger.equipment, bank.equipment, between), False
            except TooManyStates:
                undecided = True
        return None, undecided

    def _own(self, through: Through) -> tuple[int, ...]:
        """When a converter works."""
        if through.positions is None or through.equipment not in self.states.number:
            return (0,)
        guard = self.states.guard(through.equipment, through.positions)
        return () if guard is None else (guard,)

    def _together(self, *parts: tuple[int, ...]) -> list[int]:
        made = [0]
        for some in parts:
            joined = {a | b for a in made for b in some}
            made = [cube for cube in joined if self.states.closed(cube) is not None]
        return sorted(made, key=lambda c: (len(self.states.touched(c)), c.bit_count(), c))[:ENOUGH]

    def _without(self, item: str) -> Net:
        """The conductors and every converter but one, along the energy."""
        if item not in self._nets:
            net = Net(self.circuit, self.states, LIVE, both_ways=False)
            for each in self.through:
                if each.equipment != item:
                    for start in each.inputs:
                        for stop in each.outputs:
                            net.lead(start, stop, each.equipment, each.positions)
            self._nets[item] = net
        return self._nets[item]

    def _part(self, net: Net, name: str, starts: tuple[int, ...], stops: tuple[int, ...]) -> _Part:
        key = name, starts, stops
        if key not in self._parts:
            goals = {net.at(node) for node in stops}
            cubes: set[int] = set()
            undecided = False
            for start in {net.at(node) for node in starts}:
                if start in goals:
                    cubes.add(0)
                    continue
                found = search(net, start, goals, enough=ENOUGH, budget=self.budget)
                cubes.update(cube for some in found.cubes.values() for cube in some)
                undecided |= bool(found.undecided)
            self._parts[key] = _Part(tuple(self.states.weakest(cubes)), undecided)
        return self._parts[key]

    def _between(self, cube: int, first: str, charger: Through) -> tuple[str, ...]:
        """Converters on a shortest way from the bank to the charger, within a set of positions; `first` at least."""
        steps: dict[int, list[tuple[int, str]]] = {}
        for each in self.through:
            if each.equipment != charger.equipment and self._agrees(cube, each.equipment, each.positions):
                for start in each.inputs:
                    steps.setdefault(start, []).extend((stop, each.equipment) for stop in each.outputs)
        for wire in self.circuit.wires:
            steps.setdefault(wire.a, []).append((wire.b, ""))
            steps.setdefault(wire.b, []).append((wire.a, ""))
        for link in self.circuit.links:
            if self._agrees(cube, link.equipment, link.positions, must=True):
                steps.setdefault(link.a, []).append((link.b, ""))
                if not link.one_way:
                    steps.setdefault(link.b, []).append((link.a, ""))
        starts = [t for t in self.through if t.equipment == first]
        came: dict[int, tuple[int, str]] = {node: (-1, first) for t in starts for node in t.outputs}
        todo = list(came)
        for node in todo:
            if node in charger.inputs:
                passed = []
                while node >= 0:
                    node, by = came[node]
                    if by:
                        passed.append(by)
                return tuple(dict.fromkeys(reversed(passed)))
            for to, by in steps.get(node, ()):
                if to not in came:
                    came[to] = node, by
                    todo.append(to)
        return (first,)

    def _agrees(self, cube: int, item: str, positions: frozenset[str] | None, must: bool = False) -> bool:
        """Whether a contact may be closed within a set of positions; `must`: whether it is."""
        if positions is None or item not in self.states.number:
            return True
        left = set(self.states.left(cube, self.states.number[item]))
        return left <= positions if must else bool(left & positions)


# -- words ------------------------------------------------------------------------------------------------------------
def _finding(study: Study, loop: _Loop) -> Finding:
    states = study.feeding.states
    positions = states.positions(loop.cube)
    automatic = tuple(item for item, _every in positions if states.is_automatic(item))
    ids = (loop.charger, *loop.way, loop.bank)
    message = _("{charger} can be fed through {way} from {bank}, which it charges.").format(
        charger=named(study, loop.charger),
        way=listed([named(study, item) for item in loop.way]),
        bank=named(study, loop.bank),
    )
    moved = [item for item, _every in positions if item not in automatic]
    charger = study.name(loop.charger)
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=message,
        condition=in_condition(study, positions, automatic),
        positions=tuple((item, every[0]) for item, every in positions),
        fixes=(
            _("feed {charger} ahead of {first}").format(charger=charger, first=study.name(loop.way[0])),
            _("or interlock {names}, so that not all of them can stand so at once").format(
                names=listed([study.name(item) for item in moved])
            )
            if len(moved) > 1
            else _("or put a switch before {charger}, interlocked with what feeds {first}").format(
                charger=charger, first=study.name(loop.way[0])
            ),
        ),
    )


def _undecided(study: Study, item: str, bank: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item), study.name(bank)),
        ids=(item, bank),
        message=_("Whether {charger} can draw on {bank}, which it charges, is not decided.").format(
            charger=named(study, item), bank=named(study, bank)
        ),
        fixes=(_("split the network so that fewer switches lie between the two"),),
        undecided=True,
    )


# -- examples -------------------------------------------------------------------------------------------------------
def _aboard(feeds: str, *, slide: bool = True) -> Installation:
    """An inverter/charger on a bank, and a second charger: on the shore's bus, on the inverter's, or on both."""
    b = Builder()
    b.add("battery_bank", "G1", unit_v=12.0)
    b.add("shore_inlet", "X5", ac_v=120)
    b.add("inverter_charger", "T1", dc_v=12, ac_v=120)
    b.add("charger", "T2", dc_v=12, ac_v=120)
    b.add("bus_bar", "X6")
    b.add("bus_bar", "X7")
    b.run("W1", "G1.pos", "T1.dc", function="dc positive", size="2/0 AWG", length_m=1)
    b.run("W2", "X5.out", "X6.bar", function="ac", size="10 AWG", length_m=1)
    b.run("W3", "X6.bar", "T1.ac_in", function="ac", size="10 AWG", length_m=1)
    b.run("W4", "T1.ac_out", "X7.bar", function="ac", size="10 AWG", length_m=1)
    b.run("W5", "T2.dc", "G1.pos", function="dc positive", size="6 AWG", length_m=1)
    if feeds != "both":
        b.run("W6", f"{feeds}.bar", "T2.ac", function="ac", size="12 AWG", length_m=1)
        return b.installation
    b.add("changeover", "S1", poles=("L1", "N"), has_off=True)
    b.run("W6", "X6.bar", "S1.one", function="ac", size="12 AWG", length_m=1)
    b.run("W7", "X7.bar", "S1.two", function="ac", size="12 AWG", length_m=1)
    b.run("W8", "S1.common", "T2.ac", function="ac", size="12 AWG", length_m=1)
    if slide:
        b.interlock("S1:2", "T1:invert", kind="electrical")
    return b.installation


def _two_banks(*, back: bool, **facts: Any) -> Installation:
    """Two banks, a DC-DC converter from one to the other; `back`: and one the other way."""
    b = Builder()
    for name in ("G1", "G2"):
        b.add("battery_bank", name, unit_v=12.0)
    known: dict[str, Any] = {"in_v": 12, "out_v": 12, "output_a": 30, "bidirectional": False}
    b.add("dc_dc_converter", "T1", **(known | facts))
    b.run("W1", "G1.pos", "T1.in", function="dc positive", size="6 AWG", length_m=1)
    b.run("W2", "T1.out", "G2.pos", function="dc positive", size="6 AWG", length_m=1)
    if back:
        b.add("dc_dc_converter", "T2", **known)
        b.run("W3", "G2.pos", "T2.in", function="dc positive", size="6 AWG", length_m=1)
        b.run("W4", "T2.out", "G1.pos", function="dc positive", size="6 AWG", length_m=1)
    return b.installation


GOOD = (
    Example("a second charger ahead of the inverter", lambda: _aboard("X6")),
    Example("on the inverter only while that cannot invert", lambda: _aboard("both")),
    Example("a DC-DC converter that works both ways", lambda: _two_banks(back=False, bidirectional=True)),
)
BAD = (
    Example(
        "a second charger behind the inverter of its bank",
        lambda: _aboard("X7"),
        (("T2", "T1", "G1"),),
        condition="T1 in invert by itself",
    ),
    Example(
        "a changeover that can put it there",
        lambda: _aboard("both", slide=False),
        (("T2", "T1", "G1"),),
        condition="S1 in 2",
    ),
    Example("two DC-DC converters in a circle", lambda: _two_banks(back=True), (("T1", "T2", "G2"),)),
)
