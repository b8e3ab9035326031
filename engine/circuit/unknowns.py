"""Which fields, not recorded, decide how much can flow into an end: ratings and limits met from the end outwards."""

from __future__ import annotations

from typing import NamedTuple

from engine.circuit.conductors import feed_fields
from engine.circuit.feedcut import FeedCuts
from engine.circuit.refine import is_above
from engine.installation.model import Snapshot

__all__ = ["Unknowns", "device_field", "unknowns"]


class Unknowns(NamedTuple):
    """Fields of protective devices, fields of sources: *F3.rating_a*."""

    devices: tuple[str, ...]
    sources: tuple[str, ...]


def device_field(cuts: FeedCuts, snapshot: Snapshot, edge: int) -> tuple[str, ...]:
    """The field that would tell the rating of a device, or whether a contact is there; nothing where it is recorded."""
    mirror = cuts.mirror
    protection = mirror.protection[edge]
    if protection is None:
        field = mirror.supposed.get(edge, "")
    else:
        field = protection.missing if protection.rating_a is None else ""
    return (f"{snapshot.name(mirror.circuit.links[mirror.link[edge]].equipment)}.{field}",) if field else ()


def unknowns(cuts: FeedCuts, snapshot: Snapshot, edge: int, point: int, enough: float) -> Unknowns:
    """Unknown devices and sources met from the end at `point` of an edge outwards.

    A device that is known and rated no more than `enough` hides what is behind it, as does an unknown one: filled in,
    it may be all that is needed. `cuts` are those with unknown ratings taken as without limit.
    """
    found = _unknowns(cuts, snapshot, edge, point, enough)
    # of a sum of feeds, what is unknown may stand behind a device that is small enough alone
    return found if found.devices or found.sources else _unknowns(cuts, snapshot, edge, point, -1.0)


def _unknowns(cuts: FeedCuts, snapshot: Snapshot, edge: int, point: int, enough: float) -> Unknowns:
    mirror, rated = cuts.mirror, cuts.ratings
    edges: list[int] = []
    feeds: list[int] = []
    seen = {point}
    row = [point]
    for here in row:
        feeds += [feed for feed in mirror.feeds_at[here] if feed in rated.unknown_feeds]
        for feed in mirror.feeds_at[here]:
            # the secondary of a transformer gives what its primary gets
            for primary in mirror.derived[feed][1] if feed in mirror.derived else ():
                if primary not in seen:
                    seen.add(primary)
                    row.append(primary)
        for number in mirror.adjacency[here]:
            far = mirror.other(number, here)
            if number == edge or far in seen or cuts.total(far).amps <= 0:
                continue
            # against the flow: not into what only hangs on here, nor backwards through a diode
            if cuts.structure.hangs_on[far] == number or (mirror.one_way[number] and mirror.u[number] != far):
                continue
            if number in rated.unknown_edges:
                if number not in edges:
                    edges.append(number)
            elif is_above(rated.edges[number], enough):
                seen.add(far)
                row.append(far)
    return Unknowns(
        tuple(dict.fromkeys(field for number in edges for field in device_field(cuts, snapshot, number))),
        tuple(
            dict.fromkeys(
                field
                for feed in feeds
                for field in feed_fields(mirror.feeds[feed], snapshot.name(mirror.feeds[feed].equipment))
            )
        ),
    )
