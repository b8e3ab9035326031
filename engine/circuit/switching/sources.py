"""What gives energy by itself, and what passes it on as a converter."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot

__all__ = ["RETURNS", "Supply", "Through", "supplies"]

RETURNS = ("-", "N")


class Supply(NamedTuple):
    """Something that gives energy by itself: its live conductors, and those of its return."""

    equipment: str
    line: str
    live: tuple[int, ...]
    back: tuple[int, ...]
    positions: frozenset[str] | None
    battery: bool
    stands_alone: bool


class Through(NamedTuple):
    """Energy through a converter, from `inputs` to `outputs`; so too the way back."""

    equipment: str
    positions: frozenset[str] | None
    outputs: tuple[int, ...]
    inputs: tuple[int, ...]
    back_outputs: tuple[int, ...]
    back_inputs: tuple[int, ...]
    follows_charging: bool  # it brings nothing from a battery


def supplies(snapshot: Snapshot, circuit: Circuit) -> tuple[tuple[Supply, ...], tuple[Through, ...]]:
    """What gives energy by itself, and what passes it on as a converter.

    A converter of which no input is drawn counts as giving by itself.
    """
    of_item: dict[str, list[int]] = {}
    for number, feed in enumerate(circuit.feeds):
        of_item.setdefault(feed.equipment, []).append(number)
    by_itself: dict[tuple[str, str, frozenset[str] | None], list[int]] = {}
    through: list[Through] = []
    for item, numbers in of_item.items():
        record = snapshot.equipment[item]
        conversions = record.conversions()
        joined = circuit.joined.get(item, frozenset())
        fed = any(c.source in joined for c in conversions)
        converter = record.converter()
        for number in numbers:
            feed = circuit.feeds[number]
            source = feed.source
            into = [c for c in conversions if c.target == source.terminal]
            if not (into and fed):
                by_itself.setdefault((item, source.line, source.positions), []).append(number)
                continue
            if source.in_step:
                continue
            for conversion in into:
                positions = _together(source.positions, conversion.positions)
                inputs = tuple(n for c in LIVE if (n := circuit.node(item, conversion.source, c)) is not None)
                if inputs and positions != frozenset():
                    through.append(
                        Through(
                            item,
                            positions,
                            (feed.node,),
                            inputs,
                            _back(circuit, item, conversion.target),
                            _back(circuit, item, conversion.source),
                            converter is not None and converter.runs_when == "input is charging",
                        )
                    )
    made = []
    for (item, line, positions), numbers in by_itself.items():
        first = circuit.feeds[numbers[0]].source
        is_machine = first.rotating and (first.system == "dc" or line == "stator")
        made.append(
            Supply(
                item,
                line,
                tuple(circuit.feeds[n].node for n in numbers),
                tuple(
                    dict.fromkeys(b for n in numbers for b in _back(circuit, item, circuit.feeds[n].source.terminal))
                ),
                positions,
                first.battery,
                not (is_machine or first.adapts or snapshot.equipment[item].harvest() is not None),
            )
        )
    return tuple(made), tuple(through)


def _back(circuit: Circuit, item: str, terminal: str) -> tuple[int, ...]:
    """The return of a terminal: its own, else any negative of the same equipment."""
    own = [n for c in RETURNS if (n := circuit.node(item, terminal, c)) is not None]
    if own:
        return tuple(own)
    if circuit.node(item, terminal, "+") is None:
        return ()
    return tuple(n for t in sorted(circuit.joined[item]) if (n := circuit.node(item, t, "-")) is not None)


def _together(one: frozenset[str] | None, other: frozenset[str] | None) -> frozenset[str] | None:
    if one is None or other is None:
        return other if one is None else one
    return one & other
