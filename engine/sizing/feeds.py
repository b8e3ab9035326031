"""What an inverter takes from its battery at full power when the volts are lowest."""

from __future__ import annotations

import math
from typing import NamedTuple

from engine.books.ampacity import amps
from engine.books.batteries import emf_v
from engine.sizing.basis import Basis
from engine.units import number
from engine.words import _

__all__ = ["FullPower", "feeds_one", "full_power"]


class FullPower(NamedTuple):
    """Amperes at a converter's DC input, their arithmetic, and the fields without which they cannot be told."""

    amps: float | None
    arithmetic: str = ""
    missing: tuple[str, ...] = ()


def full_power(b: Basis, item: str, terminal: str = "") -> FullPower | None:
    """Of what makes alternating current from a battery: P / (efficiency x lowest volts); `None` for anything else."""
    record, name = b.snapshot.equipment[item], b.study.name(item)
    gives_ac = [
        c
        for c in record.conversions()
        if not c.both_ways
        and (record.nominal_volts(c.source) or ("", None))[0] == "dc"
        and (record.nominal_volts(c.target) or ("", None))[0] == "ac"
    ]
    conversion = next((c for c in gives_ac if not terminal or c.source == terminal), None)
    if conversion is None:
        return None
    power, efficiency = record.output_va(), conversion.efficiency
    field = "power_w" if getattr(record, "power_w", None) is None else "power_va"
    missing = [] if power else [f"{name}.{field}"]
    if not efficiency or efficiency <= 0:
        missing.append(f"{name}.efficiency")
    volts, how = _lowest(b, item, conversion.source)
    if volts is None:
        missing.append(f"{name}.minimum_v")
    if missing or not power or not efficiency or not volts or not math.isfinite(power):
        return FullPower(None, "", tuple(missing))
    current = power / (efficiency * volts)
    text = _("{power} W / ({efficiency} × {volts} V, {how}) = {amps}").format(
        power=number(power), efficiency=number(efficiency), volts=number(volts), how=how, amps=amps(current)
    )
    return FullPower(current, text)


def _lowest(b: Basis, item: str, terminal: str) -> tuple[float | None, str]:
    """The volts at which it still works, else the lowest of the bank that feeds it."""
    converter = b.snapshot.equipment[item].converter()
    minimum = None if converter is None else converter.lowest_dc_v
    if minimum is not None and minimum > 0:
        return minimum, _("at which it stops")
    for situation in b.situations:
        for load in situation.flow.loads:
            if (load.equipment, load.terminal) == (item, terminal) and load.source:
                store = b.snapshot.equipment[load.source].store()
                value = emf_v(store, "lowest").value if store is not None else None
                if value is not None and value > 0:
                    return value, _("{bank} at its lowest").format(bank=b.study.name(load.source))
    return None, ""


def feeds_one(b: Basis, run: str) -> tuple[str, str] | None:
    """The one thing (equipment, terminal) that all current of a run goes to, in every condition; else `None`."""
    found = {(one.load.equipment, one.load.terminal) for one in b.behind.get(run, ())}
    return found.pop() if len(found) == 1 else None
