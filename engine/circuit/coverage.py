"""Protection coverage: which conductor ends are fed no more than the conductor may carry, in every permitted state.

For every live conductor end, with the conductor itself taken away, the feed cut must not exceed what the conductor may
carry: its ampacity, or the book's multiple of it where one single device separates the end from all sources. An end
that fails may still be allowed by where its device stands (`placement`). What then remains is one `Uncovered` an end,
classed in this order, first match:

1. `bypass-unprotected`: fed and covered as drawn, not so in another permitted state;
2. `rating-above-ampacity`: the feed cut is finite;
3. `far-end-unprotected`: a suited device stands at the other end, guards against a source there, and this end has none;
4. `far-from-source`: a suited device is reached, but beyond the distance;
5. `no-protection`.

What is not recorded is supposed twice: at its worst (no limit, no sheath, least ampacity) and at its best. Covered at
the worst: passes. Uncovered at the best: a finding. Else it is not judged, and the fields that matter are named. A
conductor without any device on the way is a finding whatever its size.

Where the book allows 7 in and 40 in only for a recorded reason ("not practicable at the source"), an end that is
allowed by them and records none is not judged either: the missing field is the run's `away_reason`.
"""

from __future__ import annotations

import math
from typing import Literal

from engine.books import Book
from engine.circuit.blocks import structure
from engine.circuit.conductors import Conductors, Limits, feed_fields, volts_fields
from engine.circuit.cranking import no_cranking
from engine.circuit.expand import Circuit
from engine.circuit.feedcut import FeedCuts
from engine.circuit.mirror import compile_mirror, ratings
from engine.circuit.placement import Arc, Facts, Placed, Placement
from engine.circuit.refine import Refinery, Supplied, Undecided, is_above
from engine.circuit.spots import Spots
from engine.circuit.states import states_of
from engine.circuit.uncovered import SLUGS, FailingEnd, Uncovered, merged
from engine.circuit.unknowns import Unknowns, device_field, unknowns
from engine.circuit.volts import SystemVolts
from engine.installation.model import Snapshot
from engine.installation.records import Run

__all__ = ["SLUGS", "Coverage", "Uncovered", "cover"]


class Coverage:
    """Everything the protection rules read. `uncovered` is sorted by run and end."""

    def __init__(self, snapshot: Snapshot, circuit: Circuit, book: Book, volts: SystemVolts) -> None:
        self.snapshot = snapshot
        self.circuit = circuit
        self.book = book
        self.conductors = Conductors(snapshot, circuit, book, volts)
        self.values = self.conductors.values
        self.mirror = compile_mirror(circuit)
        self.structure = structure(self.mirror)
        alternator = self.values.ordinary_alternator
        self.worst = ratings(self.mirror, False, alternator)
        self.cuts = FeedCuts(self.structure, self.worst)  # unknown ratings without limit
        self.is_known = not self.worst.unknown_edges and not self.worst.unknown_feeds
        self.best = self.worst if self.is_known else ratings(self.mirror, True, alternator)
        self._best_cuts: FeedCuts | None = self.cuts if self.is_known else None
        self._refineries: dict[bool, Refinery] = {}
        self._states = states_of(snapshot, circuit)
        self._drawn = [(d.equipment, snapshot.equipment[d.equipment].drawn_position()) for d in self._states.devices]
        self.is_switched = any(g is not None for g in (*self.mirror.guard, *self.mirror.feed_guard))
        self.spots = Spots(self.mirror)
        self._no_cranking = no_cranking(self.mirror, snapshot)
        self.left: list[FailingEnd] = []  # ends fed too much in some permitted state, however they are placed
        self.placement: Placement | None = None  # theirs, with what is not known at its worst
        self.uncovered = self._cover()

    # -- for the rules ----------------------------------------------------------------------------------------------
    def of(self, slug: str) -> tuple[Uncovered, ...]:
        """The uncovered ends of one class, those not judged included."""
        return tuple(u for u in self.uncovered if u.slug == slug)

    @property
    def best_cuts(self) -> FeedCuts:
        """Feed cuts with unknown ratings at nothing."""
        if self._best_cuts is None:
            self._best_cuts = FeedCuts(self.structure, self.best)
        return self._best_cuts

    @property
    def allows_nothing(self) -> bool:
        """Whether the interlocks allow no state of the switches at all."""
        return self.refinery(False).allows_nothing()

    def refinery(self, hopeful: bool) -> Refinery:
        """The search over switch states, unknown ratings at their best or worst."""
        hopeful = hopeful and not self.is_known
        if hopeful not in self._refineries:
            cuts = self.best_cuts if hopeful else self.cuts
            self._refineries[hopeful] = Refinery.of(cuts, self._states, self._drawn)
        return self._refineries[hopeful]

    # -- ends that fail ---------------------------------------------------------------------------------------------
    def _cover(self) -> tuple[Uncovered, ...]:
        failing = self._failing()
        while True:
            if not failing:
                return ()
            best = self._placement(failing, None)
            worst = best if self._is_settled(failing) else self._placement(failing, best)
            doubtful = self._doubtful(failing, worst)
            if not doubtful:
                break
            failing = [end for end in failing if end.arc not in doubtful or self._stays(end)]
        self.left, self.placement = failing, worst
        found: dict[tuple[str, str], list[Uncovered]] = {}
        for end in failing:
            made = self._judge(end, worst, best)
            if made is not None:
                found.setdefault((end.run_id, end.side), []).append(made)
        return tuple(merged(every) for every in found.values())

    def _failing(self) -> list[FailingEnd]:
        """Ends fed too much with every contact closed."""
        made: list[FailingEnd] = []
        mirror, cuts, of_node = self.mirror, self.cuts, self.mirror.of_node
        hangs_on, runs, limits_of = self.structure.hangs_on, self.snapshot.runs, self.conductors.limits
        for number, edge in mirror.edge_of_wire.items():
            wire = self.circuit.wires[number]
            u, v = of_node[wire.a], of_node[wire.b]
            sides: tuple[tuple[Literal["from", "to"], int, int], ...] = (("from", u, wire.a), ("to", v, wire.b))
            if u == v or hangs_on[v] == edge:
                sides = sides[:1]
            elif hangs_on[u] == edge:
                sides = sides[1:]
            for side, point, node in sides:
                fed = cuts.total(point).amps
                if fed <= 0:
                    continue
                limits = limits_of(wire.run, node)
                if fed <= limits.low or not self.fails(edge, point, limits, False):
                    continue
                made.append(FailingEnd(edge, point, runs[wire.run], wire.run, side, wire.conductor, limits))
        left = self._without_taps(made)
        for end in left:
            end.is_sure = self.fails(end.edge, end.point, end.limits, True)
        return left

    def _without_taps(self, failing: list[FailingEnd]) -> list[FailingEnd]:
        """Ends left to place without short taps straight to a suited device: on most boats nearly all.

        Such a tap begins where no unprotected conductor arrives, so nothing is measured along it either.
        """
        if self.values.needs_reason:
            return failing
        spot = self.spots.spot
        arrived = {spot[self.mirror.other(end.edge, end.point)] for end in failing}
        least = self.values.distances.least
        return [end for end in failing if spot[end.point] in arrived or not self.is_tap(end, least)]

    def is_tap(self, end: FailingEnd, least: float) -> bool:
        """A short conductor that ends in nothing but devices that suit it."""
        mirror = self.mirror
        far = mirror.other(end.edge, end.point)
        if end.run.length_m is None or is_above(end.run.length_m, least):
            return False
        if far == end.point or len(self.spots.around(far)) > 1 or mirror.feeds_at[far]:
            return False
        beyond = [edge for edge in mirror.adjacency[far] if edge != end.edge]
        return bool(beyond) and all(
            mirror.protection[edge] is not None and not is_above(self.worst.edges[edge], end.limits.single_low)
            for edge in beyond
        )

    def fails(self, edge: int, point: int, limits: Limits, hopeful: bool) -> bool:
        """Whether an end is fed too much with every contact closed."""
        cuts = self.best_cuts if hopeful else self.cuts
        amps, single = (limits.high, limits.single_high) if hopeful else (limits.low, limits.single_low)
        cut = cuts.cut(edge, point, single)
        if not is_above(cut, amps):
            return False
        return is_above(cut, single) or is_above(cuts.single(edge, point), single)

    def _is_settled(self, failing: list[FailingEnd]) -> bool:
        """Whether nothing that placement asks is left open, so that best and worst are the same."""
        lengths = all(run.length_m is not None and run.sheath for run in self.snapshot.runs.values())
        return self.is_known and lengths and all(e.is_sure and e.limits.low == e.limits.high for e in failing)

    def _doubtful(self, failing: list[FailingEnd], worst: Placement) -> set[tuple[int, int]]:
        """Ends to look at state by state: what is placed wrongly, and what it is measured along.

        An end that is placed well passes whatever the switches do.
        """
        if not self.is_switched:
            return set()
        ways: set[int] = set()
        for end in failing:
            if not self.exemption(end.run, False):
                placed = worst.placed(self.arc(end))
                if placed.reason:
                    ways.update(placed.path)
        return {end.arc for end in failing if end.edge in ways and not end.is_proved}

    def arc(self, end: FailingEnd) -> Arc:
        """An end as placement sees it."""
        return Arc(end.edge, end.point, self.mirror.other(end.edge, end.point))

    def _stays(self, end: FailingEnd) -> bool:
        """Whether an end fails in some permitted state too; what is found is written into it."""
        end.is_proved = True
        limits = end.limits
        if end.is_sure:
            end.is_sure = self._proved(end, self.refinery(True), limits.high, limits.single_high)
            if end.is_sure:
                return True
        return self._proved(end, self.refinery(False), limits.low, limits.single_low)

    def _proved(self, end: FailingEnd, search: Refinery, amps: float, single: float) -> bool:
        end.as_drawn, end.was_covered, end.witness, end.undecided = False, False, None, False
        try:
            permitted = search.is_drawn_permitted()
            if permitted and search.exceeds_as_drawn(end.edge, end.point, amps, single):
                end.as_drawn = True
                return True
            end.witness = search.exceeds(end.edge, end.point, amps, single)
            end.was_covered = permitted and search.drawn_flow(end.edge, end.point) > 0
        except Undecided:
            # what no switch can change needs no permitted state
            end.as_drawn = search.exceeds_always(end.edge, end.point, amps, single)
            end.undecided = not end.as_drawn
            return True
        return end.witness is not None

    # -- placement --------------------------------------------------------------------------------------------------
    def _placement(self, ends: list[FailingEnd], best: Placement | None) -> Placement:
        """The placing of failing ends with what is not known at its best, or, given that, at its worst."""
        mirror, hopeful = self.mirror, best is None
        limits = {end.edge: end.limits for end in ends}
        cuts, other = (self.best_cuts, self.cuts) if hopeful else (self.cuts, self.best_cuts)

        def run_of(edge: int) -> Run:
            return self.snapshot.runs[self.circuit.wires[mirror.wire[edge]].run]

        def length(run: Run) -> float:
            if run.length_m is not None:
                return run.length_m
            return 0.0 if hopeful else math.inf

        def sheathed(run: Run) -> bool:
            known = self.conductors.is_sheathed(run)
            return hopeful if known is None else known

        facts = Facts(
            run_of=run_of,
            length_m=length,
            sheathed=sheathed,
            amps=lambda edge: limits[edge].high if hopeful else limits[edge].low,
            single=lambda edge: limits[edge].single_high if hopeful else limits[edge].single_low,
            supply_feeds=other.feeds,
            supply_amps=lambda edge: limits[edge].low if hopeful else limits[edge].high,
            edges=cuts.ratings.edges,
            feeds=cuts.feeds,
            cut=cuts.cut,
            # a short lead whose length is not known may be exempt: for what leads to it that is the worse
            passes_on=lambda edge: bool(self.exemption(run_of(edge), not hopeful)),
        )
        arcs = [self.arc(end) for end in ends]
        sure = frozenset((end.edge, end.point) for end in ends if end.is_sure)
        return Placement(self.spots, arcs, sure, self.values.distances, facts, best)

    def exemption(self, run: Run, hopeful: bool) -> str:
        """`"cranking"`, unless the drawing shows none, `"pigtail"` where it is short enough, or nothing."""
        if run in self._no_cranking and not hopeful:
            return ""
        if run.exempt == "pigtail":
            length = (0.0 if hopeful else math.inf) if run.length_m is None else run.length_m
            return "pigtail" if self.values.is_pigtail(length) else ""
        return run.exempt

    # -- verdicts ---------------------------------------------------------------------------------------------------
    def _judge(self, end: FailingEnd, worst: Placement, best: Placement) -> Uncovered | None:
        if self.exemption(end.run, False):
            return None
        arc = self.arc(end)
        at_worst = worst.placed(arc)
        if not at_worst.reason:
            return self._unreasoned(end, at_worst)
        if end.is_sure and not self.exemption(end.run, True):
            at_best = best.placed(arc)
            if at_best.reason:
                return self._uncovered(end, at_best)
            missing = self._unplaced(at_worst) or self._unknown(end) or self._ends_in(end, at_worst)
            return self._not_judged(self._class(end, at_worst, math.inf, False), end, at_worst, missing)
        if end.run in self._no_cranking:
            return self._not_judged(SLUGS[-1], end, at_worst, ())
        if end.is_sure:
            return self._not_judged(SLUGS[-1], end, at_worst, (f"{self.snapshot.name(end.run_id)}.length_m",))
        slug = SLUGS[1]
        missing = self._unknown(end)
        sizes = (*end.limits.ampacity.missing, *self._met(end).devices)
        if missing and not set(missing) & set(sizes):
            slug = self._class(end, at_worst, self._supplied(end, False).amps, False)
        return self._not_judged(slug, end, at_worst, missing)

    def _uncovered(self, end: FailingEnd, placed: Placed) -> Uncovered:
        supplied = self._supplied(end, True)
        slug = self._class(end, placed, supplied.amps, True)
        return Uncovered(
            slug=slug,
            run=end.run_id,
            end=end.side,
            conductors=(end.conductor,),
            judged=True,
            amps=supplied.amps,
            limits=end.limits,
            supplied=supplied,
            placed=placed,
            positions=() if end.witness is None else end.witness.positions,
            undecided=end.undecided,
        )

    def _class(self, end: FailingEnd, placed: Placed, amps: float, hopeful: bool) -> str:
        if end.witness is not None and end.was_covered and not self._is_ordinary_feed(end, amps, hopeful):
            return SLUGS[0]
        if amps < math.inf:
            return SLUGS[1]
        if placed.reason == "far" and placed.is_suited:
            return SLUGS[2] if self._is_guarding(end, placed, hopeful) else SLUGS[3]
        return SLUGS[4]

    def _is_ordinary_feed(self, end: FailingEnd, amps: float, hopeful: bool) -> bool:
        """Whether the drawn state shows a mere trickle: no device lets it through, and what feeds the end is bare.

        A battery switch drawn open with a solar panel behind it: the battery is the feed that is meant, and goes round
        nothing.
        """
        search = self.refinery(hopeful)
        return amps == math.inf and not search.supplied(end.edge, end.point, search.drawn).devices

    def _is_guarding(self, end: FailingEnd, placed: Placed, hopeful: bool) -> bool:
        """Whether the devices at the other end stand before a source that could overload the conductor itself."""
        search = self.refinery(hopeful)
        without = {e.edge: math.inf for e in placed.endings if e.edge >= 0}
        amps = end.limits.high if hopeful else end.limits.low
        try:
            found = search.supposing(without).exceeds(end.edge, self.mirror.other(end.edge, end.point), amps, amps)
        except Undecided:
            return False
        return found is not None

    def _supplied(self, end: FailingEnd, hopeful: bool) -> Supplied:
        search = self.refinery(hopeful)
        if end.witness is not None:
            return search.supplied(end.edge, end.point, end.witness.cube)
        if end.as_drawn and self.is_switched:
            return search.supplied(end.edge, end.point, search.drawn)
        return search.supplied(end.edge, end.point, 0)

    # -- what is not recorded ---------------------------------------------------------------------------------------
    def _not_judged(self, slug: str, end: FailingEnd, placed: Placed, missing: tuple[str, ...]) -> Uncovered:
        return Uncovered(
            slug=slug,
            run=end.run_id,
            end=end.side,
            conductors=(end.conductor,),
            judged=False,
            amps=self.cuts.cut(end.edge, end.point),
            limits=end.limits,
            supplied=None,
            placed=placed,
            missing=tuple(dict.fromkeys(missing)),
            why=end.limits.ampacity.why,
        )

    def _unreasoned(self, end: FailingEnd, placed: Placed) -> Uncovered | None:
        """Allowed by a distance that the book ties to a reason, and no reason recorded."""
        devices = any(ending.edge >= 0 for ending in placed.endings)
        if not (self.values.needs_reason and devices and placed.distance_m > 0) or end.run.away_reason:
            return None
        if placed.supply == "battery" and placed.allowed_m == self.values.distances.battery:
            return None
        return self._not_judged(SLUGS[3], end, placed, (f"{self.snapshot.name(end.run_id)}.away_reason",))

    def _unplaced(self, placed: Placed) -> tuple[str, ...]:
        """Lengths, sheaths and ratings that decide whether an arc's placing is allowed."""
        missing: list[str] = []
        passed = [*placed.path, *(edge for ending in placed.endings for edge in ending.through)]
        for edge in passed:
            run_id = self.circuit.wires[self.mirror.wire[edge]].run
            missing += self.conductors.unplaced(run_id)
            # where it is not known whether a conductor on the way is covered, the measure hangs on its size
            missing += self.conductors.limits(run_id, self.circuit.wires[self.mirror.wire[edge]].a).ampacity.missing
        for ending in placed.endings:
            if ending.edge >= 0:
                missing += device_field(self.cuts, self.snapshot, ending.edge)
        if placed.too_large >= 0:
            missing += device_field(self.cuts, self.snapshot, placed.too_large)
        return tuple(dict.fromkeys(missing))

    def _ends_in(self, end: FailingEnd, placed: Placed) -> tuple[str, ...]:
        """Limits of sources that the run may be allowed to end in."""
        points = {p for edge in (end.edge, *placed.path) for p in (self.mirror.u[edge], self.mirror.v[edge])}
        feeds = [f for p in sorted(points) for f in self.mirror.feeds_at[p] if f in self.worst.unknown_feeds]
        return tuple(
            field
            for f in feeds
            for field in feed_fields(self.mirror.feeds[f], self.snapshot.name(self.mirror.feeds[f].equipment))
        )

    def _unknown(self, end: FailingEnd) -> tuple[str, ...]:
        """Fields that would settle the feed cut against the ampacity."""
        missing = list(end.limits.ampacity.missing)
        node = self.circuit.wires[self.mirror.wire[end.edge]].a
        if end.limits.needs_volts:
            island = self.conductors.island(node)
            missing += volts_fields(island, {f.equipment: self.snapshot.name(f.equipment) for f in island.feeds})
        met = self._met(end)
        return tuple(dict.fromkeys([*missing, *met.devices, *met.sources]))

    def _met(self, end: FailingEnd) -> Unknowns:
        return unknowns(self.cuts, self.snapshot, end.edge, end.point, end.limits.low)


def cover(snapshot: Snapshot, circuit: Circuit, book: Book, volts: SystemVolts) -> Coverage:
    """The coverage of an installation by a book."""
    return Coverage(snapshot, circuit, book, volts)
