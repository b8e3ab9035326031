"""Equipment that stands on the system it is made for, whatever the positions of switches."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from engine.findings import Passed
from engine.rules.proved import proved
from engine.rules.voltage._demand import Demand, Supply
from engine.rules.voltage._systems import Classes
from engine.rules.wording import named
from engine.study import Study
from engine.units import show
from engine.words import _

__all__ = ["in_order"]


def in_order(study: Study, rule: str, wanted: list[Demand], behind: Callable[[Demand], Supply]) -> Iterator[Passed]:
    """Where all that could feed it is known, and of its voltage and frequency; nothing unless asked to prove."""
    classes = Classes.of(study.book)
    for demand in wanted if study.proving else ():
        supply = behind(demand)
        feeds = [feed for feed in supply.feeds if feed.equipment != demand.item]
        if demand.volts is None or not feeds or supply.silent:
            continue
        if not supply.classes <= {classes.key(demand.system, demand.volts)}:
            continue
        if demand.frequency_hz is not None and (supply.mute or not supply.hertz <= {demand.frequency_hz}):
            continue
        message = _("{name} is made for {made}; all that can feed it gives that.")
        made = f"{show(demand.volts, 'V')} {demand.system.upper()}"
        told = message.format(name=named(study, demand.item), made=made)
        yield proved(study, rule, demand.item, message=told, detail=demand.terminal)
