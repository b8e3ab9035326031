"""A switch, relay or selector can join banks of different chemistry, and nothing limits the current between them.

What it checks
--------------
Every pair of banks of one voltage and of unlike chemistry: in no permitted position may they be joined, unless what
joins them limits the current. Which chemistries count as alike for as long as a switch joins them, the book says.
A diode joins nothing backwards. Banks that are joined for good are `banks-mixed`.

A charging relay must moreover carry what the charging sources on either side of it, as drawn, give together, or what
it limits the current to. Where the devices that feed it let more through, `equipment-over-protected` speaks.

Why it matters
--------------
A full lithium bank pours hundreds of amperes into a lead one for as long as they are joined: the relay welds or burns,
the lead bank gasses. A relay that is too small for the alternator behind it does the same more slowly.

What to do
----------
A battery-to-battery converter or a relay that limits the current; a switch that is not there cannot be thrown.

Limits read
-----------
`alike` (groups of chemistries that a switch may join).

References
----------
Common practice, no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations
from typing import Any

from engine.circuit.battery_ways import BatteryWays
from engine.circuit.paths import Net
from engine.findings import Figure, Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.example_parts import boat, cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.wording import in_condition, listed, named
from engine.study import Study
from engine.units import show
from engine.words import N_, _

SLUG = "banks-joined"
WORD: Word = "warning"
TITLE = N_("unlike banks can be joined")
LOOKS_AT = N_("pairs of banks that a switch or relay can join, and charging relays")
SEARCHES = True
SOLVES = False


FEW = 6  # of the smallest conditions: one that joins them is enough


def check(study: Study) -> Iterator[Remark]:
    """One remark a pair of banks; one a charging relay that is too small."""
    equipment = study.snapshot.equipment
    parts = {item: record.parts() for item, record in equipment.items() if record.positions()}
    gentle = {item for item, told in parts.items() if told.gentle}
    unsure = {item for item, told in parts.items() if told.gentle is None}
    ways = BatteryWays(study.snapshot, study.circuit, False, study.budget, gentle | unsure)
    if len(ways.banks) > 1:
        looser = BatteryWays(study.snapshot, study.circuit, False, study.budget, gentle) if unsure else ways
        every = BatteryWays(study.snapshot, study.circuit, False, study.budget) if study.proving and gentle else looser
        for one, other in combinations(ways.banks, 2):
            yield from _pair(study, one, other, ways, looser, every)
    for item in parts:
        if hasattr(equipment[item], "limits_current"):
            yield from _relay(study, item)


def _joined(ways: BatteryWays, one: str, other: str) -> tuple[int | None, bool]:
    """The smallest condition that joins two banks, either way; and whether the search was whole."""
    cubes: list[int] = []
    whole = True
    for a, b in ((one, other), (other, one)):
        found = ways.joined(a, ways.banks[a], {b: ways.banks[b]}, FEW).get(b)
        if found is not None:
            cubes += found.cubes
            whole = whole and found.whole
        if cubes:
            break  # only a diode makes the other way differ
    least = ways.states.weakest(cubes)
    return (least[0] if least else None), whole or bool(least)


def _pair(
    study: Study, one: str, other: str, ways: BatteryWays, looser: BatteryWays, every: BatteryWays
) -> Iterator[Remark]:
    a, b = study.snapshot.equipment[one].store(), study.snapshot.equipment[other].store()
    if a is None or b is None or _volts_apart(a.nominal_v, b.nominal_v):
        return
    groups: list[list[str]] = study.book.option(SLUG, "alike", [])
    known = bool(a.chemistry and b.chemistry)
    if known and (a.chemistry == b.chemistry or any(a.chemistry in g and b.chemistry in g for g in groups)):
        return
    cube, whole = _joined(ways, one, other)
    if cube == 0:
        return  # for good: banks-mixed
    if cube is not None and known:
        yield _finding(study, ways, one, other, cube, (a.chemistry, b.chemistry))
        return
    if not whole:
        yield _undecided(study, one, other)
        return
    missing = tuple(f"{study.name(i)}.chemistry" for i, store in ((one, a), (other, b)) if not store.chemistry)
    if cube is None and looser is not ways:
        cube, _whole = _joined(looser, one, other)
        if cube is not None:
            touched = [looser.states.devices[n].equipment for n in looser.states.touched(cube)]
            missing += tuple(
                f"{study.name(i)}.limits_current" for i in touched if study.snapshot.equipment[i].parts().gentle is None
            )
    if cube is not None:
        why = _("whether {one} and {other} may be joined is not recorded").format(
            one=study.name(one), other=study.name(other)
        )
        yield left_open(study, SLUG, WORD, one, other, missing=missing, why=why)
    elif study.proving and known and _joined(every, one, other)[0] is not None:
        text = _("What joins {one} and {other} limits the current between them.")
        yield proved(study, SLUG, one, other, message=text.format(one=study.name(one), other=study.name(other)))


def _volts_apart(one: float | None, other: float | None) -> bool:
    """Whether they are banks of two systems (12 and 24 V, not 12 and 12.8 V): `voltage-mismatch`."""
    return bool(one and other) and not 0.75 < (one or 0.0) / (other or 1.0) < 1.33


def _finding(study: Study, ways: BatteryWays, one: str, other: str, cube: int, chemistries: tuple[str, str]) -> Finding:
    positions = ways.states.positions(cube)
    moved = [item for item, _allowed in positions]
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(one), study.name(other), *(study.name(item) for item in moved)),
        ids=(one, other, *moved),
        message=_(
            "{one} ({first}) and {other} ({second}) are joined by {moved}, and nothing limits the current."
        ).format(
            one=study.name(one),
            first=_(chemistries[0]),
            other=study.name(other),
            second=_(chemistries[1]),
            moved=listed([study.name(item) for item in moved]),
        ),
        condition=in_condition(study, positions, [item for item in moved if ways.states.is_automatic(item)]),
        positions=tuple((item, allowed[0]) for item, allowed in positions),
        fixes=(
            _("charge one from the other through a converter, or a relay that limits the current"),
            _("or interlock {switches} so that the two are never joined").format(
                switches=listed([study.name(item) for item in moved])
            ),
        ),
    )


def _undecided(study: Study, one: str, other: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(one), study.name(other)),
        ids=(one, other),
        message=_(
            "Whether {one} and {other} can be joined is not decided: the search was stopped before it could tell."
        ).format(one=study.name(one), other=study.name(other)),
        fixes=(_("let fewer switches lie between the two banks"),),
        undecided=True,
    )


# -- what a relay carries ---------------------------------------------------------------------------------------------
def _relay(study: Study, item: str) -> Iterator[Remark]:
    record = study.snapshot.equipment[item]
    contact = record.contacts()[0]
    rating = record.through_limit(contact.a)
    told = record.parts()
    if rating is None or _told_elsewhere(study, item):
        return
    if told.gentle:
        most, sum_of = told.limit_a, ""
    else:
        sides = [s for s in (_charge(study, item, contact.a), _charge(study, item, contact.b)) if s is not None]
        most, sum_of = max(sides, default=(None, ""), key=lambda side: side[0] or 0.0)
    if most is None:
        return
    if most > rating * (1 + 1e-9):
        if told.gentle:
            text = _("{relay} limits the current to {most}; it may carry {rating}.")
        else:
            text = _("What charges one side of {relay} gives {most} as drawn; it may carry {rating}.")
        yield Finding(
            rule=SLUG,
            word=WORD,
            designations=(study.name(item),),
            ids=(item,),
            message=text.format(relay=named(study, item), most=show(most, "A"), rating=show(rating, "A")),
            figures=(Figure("current", most, "A"), Figure("rating", rating, "A")),
            arithmetic=f"{sum_of or show(most, 'A')} > {show(rating, 'A')}",
            fixes=(_("fit a relay that carries {most} or more").format(most=show(most, "A")),),
            detail="rating",
        )
    elif study.proving:
        found, limit = ("current", most), ("rating", rating)
        yield proved(study, SLUG, item, found=found, limit=limit, unit="A", arithmetic=sum_of, detail="rating")


def _told_elsewhere(study: Study, item: str) -> bool:
    """Whether the devices that feed it let too much through, or that is not known: another rule says so."""
    return any(item in remark.ids for remark in study.outcome("equipment-over-protected").remarks)


def _charge(study: Study, item: str, terminal: str) -> tuple[float, str] | None:
    """What charging sources give on one side of a relay, as drawn; `None` where one is not known."""
    circuit = study.circuit
    node = circuit.node(item, terminal, "+")
    if node is None:
        return None
    states = study.battery_ways.states
    net = Net(circuit, states, ("+",), parted=item)
    drawn = states.of_positions(
        (i, study.snapshot.equipment[i].drawn_position()) for i in states.number if not states.is_automatic(i)
    )
    for start, arcs in net.arcs.items():
        net.arcs[start] = [arc for arc in arcs if not drawn & states.field[arc.device] & ~arc.guard or arc.device < 0]
    here = net.reachable(net.at(node))
    parts: list[tuple[str, float]] = []
    for feed in circuit.feeds:
        lost = study.snapshot.equipment[feed.equipment].battery_lost()
        if lost is None or net.at(feed.node) not in here:
            continue
        if feed.source.limit_a is None:
            return None
        parts.append((study.name(feed.equipment), feed.source.limit_a))
    total = sum(amps for _name, amps in parts)
    return total, " + ".join(f"{name} {show(amps, 'A')}" for name, amps in parts)


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A relay that limits the current, or an interlock over the switches that join them."""
    from engine.fixing.parting import of_form
    from engine.fixing.pieces import interlocked
    from engine.fixing.trial import first_sound

    if finding.detail == "rating":
        return
    for item, _position in finding.positions:
        if hasattr(study.snapshot.equipment[item], "limits_current"):
            text = _("fit {name} as a relay that limits the current")
            yield from of_form(study, (item,), "limits_current", True, text)
    held = ((item, (position,)) for item, position in finding.positions)
    yield from first_sound(study, finding, interlocked(study, held))


# -- examples -------------------------------------------------------------------------------------------------------
def _two(kind: str, start: str, stop: str, other: str = "LFP", **facts: Any) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12.8 if other == "LFP" else 12, chemistry=other)
    for name, size in (("1", 150), ("2", 150)):
        b.add("fuse", f"F{name}", rating_a=size)
        cable(b, f"W{name}", f"G{name}.pos", f"F{name}.in", "2/0 AWG", 6)
    b.add(kind, "Q1", **facts)
    cable(b, "W3", "F1.out", f"Q1.{start}", "2/0 AWG", 20)
    cable(b, "W4", "F2.out", f"Q1.{stop}", "2/0 AWG", 20)
    if kind == "selector":
        b.add("load", "E1", dc_v=12, power_w=60)
        cable(b, "W5", "Q1.common", "E1.in", "2/0 AWG", 40)
    return b.installation


def _relay_of(rating_a: float, alternator_a: float) -> Installation:
    b = boat()
    b.add("battery_bank", "G1", unit_v=12, chemistry="AGM")
    b.add("battery_bank", "G2", unit_v=12, chemistry="AGM")
    b.add("fuse", "F1", rating_a=100)
    b.add("fuse", "F2", rating_a=100)
    b.add("alternator", "G3", dc_v=12, rating_a=alternator_a, self_limiting=True)
    b.add("charging_relay", "Q1", dc_v=12, continuous_a=rating_a, limits_current=False)
    cable(b, "W1", "G1.pos", "F1.in", "2/0 AWG", 6)
    cable(b, "W2", "G2.pos", "F2.in", "2/0 AWG", 6)
    cable(b, "W3", "F1.out", "Q1.a", "2/0 AWG", 20)
    cable(b, "W4", "F2.out", "Q1.b", "2/0 AWG", 20)
    cable(b, "W5", "G3.pos", "G1.pos", "2/0 AWG", 40)
    return b.installation


GOOD = (
    Example("lead-acid of two kinds, which a relay joins", lambda: _two("charging_relay", "a", "b", "flooded")),
    Example("a relay that limits the current", lambda: _two("charging_relay", "a", "b", limits_current=True)),
    Example("a relay that just carries what the alternator gives", lambda: _relay_of(100, 100)),
)
BAD = (
    Example("a switch that joins lead and lithium", lambda: _two("battery_switch", "in", "out"), (("G1", "G2", "Q1"),)),
    Example(
        "a selector that joins them in both",
        lambda: _two("selector", "one", "two"),
        (("G1", "G2", "Q1"),),
        condition="Q1 in both",
    ),
    Example("a relay an ampere too small for the alternator", lambda: _relay_of(100, 101), (("Q1",),)),
)
