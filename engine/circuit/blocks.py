"""Two-connected blocks of the mirror, by edge number: parallel conductors are a block, never a bridge.

First every part is stripped that hangs on one edge and holds no source: what flows there comes through that edge and
nothing else. What remains is the core. An iterative depth-first search (Tarjan's low points) cuts it into blocks.
"""

from __future__ import annotations

from engine.circuit.mirror import Mirror

__all__ = ["Structure", "structure"]


class Structure:
    """How the network hangs together; the same for every rating."""

    def __init__(self, mirror: Mirror) -> None:
        self.mirror = mirror
        self.hangs_on: list[int] = [-1] * mirror.size  # edge towards the core of a stripped point, -1 in the core
        self.blocks: list[list[int]] = []  # edges; every block before the one its top leads to
        self.top: list[int] = []  # the point of a block nearest the root of the search
        self.points: list[list[int]] = []  # of a block, its top first
        self.component: list[int] = []  # of a block
        self.block_of: list[int] = [-1] * len(mirror.u)  # edge -> block, -1 for what is stripped and for loops
        self.blocks_at: list[list[int]] = [[] for _ in range(mirror.size)]
        self.component_of: list[int] = [-1] * mirror.size  # core point -> component
        self.members: list[list[int]] = []  # core points of a component
        self._near: dict[int, list[tuple[int, int]]] = {}

    def root_of(self, point: int) -> int:
        """The core point that a stripped point hangs on; itself in the core, -1 where no source is."""
        while (edge := self.hangs_on[point]) >= 0:
            point = self.mirror.other(edge, point)
        return point

    def towards_sources(self, point: int) -> list[tuple[int, int]]:
        """Edges of a point with their far ends, those left out at whose far end no source can be."""
        found = self._near.get(point)
        if found is None:
            hung = self.hangs_on[point]
            edges = [hung] if hung >= 0 else self.mirror.adjacency[point]
            pairs = [(edge, self.mirror.other(edge, point)) for edge in edges]
            found = self._near[point] = [(edge, far) for edge, far in pairs if self.hangs_on[far] != edge]
        return found


def structure(mirror: Mirror) -> Structure:
    """Strip, then cut into blocks."""
    made = Structure(mirror)
    _strip(made)
    for start in range(mirror.size):
        if made.component_of[start] < 0 and made.hangs_on[start] < 0:
            _search(made, start)
    return made


def _strip(made: Structure) -> None:
    mirror = made.mirror
    hangs_on, u, v, adjacency = made.hangs_on, mirror.u, mirror.v, mirror.adjacency
    degree = [len(edges) for edges in adjacency]
    feeds_at = mirror.feeds_at
    leaves = [p for p in range(mirror.size) if degree[p] == 1 and not feeds_at[p]]
    gone = bytearray(len(u))
    while leaves:
        point = leaves.pop()
        if degree[point] != 1:
            continue  # the last point of a tree without source
        edge = next(e for e in adjacency[point] if not gone[e])
        gone[edge] = 1
        hangs_on[point] = edge
        degree[point] = 0
        far = v[edge] if u[edge] == point else u[edge]
        degree[far] -= 1
        if degree[far] == 1 and not feeds_at[far]:
            leaves.append(far)


def _search(made: Structure, start: int) -> None:
    """One component: depth first without recursion, a stack of edges, low points by edge number."""
    mirror = made.mirror
    u, v, adjacency, hangs_on = mirror.u, mirror.v, mirror.adjacency, made.hangs_on
    component = len(made.members)
    members = [start]
    made.members.append(members)
    component_of = made.component_of
    component_of[start] = component
    order = {start: 0}
    low = {start: 0}
    trail: list[int] = []  # edges met and not yet in a block
    stack: list[tuple[int, int, int]] = [(start, -1, 0)]  # point, edge it was reached by, place in its adjacency
    while stack:
        point, came, at = stack.pop()
        edges = adjacency[point]
        deeper = False
        while at < len(edges):
            edge = edges[at]
            at += 1
            if edge == came:
                continue
            far = v[edge] if u[edge] == point else u[edge]
            if hangs_on[far] == edge:
                continue
            seen = order.get(far)
            if seen is None:
                trail.append(edge)
                order[far] = low[far] = len(order)
                component_of[far] = component
                members.append(far)
                stack.append((point, came, at))
                stack.append((far, edge, 0))
                deeper = True
                break
            if seen < order[point]:
                trail.append(edge)
                if seen < low[point]:
                    low[point] = seen
        if deeper or came < 0:
            continue
        back = v[came] if u[came] == point else u[came]
        if low[point] < low[back]:
            low[back] = low[point]
        if low[point] >= order[back]:
            _close(made, trail, came, back, component)


def _close(made: Structure, trail: list[int], until: int, top: int, component: int) -> None:
    number = len(made.blocks)
    edges: list[int] = []
    while True:
        edge = trail.pop()
        edges.append(edge)
        made.block_of[edge] = number
        if edge == until:
            break
    u, v = made.mirror.u, made.mirror.v
    points = {top: None}
    for edge in edges:
        points[u[edge]] = None
        points[v[edge]] = None
    made.blocks.append(edges)
    made.top.append(top)
    made.points.append(list(points))
    made.component.append(component)
    for point in points:
        made.blocks_at[point].append(number)
