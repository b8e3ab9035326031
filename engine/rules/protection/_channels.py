"""Devices one by one: each channel of a switching module is a device of its own, named by its terminal."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

import msgspec

from engine.circuit.flow.results import DeviceFlow, Flow
from engine.equipment.base import Protection
from engine.study import Study
from engine.words import _

__all__ = ["Carried", "Told", "called", "devices", "flowing", "item_of"]


class Carried(NamedTuple):
    """What a device carries and what it may: `limit_a` continuously, or its rating where `is_brief`."""

    amps: float
    limit_a: float
    condition: str
    what: str
    ids: tuple[str, ...] = ()
    is_brief: bool = False
    limit: str = "share"  # the value of the book that it is held to

    def is_over(self) -> bool:
        """Whether it carries more than it may."""
        return self.amps > self.limit_a * (1 + 1e-9)


class Told(NamedTuple):
    """What is found device by device: the worst of each, and why others could not be judged."""

    ratings: dict[str, float | None]
    most: dict[str, Carried] = {}
    gaps: dict[str, tuple[tuple[str, ...], str]] = {}

    def carries(self, device: str, carried: Carried) -> None:
        """Keep it if it is further above what the device may carry; of two alike the later."""
        before = self.most.get(device)
        if before is None or carried.amps * before.limit_a >= before.amps * carried.limit_a * (1 - 1e-6):
            self.most[device] = carried


def devices(study: Study) -> dict[str, Protection]:
    """Protective devices by equipment id, those of equipment with several by `id:terminal`.

    Equipment with several devices of one rating has that rating under its own id too.
    """
    found: dict[str, dict[str, Protection]] = {}
    nodes = study.circuit.nodes
    for link in study.circuit.links:
        if link.protection is not None:
            found.setdefault(link.equipment, {})[nodes[link.b].terminal] = link.protection
    made: dict[str, Protection] = {}
    for item, by_terminal in found.items():
        if len(by_terminal) == 1 or not study.snapshot.equipment[item].TERMINALS_VARY:
            made[item] = list(by_terminal.values())[-1]
            continue
        made |= {f"{item}:{terminal}": one for terminal, one in by_terminal.items()}
        if len({one.rating_a for one in by_terminal.values()}) == 1:
            made[item] = next(iter(by_terminal.values()))
    return made


def flowing(flow: Flow, known: dict[str, float | None]) -> Iterator[DeviceFlow]:
    """What flows through each device by the keys of `devices`."""
    for device in flow.devices:
        apart = [path for path in device.paths if f"{device.equipment}:{path[1]}" in known]
        if not apart:
            yield device
        for path in apart:
            yield msgspec.structs.replace(device, equipment=f"{device.equipment}:{path[1]}", amps=abs(path[3]))


def item_of(key: str) -> str:
    """The equipment of a key."""
    return key.partition(":")[0]


def called(study: Study, key: str) -> str:
    """What a device is called: "F3", "channel 2 of A1"."""
    item, _colon, terminal = key.partition(":")
    name = study.name(item)
    return _("channel {number} of {name}").format(number=terminal.removeprefix("ch"), name=name) if terminal else name
