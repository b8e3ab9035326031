"""From runs to trees: where a sheet begins, and what hangs on what.

A tree begins at the bus nearest to a battery or AC source (at the source itself where there is no bus) and follows the
power runs; then come the negative buses reached from the batteries, controls, and earths. Every run that is no branch
of a tree joins two places of the drawing across.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterable

from app.drawing.pieces import Edge, Family, Join, Kind, Pieces
from engine.installation import Snapshot
from symbols import catalogue

__all__ = ["Forest", "grow"]

_THROUGH = ("protection", "switch", "meter", "junction")  # what a feed passes on its way to a bus


class Forest:
    """The trees of one family of sheets."""

    def __init__(self, snapshot: Snapshot, pieces: Pieces, family: Family) -> None:
        self.snapshot, self.pieces, self.family = snapshot, pieces, family
        self.nodes = [key for key, piece in pieces.pieces.items() if piece.family == family]
        self._here = set(self.nodes)
        self.order = {key: n for n, key in enumerate(self.nodes)}
        self.roots: list[str] = []
        self.root_of: dict[str, str] = {}
        self.parent: dict[str, Join | None] = {}  # as the child sees it
        self.children: dict[str, list[Join]] = {key: [] for key in self.nodes}  # as the parent sees them
        self.depth: dict[str, int] = {}
        self.changes: dict[str, int] = {}  # how often what hangs on a piece has changed

    # -- reading ----------------------------------------------------------------------------------------------------
    def role(self, key: str) -> str:
        """What the piece is on a sheet."""
        return self.pieces.pieces[key].role

    def joins(self, key: str, *kinds: Kind) -> list[Join]:
        """The runs of a piece that stay in the family, of these kinds."""
        return [j for j in self.pieces.joins[key] if j.kind in kinds and j.piece in self._here and j.piece != key]

    def degree(self, key: str) -> int:
        """How many power runs arrive."""
        return sum(j.kind == "power" for j in self.pieces.joins[key])

    def is_return_bus(self, key: str) -> bool:
        """A bus or joint that negatives come together at and no power run reaches."""
        return self.role(key) in ("bus", "junction") and not self.degree(key) and bool(self.joins(key, "return"))

    def is_storage(self, key: str) -> bool:
        """A battery; on AC sheets any source."""
        if self.pieces.pieces[key].earth_only or self.role(key) != "source":
            return False
        record = self.pieces.records(self.snapshot, key)
        if self.family == "ac":
            return True
        return any(source.battery for source in record.sources(frozenset(t.name for t in record.terminals())))

    def under(self, key: str) -> list[str]:
        """A piece and all that hangs on it."""
        found, todo = [], [key]
        while todo:
            at = todo.pop()
            found.append(at)
            todo.extend(j.piece for j in reversed(self.children[at]))
        return found

    def tree_runs(self) -> set[str]:
        """Runs that are branches."""
        return {j.run for below in self.children.values() for j in below}

    def across(self) -> list[Edge]:
        """Runs between two pieces of this family that are no branches, in the order of their ids."""
        tree = self.tree_runs()
        edges = self.pieces.edges
        return [e for e in edges.values() if e.run not in tree and e.a in self._here and e.b in self._here]

    # -- changing ---------------------------------------------------------------------------------------------------
    def plant(self, key: str) -> None:
        """A new root."""
        self.roots.append(key)
        self.root_of[key], self.parent[key], self.depth[key] = key, None, 0

    def hang(self, above: str, join: Join) -> None:
        """`join.piece` becomes a branch of `above`."""
        child = join.piece
        back = Join(join.run, join.kind, join.there, above, join.here, not join.forward)
        self.parent[child] = back
        self.children[above].append(join)
        self.root_of[child] = self.root_of[above]
        self.depth[child] = self.depth[above] + 1

    def cut(self, key: str) -> None:
        """What hangs on `key` becomes a tree of its own."""
        back = self.parent[key]
        assert back is not None
        at: Join | None = back
        while at is not None:
            self.changes[at.piece] = self.changes.get(at.piece, 0) + 1
            at = self.parent[at.piece]
        self.children[back.piece] = [j for j in self.children[back.piece] if j.run != back.run]
        self.roots.append(key)
        self.parent[key] = None
        start = self.depth[key]
        for each in self.under(key):
            self.root_of[each] = key
            self.depth[each] -= start

    def move(self, key: str, back: Join) -> None:
        """Hang `key` on another piece of its tree."""
        old = self.parent[key]
        assert old is not None
        self.children[old.piece] = [j for j in self.children[old.piece] if j.run != old.run]
        self.children[back.piece].append(Join(back.run, back.kind, back.there, key, back.here, not back.forward))
        self.parent[key] = back
        by = self.depth[back.piece] + 1 - self.depth[key]
        for each in self.under(key):
            self.depth[each] += by


def grow(snapshot: Snapshot, pieces: Pieces, family: Family) -> Forest:
    """The trees of a family: every piece is in exactly one."""
    forest = Forest(snapshot, pieces, family)
    for root in _power_roots(forest):
        forest.plant(root)
    _spread_power(forest, forest.roots)
    while True:
        left = [k for k in forest.nodes if k not in forest.parent and forest.joins(k, "power")]
        if not left:
            break
        forest.plant(_best(forest, left))
        _spread_power(forest, forest.roots[-1:])
    _deepen(forest)
    _spread_returns(forest)
    _spread_rest(forest)
    order = {run: n for n, run in enumerate(pieces.edges)}
    for key in forest.nodes:
        below = forest.children[key]
        first: dict[str, int] = {}  # what stands in one enclosure is drawn side by side
        for join in sorted(below, key=lambda j: order[j.run]):
            first.setdefault(_enclosure(forest, join), order[join.run])
        below.sort(key=lambda j: (_stud(forest, j), first[_enclosure(forest, j)], order[j.run]))
    forest.roots.sort(key=lambda k: forest.order[k])
    return forest


def _enclosure(forest: Forest, join: Join) -> str:
    return forest.pieces.records(forest.snapshot, join.piece).enclosure or join.run


def _stud(forest: Forest, join: Join) -> int:
    run = forest.snapshot.runs[join.run]
    end = run.from_end if join.forward else run.to_end
    return end.stud_number or 10_000


# -- roots ----------------------------------------------------------------------------------------------------------
def _power_roots(forest: Forest) -> list[str]:
    """For every battery (AC: source) the bus it feeds first; the battery itself where it feeds none."""
    found: list[str] = []
    lone: list[str] = []
    for key in forest.nodes:
        if not forest.is_storage(key) or not forest.joins(key, "power"):
            continue
        home = _home(forest, key)
        if home is None:
            lone.append(key)
        elif home not in found:
            found.append(home)
    taken: set[str] = set()
    for key in lone:  # batteries without a bus: several on one selector begin at the selector
        if key in taken:
            continue
        reach = _reach(forest, key, stop=set(found))
        together = [k for k in reach if k in lone]
        taken.update(together)
        if len(together) == 1:
            found.append(key)
            continue
        meets = [k for k in reach if len(forest.joins(k, "power")) > 2 and forest.role(k) in _THROUGH]
        found.append(max(meets, key=lambda k: (len(forest.joins(k, "power")), -forest.order[k])) if meets else key)
    return found


def _home(forest: Forest, source: str) -> str | None:
    """The nearest bus that the source reaches through protective devices and switches.

    On AC sheets also through converters and inlets.
    """
    through = (*_THROUGH, "converter", "source") if forest.family == "ac" else _THROUGH
    seen, level = {source}, [source]
    while level:
        buses: list[str] = []
        ahead: list[str] = []
        for key in level:
            for join in forest.joins(key, "power"):
                if join.piece in seen or _enters_by_output(forest, join):
                    continue
                seen.add(join.piece)
                if forest.role(join.piece) == "bus":
                    buses.append(join.piece)
                elif forest.role(join.piece) in through:
                    ahead.append(join.piece)
        if buses:
            return max(buses, key=lambda k: (forest.degree(k), -forest.order[k]))
        level = ahead
    return None


def _reach(forest: Forest, start: str, stop: set[str]) -> list[str]:
    seen, todo = {start}, deque([start])
    found = []
    while todo:
        key = todo.popleft()
        found.append(key)
        if forest.role(key) not in (*_THROUGH, "source"):
            continue
        for join in forest.joins(key, "power"):
            if join.piece not in seen and join.piece not in stop:
                seen.add(join.piece)
                todo.append(join.piece)
    return found


def _best(forest: Forest, among: Iterable[str]) -> str:
    """Where a tree without a battery begins: a bus with many runs, else a source, else the busiest piece."""
    return max(
        among,
        key=lambda k: (forest.role(k) == "bus", forest.role(k) == "source", forest.degree(k), -forest.order[k]),
    )


def _enters_by_output(forest: Forest, join: Join) -> bool:
    """Whether a run reaches a converter (or diode) at the terminal that energy comes out of."""
    record = forest.pieces.records(forest.snapshot, join.piece)
    if forest.role(join.piece) == "converter":
        family = set(forest.pieces.pieces[join.piece].terminals)
        pairs = [c for c in record.conversions() if c.source in family and c.target in family]
        return join.there in {c.target for c in pairs} and join.there not in {c.source for c in pairs}
    one_way = [c for c in record.contacts() if c.one_way]
    return join.there in {c.b for c in one_way} and join.there not in {c.a for c in one_way}


# -- branches -------------------------------------------------------------------------------------------------------
def _spread_power(forest: Forest, roots: list[str]) -> None:
    """Breadth first along power runs, all roots at once; into a converter's output only where nothing else leads."""
    todo = deque(roots)
    later: deque[tuple[str, Join]] = deque()
    while todo or later:
        if not todo:
            key, join = later.popleft()
            if join.piece not in forest.parent:
                forest.hang(key, join)
                todo.append(join.piece)
            continue
        key = todo.popleft()
        for join in forest.joins(key, "power"):
            if join.piece in forest.parent:
                continue
            if _enters_by_output(forest, join):
                later.append((key, join))
                continue
            forest.hang(key, join)
            todo.append(join.piece)


def _deepen(forest: Forest) -> None:
    """A changeover fed two ways stands above the longer of them, so that the shorter passes it by."""
    for _round in range(len(forest.nodes)):
        moved = False
        for key in forest.nodes:
            back = forest.parent.get(key)
            if back is None or back.kind != "power" or forest.role(key) != "switch":
                continue
            ports = _natural_sides(forest, key)
            below = set(forest.under(key))
            others = [
                j
                for j in forest.joins(key, "power")
                if j.piece not in below
                and j.here != back.here
                and ports.get(j.here) == ports.get(back.here)
                and forest.root_of.get(j.piece) == forest.root_of[key]
                and forest.depth[j.piece] > forest.depth[back.piece]
            ]
            if others:
                forest.move(key, max(others, key=lambda j: forest.depth[j.piece]))
                moved = True
        if not moved:
            return


def _natural_sides(forest: Forest, key: str) -> dict[str, str]:
    record = forest.pieces.records(forest.snapshot, key)
    if record.KIND not in catalogue.names():
        return {}
    return {name: port.side for name, port in catalogue.shape(record.KIND).ports.items()}


def _spread_returns(forest: Forest) -> None:
    """From the batteries' negatives to the negative buses, and from bus to bus."""
    todo = deque(k for k in forest.nodes if forest.is_storage(k) and k in forest.parent)
    while todo:
        key = todo.popleft()
        for join in forest.joins(key, "return"):
            if join.piece in forest.parent or forest.role(join.piece) not in (*_THROUGH, "bus"):
                continue
            forest.hang(key, join)
            todo.append(join.piece)
    for key in forest.nodes:
        if key not in forest.parent and forest.is_return_bus(key):
            forest.plant(key)


def _spread_rest(forest: Forest) -> None:
    """Controls, earths and what else hangs on something; then what hangs on nothing."""
    for kinds in (("signal",), ("return", "earth"), ("signal", "return", "earth")):
        todo = deque(k for k in forest.nodes if k in forest.parent)
        while todo:
            key = todo.popleft()
            for join in forest.joins(key, *kinds):
                if join.piece not in forest.parent:
                    forest.hang(key, join)
                    todo.append(join.piece)
    while True:
        left = [k for k in forest.nodes if k not in forest.parent]
        if not left:
            return
        root = max(left, key=lambda k: (forest.role(k) == "bus", len(forest.pieces.joins[k]), -forest.order[k]))
        forest.plant(root)
        todo = deque([root])
        while todo:
            key = todo.popleft()
            for join in forest.joins(key, "signal", "return", "earth"):
                if join.piece not in forest.parent:
                    forest.hang(key, join)
                    todo.append(join.piece)
