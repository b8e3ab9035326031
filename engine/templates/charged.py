"""What charges a bank suits it: its volts and profile, and its management can stop it."""

from __future__ import annotations

from typing import Any

from engine.templates.making import Making, Spot

__all__ = ["LITHIUM", "banks_at", "charge_facts", "let_stop"]

LITHIUM = ("LFP", "NMC", "LTO")


def banks_at(m: Making, spot: Spot) -> tuple[str, ...]:
    """The banks that stand at a spot of the drawing, or can be joined to it."""
    return m.sources_at(spot, "+", battery=True)


def charge_facts(m: Making, banks: tuple[str, ...], volts: float) -> dict[str, Any]:
    """Charging and float volts as the bank records them, else those usual for lead; the profile of its chemistry."""
    times = volts / 12
    records = [m.of(bank) for bank in banks]
    known = next((record for record in records if record.charge_v is not None), None)
    lithium = any(record.chemistry in LITHIUM for record in records)
    charge_v = 14.4 * times if known is None else known.charge_v
    float_v = (13.5 if lithium else 13.6) * times if known is None or known.float_v is None else known.float_v
    return {
        "charge_v": round(charge_v, 2),
        "float_v": round(min(float_v, charge_v), 2),
        "profile": "lithium" if lithium else "three-stage",
    }


def let_stop(m: Making, banks: tuple[str, ...], source: str) -> str:
    """Have the management that is drawn for a bank stop a source too; its id, `""` where none is drawn."""
    for item, record in m.draft.table("equipment").items():
        if record.KIND == "battery_management" and set(banks) & set(record.batteries):
            m.set(item, stops=(*record.stops, source))
            return item
    return ""
