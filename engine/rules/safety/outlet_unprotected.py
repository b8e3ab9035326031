"""A socket in a wet place, galley, machinery space or on deck without personnel protection.

What it checks
--------------
Every AC socket that stands in a place of the book's list: from any AC source to the socket, with every contact closed,
each way passes residual-current protection that trips at the book's current, or the socket has it built in. A socket
recorded as protecting the outlets after it covers those that are fed from its terminal. A transformer, generator or
inverter is a source of its own.

Why it matters
--------------
Wet hands, a metal sink, an engine: there a person is the way to earth. What protects the boat's wiring lets far more
than a deadly current pass.

What to do
----------
A socket with protection built in, or a device for personnel protection before it.

Limits read
-----------
`most_ma` (residual current), `places` (kinds of place).

References
----------
E-11 11.13.3.5, secondary copy: 5 mA in head, galley, machinery space and on the weather deck.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from engine.books import Limit
from engine.circuit.ways import Step
from engine.findings import Figure, Finding, Passed, Remark, Word
from engine.fixes import Fix, set_fields
from engine.installation.model import Installation
from engine.rules.example_parts import ac_cable
from engine.rules.left_open import left_open
from engine.rules.proved import proved
from engine.rules.rule import Example
from engine.rules.safety._boats import alongside, circuit
from engine.rules.safety._residual import Suited, protections, suited
from engine.rules.safety._shore import ac_nodes, is_live_step
from engine.rules.wording import named
from engine.study import Study
from engine.units import number
from engine.words import N_, _

SLUG = "outlet-unprotected"
WORD: Word = "danger"
TITLE = N_("socket without personnel protection")
LOOKS_AT = N_("AC sockets in wet places, galleys, machinery spaces and on deck")


def check(study: Study) -> Iterator[Remark]:
    """One remark a socket."""
    limit = study.book.limit(SLUG, "most_ma")
    if limit is None:
        return
    places = study.book.option(SLUG, "places", ())
    sockets = [
        item
        for item in study.circuit.joined
        if (told := study.snapshot.equipment[item].touchable()) is not None
        and told.is_socket
        and ac_nodes(study, item, told.terminals[0])
    ]
    if not sockets:
        return
    plates = {item: suited(told, study.name(item), limit, None) for item, told in protections(study).items()}
    plates |= _covering(study, sockets, limit)
    sure = _open(study, {item for item, plate in plates.items() if plate.suits})
    maybe = _open(study, {item for item, plate in plates.items() if plate.suits is not False})
    for item in sockets:
        record, name = study.snapshot.equipment[item], study.name(item)
        told = record.touchable()
        nodes = ac_nodes(study, item, told.terminals[0]) if told else ()
        place = study.snapshot.places.get(record.place)
        kind = place.kind if place is not None else ""
        if kind and kind not in places:
            continue
        own = record.residual()
        plate = suited(own, name, limit, None) if own is not None else None
        if (plate is not None and plate.suits) or not any(node in sure for node in nodes):
            if study.proving and kind:
                yield _passed(study, item, limit.value)
            continue
        missing: tuple[str, ...] = ()
        if not kind:
            missing = (f"{name}.place",) if place is None else (f"{place.name}.kind",)
        if not any(node in maybe for node in nodes):
            missing += _unsaid(study, nodes, plates)
        if missing:
            yield left_open(
                study, SLUG, WORD, item, missing=missing, why=_("where it stands, or what protects it, is not recorded")
            )
        else:
            yield _finding(study, item, place.name if place else "", limit.value)


def _unsaid(study: Study, nodes: tuple[int, ...], plates: dict[str, Suited]) -> tuple[str, ...]:
    """Fields of those protections that alone, or only together, keep a socket from what is not protected."""
    stops = {item for item, plate in plates.items() if plate.suits is not False}
    unsure = [item for item in sorted(stops) if plates[item].suits is None]
    alone = [item for item in unsure if any(node in _open(study, stops - {item}) for node in nodes)]
    return tuple(field for item in alone or unsure for field in plates[item].missing)


def _covering(study: Study, sockets: list[str], limit: Limit) -> dict[str, Suited]:
    """Sockets whose protection covers the outlets after them."""
    made = {}
    for item in sockets:
        own = study.snapshot.equipment[item].residual()
        if own is None or own.covers_after is False:
            continue
        plate = suited(own, study.name(item), limit, None)
        if own.covers_after is None and plate.suits is not False:
            plate = Suited(None, (*plate.missing, f"{study.name(item)}.protects_onward"))
        made[item] = plate
    return made


def _open(study: Study, stops: set[str]) -> dict[int, Step | None]:
    """Live nodes that some AC source reaches without passing `stops`."""
    links, equipment = study.circuit.links, study.snapshot.equipment
    covering = {item for item in stops if (own := equipment[item].residual()) is not None and not own.onward}
    after = {number for number, node in enumerate(study.circuit.nodes) if node.equipment in covering}
    starts = [feed.node for feed in study.circuit.feeds if feed.source.system == "ac"]
    return study.ways.reach(
        starts,
        lambda step: (
            is_live_step(study, step)
            and (links[step.link].equipment not in stops if step.link >= 0 else step.start not in after)
        ),
    )


def _passed(study: Study, item: str, limit_ma: float) -> Passed:
    return proved(
        study,
        SLUG,
        item,
        message=_("{item} has personnel protection of {ma} mA or less.").format(
            item=named(study, item), ma=number(limit_ma, 6)
        ),
    )


def _finding(study: Study, item: str, place: str, limit_ma: float) -> Finding:
    own = study.snapshot.equipment[item].residual()
    figures = [Figure("limit", limit_ma, "mA")]
    if own is not None:
        figures.insert(0, Figure("residual_ma", own.trips_ma, "mA"))
        message = _("{item} in {place} has protection of {own} mA; {ma} mA or less is required there.").format(
            item=named(study, item), place=place, own=number(own.trips_ma or 0.0, 6), ma=number(limit_ma, 6)
        )
    else:
        message = _("{item} in {place} has no personnel protection of {ma} mA or less.").format(
            item=named(study, item), place=place, ma=number(limit_ma, 6)
        )
    return Finding(
        rule=SLUG,
        word=WORD,
        designations=(study.name(item),),
        ids=(item,),
        message=message,
        figures=tuple(figures),
        fixes=(
            _("fit a socket with protection of {ma} mA built in").format(ma=number(limit_ma, 6)),
            _("fit personnel protection before it"),
        ),
    )


def fixes(study: Study, finding: Finding) -> Iterator[Fix]:
    """A socket with protection built in."""
    limit = study.book.limit(SLUG, "most_ma")
    if limit is not None:
        yield set_fields(finding.fixes[0], "equipment", finding.ids[0], {"residual_ma": limit.value, "status": "new"})


# -- examples -------------------------------------------------------------------------------------------------------
def _socket(place: str, kind: str, **facts: Any) -> Installation:
    b = alongside()
    if place != "saloon":
        b.place(place, kind)
    circuit(b, "socket_outlet", "X5", rating_a=15, polarised=True, place=place, **facts)
    return b.installation


def _next_socket(*, onward: bool | None) -> Installation:
    b = alongside()
    b.place("galley", "galley")
    circuit(b, "socket_outlet", "X5", rating_a=15, place="galley", residual_ma=5, protects_onward=onward)
    b.add("socket_outlet", "X6", ac_v=120, rating_a=15, place="galley")
    ac_cable(b, "W3", "X5.in", "X6.in", "14 AWG", 40)
    return b.installation


GOOD = (
    Example("a socket in the saloon", lambda: _socket("saloon", "accommodation")),
    Example("5 mA built into the socket of the galley", lambda: _socket("galley", "galley", residual_ma=5)),
    Example("the next socket of the galley is covered by the first", lambda: _next_socket(onward=True)),
)
BAD = (
    Example("a socket in the galley behind the 30 mA main alone", lambda: _socket("galley", "galley"), (("X5",),)),
    Example("6 mA in the head", lambda: _socket("head", "wet", residual_ma=6), (("X5",),)),
    Example("the first socket protects itself only", lambda: _next_socket(onward=False), (("X6",),)),
    Example("whether the first protects the next is not recorded", lambda: _next_socket(onward=None), (("X6",),)),
)
