"""Where energy can come in from behind: through windings, at an output that gives nothing, into a solar array."""

from __future__ import annotations

import copy
from collections.abc import Iterator
from itertools import combinations
from typing import NamedTuple

from engine.circuit.expand import Circuit, Feed, Link
from engine.circuit.meeting import AC_LIVE, DC_LIVE, Conflict, Point, joins, run_in_parallel
from engine.circuit.paths import Net, search, walk
from engine.circuit.states import TooManyStates, states_of
from engine.study import Study

__all__ = ["Back", "Discharge", "at_idle_outputs", "into_arrays", "through_windings", "told_of_meeting"]


class Back(NamedTuple):
    """`source` can energise `target` in the state told, by way of `through`; `None` as conflict: not decided."""

    source: str
    target: str
    through: tuple[str, ...]
    conflict: Conflict | None


class Discharge(NamedTuple):
    """A battery that its array can discharge through a controller that blocks nothing. `missing`: fields that tell."""

    battery: str
    controller: str
    array: str
    positions: tuple[tuple[str, tuple[str, ...]], ...]
    automatic: tuple[str, ...]
    witness: tuple[tuple[str, str], ...]
    missing: tuple[tuple[str, str], ...] = ()


class _Winding(NamedTuple):
    item: str
    inputs: frozenset[int]
    outputs: frozenset[int]
    positions: frozenset[str] | None


def _parties(study: Study) -> list[Feed]:
    nodes = study.circuit.nodes
    return [
        f
        for f in study.circuit.feeds
        if f.source.system == "ac" and nodes[f.node].conductor in AC_LIVE and not f.source.in_step
    ]


def told_of_meeting(study: Study) -> set[frozenset[str]]:
    """Pairs of which `sources-meet` speaks."""
    meeting = study.meeting
    pairs = [(c.one, c.other) for c in meeting.conflicts]
    pairs += [*meeting.undecided, *((one, other) for one, other, _fields in meeting.supposed)]
    return {frozenset((one.equipment, other.equipment)) for one, other in pairs}


def _windings(study: Study) -> list[_Winding]:
    circuit, made = study.circuit, []
    for item, conversion in circuit.conversions:
        if conversion.both_ways:
            inputs, outputs = (
                frozenset(n for c in AC_LIVE if (n := circuit.node(item, t, c)) is not None)
                for t in (conversion.source, conversion.target)
            )
            if inputs and outputs:
                made.append(_Winding(item, inputs, outputs, conversion.positions))
    return made


def _with_windings(circuit: Circuit, windings: list[_Winding]) -> Circuit:
    """The circuit with input and output of every transformer joined, as they are for what can be energised."""
    made = copy.copy(circuit)
    made.links = list(circuit.links)
    for winding in windings:
        for a in sorted(winding.inputs):
            for b in sorted(winding.outputs):
                made.links.append(Link(winding.item, circuit.nodes[b].conductor, a, b, winding.positions, None))
    return made


def through_windings(study: Study) -> Iterator[Back]:
    """Sources that energise each other over windings, one a pair; those that meet without are no business of this."""
    windings = _windings(study)
    if not windings:
        return
    own = {winding.item for winding in windings}
    feeds = [feed for feed in _parties(study) if feed.equipment not in own]
    told = told_of_meeting(study)
    pairs = [
        (i, j)
        for i, j in combinations(range(len(feeds)), 2)
        if feeds[i].equipment != feeds[j].equipment
        and frozenset((feeds[i].equipment, feeds[j].equipment)) not in told
        and not run_in_parallel(study.snapshot, feeds[i].equipment, feeds[j].equipment)
    ]
    circuit = _with_windings(study.circuit, windings)
    points = [Point(f.node, f.equipment, f.source.positions) for f in feeds]
    found, undecided = joins(study.snapshot, circuit, points, pairs, AC_LIVE, budget=study.budget)
    best: dict[frozenset[str], tuple[int, int]] = {}
    for i, j in found:
        pair = frozenset((feeds[i].equipment, feeds[j].equipment))
        if pair not in best or len(found[i, j].positions) < len(found[best[pair]].positions):
            best[pair] = i, j
    for i, j in best.values():
        conflict = found[i, j]
        through = tuple(item for item in conflict.way if item in own)
        one, other = feeds[i].equipment, feeds[j].equipment
        # the one on the side of the primary is energised backwards
        if through and not _stands_at_output(study, windings, through[-1], feeds[j], conflict):
            yield Back(one, other, through, conflict)
        elif through:
            yield Back(other, one, through[::-1], conflict)
    doubtful = {frozenset((feeds[i].equipment, feeds[j].equipment)): (i, j) for i, j in undecided}
    for pair, (i, j) in doubtful.items():
        if pair not in best and not study.meeting.locked:
            yield Back(feeds[i].equipment, feeds[j].equipment, (), None)


def _stands_at_output(study: Study, windings: list[_Winding], item: str, feed: Feed, conflict: Conflict) -> bool:
    """Whether a source is joined to the output of a transformer, without any winding, in the state told."""
    state = dict(conflict.state)
    return any(
        walk(study.circuit, feed.node, node, state, AC_LIVE) is not None
        for winding in windings
        if winding.item == item
        for node in winding.outputs
    )


def at_idle_outputs(study: Study) -> Iterator[Back]:
    """Sources that reach the output of a converter while neither its bridge nor its relay puts anything there."""
    circuit, snapshot = study.circuit, study.snapshot
    feeds, told = _parties(study), told_of_meeting(study)
    points = [Point(f.node, f.equipment, f.source.positions) for f in feeds]
    pairs: list[tuple[int, int]] = []
    targets: dict[int, str] = {}
    for feed in feeds:
        item = feed.equipment
        if feed.source.positions is None or item not in states_of(snapshot, circuit).number:
            continue
        idle = frozenset(snapshot.equipment[item].positions()) - feed.source.positions
        for link in circuit.links:
            if link.equipment == item and feed.node in (link.a, link.b) and circuit.nodes[link.a].conductor in AC_LIVE:
                idle -= link.positions or idle
        if not idle:
            continue
        at = len(points)
        points.append(Point(feed.node, item, idle))
        targets[at] = item
        for i, other in enumerate(feeds):
            pair = frozenset((other.equipment, item))
            if len(pair) == 2 and pair not in told and not run_in_parallel(snapshot, other.equipment, item):
                pairs.append((i, at))
    found, undecided = joins(snapshot, circuit, points, pairs, AC_LIVE)
    seen: set[tuple[str, str]] = set()
    for (i, at), conflict in found.items():
        key = feeds[i].equipment, targets[at]
        if key not in seen:
            seen.add(key)
            # what the interlocks rule out with the rest is no part of what is told
            idle = points[at].positions or frozenset()
            told_of = tuple(
                (item, tuple(p for p in some if item != targets[at] or p in idle)) for item, some in conflict.positions
            )
            yield Back(*key, (), conflict._replace(positions=told_of))
    for i, at in undecided if not study.meeting.locked else ():
        key = feeds[i].equipment, targets[at]
        if key not in seen:
            seen.add(key)
            yield Back(*key, (), None)


def into_arrays(study: Study) -> Iterator[Discharge]:
    """Arrays that a battery can drive current into, because what stands between is recorded as blocking nothing."""
    circuit, equipment = study.circuit, study.snapshot.equipment
    controllers = {item: equipment[item].array_input() for item in circuit.joined}
    contacts = [
        link
        for link in circuit.links
        if controllers.get(link.equipment) is not None and link.conductor == "+" and link.positions is None
    ]
    if not contacts:
        return
    states = states_of(study.snapshot, circuit)
    for sure in (True, False):
        through = {link.equipment: link.supposed for link in contacts if bool(link.supposed) is not sure}
        if not through:
            continue
        net = Net(circuit, states, DC_LIVE, both_ways=False, supposed=not sure)
        arrays = {net.terminal(f.node): f for f in circuit.feeds if f.source.adapts}
        told: set[str] = set()
        for feed in circuit.feeds:
            if not feed.source.battery:
                continue
            found = search(net, net.terminal(feed.node, feed.equipment, feed.source.positions), arrays, enough=1)
            for target, cubes in found.cubes.items():
                array = arrays[target].equipment
                try:
                    state = states.completion(cubes[0])
                except TooManyStates:
                    continue
                if state is None or array in told:
                    continue
                way = walk(circuit, feed.node, arrays[target].node, state, DC_LIVE, False, not sure) or []
                by = next((link.equipment for link in way if link.equipment in through), "")
                diodes = getattr(equipment[array], "blocking_diodes", None)
                if not by or diodes:
                    continue
                told.add(array)
                missing = ((by, through[by]),) if through[by] else ()
                if diodes is None:
                    missing = (*missing, (array, "blocking_diodes"))
                positions = states.positions(cubes[0])
                yield Discharge(
                    feed.equipment,
                    by,
                    array,
                    positions,
                    tuple(item for item, _every in positions if states.is_automatic(item)),
                    tuple((item, state[item]) for item, _every in positions),
                    missing,
                )
