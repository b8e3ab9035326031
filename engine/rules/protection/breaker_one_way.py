"""Current can flow backwards through a device that breaks it in one direction only.

What it checks
--------------
Every breaker and contactor in a DC positive that is recorded as breaking one way: no source may drive current through
it from its load side to its supply side, in any permitted position of the switches, be it charging current or, when the
supply side is shorted, fault current. A battery, an alternator, a charger or a solar controller on the load side does.
And what it is fed from must stand on the terminal that its maker marks for the supply.

Why it matters
--------------
The magnet that blows the arc into its chamber blows it out of it when the current is reversed. The device does not
open; it burns.

What to do
----------
A device that breaks both ways, or a fuse; or turn it round where it is fed from one side only.

Limits read
-----------
None.

References
----------
Common practice, no source: the maker's marking of line and load. Marking of a polarised device: IEC 60947-2, from
memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from engine.circuit.battery_ways import in_between
from engine.circuit.expand import Feed
from engine.circuit.paths import Net, search
from engine.circuit.states import States
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "breaker-one-way"
WORD: Word = "danger"
TITLE = N_("current can flow backwards through a device that breaks one way")
LOOKS_AT = N_("breakers and contactors that direct current passes")
SEARCHES = True
SOLVES = False

Positions = tuple[tuple[str, tuple[str, ...]], ...]


class _Side(NamedTuple):
    """What can feed one terminal without passing the device, first in which smallest set of positions."""

    sources: tuple[str, ...]
    positions: Positions = ()
    undecided: bool = False


def check(study: Study) -> Iterator[Remark]:
    """One remark a device; one for all of which a side is fed and which way they break is not recorded."""
    circuit, equipment = study.circuit, study.snapshot.equipment
    ends: dict[str, tuple[int, int]] = {}
    for item, record in equipment.items():
        if not hasattr(record, "line_terminal"):
            continue
        a, b = circuit.node(item, "in", "+"), circuit.node(item, "out", "+")
        if a is None or b is None:
            continue
        if record.parts().one_way is not False:
            ends[item] = a, b
        elif study.proving:
            yield proved(study, SLUG, item, message=_("{device} breaks both ways.").format(device=named(study, item)))
    if not ends:
        return
    feeds = [feed for feed in circuit.feeds if circuit.nodes[feed.node].conductor == "+"]
    states = in_between(study.snapshot, circuit, {feed.node for feed in feeds}, False, "+")
    near = _distances(study, feeds)
    both = _between(study, feeds, ends)
    unsaid: list[tuple[str, tuple[str, ...]]] = []
    for item, (a, b) in ends.items():
        if a not in near or b not in near:
            continue  # nothing feeds it
        if item in both:
            sides = _side(study, states, item, a, feeds), _side(study, states, item, b, feeds)
        else:
            fed = tuple(dict.fromkeys(f.equipment for f in study.volts.at(a).feeds))
            sides = (_Side(fed), _Side(())) if near[a] < near[b] else (_Side(()), _Side(fed))
        remark = _judged(study, item, sides)
        if isinstance(remark, tuple):
            unsaid.append((item, remark))
        elif remark is not None:
            yield remark
    if unsaid:
        why = _("whether they break one way, or which terminal is then marked for the supply, is not recorded")
        fields = tuple(f"{study.name(item)}.{field}" for item, missing in unsaid for field in missing)
        yield left_open(study, SLUG, WORD, *(item for item, _missing in unsaid), missing=fields, why=why)


def _judged(study: Study, item: str, sides: tuple[_Side, _Side]) -> Remark | tuple[str, ...] | None:
    """What is said of one device; the fields that would tell, where it is fed from one side."""
    told = study.snapshot.equipment[item].parts()
    line = {"in": 0, "out": 1}.get(told.line)
    fed = [number for number, side in enumerate(sides) if side.sources or side.undecided]
    if not fed:
        return None
    if len(fed) == 1:
        if line == fed[0]:
            return _passed(study, item) if study.proving and told.one_way else None
        if told.one_way and line is not None:
            return _finding(study, item, sides[fed[0]], turned=True)
        return ("line_terminal",) if told.one_way else ("polarised",)
    back = sides[1 - line] if line is not None else min(sides, key=lambda side: (side.undecided, len(side.positions)))
    if told.one_way:
        return _finding(study, item, back, turned=False)
    why = _("{sources} can drive current through it both ways; whether it breaks one way only is not recorded")
    sources = listed(list(dict.fromkeys(study.name(source) for side in sides for source in side.sources[:1])))
    missing = (f"{study.name(item)}.polarised",)
    return left_open(study, SLUG, WORD, item, missing=missing, why=why.format(sources=sources))


def _passed(study: Study, item: str) -> Remark:
    text = _("{device} is fed from the terminal marked for the supply only.")
    return proved(study, SLUG, item, message=text.format(device=named(study, item)))


def _finding(study: Study, item: str, back: _Side, *, turned: bool) -> Finding:
    source = listed([study.name(one) for one in back.sources[:2]])
    if back.undecided:
        message = _(
            "Whether current can flow backwards through {device} is not decided: the search was stopped before it"
            " could tell."
        )
    elif turned:
        message = _("{device} breaks current in one direction only and is fed by {source} from the wrong side.")
    else:
        message = _(
            "{device} breaks current in one direction only, and {source} can drive current through it backwards."
        )
    states = [i for i, _p in back.positions if study.snapshot.equipment[i].moves_itself() is not False]
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item, *back.sources[:1]),
        message=message.format(device=named(study, item), source=source),
        condition=in_condition(study, back.positions, states) if back.positions else "",
        positions=tuple((device, allowed[0]) for device, allowed in back.positions),
        fixes=(
            _("turn {device} round: its supply terminal towards {source}").format(
                device=study.name(item), source=source
            )
            if turned
            else _("fit a device that breaks both ways, or a fuse, in place of {device}").format(
                device=study.name(item)
            ),
        ),
        undecided=back.undecided,
    )


# -- where the sources are --------------------------------------------------------------------------------------------
def _neighbours(study: Study) -> dict[int, list[tuple[int, str]]]:
    near: dict[int, list[tuple[int, str]]] = {}
    for wire in study.circuit.wires:
        if wire.conductor == "+":
            near.setdefault(wire.a, []).append((wire.b, ""))
            near.setdefault(wire.b, []).append((wire.a, ""))
    for link in study.circuit.links:
        if study.circuit.nodes[link.a].conductor == "+" == study.circuit.nodes[link.b].conductor:
            near.setdefault(link.a, []).append((link.b, link.equipment))
            if not link.one_way:
                near.setdefault(link.b, []).append((link.a, link.equipment))
    return near


def _distances(study: Study, feeds: list[Feed]) -> dict[int, int]:
    """Steps from the nearest source, every contact closed."""
    ways = _neighbours(study)
    found = dict.fromkeys((feed.node for feed in feeds), 0)
    row = list(found)
    for node in row:
        for to, _item in ways.get(node, ()):
            if to not in found:
                found[to] = found[node] + 1
                row.append(to)
    return found


def _between(study: Study, feeds: list[Feed], items: dict[str, tuple[int, int]]) -> set[str]:
    """Those of the items that lie on a way between sources, every contact closed; others lead to loads only."""
    ways: dict[int, set[tuple[int, str]]] = {}
    for node, near in _neighbours(study).items():
        for to, item in near:
            if to != node:  # a run may lead back to where it comes from
                ways.setdefault(node, set()).add((to, item))
                ways.setdefault(to, set()).add((node, item))
    kept = {feed.node for feed in feeds}
    todo = [node for node, near in ways.items() if len({to for to, _i in near}) <= 1 and node not in kept]
    while todo:
        node = todo.pop()
        for other, item in ways.pop(node, set()):
            ways[other].discard((node, item))
            if other not in kept and len({to for to, _i in ways[other]}) <= 1:
                todo.append(other)
    return {item for item, (a, b) in items.items() if a in ways and b in ways}


def _side(study: Study, states: States, item: str, node: int, feeds: list[Feed]) -> _Side:
    """What can feed its terminal at `node` while it is closed itself."""
    net = Net(study.circuit, states, ("+",), both_ways=False, parted=item, backwards=True)
    given = 0
    if item in states.number:
        joined = (x.positions for x in study.circuit.links if x.equipment == item and x.positions is not None)
        given = states.guard(item, frozenset().union(*joined)) or 0
    points = {net.terminal(feed.node, feed.equipment, feed.source.positions): feed for feed in feeds}
    found = search(net, net.terminal(node), points, 1, study.budget, given)
    least = sorted((len(states.positions(cubes[0])), point) for point, cubes in found.cubes.items())
    sources = tuple(dict.fromkeys(points[point].equipment for _size, point in least))
    positions = states.positions(found.cubes[least[0][1]][0]) if least else ()
    return _Side(sources, positions, not sources and bool(found.undecided))


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device that breaks both ways."""
    from engine.fixing.parting import of_form

    yield from of_form(study, finding.ids[:1], "polarised", False, _("fit {name} as a device that breaks both ways"))


# -- examples -------------------------------------------------------------------------------------------------------
def _branch(line: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("circuit_breaker", "Q1", rating_a=60, poles=("+",), polarised=True, line_terminal=line)
    b.add("load", "E1", dc_v=12, power_w=100)
    cable(b, "W1", "G1.pos", "Q1.in", "6 AWG", 6)
    cable(b, "W2", "Q1.out", "E1.in", "6 AWG", 60)
    return b.installation


def _charged(kind: str, terminal: str, polarised: bool = True, **facts: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("circuit_breaker", "Q1", rating_a=60, poles=("+",), polarised=polarised, line_terminal="in")
    b.add(kind, "T1", dc_v=12, **facts)
    cable(b, "W1", "G1.pos", "Q1.in", "6 AWG", 6)
    cable(b, "W2", "Q1.out", f"T1.{terminal}", "6 AWG", 60)
    return b.installation


def _second(*, interlocked: bool, slide: bool = False) -> Installation:
    """A second bank that a switch brings to the load side."""
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12, chemistry="AGM")
    b.add("circuit_breaker", "Q1", rating_a=60, poles=("+",), polarised=True, line_terminal="in")
    b.add("changeover" if interlocked else "battery_switch", "S1")
    b.add("load", "E1", dc_v=12, power_w=100)
    cable(b, "W1", "G1.pos", "Q1.in", "6 AWG", 6)
    if interlocked:
        cable(b, "W2", "Q1.out", "S1.one", "6 AWG", 60)
        cable(b, "W3", "G2.pos", "S1.two", "6 AWG", 60)
        cable(b, "W4", "S1.common", "E1.in", "6 AWG", 60)
    else:
        cable(b, "W2", "Q1.out", "E1.in", "6 AWG", 60)
        cable(b, "W3", "G2.pos", "S1.in", "6 AWG", 60)
        cable(b, "W4", "S1.out", "E1.in", "6 AWG", 60)
    if slide:
        b.interlock("Q1", "S1", name="slide")
    return b.installation


GOOD = (
    Example("a load on the load side", lambda: _branch("in")),
    Example("a charger behind a breaker that breaks both ways", lambda: _charged("charger", "dc", polarised=False)),
    Example("a changeover that keeps the second bank away", lambda: _second(interlocked=True)),
    Example("a slide that opens it before the second bank is joined", lambda: _second(interlocked=False, slide=True)),
)
BAD = (
    Example("fed from the terminal marked for the load", lambda: _branch("out"), (("Q1",),)),
    Example("a charger on the load side", lambda: _charged("charger", "dc"), (("Q1",),)),
    Example(
        "a switch that brings a second bank to the load side",
        lambda: _second(interlocked=False),
        (("Q1",),),
        condition="S1 closed",
    ),
)
