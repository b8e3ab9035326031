"""Sources of a network: those that run, and what converters give, with what they take for it."""

from __future__ import annotations

from engine.circuit.expand import Feed
from engine.circuit.flow._converting import add_input, conversion_of, output, works
from engine.circuit.flow._supplies import alternating, direct, machine_behind
from engine.circuit.flow.netlist import Netlist
from engine.equipment.base import Conversion, Equipment
from engine.words import _

__all__ = ["add_sources"]


def add_sources(built: Netlist, *, everything: bool, regulated: bool) -> None:
    """Put the sources that run, and the converters' outputs with their inputs, into the networks."""
    stars: dict[tuple[str, str, str], int] = {}
    outputs: dict[tuple[str, str], list[int]] = {}  # (equipment, terminal of a conversion's input) -> sources
    chosen: dict[tuple[str, str], Conversion] = {}
    for index, feed in enumerate(built.circuit.feeds):
        item, source = feed.equipment, feed.source
        if not built.holds(item, source.positions):
            continue
        record = built.snapshot.equipment[item]
        machine = machine_behind(built, feed, record)
        if machine:
            # volts and hertz of bare phases follow the speed: the rectifier is told as the source they make
            if everything or (built.operation.running is not None and machine in built.operation.running):
                own = direct(built, index, feed, record, everything, machine)
                if own is not None:
                    built.sources.append(own)
            continue
        conversion = conversion_of(built, record, feed)
        if conversion is not None:
            if not everything and not works(built, record, feed, conversion):
                continue
            made = output(built, index, feed, record, conversion, stars)
            if made is not None:
                built.sources.append(made)
                key = item, conversion.source
                outputs.setdefault(key, []).append(len(built.sources) - 1)
                chosen[key] = conversion
        elif any(c.target == source.terminal for c in record.conversions()):
            continue  # a converter that converts nothing in this position, or works backwards
        elif everything or _runs(built, feed, record):
            own = direct(built, index, feed, record, everything) if source.system == "dc" else None
            if source.system == "ac":
                own = alternating(built, index, feed, record, stars, regulated)
            if own is not None:
                built.sources.append(own)
    for feed in built.circuit.supposed_feeds:
        name = built.name(feed.equipment)
        told = _("{name}: {field} is not recorded; the flow is told without that source").format(
            name=name, field=f"{name}.{feed.source.supposed}"
        )
        if told not in built.assumed:
            built.assumed.append(told)
    for (item, terminal), given in outputs.items():
        add_input(built, item, terminal, chosen[item, terminal], given)


def _runs(built: Netlist, feed: Feed, record: Equipment) -> bool:
    """Whether a source that is no converter gives anything in this condition."""
    if record.store() is not None:
        return True
    running = built.operation.running
    if running is not None:
        return feed.equipment in running
    return feed.source.system == "ac" and feed.source.nominal_v is not None
