"""A conductor of a residual-current circuit returns outside its device, or the device does not see the load's current.

What it checks
--------------
Behind every residual-current device, as far as the next source, in every state the interlocks allow: its live and its
neutral must not meet the line side around it; its neutral must not meet earth; what takes power from its live must
return by its neutral, and what returns by its neutral must be fed by its live. And its type must see the shape of the
residual current that a fault in each load gives, where both are recorded.

Why it matters
--------------
A neutral shared with another circuit makes the device trip for nothing, and is then tied off; a way around it, or a
current it does not see, and it never trips at all.

What to do
----------
A neutral of its own for every residual-current circuit; a device of the type the loads ask for.

Limits read
-----------
`sees` (what each type sees).

References
----------
E-11 11.11.1, secondary copy. IEC 60755: types AC, A, F and B, from memory, not confirmed.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from engine.builder import Builder
from engine.circuit.meeting import allows_nothing
from engine.circuit.paths import Net, search
from engine.circuit.states import states_of
from engine.circuit.ways import Step
from engine.equipment.base import LIVE
from engine.equipment.behaviour import Residual
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._residual import protections
from engine.rules.safety._shore import uses
from engine.rules.wording import listed, named
from engine.study import Study
from engine.words import N_, _

SLUG = "residual-bypassed"
WORD: Word = "warning"
TITLE = N_("residual-current protection gone round, or blind to the load")
LOOKS_AT = N_("residual-current devices and what stands behind them")


def check(study: Study) -> Iterator[Remark]:
    """The first fault of each kind, a device."""
    for item, told in protections(study).items():
        if "N" not in told.poles or study.circuit.node(item, told.onward, "N") is None:
            continue
        found = list(_device(study, item, told))
        yield from found
        if not found and study.proving:
            yield proved(
                study,
                SLUG,
                item,
                message=_("Everything behind {item} returns through it.").format(item=named(study, item)),
            )


def _device(study: Study, item: str, told: Residual) -> Iterator[Remark]:
    circuit, ways = study.circuit, study.ways
    live = [n for c in LIVE if (n := circuit.node(item, told.onward, c)) is not None]
    neutral = [n for c in ("N",) if (n := circuit.node(item, told.onward, c)) is not None]
    behind_live = ways.reach(live, lambda step: _goes(study, step, item, LIVE))
    behind_neutral = ways.reach(neutral, lambda step: _goes(study, step, item, ("N",)))
    before = {c: circuit.node(item, told.inward, c) for c in (*LIVE, "N")}
    name = named(study, item)
    for starts, behind, line in ((live, behind_live, _("live")), (neutral, behind_neutral, _("neutral"))):
        round_to = [node for node in before.values() if node is not None and node in behind]
        if round_to and _permitted(study, item, starts, [(node, "", None) for node in round_to]):
            yield _finding(
                study,
                (item,),
                _("A {line} conductor goes round {item}.").format(line=line, item=name),
                _("take away what joins the two sides of {item}").format(item=study.name(item)),
                f"around {line}",
            )
            return
    for bonded in _bonds(study, item, neutral, behind_neutral):
        yield _finding(
            study,
            (item, bonded),
            _("The neutral behind {item} meets earth at {bond}.").format(item=name, bond=named(study, bonded)),
            _("take away the bond at {bond}, or put it before {item}").format(
                bond=study.name(bonded), item=study.name(item)
            ),
            "bond",
        )
    shared = _shared(study, behind_live, behind_neutral)
    if shared:
        yield _finding(
            study,
            (item, *shared),
            _("{loads} takes its live through {item} or its neutral, and not both.").format(
                loads=listed([study.name(load) for load in shared]), item=name
            ),
            _("give it a live and a neutral of the same circuit"),
            "shared neutral",
        )
    blind = _blind(study, told, behind_live)
    if blind:
        shapes = sorted({_shape(study, load) for load in blind})
        yield _finding(
            study,
            (item, *blind),
            _("{item} is of type {form} and does not see the {shapes} residual current of {loads}.").format(
                item=name,
                form=told.form,
                shapes=listed([_(shape) for shape in shapes]),
                loads=listed([study.name(load) for load in blind]),
            ),
            _("fit a device of type {form}").format(form=_type_for(study, shapes)),
            "type",
        )


def _goes(study: Study, step: Step, item: str, conductors: Iterable[str]) -> bool:
    """Along like conductors, not through the device itself."""
    name = study.ways.conductor
    if name(step.start) not in conductors or name(step.to) not in conductors:
        return False
    return study.ways.equipment(step) != item


def _permitted(
    study: Study, item: str, starts: Iterable[int], targets: Iterable[tuple[int, str, frozenset[str] | None]]
) -> bool:
    """Whether the interlocks allow a way from a start to a target while its equipment stands in those positions."""
    conductors = {study.circuit.nodes[node].conductor for node in starts}
    states = states_of(study.snapshot, study.circuit)
    if allows_nothing(states):
        return True  # the interlocks contradict each other and prove nothing
    net = Net(study.circuit, states, conductors, parted=item)
    wanted = {net.terminal(node, equipment, positions) for node, equipment, positions in targets}
    for start in {net.at(node) for node in starts}:
        found = search(net, start, wanted, enough=1)
        if found.cubes or found.undecided:
            return True
    return False


def _bonds(study: Study, device: str, neutral: list[int], behind: dict[int, Step | None]) -> tuple[str, ...]:
    """Equipment behind that bonds neutral to earth, in a position in which this neutral can reach it."""
    nodes, found = study.circuit.nodes, []
    for link in study.circuit.links:
        if {nodes[link.a].conductor, nodes[link.b].conductor} != {"N", "PE"} or link.supposed:
            continue
        at = link.a if nodes[link.a].conductor == "N" else link.b
        if at not in behind:
            continue
        by = behind[at]
        inside = study.circuit.links[by.link] if by is not None and by.link >= 0 else None
        if inside is not None and inside.equipment == link.equipment:
            reached = _together(inside.positions, link.positions)
        else:
            reached = _permitted(study, device, neutral, [(at, link.equipment, link.positions)])
        if reached:
            found.append(link.equipment)
    return tuple(sorted(set(found)))


def _together(one: frozenset[str] | None, other: frozenset[str] | None) -> bool:
    """Whether two contacts of one device can be closed at the same time."""
    return one is None or other is None or bool(one & other)


def _shared(study: Study, live: dict[int, Step | None], neutral: dict[int, Step | None]) -> tuple[str, ...]:
    """What takes power from one side only, where it has a neutral."""
    circuit, found = study.circuit, []
    for node in (*live, *neutral):
        load = uses(study, node)
        if not load:
            continue
        terminal = circuit.nodes[node].terminal
        lines = [n for c in LIVE if (n := circuit.node(load, terminal, c)) is not None]
        back = circuit.node(load, terminal, "N")
        if back is not None and lines and any(n in live for n in lines) != (back in neutral):
            found.append(load)
    return tuple(sorted(set(found)))


def _shape(study: Study, load: str) -> str:
    use = study.snapshot.equipment[load].use()
    return use.leakage if use is not None else ""


def _blind(study: Study, told: Residual, live: dict[int, Step | None]) -> tuple[str, ...]:
    sees = dict(study.book.option(SLUG, "sees", ()))
    if told.form not in sees:
        return ()
    loads = {load for node in live if (load := uses(study, node))}
    return tuple(sorted(load for load in loads if (shape := _shape(study, load)) and shape not in sees[told.form]))


def _type_for(study: Study, shapes: list[str]) -> str:
    """The first type of the book that sees all of them."""
    for form, seen in study.book.option(SLUG, "sees", ()):
        if set(shapes) <= set(seen):
            return str(form)
    return "B"


def _finding(study: Study, ids: tuple[str, ...], message: str, fix: str, detail: str) -> Finding:
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=tuple(study.name(item) for item in ids),
        ids=ids,
        message=message,
        fixes=(fix,),
        detail=detail,
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A device of the type the loads ask for."""
    if finding.detail == "type":
        shapes = sorted({shape for load in finding.ids[1:] if (shape := _shape(study, load))})
        form = _type_for(study, shapes)
        yield set_fields(finding.fixes[0], "equipment", finding.ids[0], {"residual_type": form, "status": "new"})


# -- examples -------------------------------------------------------------------------------------------------------
def _load(leakage: str = "pulsating") -> Installation:
    b = alongside()
    circuit(b, "load", "E1", leakage=leakage)
    return b.installation


def _neutral_round(*, around: bool) -> Installation:
    """A second circuit whose neutral is taken from before the device."""
    b = alongside()
    circuit(b, "load", "E1")
    b.add("load", "E2", ac_v=120, power_w=500, exposed_metal=True)
    b.add("bus_bar", "X3", purpose="neutral")
    b.run("W30", "X2.bar", "E2.in", function="ac", neutral=False, size="14 AWG", length_m=2.0)
    b.run("W31", "X3.bar", "E2.in", function="ac", phases="L1", size="14 AWG", length_m=2.0, earth=False)
    start = "X1.out" if around else "X2.bar"
    b.run("W32", start, "X3.bar", function="ac", size="14 AWG", length_m=1.0, earth=False)
    return b.installation


def _bonded() -> Installation:
    b = alongside()
    return _with_generator(b)


def _slide(*, held: bool) -> Installation:
    """Shore and generator on two breakers of one panel, which a mechanical slide keeps from being closed together."""
    b = alongside()
    b.add("bus_bar", "X3")
    for name, start in (("F2", "X2.bar"), ("F3", "G2.out")):
        if name == "F3":
            b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=True, exposed_metal=True)
        b.add("circuit_breaker", name, rating_a=30, poles=("L1", "N"), used_as_switch=True)
        b.run(f"{name}1", start, f"{name}.in", function="ac", size="10 AWG", length_m=1.0)
        b.run(f"{name}2", f"{name}.out", "X3.bar", function="ac", size="10 AWG", length_m=1.0)
    if held:
        b.interlock("F2", "F3")
    circuit(b, "load", "E1", "X3.bar")
    return b.installation


def _with_generator(b: Builder) -> Installation:
    b.add("generator", "G2", ac_v=120, rating_a=30, bonds_neutral=True, exposed_metal=True)
    b.run("W30", "G2.out", "X2.bar", function="ac", size="10 AWG", length_m=3.0)
    circuit(b, "load", "E1")
    return b.installation


GOOD = (
    Example("a pulsating leakage behind a device of type A", _load),
    Example("a generator that bonds its neutral, locked out while the shore is on", lambda: _slide(held=True)),
    Example("a neutral by a bus of its own behind the device", lambda: _neutral_round(around=False)),
)
BAD = (
    Example("a smooth leakage behind a device of type A", lambda: _load("smooth"), (("Q1", "E1"),)),
    Example("a bus fed from before the device", lambda: _neutral_round(around=True), (("Q1",),)),
    Example("a generator bonds the neutral behind it", _bonded, (("Q1", "G2"),)),
    Example("and over two breakers that nothing locks", lambda: _slide(held=False), (("Q1", "G2"),)),
)
