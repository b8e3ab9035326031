"""Devices that carry what one source or one load brings, and nothing else."""

from __future__ import annotations

from engine.circuit.coverage import Coverage

__all__ = ["in_series"]


def in_series(coverage: Coverage, node: int, item: str) -> tuple[str, ...]:
    """Protective devices from a live conductor of `item` outwards, until the way branches or something else feeds."""
    mirror = coverage.mirror
    point = mirror.of_node[node]
    if point < 0:
        return ()
    found: list[str] = []
    came = -1
    seen = {point}
    while True:
        others = [f for f in mirror.feeds_at[point] if mirror.feeds[f].equipment != item]
        onward = [e for e in mirror.adjacency[point] if e != came and not mirror.is_loop(e)]
        if others or len(onward) != 1:
            return tuple(dict.fromkeys(found))
        came = onward[0]
        if mirror.protection[came] is not None and mirror.link[came] >= 0:
            found.append(coverage.circuit.links[mirror.link[came]].equipment)
        point = mirror.other(came, point)
        if point in seen:
            return tuple(dict.fromkeys(found))
        seen.add(point)
