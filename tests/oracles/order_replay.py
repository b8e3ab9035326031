"""A boat operated by hand, step by step: every state of an order looked at with reachability of its own.

Nothing here comes from the search it judges: states are plain dictionaries, what is joined is found by walking, what a
controller moves stands in every position its interlocks leave, one after the other. Only what a drawing means
(`Circuit`) and what flows (`flow`, checked elsewhere against ngspice) are taken as given.
"""

from __future__ import annotations

import itertools
from collections import deque
from functools import cache
from typing import Any, NamedTuple

from engine.circuit.flow.flow import flow
from engine.circuit.flow.operating import Operation, positions_in
from engine.study import Study

NIL_A = 0.01
HOT = ("+", "L1", "L2", "L3")


class Moved(NamedTuple):
    """What is moved: a switch, a source with all that runs by it, a unit switched off."""

    kind: str
    item: str
    positions: tuple[str, ...]
    pairs: frozenset[tuple[str, str]]
    members: tuple[str, ...] = ()


class Boat:
    """One drawing between two of its conditions. A state: one position of everything in `moved`, in that order."""

    def __init__(self, study: Study, start: str, stop: str, keep: tuple[str, ...] = ()) -> None:
        self.study, self.keep = study, keep
        self.snapshot, self.circuit = study.snapshot, study.circuit
        equipment = self.snapshot.equipment
        self.ends = [positions_in(self.snapshot, c) for c in (start, stop)]
        self.autos = [i for i, r in equipment.items() if r.positions() and r.moves_itself() is not False]
        self.units = [i for i in self.autos if "off" in equipment[i].positions() and equipment[i].conversions()]
        lists = [set(self.snapshot.conditions[c].running) if c else None for c in (start, stop)]
        if lists[0] is None:
            lists[0] = lists[1]
        if lists[1] is None:
            lists[1] = lists[0]
        self.recorded = bool(lists[0] or lists[1])
        every = (lists[0] or set()) | (lists[1] or set())
        self.given = {i for i in every if equipment[i].store() or equipment[i].harvest()}
        moved, first, last = [], [], []
        for i, r in equipment.items():
            if r.positions() and i not in self.autos:
                moved.append(Moved("switch", i, r.positions(), frozenset(r.moves())))
                first.append(self.ends[0][i])
                last.append(self.ends[1][i])
        both = frozenset({("off", "on"), ("on", "off")})
        for i in self.units:
            moved.append(Moved("unit", i, ("off", "on"), both))
            first.append("off" if self.ends[0][i] == "off" else "on")
            last.append("off" if self.ends[1][i] == "off" else "on")
        groups: dict[str, list[str]] = {}
        for i in sorted(every - self.given - set(self.units)):
            machine = equipment[i].machine()
            groups.setdefault(machine.engine if machine and machine.engine in equipment else i, []).append(i)
        runs = frozenset({("stands", "runs"), ("runs", "stands")})
        for i, members in groups.items():
            moved.append(Moved("source", i, ("stands", "runs"), runs, tuple(members)))
            first.append("runs" if any(m in (lists[0] or ()) for m in members) else "stands")
            last.append("runs" if any(m in (lists[1] or ()) for m in members) else "stands")
        self.moved, self.first, self.last = moved, tuple(first), tuple(last)
        self.number = {m.item: n for n, m in enumerate(moved)}
        self.on = study.operation(start).on | study.operation(stop).on
        self.safe = cache(self._safe)
        self.may_move = cache(self._may_move)
        self.amps = cache(self._amps)
        self._walls: dict[Any, Any] = {}

    # -- states -----------------------------------------------------------------------------------------------------
    def switches(self, state: tuple[str, ...]) -> dict[str, str]:
        return {m.item: p for m, p in zip(self.moved, state, strict=True) if m.kind == "switch"}

    def running(self, state: tuple[str, ...]) -> set[str]:
        turning = {x for m, p in zip(self.moved, state, strict=True) if m.kind == "source" and p == "runs"
                   for x in (m.item, *m.members)}  # fmt: skip
        return turning | self.given

    def off(self, state: tuple[str, ...]) -> set[str]:
        return {x for m, p in zip(self.moved, state, strict=True) if p in ("off", "stands") and m.kind != "switch"
                for x in (m.item, *m.members)}  # fmt: skip

    def interlocked(self, positions: dict[str, str]) -> bool:
        return all(
            sum(positions[h.equipment] in h.positions for h in lock.held if h.equipment in positions) <= lock.at_most
            for lock in self.snapshot.interlocks.values()
        )

    def surroundings(self, state: tuple[str, ...], which: set[str], by_switch: bool = False) -> list[dict[str, str]]:
        """Every permitted position of what moves by itself and matters here; `by_switch`: a unit that is off is off."""
        fixed, off = self.switches(state), self.off(state)
        held = {h.equipment for lock in self.snapshot.interlocks.values() for h in lock.held}
        free = [a for a in self.autos if a in which or a in held]
        choices = []
        for a in free:
            some = self.snapshot.equipment[a].positions()
            if by_switch and a in self.units:
                some = ("off",) if a in off else tuple(p for p in some if p != "off")
            choices.append(some)
        rest = {a: self.snapshot.equipment[a].positions()[-1] for a in self.autos if a not in free}
        made = [fixed | rest | dict(zip(free, some, strict=True)) for some in itertools.product(*choices)]
        return [positions for positions in made if self.interlocked(positions)]

    # -- walking ----------------------------------------------------------------------------------------------------
    def reach(self, start: list[int], positions: dict[str, str], conductors: tuple[str, ...], one_way: bool = False,
              without: str = "", both: tuple[str, frozenset[str]] | None = None) -> set[int]:  # fmt: skip
        """Nodes joined to `start`; `without` joins nothing, `both` (a switch, two positions) has both joined."""
        key = conductors, one_way
        if key not in self._walls:
            near: list[list[tuple[int, str, frozenset[str] | None]]] = [[] for _ in self.circuit.nodes]
            nodes = self.circuit.nodes
            for w in self.circuit.wires:
                if nodes[w.a].conductor in conductors and nodes[w.b].conductor in conductors:
                    near[w.a].append((w.b, "", None))
                    near[w.b].append((w.a, "", None))
            for x in self.circuit.links:
                if x.supposed or nodes[x.a].conductor not in conductors or nodes[x.b].conductor not in conductors:
                    continue
                near[x.a].append((x.b, x.equipment, x.positions))
                if not (one_way and x.one_way):
                    near[x.b].append((x.a, x.equipment, x.positions))
            self._walls[key] = near
        near = self._walls[key]
        seen, todo = set(start), deque(start)
        while todo:
            for to, item, needs in near[todo.popleft()]:
                if to in seen:
                    continue
                if needs is not None:
                    if item == without:
                        continue
                    joined = both is not None and item == both[0] and bool(needs & both[1])
                    if not joined and positions[item] not in needs:
                        continue
                seen.add(to)
                todo.append(to)
        return seen

    def touching(self, conductors: tuple[str, ...]) -> set[str]:
        nodes = self.circuit.nodes
        made = {x.equipment for x in self.circuit.links if x.positions and nodes[x.a].conductor in conductors}
        return made | {f.equipment for f in self.circuit.feeds if f.source.positions}

    # -- what must not be -------------------------------------------------------------------------------------------
    def _safe(self, state: tuple[str, ...], without: str = "", both: tuple[str, frozenset[str]] | None = None) -> str:
        """`""`, or what is wrong."""
        if not without and not both and not self.surroundings(state, set()):
            return "interlock"
        for wrong in () if without else (self.meeting(state, both), self.bonds(state, both)):
            if wrong:
                return wrong
        return "" if both else self.cut_off(state, without) or self.dark(state, without)

    def meeting(self, state: tuple[str, ...], both: tuple[str, frozenset[str]] | None) -> str:
        nodes, equipment = self.circuit.nodes, self.snapshot.equipment
        live = ("L1", "L2", "L3")
        feeds = [f for f in self.circuit.feeds if f.source.system == "ac" and nodes[f.node].conductor in live]
        feeds = [f for f in feeds if not f.source.in_step]
        for positions in self.surroundings(state, self.touching(live)):
            at = [f for f in feeds if f.source.positions is None or positions[f.equipment] in f.source.positions]
            for f in at:
                joined = self.reach([f.node], positions, live, both=both)
                for g in at:
                    if g is f or g.node not in joined:
                        continue
                    alike = nodes[f.node].conductor == nodes[g.node].conductor
                    same = (f.equipment, f.source.line) == (g.equipment, g.source.line)
                    agreed = g.equipment in getattr(equipment[f.equipment], "parallel_with", ()) and f.equipment in (
                        getattr(equipment[g.equipment], "parallel_with", ())
                    )
                    if not (alike and (same or agreed)):
                        return f"{f.equipment} meets {g.equipment}"
        return ""

    def bonds(self, state: tuple[str, ...], both: tuple[str, frozenset[str]] | None) -> str:
        nodes, equipment, running = self.circuit.nodes, self.snapshot.equipment, self.running(state)
        every = []
        for x in self.circuit.links:
            if {nodes[x.a].conductor, nodes[x.b].conductor} != {"N", "PE"} or x.supposed:
                continue
            shore = equipment[x.equipment].ashore()
            if shore is not None and self.circuit.joined[x.equipment] - {shore.terminal}:
                continue
            every.append((x.equipment, x.a if nodes[x.a].conductor == "N" else x.b, x.positions, shore is not None))
        if not every:
            return ""
        required = self.study.book.option("wrong-neutral-bond", "required", ())
        live = ("L1", "L2", "L3")
        loads = {i for i, n in enumerate(nodes) if n.conductor in live and equipment[n.equipment].use() is not None}
        for positions in self.surroundings(state, self.touching((*live, "N"))):
            there = [b for b in every if b[2] is None or positions[b[0]] in b[2]]
            for one in there:
                joined = self.reach([one[1]], positions, ("N",), both=both)
                for other in there:
                    plugged = all(not b[3] or not self.recorded or b[0] in running for b in (one, other))
                    if other[0] != one[0] and other[1] in joined and plugged:
                        return f"two bonds {one[0]} {other[0]}"
            for f in self.circuit.feeds:
                if f.source.system != "ac" or f.source.line not in required or f.source.in_step:
                    continue
                if f.equipment in self.off(state) or (
                    f.source.positions is not None and positions[f.equipment] not in f.source.positions
                ):
                    continue
                neutral = self.circuit.node(f.equipment, f.source.terminal, "N")
                if neutral is None or not self.reach([f.node], positions, live, both=both) & loads:
                    continue
                joined = self.reach([neutral], positions, ("N",), both=both)
                if not any(b[1] in joined for b in there) and self.ever_bonded(neutral, every):
                    return f"no bond {f.equipment}"
        return ""

    def ever_bonded(self, neutral: int, every: list[Any]) -> bool:
        """With every neutral contact closed at once; nets of the tests have no neutral that only looks bonded so."""
        seen, todo = {neutral}, [neutral]
        nodes = self.circuit.nodes
        while todo:
            here = todo.pop()
            for a, b in [(w.a, w.b) for w in self.circuit.wires] + [(x.a, x.b) for x in self.circuit.links]:
                if nodes[a].conductor == nodes[b].conductor == "N" and here in (a, b):
                    to = b if here == a else a
                    if to not in seen:
                        seen.add(to)
                        todo.append(to)
        return any(b[1] in seen for b in every)

    def cut_off(self, state: tuple[str, ...], without: str) -> str:
        running, equipment = self.running(state), self.snapshot.equipment
        banks = {f.node for f in self.circuit.feeds if f.source.battery}
        for i in sorted(running):
            lost = equipment[i].battery_lost() if i in equipment else None
            if lost is None or lost.form != "machine" or lost.harmed is False or lost.field_first:
                continue
            node = self.circuit.node(i, lost.terminal, "+")
            if node is None:
                continue
            keeps = banks | self.absorbers(equipment[i].machine().rated_a)
            for positions in self.surroundings(state, self.touching(("+",))):
                if self.reach([node], positions, ("+",), one_way=True, without=without) & keeps:
                    continue
                # a switch that opens the field first does no harm
                first = [m for m in self.moved if m.kind == "switch" and equipment[m.item].parts().field_first]
                if not any(
                    self.reach([node], positions | {m.item: m.positions[-1]}, ("+",), one_way=True) & keeps
                    for m in first
                ):
                    return f"{i} loses its battery"
        return ""

    def absorbers(self, amps: float | None) -> set[int]:
        """Surge absorbers made for a machine of so many amperes."""
        made = set()
        for i, r in self.snapshot.equipment.items():
            lost = r.battery_lost()
            if lost is not None and lost.form == "absorber" and amps and lost.largest_a and lost.largest_a >= amps:
                made.add(self.circuit.node(i, lost.terminal, "+"))
        return made

    def dark(self, state: tuple[str, ...], without: str) -> str:
        if not self.keep:
            return ""
        fed = self.fed(state, without)
        return next((f"{i} dark" for i in self.keep if i not in fed), "")

    def fed(self, state: tuple[str, ...], without: str = "") -> set[str]:
        """Equipment that has supply, there and back, in some position of what moves by itself."""
        made: set[str] = set()
        for positions in self.surroundings(state, set(self.autos), by_switch=True):
            made |= self.fed_in(state, positions, without)
        return made

    def fed_in(self, state: tuple[str, ...], positions: dict[str, str], without: str) -> set[str]:
        nodes, equipment = self.circuit.nodes, self.snapshot.equipment
        running, off = self.running(state), self.off(state)
        live: dict[int, set[int]] = {}  # live node: returns of what makes it live
        todo, waiting = [], []
        for f in self.circuit.feeds:
            r = equipment[f.equipment]
            if f.source.in_step or f.equipment in off or r.harvest() is not None:
                continue
            if f.source.positions is not None and positions[f.equipment] not in f.source.positions:
                continue
            into = [c.source for c in r.conversions() if c.target == f.source.terminal
                    and (c.positions is None or positions[f.equipment] in c.positions)]  # fmt: skip
            wired = any(c.source in self.circuit.joined[f.equipment] for c in r.conversions())
            if r.conversions() and wired:
                waiting.append((f, into))
            elif (
                f.source.battery
                or f.equipment in running
                or (not self.recorded and not (f.source.rotating and f.source.system == "dc") and not f.source.adapts)
            ):
                todo.append(f)

        def back(item: str, terminal: str) -> list[int]:
            own = [n for c in ("-", "N") if (n := self.circuit.node(item, terminal, c)) is not None]
            if own or self.circuit.node(item, terminal, "+") is None:
                return own
            every = sorted(self.circuit.joined[item])
            return [n for t in every if (n := self.circuit.node(item, t, "-")) is not None]

        def is_fed(item: str, terminal: str, returns: list[int]) -> bool:
            for c in HOT:
                n = self.circuit.node(item, terminal, c)
                if n in live and (not returns or not live[n] or any(x in live[n] for x in returns)):
                    return True
            return False

        while todo:
            f = todo.pop()
            returns = self.reach(back(f.equipment, f.source.terminal), positions, ("-", "N", "PE"), without=without)
            for n in self.reach([f.node], positions, HOT, one_way=True, without=without):
                live.setdefault(n, set()).update(returns)
            still = []
            for g, into in waiting:
                fits = any(is_fed(g.equipment, t, back(g.equipment, t)) for t in into)
                (todo if fits else still).append(g if fits else (g, into))  # type: ignore[arg-type]
            waiting = still
        made = set()
        for n in live:
            item, terminal = nodes[n].equipment, nodes[n].terminal
            own = [x for c in ("-", "N") if (x := self.circuit.node(item, terminal, c)) is not None]
            if is_fed(item, terminal, own):
                made.add(item)
        return made

    # -- moves ------------------------------------------------------------------------------------------------------
    def _amps(self, item: str, members: tuple[str, ...], state: tuple[str, ...]) -> float:
        """The largest current through a switch, or out of a source; endless where something is not recorded."""
        worst = 0.0
        running = frozenset(self.running(state) - {m.item for m in self.moved if m.kind == "source"} | {
            x for m, p in zip(self.moved, state, strict=True) if p == "runs" for x in m.members
        }) if self.recorded else None  # fmt: skip
        for positions in self.surroundings(state, set(self.autos), by_switch=True):
            if any(positions[a] == "open" for a in self.autos):
                continue  # closed contactors and floats: what can draw does
            made = flow(self.snapshot, self.circuit,
                        Operation("", "", positions, running, {}, self.on, True), self.study.book)  # fmt: skip
            for d in made.devices:
                if d.equipment in (item, *members):
                    worst = max(worst, float("inf") if d.at_least else abs(d.amps))
            for s in made.sources:
                if s.equipment in (item, *members):
                    worst = max(worst, abs(s.amps))
        return worst

    def _may_move(self, before: tuple[str, ...], after: tuple[str, ...]) -> str:
        """`""`, or why a move may not be made."""
        n = next(i for i, (a, b) in enumerate(zip(before, after, strict=True)) if a != b)
        thing, record = self.moved[n], self.snapshot.equipment[self.moved[n].item]
        assert (before[n], after[n]) in thing.pairs, f"{thing.item} does not pass from {before[n]} to {after[n]}"
        if wrong := self.safe(after):
            return wrong
        if thing.kind == "switch":
            own = [x for x in self.circuit.links if x.equipment == thing.item and x.positions]
            joins = {p: {x for x in own if p in x.positions} for p in (before[n], after[n])}
            first = record.parts().makes_first
            if all(joins.values()):
                if first is not False and joins[before[n]] != joins[after[n]]:
                    wrong = self.safe(after, "", (thing.item, frozenset((before[n], after[n]))))
                if not wrong and first is not True:
                    wrong = self.safe(after, thing.item)
                if wrong:
                    return "between: " + wrong
            if record.breaks_load_now() is True:
                return ""
        elif thing.kind == "unit":
            wired = [c.source for c in record.conversions() if c.source in self.circuit.joined[thing.item]]
            return "unfed" if after[n] == "on" and wired and thing.item not in self.fed(before) else ""
        else:
            starters = [i for i, r in self.snapshot.equipment.items() if (u := r.use()) and u.starts == thing.item]
            if after[n] == "runs" and starters and not self.fed(before) & set(starters):
                return "starter"
            if not any(self.snapshot.equipment[m].ashore() for m in thing.members):
                return ""
        for state in (before, after):
            if self.amps(thing.item, thing.members, state) >= NIL_A:
                return f"{thing.item} under load"
        return ""

    # -- orders -----------------------------------------------------------------------------------------------------
    def replay(self, steps: tuple[Any, ...]) -> None:
        """Do what an order says and look at every state."""
        state = self.first
        assert self.safe(state) == ""
        for step in steps:
            n = self.number[step.item]
            assert state[n] == step.before, f"{step.item} stands at {state[n]}, not {step.before}"
            after = (*state[:n], step.after, *state[n + 1 :])
            wrong = self.may_move(state, after)
            assert wrong == "", f"{step.item} {step.before} -> {step.after}: {wrong}"
            state = after
        assert state == self.last

    def shortest(self, most: int = 100_000) -> int | None:
        """Moves of a shortest order, by looking at every state breadth first; `None` where there is none."""
        if self.safe(self.first) or self.safe(self.last):
            return None
        seen, todo = {self.first: 0}, deque([self.first])
        while todo:
            state = todo.popleft()
            if state == self.last:
                return seen[state]
            assert len(seen) < most
            for n, thing in enumerate(self.moved):
                for to in thing.positions:
                    after = (*state[:n], to, *state[n + 1 :])
                    if (state[n], to) in thing.pairs and after not in seen and not self.may_move(state, after):
                        seen[after] = seen[state] + 1
                        todo.append(after)
        return None
