"""Which devices of an AC supply open their conductors apart: what `poles-open-apart` is made of."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import partial
from typing import NamedTuple

from engine.circuit.expand import Feed
from engine.circuit.poles import Opening
from engine.circuit.ways import Step
from engine.equipment.base import LIVE
from engine.study import Study

__all__ = ["Main", "Parted", "apart", "consumers_parted", "mains", "neutral_alone", "single_pole"]

AC_LIVE = LIVE[1:]


class Parted(NamedTuple):
    """A device that opens conductors and leaves others closed. `consumer`: what they feed, where it is told by that."""

    devices: tuple[str, ...]
    opens: tuple[str, ...]
    leaves: tuple[str, ...]
    consumers: tuple[str, ...] = ()


class Main(NamedTuple):
    """A source, its live conductors, and the first devices behind it, with those of them that leave the neutral."""

    item: str
    line: str
    live: tuple[str, ...]
    devices: tuple[str, ...]
    leaving: tuple[str, ...]


def apart(opening: Opening) -> Parted | None:
    """A device that opens a live conductor by its position and leaves another that goes through it."""
    opens = [c for c in AC_LIVE if opening.opens.get(c) is not None]
    left = {c for one in opens for c in opening.left_by(one) if c in AC_LIVE}
    if not left:
        return None
    first = [c for c in opens if left & opening.left_by(c)]
    return Parted((opening.equipment,), tuple(first), tuple(c for c in AC_LIVE if c in left))


def neutral_alone(opening: Opening) -> Parted | None:
    """A device that opens the neutral while a live conductor is closed, or has no live conductor at all."""
    if "N" not in opening.opens:
        return None
    there = [c for c in AC_LIVE if c in opening.opens or c in opening.passes]
    left = tuple(c for c in there if c in opening.left_by("N"))
    return Parted((opening.equipment,), ("N",), left) if left or not there else None


def single_pole(study: Study, every: Iterable[Opening], reached: Iterable[int]) -> tuple[str, ...]:
    """Devices on live conductors that open one of them and can leave the neutral closed."""
    node, here = study.circuit.node, set(reached)
    found: dict[str, None] = {}
    for o in every:
        lives = [c for c in AC_LIVE if c in o.opens and node(o.equipment, o.a, c) in here]
        if any("N" in o.left_by(c) for c in lives):
            found[o.equipment] = None
    return tuple(found)


def _is_live(study: Study, step: Step) -> bool:
    name = study.ways.conductor
    return name(step.start) in AC_LIVE and name(step.to) in AC_LIVE


# -- the main of a source -------------------------------------------------------------------------------------------
def mains(study: Study, every: Iterable[Opening], lines: Iterable[str]) -> Iterator[Main]:
    """Of the sources named whose neutral is drawn: the first devices, worked by hand or by overcurrent."""
    circuit = study.circuit
    first = {o.equipment: o for o in every if o.by_hand() and study.snapshot.equipment[o.equipment].ROLE != "switch"}
    for o in every:
        # what a controller moves is no main
        if o.by_hand() and study.snapshot.equipment[o.equipment].moves_itself() is False:
            first.setdefault(o.equipment, o)
    feeds: dict[tuple[str, str], list[Feed]] = {}
    for feed in circuit.feeds:
        source = feed.source
        is_one = source.system == "ac" and source.line in lines and not source.in_step
        if is_one and circuit.node(feed.equipment, source.terminal, "N") is not None:
            feeds.setdefault((feed.equipment, source.line), []).append(feed)
    for (item, line), some in feeds.items():
        reached = study.ways.reach([feed.node for feed in some], partial(_before, study, first, item))
        devices: dict[str, None] = {}
        for node in reached:
            for step in study.ways.steps[node]:
                device = study.ways.equipment(step)
                if device in first and device != item and _opens(study, step) and _is_live(study, step):
                    devices[device] = None
        leaving = tuple(device for device in devices if _leaves_neutral(first[device]))
        live = tuple(circuit.nodes[feed.node].conductor for feed in some)
        yield Main(item, line, live, tuple(devices), leaving)


def _before(study: Study, first: dict[str, Opening], item: str, step: Step) -> bool:
    """Along live conductors, up to the first devices; not through what joins other sources by itself."""
    if not _is_live(study, step):
        return False
    device = study.ways.equipment(step)
    if not device or not _opens(study, step):
        return True
    return device not in first and device != item and study.snapshot.equipment[device].ROLE != "converter"


def _opens(study: Study, step: Step) -> bool:
    return step.link >= 0 and study.circuit.links[step.link].positions is not None


def _leaves_neutral(opening: Opening) -> bool:
    lives = [c for c in AC_LIVE if c in opening.opens]
    if "N" in opening.opens:
        return any("N" in opening.left_by(c) for c in lives)
    # without a neutral there, two lives are a circuit of their own; a single one has its neutral elsewhere
    return "N" in opening.passes or len(lives) < 2


# -- several devices of one consumer --------------------------------------------------------------------------------
def consumers_parted(study: Study, every: Iterable[Opening]) -> list[Parted]:
    """Devices that each open one live conductor of a consumer which takes several, told by consumer."""
    circuit = study.circuit
    takes: dict[str, tuple[int, ...]] = {}
    for item in circuit.joined:
        for draw in study.snapshot.equipment[item].draws():
            nodes = tuple(n for c in AC_LIVE if (n := circuit.node(item, draw.terminal, c)) is not None)
            if draw.system == "ac" and len(nodes) > 1:
                takes[item] = nodes
    alone = dict.fromkeys(
        o.equipment for o in every if o.by_hand() and sum(c in o.opens or c in o.passes for c in AC_LIVE) == 1
    )
    if not takes or not alone:
        return []
    starts = [f.node for f in circuit.feeds if f.source.system == "ac"]
    of_consumer: dict[str, dict[str, tuple[set[str], set[str]]]] = {}
    whole = set(study.ways.reach(starts, partial(_is_live, study)))
    for device in alone:
        left = set(study.ways.reach(starts, partial(_without, study, device)))
        for item, nodes in takes.items():
            lost = {circuit.nodes[n].conductor for n in nodes if n in whole and n not in left}
            kept = {circuit.nodes[n].conductor for n in nodes if n in left}
            if lost and kept:
                of_consumer.setdefault(item, {})[device] = lost, kept
    made: dict[tuple[str, ...], Parted] = {}
    for item, devices in of_consumer.items():
        key = tuple(devices)
        opens = {c for lost, _kept in devices.values() for c in lost}
        leaves = {c for _lost, kept in devices.values() for c in kept}
        old = made.get(key, Parted(key, (), ()))
        made[key] = Parted(
            key,
            tuple(c for c in AC_LIVE if c in opens or c in old.opens),
            tuple(c for c in AC_LIVE if c in leaves or c in old.leaves),
            (*old.consumers, item),
        )
    return list(made.values())


def _without(study: Study, device: str, step: Step) -> bool:
    return _is_live(study, step) and not (study.ways.equipment(step) == device and _opens(study, step))
