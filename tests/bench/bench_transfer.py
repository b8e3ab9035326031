"""Questions over switch positions on boats with 20, 40 and 60 switches, as ratios in one run.

* the smallest conflicts of every pair of AC sources;
* neutral bonds: two at once, or none in some state;
* the failure table: every essential load, everything that can fail, every source.

Each as a ratio to one pass over the boat's graph, and to a SAT solver (python-sat) on the same question: whether each
pair can meet and one minimal set where it can; whether each source can lose its bond while it feeds something; whether
each source can feed each load with each thing failed. The solver is given the contracted network and one encoding a
question with what has failed as assumptions; it is asked a sample, counted in proportion. Targets: ten times as
fast as the solver; the failure table of 60 switches within 0.5 s where a pass takes 0.6 us a piece, as on the machine
the targets were set on. Fails at twice a target.
"""

from __future__ import annotations

import random
import sys
import time
from pathlib import Path

from bench_rules import best, graph_pass
from transfer_boats import transfer_boat

sys.path.insert(0, str(Path(__file__).parents[1] / "oracles"))
from satisfied import Edge, Question

from engine.books import load
from engine.circuit.expand import Circuit
from engine.circuit.meeting import AC_LIVE, forbidden_pairs, meet
from engine.circuit.paths import Net
from engine.circuit.states import States, states_of
from engine.circuit.switching.feeding import Feeding
from engine.equipment.base import LIVE
from engine.installation.model import Snapshot
from engine.rules import rules
from engine.study import Study

SIZES = (20, 40, 60)
FASTER = 10.0
TABLE_S = 0.5
PASS_S = 0.33e-6  # of a piece, its runs included, with its data in the cache of the processor
SAMPLE = 1  # loads of the table that the solver is asked about
FAILURES = 4  # and failures
PAIRS = 60  # pairs of sources, as far as there are more
SOURCES = 3  # whose bond the solver is asked about


def question(snapshot: Snapshot, states: States, solver: str) -> Question:
    """The switches of a boat in a solver."""
    return Question(
        [(d.equipment, d.positions) for d in states.devices],
        [(k.at_most, [(h.equipment, h.positions) for h in k.held]) for k in snapshot.interlocks.values()],
        solver,
    )


def edges_of(net: Net, directed: bool) -> list[Edge]:
    """The contracted network as edges."""
    made: set[Edge] = set()
    for start, arcs in net.arcs.items():
        for arc in arcs:
            device = net.states.devices[arc.device] if arc.device >= 0 else None
            allowed = frozenset(net.states.left(arc.guard, arc.device)) if device else frozenset()
            ends = (start, arc.to) if directed else (min(start, arc.to), max(start, arc.to))
            made.add(Edge(*ends, device.equipment if device else "", allowed, directed))
    return sorted(made, key=lambda e: (e.a, e.b, e.device, sorted(e.positions)))


def conflicts_by_sat(snapshot: Snapshot, circuit: Circuit) -> tuple[float, int]:
    """Seconds for all pairs, and how many can meet, -1 where only some were asked."""
    states = states_of(snapshot, circuit)
    net = Net(circuit, states, AC_LIVE)
    points, pairs = forbidden_pairs(snapshot, circuit)
    terminals = [net.terminal(p.node, p.equipment, p.positions) for p in points]
    edges = edges_of(net, directed=False)
    start = time.perf_counter()
    asked = question(snapshot, states, "cadical153")
    count = 0
    some = pairs if len(pairs) <= PAIRS else random.Random(3).sample(pairs, PAIRS)
    for i, j in some:
        joined, apart = asked.joined(edges, terminals[i], terminals[j], depth=12), None
        if asked.solve([joined]) is not None:
            apart = asked.apart(edges, terminals[i], terminals[j])
            count += len(asked.minimal_sets(joined, apart, 1))
    return (time.perf_counter() - start) * len(pairs) / len(some), count if len(some) == len(pairs) else -1


def bonds_by_sat(study: Study) -> float:
    """Seconds for: can a source be at its panel while its neutral reaches no bond."""
    from engine.circuit.neutrals import bonds, neutrals

    snapshot, circuit = study.snapshot, study.circuit
    states = states_of(snapshot, circuit, protection_opens=True)
    live, back = Net(circuit, states, LIVE), Net(circuit, states, ("N",))
    sources, every = neutrals(study), bonds(study)
    loads = [n for i, r in snapshot.equipment.items() if r.use() and (n := circuit.node(i, "in", "L1")) is not None]
    seats = [live.at(n) for n in loads]
    starts = [
        (live.terminal(f.node, f.equipment, f.source.positions), circuit.node(f.equipment, f.source.terminal, "N"))
        for f in circuit.feeds
        if f.source.system == "ac" and circuit.node(f.equipment, f.source.terminal, "N") is not None
    ]
    ends = [back.terminal(bond.node, bond.item, bond.positions) for bond in every]
    live_edges, back_edges = edges_of(live, directed=False), edges_of(back, directed=False)
    assert sources
    start = time.perf_counter()
    asked = question(snapshot, states, "cadical153")
    some = starts if len(starts) <= SOURCES else random.Random(4).sample(starts, SOURCES)
    for source, neutral in some:
        aparts = [asked.apart(back_edges, back.at(neutral), end) for end in ends]
        for seat in dict.fromkeys(seats):
            joined = asked.joined(live_edges, source, seat, depth=10)
            asked.solve([joined, *aparts])
    return (time.perf_counter() - start) * len(starts) / len(some)


def table_by_sat(study: Study, feeding: Feeding) -> float:
    """Seconds for the whole table, from those of some of its loads."""
    snapshot, circuit, states = study.snapshot, study.circuit, feeding.states
    table = study.failure_table
    some = random.Random(1).sample(range(len(table.loads)), min(SAMPLE, len(table.loads)))
    failed = random.Random(2).sample(table.failures, min(FAILURES, len(table.failures)))
    net = feeding._sides[0].net
    owners = {end: feeding.supplies[number].equipment for end, number in feeding._sides[0].ends.items()}
    points, pairs = forbidden_pairs(snapshot, circuit)
    meeting = Net(circuit, states, AC_LIVE)
    terminals = [meeting.terminal(p.node, p.equipment, p.positions) for p in points]
    edges, tied = edges_of(net, directed=True), edges_of(meeting, directed=False)
    names = {d.equipment for d in states.devices}
    start = time.perf_counter()
    for row in some:
        asked = question(snapshot, states, "cadical153")
        safe = [asked.apart(tied, terminals[i], terminals[j]) for i, j in pairs]
        node = feeding._points(table.loads[row])[0][0]
        seats = {end: asked.joined(edges, net.at(node), end, depth=12) for end in owners}
        for failure in failed:
            out = [
                -asked.at(item, p)
                for item in (*failure.gone, *(item for item, _p in failure.held))
                if item in names
                for p in states.devices[states.number[item]].positions[1:]
            ]
            for end, literal in seats.items():
                if owners[end] not in failure.silent | failure.gone:
                    asked.solve([literal, *safe, *out])
    share = len(some) * len(failed) / (len(table.loads) * len(table.failures))
    return (time.perf_counter() - start) / share


def main() -> int:
    """Print every ratio; 1 where one is worse than twice its target."""
    bad = False
    for size in SIZES:
        b = transfer_boat(size)
        installation = b.installation
        snapshot = installation.snapshot()
        study = Study(snapshot, load("trade-na"))
        circuit = study.circuit
        pieces = len(snapshot.equipment)
        floor = best(lambda i=installation: graph_pass(i), 200, tidy=False)
        switches = len(states_of(snapshot, circuit).devices)

        meet_s = best(lambda s=snapshot, c=circuit: meet(s, c), 3)
        meeting = study.meeting
        sat_s, count = conflicts_by_sat(snapshot, circuit)
        found = len({(c.one, c.other) for c in meeting.conflicts})

        def bonds(made: Study = study) -> None:
            list(rules()["wrong-neutral-bond"].check(made))

        _ = study.ways
        bonds_s = best(bonds, 3)
        bonds_sat_s = bonds_by_sat(study)

        def table(made: Study = study) -> None:
            made.__dict__.pop("feeding", None)
            made.__dict__.pop("failure_table", None)
            _ = made.failure_table

        table_s = best(table, 3)
        made = study.failure_table
        table_sat_s = table_by_sat(study, study.feeding)
        sources = len(study.feeding.supplies)
        cells = len(made.loads) * len(made.failures) * sources
        bad |= 0 <= count != found
        print(f"{switches} switches, {pieces} pieces; one pass {floor * 1e3:.3f} ms")
        for name, ours, sat, told in (
            (
                "smallest conflicts",
                meet_s,
                sat_s,
                f"{found} pairs meet" + (f", the solver says {count}" if count >= 0 else ""),
            ),
            ("bonds", bonds_s, bonds_sat_s, ""),
            ("failure table", table_s, table_sat_s, f"{len(made.loads)} x {len(made.failures)} x {sources} = {cells}"),
        ):
            ratio = sat / ours
            verdict = "" if ratio >= FASTER else "  MISSED"
            bad |= ratio < FASTER / 2
            print(
                f"  {name:20} {ours * 1e3:8.1f} ms  {ours / floor:8.0f} passes  solver {sat * 1e3:9.1f} ms"
                f"  {ratio:7.1f} times as fast{verdict}  {told}"
            )
        if size == 60:
            allowed = TABLE_S / (PASS_S * pieces)
            passes = table_s / floor
            print(
                f"  failure table: {passes:.0f} passes, allowed {allowed:.0f}{'' if passes <= allowed else '  MISSED'}"
            )
            bad |= passes > 2 * allowed
        assert not any(fed.undecided for fed in made.normal)
    return int(bad)


if __name__ == "__main__":
    sys.exit(main())
