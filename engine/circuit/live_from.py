"""From which sources what is live is live, in one state of the switches: the view of `engine.circuit.live`, by source.

*What gives* stands on the same conductors as the run it makes live: a battery, the shore, a generator, the output of
an inverter or charger that is fed. What feeds such a converter in turn is told beside it (`fed`), so that a run of the
consumers' panel names the inverter, and the inverter names the bank.

Two sources on one conductor are told apart from two that only share a device (both sides of a changeover):
`together` holds what has a conductor that several AC sources reach which are not recorded as built to run in parallel.

The keys of `of` and `doubtful` are what `live_items` calls live and doubtful.

One pass over the conductors with a bit for every source: the graph is walked again only where a new source arrives.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Collection, Iterable, Mapping
from itertools import pairwise
from typing import NamedTuple

from engine.circuit.expand import Circuit
from engine.circuit.live import LiveNet
from engine.circuit.meeting import run_in_parallel

__all__ = ["LiveFrom", "live_from", "way_between"]


class LiveFrom(NamedTuple):
    """By id of equipment and runs, the ids of what gives on their conductors, in the order of the record.

    `fed`: by converter that gives, the sources it is fed from in the end. `together`: what has several AC sources on
    one conductor that may not meet. `still`: sources that give nothing in this state.
    """

    of: dict[str, tuple[str, ...]]
    doubtful: dict[str, tuple[str, ...]]
    fed: dict[str, tuple[str, ...]]
    together: frozenset[str]
    still: tuple[str, ...]


def live_from(
    circuit: Circuit,
    positions: Mapping[str, str],
    running: Collection[str] | None = None,
    gone: Collection[str] = (),
    silent: Collection[str] = (),
) -> LiveFrom:
    """Where the equipment in `positions` stands as named, all other as drawn. `running` as for `live_items`.

    `gone` joins nothing and gives nothing: failed, or a fuse that is drawn; `silent` gives nothing and joins as before.
    """
    net = LiveNet(circuit, positions, gone, silent)
    sure, perhaps = net.starts(running)
    every = tuple(i for i, record in circuit.snapshot.equipment.items() if record.sources(circuit.joined.get(i, _NONE)))
    bits = {item: 1 << n for n, item in enumerate(every)}

    def names(mask: int) -> tuple[str, ...]:
        found = kept.get(mask)
        if found is None:
            found = kept[mask] = tuple(item for item, bit in bits.items() if mask & bit)
        return found

    kept: dict[int, tuple[str, ...]] = {}
    live = net.spread((n for nodes in sure.values() for n in nodes), supposed=False)
    masks = _spread(net, _beginnings(net, sure, bits, live, supposed=False), supposed=False)
    of = {item: names(mask) for item, mask in _by_item(net, masks).items() if mask}
    for item in sure:
        of.setdefault(item, (item,))
    both = {item: [*sure.get(item, ()), *perhaps.get(item, ())] for item in dict.fromkeys((*sure, *perhaps))}
    doubtful: dict[str, tuple[str, ...]] = {}
    if perhaps or net.is_open:
        reached = net.spread((n for nodes in both.values() for n in nodes), supposed=True)
        wide = _spread(net, _beginnings(net, both, bits, reached, supposed=True), supposed=True)
        doubtful = {item: names(mask) for item, mask in _by_item(net, wide).items() if mask and item not in of}
    giving = {item for some in (*of.values(), *doubtful.values()) for item in some}
    for run in net.refused():
        if run not in of:
            doubtful.setdefault(run, ())
    fed = _fed(net, sure, perhaps, bits, names, giving)
    return LiveFrom(of, doubtful, fed, _together(circuit, net, masks, bits), tuple(i for i in every if i not in giving))


_NONE: frozenset[str] = frozenset()


def _beginnings(
    net: LiveNet, starts: Mapping[str, Iterable[int]], bits: Mapping[str, int], live: Collection[int], *, supposed: bool
) -> dict[int, int]:
    """Conductors on which something gives: by itself, or as a converter whose input is live."""
    made: dict[int, int] = {}
    for item, nodes in starts.items():
        for node in nodes:
            made[node] = made.get(node, 0) | bits.get(item, 0)
    apart: dict[str, Collection[int]] = {}  # what is live without a converter that also works backwards
    for converter in net.every_converter():
        item = converter.item
        if converter.supposed and not supposed:
            continue
        reached = live
        if net.works_backwards(item):  # else its own output would feed its input
            if item not in apart:
                apart[item] = net.spread(
                    (n for nodes in starts.values() for n in nodes), supposed=supposed, without=item
                )
            reached = apart[item]
        if any(n in reached for n in converter.inputs):
            for node in converter.outputs:
                made[node] = made.get(node, 0) | bits.get(item, 0)
    return made


def _spread(net: LiveNet, starts: Mapping[int, int], *, supposed: bool, through: bool = False) -> dict[int, int]:
    """What reaches every conductor; `through`: converters as well."""
    masks = dict(starts)
    todo = deque(masks)
    while todo:
        node = todo.popleft()
        mask = masks[node]
        for far in net.next_to(node, supposed=supposed, through=through):
            before = masks.get(far, 0)
            if mask & ~before:
                masks[far] = before | mask
                todo.append(far)
    return masks


def _by_item(net: LiveNet, masks: Mapping[int, int]) -> dict[str, int]:
    made: dict[str, int] = {}
    nodes = net.circuit.nodes
    for node, mask in masks.items():
        item = nodes[node].equipment
        made[item] = made.get(item, 0) | mask
    for wire in net.circuit.wires:
        mask = masks.get(wire.a, 0) | masks.get(wire.b, 0)
        if mask:
            made[wire.run] = made.get(wire.run, 0) | mask
    return made


def _fed(
    net: LiveNet,
    sure: Mapping[str, Collection[int]],
    perhaps: Mapping[str, Collection[int]],
    bits: Mapping[str, int],
    names: Callable[[int], tuple[str, ...]],
    giving: Collection[str],
) -> dict[str, tuple[str, ...]]:
    """What each converter that gives is fed from in the end."""
    starts: dict[int, int] = {}
    for some in (sure, perhaps):
        for item, nodes in some.items():
            for node in nodes:
                starts[node] = starts.get(node, 0) | bits.get(item, 0)
    masks = _spread(net, starts, supposed=True, through=True)
    made: dict[str, int] = {}
    for converter in net.every_converter():
        if converter.item in giving:
            mask = made.get(converter.item, 0)
            for node in converter.inputs:
                mask |= masks.get(node, 0)
            made[converter.item] = mask & ~bits.get(converter.item, 0)
    return {item: names(mask) for item, mask in made.items() if mask}


def _together(circuit: Circuit, net: LiveNet, masks: Mapping[int, int], bits: Mapping[str, int]) -> frozenset[str]:
    """What has a conductor that AC sources share which may not meet."""
    ac = 0
    for feed in circuit.feeds:
        if feed.source.system == "ac" and not feed.source.in_step:
            ac |= bits.get(feed.equipment, 0)
    bad: dict[int, bool] = {}
    nodes: set[int] = set()
    for node, mask in masks.items():
        both = mask & ac
        if both & (both - 1):
            if both not in bad:
                some = [item for item, bit in bits.items() if both & bit]
                bad[both] = any(
                    not run_in_parallel(circuit.snapshot, a, b) for n, a in enumerate(some) for b in some[n + 1 :]
                )
            if bad[both]:
                nodes.add(node)
    return frozenset(net.touched(nodes))


def way_between(circuit: Circuit, positions: Mapping[str, str], items: Collection[str]) -> frozenset[str]:
    """Equipment and runs on a shortest way over live conductors from the first of `items` that give to each other.

    Empty where fewer than two of them give, or no way joins them in these positions.
    """
    net = LiveNet(circuit, positions)
    sure, perhaps = net.starts(None)
    starts: dict[str, set[int]] = {}
    for item in items:
        nodes = {*sure.get(item, ()), *perhaps.get(item, ())}
        nodes.update(n for c in net.every_converter() if c.item == item for n in c.outputs)
        if nodes:
            starts[item] = nodes
    if len(starts) < 2:
        return frozenset()
    first, *others = starts
    steps: set[tuple[int, int]] = set()
    on: set[int] = set()
    for other in others:
        path = _way(net, starts[first], starts[other]) or _way(net, starts[other], starts[first])
        on.update(path)
        steps.update((min(a, b), max(a, b)) for a, b in pairwise(path))
    made = {circuit.nodes[n].equipment for n in on}
    made.update(w.run for w in circuit.wires if (min(w.a, w.b), max(w.a, w.b)) in steps)
    return frozenset(made)


def _way(net: LiveNet, start: Collection[int], targets: Collection[int]) -> list[int]:
    """Conductors on a shortest way, `[]` where there is none."""
    came = dict.fromkeys(start, -1)
    todo = deque(came)
    while todo:
        node = todo.popleft()
        if node in targets:
            made = []
            while node >= 0:
                made.append(node)
                node = came[node]
            return made
        for far in net.next_to(node, supposed=True):
            if far not in came:
                came[far] = node
                todo.append(far)
    return []
