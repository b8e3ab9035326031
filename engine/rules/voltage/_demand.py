"""What equipment is made for, and which sources can reach it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from engine.circuit.expand import Feed
from engine.circuit.meeting import Conflict, Point, joins
from engine.equipment.base import Equipment
from engine.rules.voltage._systems import LIVE_OF, Classes, System, point, volt_field
from engine.study import Study

__all__ = ["Demand", "Supply", "demands", "reached", "supplies"]

SYSTEM_OF: dict[str, System] = {"+": "dc", "L1": "ac", "L2": "ac", "L3": "ac"}
MINDS_NOT = Equipment.nominal_volts  # kinds that leave it as it is stand on any system


class Supply(NamedTuple):
    """The sources of one system that some switch position may join, and what they have in common."""

    feeds: tuple[Feed, ...]  # those without a system of their own left out
    classes: frozenset[tuple[float, float]]  # of those that record their volts
    hertz: frozenset[float]
    silent: bool  # some do not record their volts
    mute: bool  # some AC ones do not record their frequency


class Demand(NamedTuple):
    """Equipment at a terminal, and the system it is made for. `volts` `None`: not recorded, `field` would settle it."""

    item: str
    terminal: str
    node: int  # of one live conductor there
    system: System  # what it is made for
    found: System  # what the runs bring
    volts: float | None
    frequency_hz: float | None
    field: str


def demands(study: Study) -> list[Demand]:
    """Every terminal that is fed and made for a certain system; a source's own terminal is none."""
    circuit, equipment = study.circuit, study.snapshot.equipment
    own = {(feed.equipment, circuit.nodes[feed.node].terminal) for feed in circuit.feeds}
    live: dict[tuple[str, str], dict[System, tuple[System, int, str]]] = {}
    for number, (item, terminal, conductor) in enumerate(circuit.nodes):
        system = SYSTEM_OF.get(conductor)
        if system is not None and (item, terminal) not in own and type(equipment[item]).nominal_volts is not MINDS_NOT:
            live.setdefault((item, terminal), {}).setdefault(system, (system, number, conductor))
    made = []
    for (item, name), found in live.items():
        record = equipment[item]
        carried = next((t.conductors for t in record.terminals() if t.name == name), ())
        made_for = record.nominal_volts(name)
        for here, number, conductor in found.values():
            if conductor not in carried:
                continue  # a run brings what does not belong there: told as such
            if made_for is not None:
                system, volts = made_for
            elif record.ROLE == "load" and _records_no_volts(record):
                system, volts = here, None
            else:
                continue
            made.append(
                Demand(
                    item=item,
                    terminal=name,
                    node=number,
                    system=system,
                    found=here,
                    volts=volts,
                    frequency_hz=getattr(record, "frequency_hz", None) if system == "ac" else None,
                    field="" if volts is not None else volt_field(record, system, name),
                )
            )
    return made


def _records_no_volts(record: Equipment) -> bool:
    """A consumer that could be made for either system and says neither."""
    return getattr(record, "dc_v", 0) is None and getattr(record, "ac_v", 0) is None


def supplies(study: Study, classes: Classes) -> Callable[[Demand], Supply]:
    """What stands behind each demand, worked out once for each island."""
    known: dict[tuple[int, System], Supply] = {}

    def of(demand: Demand) -> Supply:
        island = study.volts.at(demand.node)
        key = id(island), demand.system
        if key not in known:
            feeds = tuple(f for f in island.feeds if f.source.system == demand.system and not f.source.adapts)
            known[key] = Supply(
                feeds,
                frozenset(classes.key(demand.system, v) for f in feeds if (v := f.source.nominal_v) is not None),
                frozenset(f.source.frequency_hz for f in feeds if f.source.frequency_hz is not None),
                any(f.source.nominal_v is None for f in feeds),
                any(f.source.frequency_hz is None for f in feeds),
            )
        return known[key]

    return of


def reached(
    study: Study, asked: Sequence[tuple[Demand, Sequence[Feed]]], system: System
) -> Iterator[tuple[Demand, Feed, Conflict | None]]:
    """For each demand, those of its feeds that a permitted state joins to it; `None` where that is not decided."""
    feeds: list[Feed] = list(dict.fromkeys(feed for _demand, wanted in asked for feed in wanted))
    points = [Point(demand.node, demand.item) for demand, _wanted in asked] + [point(feed) for feed in feeds]
    first = len(asked)
    number = {feed: first + i for i, feed in enumerate(feeds)}
    pairs = [(i, number[feed]) for i, (_demand, wanted) in enumerate(asked) for feed in wanted]
    found, undecided = joins(study.snapshot, study.circuit, points, pairs, LIVE_OF[system], budget=study.budget)
    open_pairs: Iterable[tuple[int, int]] = [pair for pair in undecided if pair not in found]
    both: dict[tuple[int, int], Conflict | None] = {**found, **dict.fromkeys(open_pairs)}
    for (i, j), conflict in sorted(both.items()):
        yield asked[i][0], feeds[j - first], conflict
