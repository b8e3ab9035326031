"""AC equipment with metal that can be touched, or a socket, has no unbroken protective conductor.

What it checks
--------------
Everything at which AC arrives and that has exposed metal, and every AC socket. From its protective conductor the rule
follows earth conductors through everything that nothing can open; it must meet the boat's earth: an earth point, an
engine block, the shore's earth at the inlet, or the earth of the source that feeds it. A bus that leads to none of
these is no earth. A source aboard must meet one that is not its own. Where only a device that opens the earth stands
between, that device is `earth-interrupted`.

Why it matters
--------------
When live touches the case, the protective conductor makes the breaker trip. Without it the case stays live until
somebody touches it.

What to do
----------
Run a protective conductor with the live ones, unbroken, to the earth bus.

Limits read
-----------
None.

References
----------
E-11 11.5.5.3 and 11.5.5.5, secondary copy. 46 CFR 183.370 and 183.372, 2015 edition: outlets of 100 V or more have a
grounding pole; metal is bonded to a common ground.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.circuit.ways import Step
from engine.findings import Finding, Remark, Word
from engine.fixes import Fix
from engine.installation.model import Installation
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._earth import ac_equipment, earth_nodes, unbroken
from engine.rules.wording import named
from engine.study import Study
from engine.words import N_, _

SLUG = "no-protective-earth"
WORD: Word = "danger"
TITLE = N_("no unbroken protective conductor")
LOOKS_AT = N_("AC equipment with metal that can be touched, and AC sockets")


def check(study: Study) -> Iterator[Remark]:
    """One remark a piece of equipment."""
    nets = unbroken(study)
    anchored = _anchored(study, nets)
    own = {feed.equipment for feed in study.circuit.feeds if feed.source.system == "ac"}
    for item in ac_equipment(study):
        record, name = study.snapshot.equipment[item], study.name(item)
        told = record.touchable()
        if told is None or told.metal is False or record.status in ("spare", "to remove"):
            continue
        nodes = earth_nodes(study, item, told.terminals)
        at = {nets[node] for node in nodes}
        enough = anchored if item in own else anchored | _of_sources(study, item, nets)
        if at & enough:
            if study.proving:
                yield proved(
                    study,
                    SLUG,
                    item,
                    message=_("The protective conductor of {item} runs unbroken to the boat's earth.").format(
                        item=named(study, item)
                    ),
                )
        elif _closed(study, nodes, nets) & enough:
            continue  # of what opens it `earth-interrupted` speaks
        elif told.metal is None:
            yield left_open(
                study,
                SLUG,
                WORD,
                item,
                missing=(f"{name}.{told.field}",),
                why=_("no protective conductor is drawn, and whether it has metal that can be touched is not recorded"),
            )
        else:
            yield _finding(study, item, bool(nodes), told.is_socket)


def _anchored(study: Study, nets: dict[int, int]) -> set[int]:
    """Nets of the boat's own earth, and of the shore's."""
    found: set[int] = set()
    for item in study.circuit.joined:
        record = study.snapshot.equipment[item]
        if record.touches_sea() or record.is_ground() or record.ashore() is not None:
            found |= {nets[node] for node in earth_nodes(study, item, study.circuit.joined[item])}
    return found


def _of_sources(study: Study, item: str, nets: dict[int, int]) -> set[int]:
    """Nets of the earths of sources that can feed it."""
    circuit = study.circuit
    sources = {
        feed.equipment
        for terminal in circuit.joined[item]
        for line in ("L1", "L2", "L3")
        for feed in study.volts.at(circuit.node(item, terminal, line)).feeds
    }
    return {nets[node] for other in sources for node in earth_nodes(study, other, circuit.joined.get(other, ()))}


def _closed(study: Study, nodes: tuple[int, ...], nets: dict[int, int]) -> set[int]:
    """Nets that its earth meets while everything stands closed."""
    name, links = study.ways.conductor, study.circuit.links

    def passes(step: Step) -> bool:
        sure = step.link < 0 or not links[step.link].supposed
        return sure and name(step.start) == name(step.to) == "PE"

    return {nets[node] for node in study.ways.reach(nodes, passes)}


def _finding(study: Study, item: str, some: bool, is_socket: bool) -> Finding:
    if some:
        message = _("The protective conductor of {item} does not run unbroken to the boat's earth.")
    elif is_socket:
        message = _("{item} has no protective conductor.")
    else:
        message = _("{item} has metal that can be touched and no protective conductor.")
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=message.format(item=named(study, item)),
        fixes=(
            _("run a protective conductor with its live ones, unbroken, to the earth bus"),
            *(() if is_socket else (_("fit equipment of double insulation"),)),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A protective conductor with the live ones, and nothing in it that opens."""
    from engine.fixing.leading import earthed

    yield from earthed(study, finding, finding.ids[0])


# -- examples -------------------------------------------------------------------------------------------------------
def _heater(**facts: Any) -> Installation:
    b = alongside()
    circuit(b, "load", "E1", **facts)
    return b.installation


def _to_nowhere() -> Installation:
    """Its earth goes to a bus that is joined to nothing else."""
    b = alongside(ground=False)
    circuit(b, "load", "E1", earth=False)
    b.add("bus_bar", "X8", purpose="protective earth")
    b.run("W20", "E1.earth", "X8.bar", function="earth", size="10 AWG", length_m=1.0)
    return b.installation


GOOD = (
    Example("a heater earthed through its supply", _heater),
    Example("double insulation needs no earth", lambda: _heater(earth=False, exposed_metal=False)),
)
BAD = (
    Example("a heater without earth", lambda: _heater(earth=False), (("E1",),)),
    Example("its earth goes to a bus that leads nowhere", _to_nowhere, (("E1",),)),
)
