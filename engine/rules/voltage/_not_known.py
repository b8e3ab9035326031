"""What `voltage-mismatch` could not compare because a voltage or a frequency is not recorded."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from engine.findings import NotJudged, Word
from engine.rules.voltage._demand import Demand, Supply
from engine.rules.voltage._systems import System, volt_field
from engine.study import Study
from engine.words import _

__all__ = ["not_known"]


def not_known(
    study: Study, rule: str, word: Word, wanted: list[Demand], behind: Callable[[Demand], Supply]
) -> Iterator[NotJudged]:
    """Equipment without a recorded voltage, then sources without one that feed something to compare with."""

    def gap(item: str, field: str, why: str, items: list[str] | None = None) -> NotJudged:
        names = ", ".join(dict.fromkeys(study.name(i) for i in items or ()))
        return NotJudged(
            rule=rule,
            would_be=word,
            designations=(study.name(item),),
            ids=(item,),
            missing=(f"{study.name(item)}.{field}",) if field else (),
            why=why.format(items=names),
            detail=field,
        )

    silent: dict[tuple[str, System], list[str]] = {}
    mute: dict[str, list[str]] = {}
    for demand in wanted:
        supply = behind(demand)
        if demand.volts is None:
            if supply.feeds:
                yield gap(demand.item, demand.field, _("the voltage it is made for is not recorded"))
            continue
        if not supply.silent and not (supply.mute and demand.frequency_hz is not None):
            continue
        for feed in supply.feeds:
            if feed.equipment == demand.item:
                continue
            if feed.source.nominal_v is None:
                silent.setdefault((feed.equipment, demand.system), []).append(demand.item)
            if demand.frequency_hz is not None and feed.source.frequency_hz is None:
                mute.setdefault(feed.equipment, []).append(demand.item)
    for island in study.volts.islands:
        feeds = [f for f in island.feeds if f.source.system == "dc" and not f.source.adapts]
        for feed in feeds:
            if feed.source.nominal_v is None:
                others = [f.equipment for f in feeds if f.equipment != feed.equipment]
                if others:
                    silent.setdefault((feed.equipment, "dc"), []).extend(others)
    terminals = {(f.equipment, f.source.system): f.source.terminal for f in reversed(study.circuit.feeds)}
    for (source, system), items in silent.items():
        field = volt_field(study.snapshot.equipment[source], system, terminals[source, system])
        yield gap(source, field, _("its voltage is not recorded, so that of {items} cannot be compared"), items)
    for source, items in mute.items():
        why = _("its frequency is not recorded, so that of {items} cannot be compared")
        yield gap(source, "frequency_hz", why, items)
