"""Protective devices in words: where each stands, and what to do with it."""

from __future__ import annotations

from typing import NamedTuple

from engine.books.ampacity import amps, at_most
from engine.circuit.coverage import Uncovered
from engine.study import Study
from engine.words import _

__all__ = ["Device", "device", "replaced"]


class Device(NamedTuple):
    """A device that lets a current through: its name, whose rating to change, and amperes passed on for each of it."""

    name: str
    item: str  # the equipment whose rating it is
    kind: str  # "", "ashore", "inside", "channel"
    ratio: float = 1.0


def device(study: Study, item: str, rating: float, end: Uncovered | None = None) -> Device:
    """What lets `rating` amperes through at `item`: a device, the breaker ashore, a channel, what feeds a transformer.

    `end` helps to tell the channels of one module apart.
    """
    name, record = study.name(item), study.snapshot.equipment[item]
    if any(feed.equipment == item and feed.source.line == "shore" for feed in study.circuit.feeds):
        return Device(_("the breaker ashore of {name}").format(name=name), item, "ashore")
    before = _primary(study, item)
    if before is not None:
        return before
    if record.ROLE in ("source", "converter"):
        return Device(_("the device in {name}").format(name=name), item, "inside")
    terminal = _terminal(study, item, rating, end) if record.TERMINALS_VARY else ""
    if terminal.startswith("ch"):
        return Device(_("channel {number} of {name}").format(number=terminal[2:], name=name), item, "channel")
    return Device(name, item, "")


def replaced(study: Study, found: Device, most: float) -> str:
    """The advice to have a smaller device there."""
    allowed = at_most(most / found.ratio)
    if found.kind == "ashore":
        return _("have a breaker of {amps} or less ashore").format(amps=allowed)
    if found.kind == "channel":
        return _("set {device} to {amps} or less").format(device=found.name, amps=allowed)
    name = study.name(found.item) if found.ratio != 1.0 else found.name
    return _("replace {device} by one of {amps} or less").format(device=name, amps=allowed)


def _primary(study: Study, item: str) -> Device | None:
    """The one device before a transformer that has none of its own."""
    mirror = study.coverage.mirror
    for feed, (ratio, points) in mirror.derived.items():
        if mirror.feeds[feed].equipment != item or mirror.feeds[feed].source.protection is not None:
            continue
        for point in points:
            behind = study.coverage.refinery(True).supplied(-1, point, 0)
            if len(behind.devices) == 1 and not behind.sources:
                first, rating = behind.devices[0]
                words = _("{device} ({amps}) through {name}").format(
                    device=study.name(first), amps=amps(rating), name=study.name(item)
                )
                return Device(words, first, "", ratio)
        return Device(study.name(item), item, "")
    return None


def _terminal(study: Study, item: str, rating: float, end: Uncovered | None) -> str:
    """The terminal behind the device: where the run begins, else the only one of that rating."""
    if end is not None:
        run = study.snapshot.runs[end.run]
        for at in (run.from_end, run.to_end):
            if at.equipment == item:
                return at.terminal
    made = {
        study.circuit.nodes[link.b].terminal
        for link in study.circuit.links
        if link.equipment == item and link.protection is not None and link.protection.rating_a == rating
    }
    return made.pop() if len(made) == 1 else ""
