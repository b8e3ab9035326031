"""What is asked when something is to be made dead, and what is known of it: the cheapest acts, what is live after them.

The costs of acts are a choice of ours, no source: one switch more costs more than a switch farther away; one that can
be locked, is an isolator or opens the neutral too comes before one that is not or does not; a plug is worth a switch;
ending a source is worse than parting it; a fuse is drawn where the alternative is more than three switches; what
a controller moves is used last. Nothing but a switch, a plug or a fuse parts a bank.
"""

from __future__ import annotations

from functools import cached_property
from typing import TYPE_CHECKING

from engine.circuit.expand import Link, Node
from engine.circuit.switching.cutting import Cut, cut_off
from engine.circuit.switching.upstream import Act, Upstream
from engine.equipment.base import LIVE, Equipment

if TYPE_CHECKING:
    from engine.study import Study

__all__ = ["Question", "holds_charge", "live_nodes"]

SWITCH = 100.0
OTHERS = {"unplug": 105.0, "stop": 160.0, "cover": 190.0, "draw": 350.0, "disable": 420.0}
FARTHEST = 40  # steps away that still count
CAN_BE_LOCKED, IS_ISOLATOR, BREAKS_NO_LOAD, LEAVES_NEUTRAL, HAS_NO_OFF = -4.0, -3.0, 2.0, 3.0, 60.0


def live_nodes(study: Study, item: str) -> list[int]:
    """Nodes of a piece of equipment or a run that can be live."""
    circuit = study.circuit
    if item in study.snapshot.runs:
        ends = {node for wire in circuit.wires if wire.run == item for node in (wire.a, wire.b)}
        return sorted(n for n in ends if circuit.nodes[n].conductor in LIVE)
    return study.upstream.live_at.get(item, [])


def holds_charge(record: Equipment) -> bool:
    """Whether it has capacitors that stay charged: what converts, but by windings alone."""
    return record.converter() is not None and any(not c.both_ways for c in record.conversions())


class Question:
    """One item to be made dead, equipment or run."""

    def __init__(self, study: Study, item: str) -> None:
        self.study, self.item = study, item
        self.snapshot, self.circuit = study.snapshot, study.circuit
        self.upstream: Upstream = study.upstream
        self.goals = live_nodes(study, item)
        self.own = self._own()
        self._has_neutral = any(self.circuit.nodes[n].conductor == "N" for n in self.own)
        self._near = self._nearest()
        self.cut: Cut = cut_off(self.upstream, self.goals, self.cost)

    def record(self, item: str) -> Equipment:
        """A piece of equipment."""
        return self.snapshot.equipment[item]

    @cached_property
    def fed_before(self) -> set[int]:
        """Nodes that some source feeds before anything is done."""
        return self.upstream.fed(frozenset())

    @cached_property
    def fed_after(self) -> set[int]:
        """Nodes that some source may feed when all is done."""
        return self.upstream.fed(self.cut.acts)

    @cached_property
    def links(self) -> dict[str, list[Link]]:
        """Contacts by equipment."""
        made: dict[str, list[Link]] = {}
        for link in self.circuit.links:
            made.setdefault(link.equipment, []).append(link)
        return made

    def nodes(self, item: str) -> list[int]:
        """All nodes of a piece of equipment that can be live."""
        return live_nodes(self.study, item)

    def opens(self, act: Act, conductor: str) -> bool:
        """Whether it opens every contact of its equipment for that conductor; so too where there is none."""
        links = [x for x in self.links.get(act.item, ()) if x.conductor == conductor]
        return all(x.positions is not None and act.position not in x.positions for x in links)

    def cost(self, act: Act) -> float:
        """What an act costs, in hundredths of a switch."""
        near = min(self._near.get(act, FARTHEST), FARTHEST)
        if act.kind in OTHERS:
            return OTHERS[act.kind] + near
        record = self.record(act.item)
        cost = SWITCH + near
        for applies, more in (
            (getattr(record, "lockable", None) is True, CAN_BE_LOCKED),
            (getattr(record, "isolates", None) is True, IS_ISOLATOR),
            (record.breaks_load_now() is not True, BREAKS_NO_LOAD),
            (act.position not in self.upstream.parting(act.item), HAS_NO_OFF),
            (self._has_neutral and not self.opens(act, "N"), LEAVES_NEUTRAL),
        ):
            cost += more * applies
        return cost

    def _own(self) -> list[int]:
        """Its nodes, whatever conductor."""
        if self.item in self.snapshot.equipment:
            return [n for n, node in enumerate(self.circuit.nodes) if node.equipment == self.item]
        ends = {node for wire in self.circuit.wires if wire.run == self.item for node in (wire.a, wire.b)}
        return sorted(ends)

    def _nearest(self) -> dict[Act, int]:
        """How many steps away an act is."""
        near: dict[Act, int] = {}
        depths = self.upstream.depths(self.goals)
        for node, depth in depths.items():
            for arc in self.upstream.into[node]:
                for act in arc.acts:
                    near[act] = min(depth, near.get(act, depth))
        for origin in self.upstream.origins:
            if origin.act is not None and origin.node in depths:
                near[origin.act] = min(depths[origin.node], near.get(origin.act, FARTHEST))
        return near

    def own_nodes(self) -> list[Node]:
        """Its conductors, terminal by terminal."""
        return [self.circuit.nodes[n] for n in self.own]
